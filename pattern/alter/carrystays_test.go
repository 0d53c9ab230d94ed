package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// movedOut is a change of an edge that lies so many mm further out, parallel.
func movedOut(edge string, by float64) change.Change {
	return change.Change{Kind: change.EdgeMoved, Edges: []string{edge}, By: &by, How: "parallel"}
}

// Carried to a sewn-to edge, to a layer or to a band, a change touches the edge
// that follows and its neighbours, and stores no node more.
func TestCarryTouchesNothingElse(t *testing.T) {
	smock := stored(t, smallSmock(t))
	banded := smock.Clone()
	band := oblongOf("band", 0, 900, 0, 40, "upper", "one end", "lower", "other end")
	q := pieceOf(t, banded, "back")
	length := edgePathOf(t, q, "hemline").Length()
	for i := range band.Corners {
		if band.Corners[i].At.X == 0 && (i == 1 || i == 2) {
			band.Corners[i].At = geom.Pt(length, band.Corners[i].At.Y)
		}
	}
	band.Slug = banded.NewSlug("band")
	banded.Put(band)
	banded.GiveIDs(band)
	sewAs(t, banded, "hem band", "back/hemline", "band/lower", true)
	banded.Layers = append(banded.Layers, pattern.Layer{Outer: "back", Inner: []string{"band"}, Band: true})
	for _, c := range []struct {
		what    string
		p       *pattern.Pattern
		first   Recipe
		edge    string
		follows Follower
		changes []change.Change
		touches []string
	}{
		{"sewn", smock, recipe("let-out", "back", "edge", "side seam", "by", "10"), "side seam", Follower{}, []change.Change{movedOut("side seam", 10)}, []string{"front/side seam", "front/hemline", "front/armhole"}},
		{"layer", smock, recipe("redraw", "front", "edge", "neckline", "path", "M 170 0 C 178 75 214 105 250 105"), "neckline", Follower{}, nil, []string{"front facing/neckline", "front facing/front edge", "front facing/shoulder"}},
		{"band", stored(t, banded), recipe("let-out", "back", "edge", "side seam", "by", "10"), "hemline", Follower{}, nil, []string{"band/lower", "band/upper", "band/other end"}},
	} {
		changed := stored(t, made(t, c.p, c.first.Kind, c.first.Piece, flat(c.first)...).Pattern)
		r := recipe("carry", c.first.Piece, "edge", c.edge)
		followers, err := FollowersAsked(changed, r)
		require.NoError(t, err, c.what)
		res, err := Carry(changed, r, []Lacking{{Follower: followers[0], Before: c.p, Changes: c.changes}})
		require.NoError(t, err, c.what)
		stays(t, changed, res.Pattern, c.touches)
		require.NotEmpty(t, notStayed(t, changed, res.Pattern, nil), "%s: nothing was carried", c.what)
		require.LessOrEqual(t, nodes(res.Pattern), nodes(changed), c.what)
		sewn(t, res.Pattern)
	}
}

// Edges of the same length and another shape are not joined, here two that both
// bow outward; a bow is joined to a hollow.
func TestJoinRefusesAnotherShape(t *testing.T) {
	bow := func(name string, x float64) *pattern.Piece {
		return drawPiece(name, "outer", pattern.CutPair, lineTo("upper", x, 0, x+200, 0), curveTo("bow", x+200, 0, x+240, 100, x+240, 200, x+200, 300), lineTo("lower", x+200, 300, x, 300), lineTo("inner", x, 300, x, 0))
	}
	p := stored(t, patternOf(bow("one", 0), bow("other", 500)))
	_, err := Make(p, recipe("join", "one", "edge", "bow", "with", "other", "at", "bow"))
	require.ErrorContains(t, err, "laid together they gape by")
	require.ErrorContains(t, err, "make them the same shape first")
	hollow := drawPiece("hollow", "outer", pattern.CutPair, lineTo("upper", 500, 0, 700, 0), lineTo("outer", 700, 0, 700, 300), lineTo("lower", 700, 300, 500, 300), curveTo("hollow", 500, 300, 540, 200, 540, 100, 500, 0))
	p = stored(t, patternOf(bow("one", 0), hollow))
	r := made(t, p, "join", "one", "edge", "bow", "with", "hollow", "at", "hollow")
	require.Len(t, r.Pattern.Pieces, 1)
}
