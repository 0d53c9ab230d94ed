package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// jointed is a back of 250 by 800 mm sewn at its side to an upper part of 300 and
// a lower one of 500, which are sewn to each other.
func jointed(t *testing.T) *worktable {
	oblong := func(name string, x, y, wide, high float64, names ...string) *pattern.Piece {
		return drawn(name, pattern.CutPair, names, geom.Polyline(geom.Pt(x, y), geom.Pt(x+wide, y)), geom.Polyline(geom.Pt(x+wide, y), geom.Pt(x+wide, y+high)),
			geom.Polyline(geom.Pt(x+wide, y+high), geom.Pt(x, y+high)), geom.Polyline(geom.Pt(x, y+high), geom.Pt(x, y)))
	}
	p := pattern.New("jointed", units.Millimetre)
	p.Put(oblong("back", 0, 0, 250, 800, "waist", "side seam", "hemline", "centre back"))
	p.Put(oblong("upper", 400, 0, 200, 300, "waist", "front edge", "joint", "side seam"))
	p.Put(oblong("lower", 400, 400, 200, 500, "joint", "front edge", "hemline", "side seam"))
	chain := func(text string) pattern.Chain {
		c, err := p.ParseChain(text)
		require.NoError(t, err)
		return c
	}
	p.Seams = []pattern.Seam{{Name: "side", First: chain("back/side seam"), Second: chain("upper/side seam+lower/side seam")},
		{Name: "joint", First: chain("upper/joint"), Second: chain("lower/joint")}}
	return lay(t, p)
}

// at is a corner of a piece as it is stored.
func (w *worktable) at(piece, corner string) geom.Point {
	w.t.Helper()
	q, err := w.pattern().Piece(piece)
	require.NoError(w.t, err)
	return q.Corners[q.CornerIndex(corner)].At
}

// A change of a side that is sewn to several edges goes to those that it lies
// along, at the same place of the seam: a taper of 16 at 800 is 6 at the joint at
// 300 (in proportion), a swing and a hem are the lower part's alone.
func TestCarryAlongAChain(t *testing.T) {
	w := jointed(t)
	w.do("alter", "let-out", "back", "side seam", "16", "--to", "hemline")
	w.do("alter", "carry", "back", "side seam")
	for _, c := range []struct {
		piece, corner string
		x             float64
	}{{"upper", "side seam/waist", 400}, {"upper", "joint/side seam", 394}, {"lower", "side seam/joint", 394}, {"lower", "hemline/side seam", 384}} {
		require.InDelta(t, c.x, w.at(c.piece, c.corner).X, 0.01, "%s, %s", c.piece, c.corner)
	}
	require.InDelta(t, 0, w.apart(0), 0.02)
	require.InDelta(t, 0, w.apart(1), 0.01)

	w = jointed(t)
	w.do("alter", "flare", "back", "side seam", "40", "--from", "300")
	was := w.files()["pieces/upper.yaml"]
	w.do("alter", "carry", "back", "side seam")
	require.Equal(t, was, w.files()["pieces/upper.yaml"])
	require.InDelta(t, 40, w.at("lower", "hemline/side seam").Dist(geom.Pt(400, 900)), 0.005)
	require.InDelta(t, 0, w.apart(0), 0.005)

	w = jointed(t)
	w.do("alter", "shorten", "back", "hemline", "30")
	w.do("alter", "carry", "back", "side seam")
	require.Equal(t, geom.Pt(400, 870), w.at("lower", "hemline/side seam"))
	require.InDelta(t, 0, w.apart(0), 1e-6)
}

// The other way round: what was made on one of several edges goes to the place of
// the one edge that it is sewn to.
func TestCarryFromAChain(t *testing.T) {
	w := jointed(t)
	w.do("alter", "flare", "lower", "side seam", "40")
	w.do("alter", "carry", "lower", "side seam")
	q, err := w.pattern().Piece("back")
	require.NoError(t, err)
	side := q.EdgePath(1)
	require.InDelta(t, 0, side.PointAt(300).Dist(geom.Pt(250, 300)), 0.005)
	require.InDelta(t, 40, side.End().Dist(geom.Pt(250, 800)), 0.005)
	require.InDelta(t, 0, w.apart(0), 0.005)

	w = jointed(t)
	w.do("alter", "let-out", "lower", "side seam", "12", "--to", "hemline")
	w.do("alter", "carry", "lower", "side seam")
	require.Equal(t, geom.Pt(250, 0), w.at("back", "waist/side seam"))
	require.InDelta(t, 262, w.at("back", "side seam/hemline").X, 0.01)
	require.InDelta(t, 0, w.apart(0), 0.02)
}

// What cannot go to several edges is refused with what is in the way, and the
// pattern stays.
func TestCarryAlongAChainRefused(t *testing.T) {
	for _, c := range []struct {
		alter []string
		edge  [2]string
		says  string
	}{
		{[]string{"flare", "back", "side seam", "40", "--from", "100"}, [2]string{"back", "side seam"}, "is sewn to more than one edge"},
		{[]string{"let-out", "upper", "side seam", "12", "--to", "joint"}, [2]string{"upper", "side seam"}, "was moved at a joint in the middle"},
		{[]string{"redraw", "back", "side seam", "--path", "M250 0 C262 200 262 600 250 800"}, [2]string{"back", "side seam"}, "a line drawn anew cannot be carried"},
	} {
		w := jointed(t)
		w.do(append([]string{"alter"}, c.alter...)...)
		before := w.files()
		out, code := w.try("alter", "carry", c.edge[0], c.edge[1])
		require.Equal(t, exitRefused, code, out)
		require.Contains(t, out, c.says)
		require.Equal(t, before, w.files())
	}
}

// Carried to one piece of a chain alone, a move at an equal distance is still to be
// made on the others, and the list says so until it is. A taper and a swing, of
// which one piece makes all, ask for nothing more.
func TestRestOfAChainHasToFollow(t *testing.T) {
	w := jointed(t)
	w.do("alter", "let-out", "back", "side seam", "16")
	require.Contains(t, w.do("alter", "carry", "back", "side seam", "--to", "upper"), `lower, "side seam", is sewn to back, "side seam", which changed; it has not`)
	require.Contains(t, w.do("diff"), `lower, "side seam", is sewn to back, "side seam"`)
	w.do("alter", "carry", "back", "side seam", "--to", "lower")
	require.NotContains(t, w.do("diff"), "has to follow")

	w = jointed(t)
	w.do("alter", "flare", "back", "side seam", "40", "--from", "300")
	require.NotContains(t, w.do("alter", "carry", "back", "side seam"), "has to follow")
	w = jointed(t)
	w.do("alter", "let-out", "back", "side seam", "16", "--to", "hemline")
	require.NotContains(t, w.do("alter", "carry", "back", "side seam"), "has to follow")
}
