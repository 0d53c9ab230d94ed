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
