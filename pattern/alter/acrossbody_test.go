package alter

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestAcrossTheBodyIsNothingRound folds a strip out across the body: it takes
// length, and nothing round the garment, so that nothing is shared out.
func TestAcrossTheBodyIsNothingRound(t *testing.T) {
	p := smallSmock(t)
	across := "centre back@200mm:side seam@300mm"
	_, says, err := ShareOut(p, recipe("close", "back", "by", "10", "line", across), false)
	require.NoError(t, err)
	require.Empty(t, says)
	_, _, err = ShareOut(p, recipe("close", "back", "all-round", "10", "line", across), false)
	require.ErrorContains(t, err, "runs across the body")
	_, says, err = ShareOut(p, recipe("close", "back", "by", "10", "line", "neckline@30mm:hemline@150mm"), false)
	require.NoError(t, err)
	require.Equal(t, "closed 10 mm at each line: 20 mm round the garment", says)

	// Two lines open 10 mm each, twice, for the back is on the fold; 40 mm all round are
	// 10 mm at each, and the hem gains 20 mm of the half that is drawn.
	two := "30,0:30,800; 55,0:55,800"
	_, says, err = ShareOut(p, recipe("spread", "back", "by", "10", "line", two), false)
	require.NoError(t, err)
	require.Equal(t, "opened 10 mm at each line: 40 mm round the garment", says)
	res := made(t, p, "spread", "back", "all-round", "40", "line", two)
	was := edgePathOf(t, pieceOf(t, p, "back"), "hemline").Length()
	require.InDelta(t, 20, edgePathOf(t, pieceOf(t, res.Pattern, "back"), "hemline").Length()-was, 0.01)
}
