package alter

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// rigid is an alteration with the edges that it only moves, as one: each as
// PIECE/EDGE before, and after a = where it is called otherwise then.
type rigid struct {
	r       Recipe
	moved   []string
	stay    bool        // they lie where they lay
	mirror  bool        // they are turned over, and run the other way
	before  []Recipe    // made first
	shifted *geom.Point // by how much, where that is plain
}

// storedMotion is how far in mm a node may be from where a motion takes it:
// half the last digit of 0.001 mm in x and in y, before it and after it.
const storedMotion = 0.0015

func rigids() []rigid {
	at := func(x, y float64) *geom.Point { p := geom.Pt(x, y); return &p }
	split := recipe("split", "front", "line", "shoulder@60:hemline@120", "into", "front,side front")
	return []rigid{
		// The grain lies right of the line and stays.
		{recipe("spread", "front", "line", "120,0:120,800", "by", "20"), []string{"front/side seam", "front/armhole"}, false, false, nil, at(-20, 0)},
		// Of two parts alike the one that follows the line moves.
		{recipe("close", "pocket", "line", "opening@80:lower edge@80", "by", "20"), []string{"pocket/side edge"}, false, false, nil, at(-20, 0)},
		{recipe("spread", "front", "line", "armhole@60:front edge@200", "by", "12", "hinge", "front edge"), []string{"front/shoulder", "front/neckline"}, false, false, nil, nil},
		{recipe("split", "front", "line", "shoulder@60:hemline@120", "into", "front,side front"),
			[]string{"front/neckline", "front/front edge", "front/side seam=side front/side seam", "front/armhole=side front/armhole"}, true, false, nil, nil},
		{recipe("join", "front", "edge", "seam to side front", "with", "side front", "at", "seam to front"),
			[]string{"front/neckline", "front/front edge", "side front/side seam=front/side seam", "side front/armhole=front/armhole"}, true, false, []Recipe{split}, nil},
		{recipe("mirror", "front"), []string{"front/shoulder", "front/neckline", "front/front edge", "front/hemline", "front/side seam", "front/armhole"}, false, true, nil, nil},
		{recipe("unfold", "back"), []string{"back/shoulder", "back/armhole", "back/side seam"}, true, false, nil, nil},
		{recipe("unfold", "back"), []string{"back/shoulder=back/other shoulder", "back/armhole=back/other armhole", "back/side seam=back/other side seam"}, false, true, nil, nil},
		{recipe("separate", "front", "drawn", "left"), sidesOf("left front"), true, false, nil, nil},
		{recipe("separate", "front", "drawn", "left"), sidesOf("right front"), false, true, nil, nil},
	}
}

// sidesOf pairs the front's edges with those of one of its sides.
func sidesOf(side string) (pairs []string) {
	for _, e := range []string{"shoulder", "neckline", "front edge", "hemline", "side seam", "armhole"} {
		pairs = append(pairs, "front/"+e+"="+side+"/"+e)
	}
	return pairs
}

// places are the nodes and handles of an edge.
func places(path geom.Path) (all []geom.Point) {
	for _, c := range path {
		all = append(all, c.P0, c.P1, c.P2, c.P3)
	}
	return all
}

// What an alteration only moves keeps its nodes and handles: those of all such
// edges together are those before after one motion, turned over where the piece
// is, and to the digit where it stays.
func TestMovedAsOne(t *testing.T) {
	for _, c := range rigids() {
		t.Run(c.r.Kind+" "+c.moved[0], func(t *testing.T) {
			p := property{before: c.before}.start(t)
			res, err := Make(p, c.r)
			require.NoError(t, err)
			q := stored(t, res.Pattern)
			var from, to []geom.Point
			for _, pair := range c.moved {
				was, now := pathsOf(t, p, q, pair)
				if c.mirror {
					now = now.Reverse()
				}
				require.Len(t, now, len(was), "%s: curves", pair)
				from, to = append(from, places(was)...), append(to, places(now)...)
			}
			motion := geom.FitMotion(from, to, c.mirror)
			if c.stay {
				motion = geom.Motion{}
			}
			if c.shifted != nil {
				motion = geom.Motion{Shift: *c.shifted}
			}
			farthest := 0.0
			for k := range from {
				farthest = max(farthest, motion.Apply(from[k]).Dist(to[k]))
			}
			if c.stay {
				require.LessOrEqual(t, farthest, 1e-9)
			}
			require.LessOrEqual(t, farthest, storedMotion)
			if !c.stay {
				require.Greater(t, from[0].Dist(to[0])+from[len(from)-1].Dist(to[len(to)-1]), 0.1, "it moves at all")
			}
		})
	}
}

// pathsOf are the lines of a pair of edges, BEFORE=AFTER.
func pathsOf(t *testing.T, before, after *pattern.Pattern, pair string) (was, now geom.Path) {
	t.Helper()
	a, b, renamed := strings.Cut(pair, "=")
	if !renamed {
		b = a
	}
	of := func(p *pattern.Pattern, name string) geom.Path {
		piece, edge, _ := strings.Cut(name, "/")
		return edgePathOf(t, pieceOf(t, p, piece), edge)
	}
	return of(before, a), of(after, b)
}
