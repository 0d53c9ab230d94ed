package alter

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// A back that was opened along two lines, with a dart and a dot between and beside
// them: a lining that lies on it whole comes out of the carry as the back is, its
// dart and dot too, and one behind a facing covers it with that.
func TestEverySlashIsCarriedToALayer(t *testing.T) {
	for _, lines := range []string{
		"yoke seam@30:hemline@100@end;yoke seam@150:hemline@40",
		"yoke seam@150:hemline@40;yoke seam@30:hemline@100@end",
	} {
		p := yokedBack(rand.New(rand.NewPCG(7, 7)))
		p = alterWhole(t, p, "mark", "panel", "kind", "dart", "at", "90 from centre back, 120 from yoke seam", "edge", "yoke seam", "from", "80", "until", "95", "name", "dart")
		p = alterWhole(t, p, "mark", "panel", "kind", "dot", "at", "100 from centre back, 300 from yoke seam", "name", "dot")
		p = alterWhole(t, p, "lining", "panel", "as", "lining")
		p = alterWhole(t, p, "mark", "lining", "kind", "dot", "at", "100 from centre back, 300 from yoke seam", "name", "dot")
		r := recipe("spread", "panel", "line", lines, "by", "20", "hinge", "yoke seam")
		opened, err := Make(p, r)
		require.NoError(t, err)
		after := stored(t, opened.Pattern)
		panel := pieceOf(t, after, "panel")
		slashes := SlashesOf(p, after, []Recipe{r}, panel)
		require.Len(t, slashes, 2, lines)
		lacking := []Lacking{{Follower: Follower{Why: Layered, Piece: "lining"}, Before: p, Slashes: slashes}}
		res, err := Carry(after, recipe("carry", "panel", "edge", "hemline"), lacking)
		require.NoError(t, err)
		lining := pieceOf(t, stored(t, res.Pattern), "lining")
		for i := range panel.Edges {
			require.Equal(t, panel.EdgePath(i), lining.EdgePath(i), "%s: %s", lines, panel.Edges[i].Name)
		}
		require.Len(t, lining.Marks, len(panel.Marks))
		for k, mark := range panel.Marks {
			require.Less(t, mark.At.Dist(lining.Marks[k].At), 0.05, "%s: %s", lines, mark.Name)
			require.InDelta(t, mark.From, lining.Marks[k].From, 0.05, "%s: %s", lines, mark.Name)
		}
	}
}

// Where a piece does not come out of its alterations as it is, no line is told.
func TestSlashesOfAPieceChangedBesides(t *testing.T) {
	p := yokedBack(rand.New(rand.NewPCG(7, 7)))
	r := recipe("spread", "panel", "line", "yoke seam@30:hemline@100@end", "by", "20", "hinge", "yoke seam")
	opened, err := Make(p, r)
	require.NoError(t, err)
	longer := alterWhole(t, stored(t, opened.Pattern), "lengthen", "panel", "edge", "hemline", "by", "10")
	require.Empty(t, SlashesOf(p, longer, []Recipe{r}, pieceOf(t, longer, "panel")))
}
