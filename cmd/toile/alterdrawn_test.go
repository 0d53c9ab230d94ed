package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern/change"
)

// A run-on of 0.06 mm beside a swing is finer than anybody draws, and not told; alone it
// is all that there is to tell.
func TestRunsTooFineToDrawAreNotTold(t *testing.T) {
	run := func(by float64) change.Change {
		return change.Change{Kind: change.EdgeRun, By: change.Amount(by)}
	}
	swing := change.Change{Kind: change.EdgeSwung, By: change.Amount(0.05)}
	require.Equal(t, []change.Change{swing, run(-0.1)}, drawable([]change.Change{swing, run(0.06), run(-0.1), run(-0.099)}))
	require.Equal(t, []change.Change{run(0.06)}, drawable([]change.Change{run(0.06)}))
	require.Empty(t, drawable(nil))
}
