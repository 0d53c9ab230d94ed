package check

import (
	"slices"

	"toile/pattern"
	"toile/pattern/change"
)

// Uncuttable finds the pieces of these names that have no cutting line, as
// above all where an allowance is wider than a hollow: nothing of them can be
// printed with it until that is mended.
func Uncuttable(p *pattern.Pattern, names []string) []change.Finding {
	some := *p
	some.Pieces = slices.DeleteFunc(slices.Clone(p.Pieces), func(q *pattern.Piece) bool { return !slices.Contains(names, q.Name) })
	c := &checker{p: &some}
	c.cuttingLines()
	return c.found
}
