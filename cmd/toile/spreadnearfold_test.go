package main

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/diff"
	"toile/pattern/alter"
	"toile/pattern/change"
)

// A piece is spread along a line so near its fold that the curved edge there is drawn
// anew up to the corner: the line is told where it was, or that the outlines do not
// tell. Input of a mended fault: it was told halfway along what was drawn anew, 30 mm
// from the fold for 10.
func TestSpreadNearTheFoldIsToldWhereItWas(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 3))
	told := 0
	fixed := [][2]float64{{5.083, 18.46}} // told at 0 mm once: the edge was drawn anew along its old line
	for k := range 20 {
		p := gown(t)
		near, open := 3+14*r.Float64(), 8+12*r.Float64()
		if k < len(fixed) {
			near, open = fixed[k][0], fixed[k][1]
		}
		res, err := alter.Make(p, alter.Recipe{Kind: "spread", Piece: "back", Values: map[string]string{
			"line": fmt.Sprintf("neckline@%.3f:hemline@%.3f@end", near, near), "by": fmt.Sprintf("%.2f", open)}})
		require.NoError(t, err)
		was, err := p.Piece("back")
		require.NoError(t, err)
		now, err := res.Pattern.Piece("back")
		require.NoError(t, err)
		d, err := diff.Pieces(was, now, res.Pattern)
		require.NoError(t, err)
		for _, ch := range d.Changes {
			if ch.Kind != change.Spread || strings.Contains(ch.Says, diff.LineUntold) {
				continue
			}
			told++
			for _, from := range ch.From {
				require.InDelta(t, near, from.Far, 0.5, "%.3f, opened %.2f: %s", near, open, ch.Says)
			}
		}
	}
	require.NotZero(t, told)
}
