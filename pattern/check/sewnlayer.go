package check

import (
	"math"
	"slices"

	"toile/pattern"
)

// mostTurn is by how many mm at most an inner piece that is sewn to its outer along an
// edge is meant to lie off it there: what turning the cloth takes up. Common practice:
// 1 to 3 mm, 5 in a heavy coat.
const mostTurn = 5

// sewnThere reports whether a facing lies off an edge of its outer by more than turning
// the cloth takes up, that it is sewn to: then it did not follow, and there is nothing
// to declare. A lining that is sewn on may hang shorter.
func (v *layering) sewnThere(g gap) bool {
	q := v.lie[g.lie].piece
	if g.other >= 0 || math.Abs(g.off) <= mostTurn || q.Cloth == liningCloth {
		return false
	}
	on := func(c pattern.Chain, piece, edge string) bool {
		return slices.ContainsFunc(c, func(s pattern.Stretch) bool { return s.Piece == piece && s.Edge == edge })
	}
	mine, other := q.Edges[g.edge].Name, v.outer.Edges[g.against].Name
	return slices.ContainsFunc(v.p.SeamsOf(q.Name, mine), func(s *pattern.Seam) bool {
		return on(s.First, q.Name, mine) && on(s.Second, v.outer.Name, other) || on(s.Second, q.Name, mine) && on(s.First, v.outer.Name, other)
	})
}
