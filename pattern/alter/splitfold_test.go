package alter

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/check"
)

// folded demands that a piece is cut on the fold and returns its one fold.
func folded(t *testing.T, q *pattern.Piece) geom.Path {
	t.Helper()
	require.Equal(t, pattern.CutOnFold, q.Cut, q.Name)
	i := foldEdge(q)
	require.GreaterOrEqual(t, i, 0, q.Name)
	require.Len(t, q.EdgePath(i), 1)
	return q.EdgePath(i)
}

// A yoke cut off a back that lies on the fold: both parts stay on it, each with its
// piece of it, together as long as it was. Everything else goes on as at any split, and
// joined again the two folds are one and the outline as it was, ids and untouched edges
// to the letter. Input of a mended fault: the line was refused, as crossing the fold.
func TestSplitFromTheFold(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 2))
	for range 12 {
		p := smallSmock(t).Clone()
		turned := pieceOf(t, p, "back").Moved(geom.Motion{Turn: 6 * r.Float64(), Shift: geom.Pt(900*r.Float64(), 900*r.Float64())})
		asStored(turned)
		p.Pieces[slices.Index(p.Pieces, pieceOf(t, p, "back"))] = turned
		p = stored(t, p)
		before := pieceOf(t, p, "back")
		other := []string{"armhole", "side seam"}[r.IntN(2)]
		line := fmt.Sprintf("centre back@%.3f:%s@%.3f", 20+620*r.Float64(), other, 20+120*r.Float64())
		res := made(t, p, "split", "back", "line", line, "into", "lower back,yoke")
		parts := stored(t, res.Pattern)
		lower, yoke := pieceOf(t, parts, "lower back"), pieceOf(t, parts, "yoke")
		require.InDelta(t, folded(t, before).Length(), folded(t, lower).Length()+folded(t, yoke).Length(), 0.005, line)
		require.InDelta(t, abs(ring(before).Area()), abs(ring(lower).Area())+abs(ring(yoke).Area()), 0.5, line)
		for _, q := range []*pattern.Piece{lower, yoke} {
			require.Equal(t, "centre back", q.Edges[foldEdge(q)].Name, line)
			require.GreaterOrEqual(t, q.NotchByName("match"), 0)
		}
		require.Equal(t, pattern.Chain{{Piece: "lower back", Edge: "seam to yoke"}}, parts.Seams[len(parts.Seams)-1].First, line)
		touched := []string{"back/centre back", "back/" + other}
		for _, name := range []string{"shoulder", "neckline", "hemline", "armhole", "side seam"} {
			if name == other {
				continue
			}
			i, err := before.EdgeIndex(name)
			require.NoError(t, err)
			id := before.Edges[i].ID
			now := edgeTexts(t, yoke)[id] + edgeTexts(t, lower)[id]
			require.Equal(t, edgeTexts(t, before)[id], now, "%s: %s", line, name)
		}
		back2 := stored(t, made(t, parts, "join", "lower back", "edge", "seam to yoke", "with", "yoke", "at", "seam to lower back", "name", "back").Pattern)
		whole := pieceOf(t, back2, "back")
		folded(t, whole)
		require.Len(t, whole.Edges, len(before.Edges), line)
		for i, e := range before.Edges {
			k := whole.EdgeByID(e.ID)
			require.GreaterOrEqual(t, k, 0, "%s: %s", line, e.Name)
			require.Equal(t, e.Name, whole.Edges[k].Name, line)
			require.LessOrEqual(t, farthest(before.EdgePath(i), whole.EdgePath(k)), 0.005, "%s: %s", line, e.Name)
		}
		stays(t, p, back2, touched)
		sameOutlines(t, p, back2, 0.005)
	}
}

// A line that ends in the fold's end leaves all of it to one part; the other is a pair.
// One that begins and ends on the fold is refused.
func TestSplitFromTheFoldsEnd(t *testing.T) {
	p := made(t, smallSmock(t), "split", "back", "line", "0,20:195,80", "into", "back,shoulder piece").Pattern
	sewn(t, p)
	folded(t, pieceOf(t, p, "back"))
	require.Equal(t, pattern.CutPair, pieceOf(t, p, "shoulder piece").Cut)

	q := smallSmock(t).Clone()
	pieceOf(t, q, "back").Lines = []pattern.ReferenceLine{{Name: "keyhole", Path: geom.Path{{P0: geom.Pt(-5, 100), P1: geom.Pt(90, 100), P2: geom.Pt(90, 200), P3: geom.Pt(-5, 200)}}}}
	_, err := Make(q, recipe("split", "back", "line", "keyhole", "into", "back,inset"))
	require.ErrorContains(t, err, "begins and ends on the fold")
}

