package alter

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A taper that is told where it starts and not where it goes to goes to the same
// end of the seam on both pieces, whose edges run opposite ways: what one side
// gives at the hem the other takes there, and the armholes stay.
func TestTaperFromAPlaceGoesToTheSameEndOnBoth(t *testing.T) {
	for _, from := range []string{"240", "hip", "240@armhole", "230@hemline"} {
		p := smallSmock(t)
		partners, err := Partners(p, recipe("take-in", "back", "edge", "side seam", "by", "12", "from", from))
		require.NoError(t, err)
		require.Len(t, partners, 1)
		require.Equal(t, "start", partners[0].Values["to"], from)

		res := made(t, p, "shift-seam", "back", "edge", "side seam", "by", "12", "from", from)
		for piece, by := range map[string]float64{"back": 12, "front": -12} {
			was, now := pieceOf(t, p, piece), pieceOf(t, res.Pattern, piece)
			require.InDelta(t, lengthOf(was, "hemline")+by, lengthOf(now, "hemline"), 0.1, "%s %s", piece, from)
			require.InDelta(t, lengthOf(was, "armhole"), lengthOf(now, "armhole"), 1e-6, "%s %s", piece, from)
		}
		require.Equal(t, "hemline", res.Recipe.Values["to"], "the end it goes to is kept")
	}
}
