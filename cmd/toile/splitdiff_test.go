package main

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
)

// made makes alterations one after the other.
func made(t *testing.T, p *pattern.Pattern, recipes ...alter.Recipe) *pattern.Pattern {
	t.Helper()
	for _, r := range recipes {
		res, err := alter.Make(p, r)
		require.NoError(t, err, "%v", r)
		p = res.Pattern
	}
	return p
}

func recipe(kind, piece string, values ...string) alter.Recipe {
	r := alter.Recipe{Kind: kind, Piece: piece, Values: map[string]string{}}
	for i := 0; i < len(values); i += 2 {
		r.Values[values[i]] = values[i+1]
	}
	return r
}

func pieceIn(t *testing.T, d change.Diff, name string) change.PieceDiff {
	t.Helper()
	k := slices.IndexFunc(d.Pieces, func(q change.PieceDiff) bool { return q.Piece == name })
	require.GreaterOrEqual(t, k, 0, name)
	return d.Pieces[k]
}

// A front that was split and one of whose parts was altered besides is told as
// split, and the alteration at the part where it lies; wherever the parts lie on
// the sheet, and also where the names and ids were lost.
func TestSplitAndAltered(t *testing.T) {
	split := recipe("split", "front", "line", "shoulder@60:hemline@150", "into", "front,side front")
	for _, c := range []struct {
		name  string
		more  alter.Recipe
		other bool // told at the side front
		want  found
	}{
		{"flare", recipe("flare", "side front", "edge", "side seam", "by", "40", "from", "200"), true, found{"side front", change.EdgeSwung, "side seam", 40}},
		{"shorten", recipe("shorten", "side front", "edge", "hemline", "by", "30"), true, found{"side front", change.EdgeMoved, "hemline", -30}},
		{"shorten the other", recipe("shorten", "front", "edge", "hemline", "by", "30"), false, found{"front", change.EdgeMoved, "hemline", -30}},
		{"let out", recipe("let-out", "side front", "edge", "side seam", "by", "12"), true, found{"side front", change.EdgeMoved, "side seam", 12}},
	} {
		for _, lost := range []bool{false, true} {
			for _, moved := range []bool{false, true} {
				from := gown(t)
				to := made(t, from, split, c.more)
				if moved {
					for k, q := range to.Pieces {
						to.Pieces[k] = q.Moved(geom.Motion{Turn: 0.4, Shift: geom.Pt(300, -80)})
					}
				}
				if lost {
					for _, q := range to.Pieces {
						if q.Name == "side front" {
							q.Was, q.ID = "", ""
						}
						for i := range q.Edges {
							q.Edges[i].ID, q.Edges[i].Was = "", ""
						}
					}
				}
				d, err := diff.Patterns(from, to, change.Version{}, change.Version{})
				require.NoError(t, err)
				front, side := pieceIn(t, d, "front"), pieceIn(t, d, "side front")
				require.Equal(t, change.Split, front.State, "%s, moved %v, lost %v", c.name, moved, lost)
				require.Equal(t, change.PieceSplit, front.Changes[0].Kind)
				require.Equal(t, []string{"front", "side front"}, front.Changes[0].Into)
				require.Equal(t, change.Split, side.State)
				requireFound(t, d, c.want)
				for _, p := range []change.PieceDiff{front, side} {
					for _, ch := range p.Changes {
						require.NotContains(t, []change.Kind{change.EdgeRedrawn, change.NotchAdded, change.NotchRemoved, change.MarkAdded, change.MarkRemoved, change.MarkMoved},
							ch.Kind, "%s: %s", p.Piece, ch.Says)
					}
				}
				if c.other {
					require.Len(t, front.Changes, 1)
				} else {
					require.Empty(t, side.Changes)
				}
				require.Equal(t, "side seam", diff.EdgeThen(side, "side seam"))
				require.Equal(t, "side seam", diff.EdgeNow(side, "side seam"))
			}
		}
	}
}

// Both parts altered: each alteration is told at its part, and nothing else.
func TestSplitAndBothAltered(t *testing.T) {
	from := gown(t)
	to := made(t, from, recipe("split", "front", "line", "shoulder@60:hemline@150", "into", "front,side front"),
		recipe("shorten", "front", "edge", "hemline", "by", "30"),
		recipe("flare", "side front", "edge", "side seam", "by", "40", "from", "200"))
	d, err := diff.Patterns(from, to, change.Version{}, change.Version{})
	require.NoError(t, err)
	for _, name := range []string{"front", "side front"} {
		require.Equal(t, change.Split, pieceIn(t, d, name).State)
	}
	requireFound(t, d, found{"front", change.EdgeMoved, "hemline", -30})
	requireFound(t, d, found{"side front", change.EdgeSwung, "side seam", 40})
	front, side := pieceIn(t, d, "front"), pieceIn(t, d, "side front")
	require.Len(t, primary(front), 2, "the split and the hem")
	require.InDelta(t, side.NetArea[1], front.Changes[0].PartArea, 1e-3, "as it is now")
	require.Len(t, primary(pieceIn(t, d, "side front")), 1)
	require.Equal(t, `split off from "front" along "seam to front"`, pieceIn(t, d, "side front").Origin)
}

// primary are the changes but for what was cut or run on because of another.
func primary(p change.PieceDiff) []change.Change {
	return slices.DeleteFunc(slices.Clone(p.Changes), func(ch change.Change) bool { return ch.Kind == change.EdgeRun })
}

// Split twice: three parts of one piece, none of them altered.
func TestSplitTwice(t *testing.T) {
	from := gown(t)
	to := made(t, from, recipe("split", "front", "line", "shoulder@60:hemline@150", "into", "front,side front"),
		recipe("split", "side front", "line", "shoulder@30:hemline@70", "into", "side front,far front"))
	d, err := diff.Patterns(from, to, change.Version{}, change.Version{})
	require.NoError(t, err)
	front := pieceIn(t, d, "front")
	require.Equal(t, change.Split, front.State)
	var into []string
	for _, ch := range front.Changes {
		require.Equal(t, change.PieceSplit, ch.Kind, ch.Says)
		into = append(into, ch.Into[1])
		require.Len(t, ch.Line, 2)
	}
	slices.Sort(into)
	require.Equal(t, []string{"far front", "side front"}, into)
	for _, name := range into {
		require.Equal(t, change.Split, pieceIn(t, d, name).State)
		require.Empty(t, pieceIn(t, d, name).Changes)
	}
	require.Empty(t, d.NotFollowed)
}
