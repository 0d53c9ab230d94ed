package check

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// splitOuter is an outer 300 × 800 in two halves, each flared by so many mm at the
// hem in the seam between them, from 300 above it, and an uncut lining 300 wide.
func splitOuter(t *testing.T, by float64) *pattern.Pattern {
	flared := func(x float64) geom.Path {
		return geom.Polyline(geom.Pt(150, 0), geom.Pt(150, 500), geom.Pt(x, 800))
	}
	a := build("a", pattern.CutPair, 15, straight("yoke seam", geom.Pt(0, 0), geom.Pt(150, 0)), side{"seam to b", flared(150 + by)},
		straight("hemline", geom.Pt(150+by, 800), geom.Pt(0, 800)), straight("front edge", geom.Pt(0, 800), geom.Pt(0, 0)))
	b := build("b", pattern.CutPair, 15, straight("yoke seam", geom.Pt(150, 0), geom.Pt(300, 0)), straight("side seam", geom.Pt(300, 0), geom.Pt(300, 800)),
		straight("hemline", geom.Pt(300, 800), geom.Pt(150-by, 800)), side{"seam to a", flared(150 - by).Reverse()})
	lining := oblong("lining", 0, 0, 300, 800, "yoke seam", "side seam", "hemline", "front edge")
	p := sewn(t, nil, a, b, lining)
	seam(t, p, "a to b", "a/seam to b", "b/seam to a")
	p.Layers = []pattern.Layer{{Outer: "a", Inner: []string{"lining"}}, {Outer: "b", Inner: []string{"lining"}}}
	return p
}

// Halves that lie together under a lining are silent; flared by 20 each over 300
// they part by 2 × 20 at the hem, square to the seam 2·20·300/√(20²+300²); declared
// at the seam it is meant.
func TestOutersApartUnderALining(t *testing.T) {
	require.Empty(t, mismatches(run(t, splitOuter(t, 0))))
	p := splitOuter(t, 20)
	f := only(t, mismatches(run(t, p)), change.LayerOff, 2*20*300/math.Hypot(20, 300), 0.01)
	require.True(t, f.Mismatch)
	require.Equal(t, "a to b", f.Seam)
	require.Contains(t, f.Says, "lining lies across the seam")
	require.Contains(t, f.Do, `--difference "shaped seam@seam to b=`)
	p.Layers[0].Differences = []pattern.Difference{{What: "shaped seam", By: 40, Piece: "lining", Edge: "seam to b"}}
	for _, f := range run(t, p) {
		require.NotContains(t, f.Says, "lies across the seam")
	}
}
