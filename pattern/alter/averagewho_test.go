package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// Only a left and a right of one thing are made alike: the bodices of a front and a
// back, or the two halves of a pair's one drawing, are meant to differ. Each refusal
// names the next step.
func TestAverageSidesOfOneThingOnly(t *testing.T) {
	p := made(t, smallSmock(t), "separate", "front", "drawn", "left").Pattern
	p = made(t, p, "separate", "pocket", "drawn", "left").Pattern
	strap := drawPiece("strap", "outer", pattern.CutOne, lineTo("top", 0, 0, 60, 0), lineTo("right", 60, 0, 60, 400), lineTo("bottom", 60, 400, 0, 400), lineTo("left", 0, 400, 0, 0))
	strap.Slug = p.NewSlug("strap")
	p.Put(strap)
	for _, c := range []struct {
		r    Recipe
		says string
	}{
		{recipe("average-sides", "back"), "is cut on the fold, so that its halves are alike; unfold it first"},
		{recipe("average-sides", "back", "with", "left front"), "back is cut on the fold, left and right in one, .* `toile alter unfold \"back\"`"},
		{recipe("average-sides", "left front", "with", "front facing"), "front facing is cut a pair, .*`toile alter separate \"front facing\" --drawn left`"},
		{recipe("average-sides", "front facing"), "front facing is cut a pair: one drawing for the wearer's left and right, .*`toile alter separate \"front facing\" --drawn left`"},
		{recipe("average-sides", "left front"), "is cut for the wearer's left alone; name the piece of the other side after it"},
		{recipe("average-sides", "left front", "edge", "side seam", "left", "20", "right", "10"), "is cut for the wearer's left alone; name the piece of the other side after it"},
		{recipe("average-sides", "left front", "with", "left pocket"), "left front and left pocket are both cut for the wearer's left; name one of each side"},
		{recipe("average-sides", "left front", "with", "right pocket"), "nothing tells that left front and right pocket are the left and the right of one thing; where they are, say so with --other-side"},
		{recipe("average-sides", "left front", "with", "right pocket", "other-side", "true"), "both sides need the same edges"},
		{recipe("average-sides", "strap"), "strap has no straight reference line in its middle .*`toile alter mark \"strap\" \"reference line\" PLACE --to PLACE`"},
	} {
		_, err := Make(p, c.r)
		require.Error(t, err, "%v", c.r)
		require.Regexp(t, c.says, err.Error())
	}
	middle := made(t, p, "mark", "strap", "kind", "reference line", "at", "30,0", "to", "30,400", "name", "middle").Pattern
	require.Contains(t, made(t, middle, "average-sides", "strap").Says, "strap: both sides are alike already")
}

// What the wearer's left and right of one thing are is known after separate, also under
// other names, by their names, or as it is said.
func TestAverageSidesKnowsLeftAndRight(t *testing.T) {
	p := made(t, smallSmock(t), "separate", "front", "drawn", "left").Pattern
	p = made(t, p, "let-out", "left front", "edge", "side seam", "by", "6").Pattern
	made(t, p, "average-sides", "right front", "with", "left front")
	renamed := made(t, made(t, p, "rename", "left front", "to", "button front").Pattern, "rename", "right front", "to", "buttonhole front").Pattern
	made(t, renamed, "average-sides", "button front", "with", "buttonhole front")
	for _, c := range []struct {
		left, right string
		told        bool
	}{{"front (left)", "front (right)", true}, {"Left front", "right front", true}, {"one", "two", false}} {
		q := renamed.Clone()
		a, b := pieceOf(t, q, "button front"), pieceOf(t, q, "buttonhole front")
		a.Side, b.Side, a.Was, b.Was = "", "", "", "" // traced as two pieces
		q = made(t, made(t, q, "rename", "button front", "to", c.left).Pattern, "rename", "buttonhole front", "to", c.right).Pattern
		_, err := Make(q, recipe("average-sides", c.left, "with", c.right))
		require.Equal(t, c.told, err == nil, "%v: %v", c, err)
		made(t, q, "average-sides", c.left, "with", c.right, "other-side", "true")
	}
}

// Pinned in by 20 on the left and 12 on the right, both of two separated pieces are
// taken in by 16: to be held against take-in on either. Tapering, both are widest at
// the same place.
func TestAveragePinnedOnTwoPieces(t *testing.T) {
	p := made(t, smallSmock(t), "separate", "front", "drawn", "left").Pattern
	for _, to := range []string{"", "hemline"} {
		values := []string{"with", "right front", "edge", "side seam", "left", "20", "right", "12"}
		one := []string{"edge", "side seam", "by", "16"}
		if to != "" {
			values, one = append(values, "to", to), append(one, "to", to)
		}
		res := made(t, p, "average-sides", "left front", values...)
		for _, name := range []string{"left front", "right front"} {
			want := pieceOf(t, made(t, p, "take-in", name, one...).Pattern, name)
			require.Equal(t, want, pieceOf(t, res.Pattern, name), "%s %s", name, to)
		}
	}
}

// On a piece drawn whole a taper leads to the hem on both sides, though its edges run
// opposite ways: what comes out is a mirror image of itself about the fold at 0.
func TestAveragePinnedTapersAlike(t *testing.T) {
	p := made(t, smallSmock(t), "unfold", "back").Pattern
	res := made(t, p, "average-sides", "back", "edge", "other side seam", "left", "20", "right", "12", "to", "hemline")
	q := pieceOf(t, res.Pattern, "back")
	a, b := edgePathOf(t, q, "side seam"), edgePathOf(t, q, "other side seam").Reverse()
	require.InDelta(t, 0, a.Start().Dist(geom.Pt(210, 230)), 0.002, "it tapers to nothing here")
	for _, k := range []float64{0, 0.5, 1} {
		x, y := a.PointAt(k*a.Length()), b.PointAt(k*b.Length())
		require.InDelta(t, 0, geom.Pt(-x.X, x.Y).Dist(y), 0.002)
	}
	side := geom.Pt(40, 470).Unit()                                     // down the edge
	out := a.End().Sub(geom.Pt(250, 700)).Dot(geom.Pt(side.Y, -side.X)) // square to it
	require.InDelta(t, -16, out, 0.1, "the hem meets it a little beyond")
}

// What --both adds to an average are plain moves by the mean on every edge sewn to one
// of those averaged, each once.
func TestAveragePartners(t *testing.T) {
	p := made(t, smallSmock(t), "unfold", "back").Pattern
	partners, err := Partners(p, recipe("average-sides", "back", "edge", "side seam", "left", "20", "right", "12"))
	require.NoError(t, err)
	require.Equal(t, []Recipe{recipe("take-in", "front", "edge", "side seam", "by", "16mm")}, partners)
	p = made(t, p, "separate", "front", "drawn", "left").Pattern
	partners, err = Partners(p, recipe("average-sides", "back", "edge", "side seam", "left", "-20", "right", "-12"))
	require.NoError(t, err)
	var on []string
	for _, r := range partners {
		require.Equal(t, "let-out", r.Kind)
		on = append(on, r.Piece)
	}
	require.ElementsMatch(t, []string{"left front", "right front"}, on)
	_, err = Partners(p, recipe("average-sides", "back"))
	require.ErrorContains(t, err, "leave --both out")
}
