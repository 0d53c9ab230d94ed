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
	require.Equal(t, "closed 10 mm an edge: 20 mm round the garment", says)
}