// A lining and a neck facing of the back go on with the parts on which they lie, what is
// declared at the fold too, and check has nothing to say of layers; a slit in the new
// seam that reaches to the fold stays open there.
func TestSplitFromTheFoldHandsLayersOn(t *testing.T) {
	p := pleated(t, false)
	p = stored(t, made(t, p, "split", "back", "line", "centre back@500:armhole@90", "into", "lower back,yoke", "opening", "slit=0:30").Pattern)
	found, err := check.Run(p, check.Options{})
	require.NoError(t, err)
	for _, f := range found.Findings {
		require.False(t, f.Mismatch, f.Says)
	}
	of := map[string][]string{}
	for _, l := range p.Layers {
		of[l.Outer] = append(of[l.Outer], l.Inner...)
		for _, d := range l.Differences {
			require.Equal(t, pattern.Difference{What: "back pleat", By: 25, Piece: "lining", Edge: "centre back"}, d, l.Outer)
		}
	}
	require.Contains(t, of["lower back"], "lining")
	require.ElementsMatch(t, []string{"neck facing", "lining"}, of["yoke"])
	s := p.Seams[len(p.Seams)-1]
	require.Len(t, s.Openings, 1)
	first, _, err := p.WalkChains(&s)
	require.NoError(t, err)
	require.True(t, s.Openings[0].From == 0 || s.Openings[0].To > first.Length-0.01)

	joined := stored(t, made(t, p, "join", "lower back", "edge", "seam to yoke", "with", "yoke", "at", "seam to lower back", "name", "back").Pattern)
	require.Len(t, joined.Layers, 2) // of the smock's front, and this
	require.Equal(t, 25.0, joined.Layers[1].Differences[0].By)
	require.Len(t, joined.Layers[1].Differences, 1)
}

// Two pieces on the fold whose folds are not one line: what is advised works, with all
// its words. Input of a mended fault: --cut was advised, and then refused.
func TestJoinOfTwoOnTheFold(t *testing.T) {
	p := twoOblongs(pattern.CutOnFold, pattern.CutOnFold, "outer", "outer")
	pieceOf(t, p, "a").Edges[3].Fold, pieceOf(t, p, "b").Edges[1].Fold = true, true
	pieceOf(t, p, "a").Edges[3].Allowance, pieceOf(t, p, "b").Edges[1].Allowance = nil, nil
	join := recipe("join", "a", "edge", "right", "with", "b", "at", "left")
	_, err := Make(p, join)
	require.ErrorContains(t, err, "the whole would have two; unfold both first with `toile alter unfold \"a\"` and `toile alter unfold \"b\"`, or have a seam in place of one fold with `toile edge \"b\" \"right\" --fold=false`, and join them then with --cut \"one on fold\"")
	require.NotContains(t, err.Error(), "say with --cut")
	cut := recipe("join", "a", "edge", "right", "with", "b", "at", "left", "cut", "one")
	_, err = Make(p, cut)
	require.ErrorContains(t, err, "the whole would have two")

	both := made(t, made(t, p, "unfold", "a").Pattern, "unfold", "b").Pattern
	whole := pieceOf(t, stored(t, made(t, both, "join", "a", "edge", "right", "with", "b", "at", "left").Pattern), "a")
	require.Equal(t, pattern.CutOne, whole.Cut)

	seam := p.Clone()
	b := pieceOf(t, seam, "b")
	b.Edges[1].Fold, b.Cut = false, pattern.CutOne
	whole = pieceOf(t, stored(t, made(t, seam, "join", "a", "edge", "right", "with", "b", "at", "left", "cut", "one on fold").Pattern), "a")
	folded(t, whole)

	_, err = Make(p, recipe("join", "a", "edge", "left", "with", "b", "at", "right"))
	require.ErrorContains(t, err, "is a fold, and nothing is sewn or joined there")
}

// Folds that bend where the pieces are laid together are told with by how much.
func TestJoinOfFoldsThatBend(t *testing.T) {
	p := smallSmock(t)
	p = made(t, p, "split", "back", "line", "centre back@500:armhole@90", "into", "lower back,yoke").Pattern
	yoke := pieceOf(t, p, "yoke")
	i := foldEdge(yoke)
	yoke.Corners[i].At = yoke.Corners[i].At.Add(geom.Pt(3, 0))
	_, err := Make(p, recipe("join", "lower back", "edge", "seam to yoke", "with", "yoke", "at", "seam to lower back"))
	require.Error(t, err)
}
