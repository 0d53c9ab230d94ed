package alter

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
)

// Pinned in by 20 on the left and 12 on the right, the edge is taken in by the
// mean, 16, as take-in does; the difference is said first. Amounts below 0 let
// out.
func TestAveragePinned(t *testing.T) {
	p := smallSmock(t)
	res := made(t, p, "average-sides", "back", "edge", "side seam", "left", "20", "right", "12")
	require.Equal(t, []string{"left 20 mm, right 12 mm: they differ by 8 mm", "both sides are taken in by 16 mm"}, res.Says)
	require.Equal(t, map[string]string{"edge": "side seam", "left": "20", "right": "12"}, res.Recipe.Values)
	want := made(t, p, "take-in", "back", "edge", "side seam", "by", "16")
	require.Equal(t, pieceOf(t, want.Pattern, "back"), pieceOf(t, res.Pattern, "back"))
	res = made(t, p, "average-sides", "back", "edge", "side seam", "left", "-10", "right", "-6")
	want = made(t, p, "let-out", "back", "edge", "side seam", "by", "8")
	require.Equal(t, pieceOf(t, want.Pattern, "back"), pieceOf(t, res.Pattern, "back"))
	for _, values := range []map[string]string{{"edge": "side seam", "left": "5"}, {"edge": "side seam", "left": "5", "right": "-5"}} {
		_, err := Make(p, Recipe{Kind: "average-sides", Piece: "back", Values: values})
		require.Error(t, err)
	}
}

// On a piece drawn whole both sides are taken in: what comes out is what the half
// on the fold comes to when it is taken in and then opened out.
func TestAveragePinnedOnAWholePiece(t *testing.T) {
	p := smallSmock(t)
	whole := made(t, p, "unfold", "back").Pattern
	want := pieceOf(t, made(t, made(t, p, "take-in", "back", "edge", "side seam", "by", "16").Pattern, "unfold", "back").Pattern, "back")
	for _, edge := range []string{"side seam", "other side seam"} {
		res := made(t, whole, "average-sides", "back", "edge", edge, "left", "20", "right", "12")
		require.Equal(t, edge, res.Recipe.Values["edge"])
		got := pieceOf(t, res.Pattern, "back")
		require.Len(t, got.Corners, len(want.Corners))
		for i := range got.Corners {
			require.InDelta(t, 0, got.Corners[i].At.Dist(want.Corners[i].At), 0.002, "corner %d", i)
		}
	}
}

// Opened out, swung on one side and averaged, both sides have half of the swing
// about the same place, half of its bend there, and the hem of the one is the mirror
// image of the other's, with no hollow too tight to cut round: worked out from the
// swing of half the angle. The notch that was moved on one side is at the mean.
func TestAverageKeepsTheBend(t *testing.T) {
	p := made(t, smallSmock(t), "unfold", "back").Pattern
	was := edgePathOf(t, pieceOf(t, p, "back"), "side seam")
	p = made(t, p, "flare", "back", "edge", "side seam", "by", "40", "from", "200").Pattern
	p = made(t, p, "move", "back", "name", "hip", "by", "10").Pattern
	res := made(t, p, "average-sides", "back")
	q := pieceOf(t, res.Pattern, "back")
	a, b := edgePathOf(t, q, "side seam"), edgePathOf(t, q, "other side seam").Reverse()
	require.Len(t, a, 2)
	require.Len(t, b, 2)
	for k := range a {
		require.InDelta(t, 0, geom.Pt(-a[k].P3.X, a[k].P3.Y).Dist(b[k].P3), 0.002, "the fold lies at 0")
	}
	// Swung by the whole angle, the far end moves by the chord of 40; the mean of old
	// and new lies half way on the chord.
	end := was.End().Lerp(edgePathOf(t, pieceOf(t, p, "back"), "side seam").End(), 0.5)
	require.InDelta(t, 0, end.Dist(a.End()), 0.002)
	require.InDelta(t, 200, a[0].Length(), 0.002)
	hip, its := q.Notches[q.NotchByName("hip")], q.Notches[q.NotchByName("other hip")]
	require.Equal(t, []float64{245, 245}, []float64{hip.At, its.At})
	require.NoError(t, q.Validate())
	_, err := q.Outline()
	require.NoError(t, err)
	require.Contains(t, res.Says, `back: its halves are laid together along the reference line "centre back"`)
	for _, says := range res.Says { // the side kept its length when it swung: no two lengths are told that read alike
		require.NotContains(t, says, " long")
	}
	again := made(t, res.Pattern, "average-sides", "back")
	require.Contains(t, again.Says, "back: both sides are alike already")
}

// A line of one curve and one of two have a mean of two, between places at equal
// shares of their lengths: nothing is flattened. Two arcs about one point lie a
// constant distance apart, and their mean is the arc half way between.
func TestMeanOfUnlikeCurves(t *testing.T) {
	arc := func(r float64, parts int) geom.Path {
		var p geom.Path
		turn := math.Pi / 3 / float64(parts)
		for k := range parts {
			u, v := geom.Pt(1, 0).Turn(turn*float64(k)), geom.Pt(1, 0).Turn(turn*float64(k+1))
			h := r * 4 / 3 * math.Tan(turn/4)
			p = append(p, geom.Cubic{P0: u.Mul(r), P1: u.Mul(r).Add(geom.Pt(-u.Y, u.X).Mul(h)), P2: v.Mul(r).Sub(geom.Pt(-v.Y, v.X).Mul(h)), P3: v.Mul(r)})
		}
		return p
	}
	mean := meanPath(arc(300, 1), arc(320, 2))
	require.Len(t, mean, 2)
	for k := range 100 {
		require.InDelta(t, 310, mean.PointAt(mean.Length()*float64(k)/100).Len(), 0.02)
	}
	require.InDelta(t, 0, geom.AngleBetween(mean[0].Tangent(1), mean[1].Tangent(0)), 1e-9)
}
