package alter

import (
	"testing"

	"github.com/stretchr/testify/require"
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
