package album

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"toile/pattern/change"
	"toile/pattern/units"
)

// What was done alike to two edges, and to two pieces, is told once; what only
// followed is left out.
func TestActs(t *testing.T) {
	up := func(edge string) change.Change {
		return change.Change{Kind: change.EdgeMoved, Edges: []string{edge}, Says: `"` + edge + `" is taken up by 4 cm`}
	}
	follows := change.Change{Kind: change.EdgeRun, Edges: []string{"side"}, CausedBy: "hem", Says: `"side" is cut 4 cm shorter at "hem", to meet it`}
	round := func(a, b string) change.Change {
		return change.Change{Kind: change.CornerRounded, Edges: []string{a, b}, Says: "the corner " + a + "/" + b + " is rounded by 4 cm"}
	}
	wide := func(edge string) change.Change {
		return change.Change{Kind: change.AllowanceChanged, Edges: []string{edge}, Says: `the cloth allowance of "` + edge + `" is 1.6 cm (was 1 cm)`}
	}
	of := func(piece string, says []string, changes ...change.Change) move {
		return move{step: &Step{Says: says, Diff: change.PieceDiff{Piece: piece, Changes: changes}}}
	}
	moves := []move{
		of("back", nil, up("hem"), follows),
		of("front", nil, up("hem"), follows, round("a", "b"), round("b", "c")),
		of("panel", nil, wide("one"), wide("two"), up("hem"), up("vent")),
		of("cuff", []string{"new"}), of("yoke", []string{"new"}),
	}
	assert.Equal(t, []act{
		{"“hem” is taken up by 4 cm · 1 9/16 in", []string{"back", "front"}},
		{"the corners a/b and b/c are rounded by 4 cm · 1 9/16 in", []string{"front"}},
		{"the cloth allowance of “one” and “two” is 1.6 cm · 5/8 in (was 1 cm · 3/8 in)", []string{"panel"}},
		{"“hem” and “vent” are taken up by 4 cm · 1 9/16 in", []string{"panel"}},
		{"new", []string{"cuff", "yoke"}},
	}, broken(actsOf(moves, units.Centimetre)))
	assert.Equal(t, "back, front and panel", act{Pieces: []string{"back", "front", "panel"}}.In())
}

// broken lets a line end within a length, for comparing.
func broken(all []act) []act {
	for i := range all {
		all[i].Says = strings.ReplaceAll(all[i].Says, "\u00a0", " ")
	}
	return all
}

// 1 in is 25.4 mm by definition (international yard and pound agreement, 1959):
// 15 mm are 0.5906 in, nearest to 9/16 of the sixteenths. Lengths within names
// stay, and so does what is no length in the pattern's unit.
func TestSentencesInBothUnits(t *testing.T) {
	for _, c := range []struct {
		unit         units.Unit
		text, wanted string
	}{
		{units.Centimetre, `the button "button 1" is moved by 1.5 cm (1.5 cm down)`, "the button “button 1” is moved by 1.5 cm · 9/16 in down"},
		{units.Centimetre, `the button "4 cm" is moved by 1.5 cm (1 cm to the left, 1.12 cm up)`, "the button “4 cm” is moved by 1.5 cm · 9/16 in (1 cm · 3/8 in to the left, 1.12 cm · 7/16 in up)"},
		{units.Millimetre, "taken up by 40 mm, not 40 cm", "taken up by 4 cm · 1 9/16 in, not 40 cm"},
		{units.Inch, "taken up by 1 9/16 in (was 1/2 in)", "taken up by 3.97 cm · 1 9/16 in (was 1.27 cm · 1/2 in)"},
		{units.Centimetre, `a "name" with " in it, 4 cm`, `a "name" with " in it, 4 cm · 1 9/16 in`},
		{units.Centimetre, "turned by −4 cm", "turned by −4 cm · −1 9/16 in"},
	} {
		assert.Equal(t, c.wanted, strings.ReplaceAll(lengths{c.unit}.said(c.text), "\u00a0", " "))
	}
	assert.Equal(t, "by 4\u00a0cm · 1\u00a09/16\u00a0in", lengths{units.Centimetre}.said("by 4 cm"))
}
