package alter

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestHemFacingFollowsWhole carries a shortened hem to its facing, which keeps
// its width: on the small smock's back the hem runs at y 700 from x 0 to 250,
// where the side leaves it at 40 mm across in 470 down.
func TestHemFacingFollowsWhole(t *testing.T) {
	before := made(t, smallSmock(t), "hem-facing", "back", "width", "50", "as", "back hem facing").Pattern
	after := made(t, before, "shorten", "back", "edge", "hemline", "by", "20").Pattern
	res, err := Carry(after, recipe("carry", "back", "edge", "hemline", "to", "back hem facing"),
		[]Lacking{{Follower: Follower{Why: Layered, Piece: "back hem facing"}, Before: before}})
	require.NoError(t, err)
	sewn(t, res.Pattern)
	facing := pieceOf(t, res.Pattern, "back hem facing")
	x := func(y float64) float64 { return 210 + (y-230)*40/470 }
	hem, inner := edgePathOf(t, facing, "hemline"), edgePathOf(t, facing, "inner edge")
	require.InDelta(t, 680, hem.Start().Y, 0.001)
	require.InDelta(t, x(680), hem.Length(), 0.001)
	require.InDelta(t, 630, inner.Start().Y, 0.001)
	require.InDelta(t, 630, inner.End().Y, 0.001)
	require.InDelta(t, x(630), inner.Length(), 0.001)
	ring, _ := facing.SharpRing()
	require.InDelta(t, 50*(x(630)+x(680))/2, ring.Area(), 0.1)
	require.True(t, ring.Holds(facing.Grain.From) && ring.Holds(facing.Grain.To))
}
