package render

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// A grain line drawn on a sleeve of 600 that was cut to 200 is drawn to 10 mm
// above its new hem; the stored one stays. A line inside is drawn as it is.
func TestGrainIsClippedToThePiece(t *testing.T) {
	p := &pattern.Piece{Name: "sleeve", Grain: &pattern.Grain{From: geom.Pt(150, 50), To: geom.Pt(150, 550)}}
	corners := []geom.Point{geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 300), geom.Pt(0, 300)}
	var ring geom.Ring
	for i, c := range corners {
		ring = append(ring, geom.Line(c, corners[(i+1)%4]))
	}
	q := grainDrawn(p, ring)
	require.InDelta(t, 0, q.Grain.From.Dist(geom.Pt(150, 50)), 1e-9)
	require.InDelta(t, 0, q.Grain.To.Dist(geom.Pt(150, 290)), 1e-9)
	require.Equal(t, geom.Pt(150, 550), p.Grain.To)

	p.Grain.To = geom.Pt(150, 280)
	require.Same(t, p, grainDrawn(p, ring))
	p.Grain = &pattern.Grain{From: geom.Pt(400, 0), To: geom.Pt(400, 900)}
	require.Same(t, p, grainDrawn(p, ring), "one that lies outside is drawn whole")
}
