package alter

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern"
	"toile/pattern/units"
)

// A front and a back that close a ring, and a tuck aslant on the front, 500 above the
// hem at the side seam and 420 at the inseam: on the back it lies square to the grain at
// the level of the end that the line names first, 500 or 420, on either side of the paper.
func TestTuckAslantRoundARing(t *testing.T) {
	p := pattern.New("legs", units.Millimetre)
	for _, q := range []*pattern.Piece{
		drawPiece("front", "outer", pattern.CutPair, lineTo("waist", 0, 0, 250, 0), lineTo("side seam", 250, 0, 250, 1000), lineTo("hem", 250, 1000, 0, 1000), lineTo("inseam", 0, 1000, 0, 0)),
		drawPiece("back", "outer", pattern.CutPair, lineTo("waist", 800, 0, 1050, 0), lineTo("inseam", 1050, 0, 1050, 1000), lineTo("hem", 1050, 1000, 800, 1000), lineTo("side seam", 800, 1000, 800, 0)),
	} {
		q.Slug = p.NewSlug(q.Name)
		p.Put(q)
		p.GiveIDs(q)
	}
	for _, name := range []string{"side seam", "inseam"} {
		first, err := p.ParseChain("front/" + name)
		require.NoError(t, err)
		second, err := p.ParseChain("back/" + name)
		require.NoError(t, err)
		p.Seams = append(p.Seams, pattern.Seam{Name: name, First: first, Second: second})
	}
	sewn(t, p)
	level := func(p *pattern.Pattern, line string) string {
		says := made(t, p, "shorten", "front", "edge", "hem", "by", "30", "inside", line).Says
		require.Contains(t, strings.Join(says, "\n"), "the level lies 80 mm off")
		for _, s := range says {
			if at, ok := strings.CutPrefix(s, "back: the line lies "); ok {
				return at[:strings.Index(at, " from")]
			}
		}
		return ""
	}
	for _, q := range []*pattern.Pattern{p, mirrorTracing(p)} {
		require.Equal(t, "500 mm", level(q, "side seam@500@hem:inseam@420@hem"))
		require.Equal(t, "580 mm", level(q, "inseam@420@hem:side seam@500@hem"))
	}
}
