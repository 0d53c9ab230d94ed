package alter

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// leastInset is how many edges of an inner piece have to lie at the differences that
// are declared there for it to lie as it is drawn: one alone would leave it to slide.
const leastInset = 2

// insetAsDrawn is an inner piece that departs from its outer all round, as an
// interfacing cut back by its allowances, and lies where it is drawn: it shares no
// line by which it could be laid. ok is false for any other.
func insetAsDrawn(p *pattern.Pattern, outer, inner *pattern.Piece) (l *lying, ok bool) {
	all := 0
	for i := range outer.Edges {
		if declared(p, outer, i, inner) != 0 {
			all++
		}
	}
	if all < leastInset {
		return nil, false
	}
	if l, err := lieAs(p, outer, inner, geom.Motion{}); err == nil && l.atDeclared(p) >= leastInset {
		return l, true
	}
	return nil, false
}

// atDeclared counts the edges of the outer at whose declared difference an edge of the
// inner piece lies.
func (l *lying) atDeclared(p *pattern.Pattern) (count int) {
	for i, list := range l.at {
		by := declared(p, l.outer, i, l.inner)
		if by != 0 && slices.ContainsFunc(list, func(a along) bool { return math.Abs(a.by-by) <= evenWithin }) {
			count++
		}
	}
	return count
}
