package alter

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Inputs of mended bugs: a place on the edge that is named besides is one on that edge.
func TestPlaceBehindItsOwnEdge(t *testing.T) {
	p := patternOf(oblongOf("front", 0, 0, 240, 600, "waist", "side seam", "hemline", "centre"))
	for from, until := range map[string]string{"hemline@80@centre": "hemline@100@centre", "hemline@140": "160", "hemline@100@end": "hemline@80@end"} {
		res := made(t, p, "mark", "front", "kind", "pleat", "edge", "hemline", "from", from, "until", until, "towards", "centre", "name", "pl")
		mark := pieceOf(t, res.Pattern, "front").Marks[0]
		require.InDelta(t, 140, mark.From, 1e-6, from)
		require.InDelta(t, 160, mark.To, 1e-6, from)
		require.False(t, strings.HasPrefix(res.Recipe.Values["from"], "hemline@"), "kept as %q", res.Recipe.Values["from"])
	}
}

// A line along an edge cuts nothing off, and that is said; a notch that is counted
// otherwise on a part is told with the name that its edge has there.
func TestSplitSaidPlainly(t *testing.T) {
	p := patternOf(oblongOf("front", 0, 0, 240, 600, "waist", "side seam", "hemline", "centre"))
	for _, line := range []string{"hemline@80:hemline@100", "hemline@0:hemline@100", "waist/side seam:hemline/side seam"} {
		_, err := Make(p, recipe("split", "front", "line", line, "into", "a,b"))
		require.ErrorContains(t, err, "itself and cuts nothing off; lead it across the piece", line)
	}
	p = made(t, p, "notch", "front", "edge", "side seam", "at", "305", "name", "near").Pattern
	res := made(t, p, "split", "front", "line", "0,300:240,300", "into", "upper,lower")
	require.Contains(t, strings.Join(res.Says, "\n"), `notch "near": it stays in place and is 5 mm from the start of "side seam" now; it was 305 mm.`)
	require.NotContains(t, strings.Join(res.Says, "\n"), `"edge `)
}

// Where only the rounding of a facing does not fit, it is the rounding that has to be less.
func TestFacingRoundedTooMuch(t *testing.T) {
	p := patternOf(oblongOf("front", 0, 0, 240, 600, "waist", "side seam", "hemline", "centre"))
	_, err := Make(p, recipe("facing", "front", "edges", "side seam,hemline", "width", "40", "round", "300"))
	require.ErrorContains(t, err, "give a smaller --round")
}

// What there is room for is told to the millimetre where that is less than a centimetre
// short of what was asked.
func TestRoomToTheMillimetre(t *testing.T) {
	p := patternOf(oblongOf("front", 0, 0, 240, 600, "waist", "side seam", "hemline", "centre"))
	for by, fits := range map[string]string{"600": "up to 599 mm fits", "640": "up to 590 mm fits"} {
		_, err := Make(p, recipe("shorten", "front", "edge", "hemline", "by", by))
		require.ErrorContains(t, err, fits)
	}
	made(t, p, "shorten", "front", "edge", "hemline", "by", "599")
}
