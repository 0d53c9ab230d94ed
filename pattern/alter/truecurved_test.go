package alter

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// A straight top that meets a slanting fold at 90° + δ, and a curved edge at its
// other end. Squared to the fold as one arc that keeps its direction at the other
// end, it turns by δ, so that its chord lies at δ/2 (the angle between a chord and
// either tangent of an arc: Euclid, Elements III 32); the other end lies where
// that chord meets the curve, here some 7.2 mm down.
func TestTrueMeetsCurvedNeighbour(t *testing.T) {
	delta := geom.Degrees(3.24)
	foot := geom.Pt(255+530*math.Tan(delta), 530)
	armhole := geom.Path{{P0: geom.Pt(11, 130), P1: geom.Pt(56, 107), P2: geom.Pt(4, 42), P3: geom.Pt(0, 0)}}
	p := build([]string{"top", "fold", "hemline", "side", "armhole"},
		geom.Polyline(geom.Pt(0, 0), geom.Pt(255, 0)), geom.Polyline(geom.Pt(255, 0), foot),
		geom.Polyline(foot, geom.Pt(1, 530)), geom.Polyline(geom.Pt(1, 530), geom.Pt(11, 130)), armhole)
	p.Pieces[0].Edges[1].Fold, p.Pieces[0].Cut = true, pattern.CutOnFold
	res := made(t, p, "true", "panel", "edge", "top", "across", "fold")
	q := res.Pattern.Pieces[0]
	top, now := edgePathOf(t, q, "top"), edgePathOf(t, q, "armhole")
	require.Equal(t, geom.Pt(255, 0), top.End(), "the corner at the fold stays")
	chord := top.End().Sub(top.Start())
	require.InDelta(t, -3.24/2, geom.InDegrees(chord.Angle()), 1e-3)
	require.InDelta(t, 0, geom.InDegrees(top.StartTangent().Angle()), 1e-3)
	require.InDelta(t, 90, deg(math.Abs(geom.AngleBetween(top.EndTangent(), foot.Sub(geom.Pt(255, 0))))), 1e-3)
	_, off := armhole.Nearest(top.Start())
	require.InDelta(t, 0, off, 1e-3)
	require.InDelta(t, 255*math.Tan(delta/2), top.Start().Y, 0.05) // the curve leads in by 1.1 mm there
	require.Contains(t, strings.Join(res.Says, "\n"), `panel: "armhole" is 7.3 mm shorter there`)
	require.InDelta(t, armhole.Length()-now.Length(), armhole.BetweenLengths(armhole.Length()-7.3, armhole.Length()).Length(), 0.1)
}
