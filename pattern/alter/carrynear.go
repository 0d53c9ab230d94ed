package alter

import (
	"toile/geom"
	"toile/pattern"
)

// liesNear reports whether a line keeps within so many mm of where it has to lie by an
// edge of the outer.
func liesNear(outer *pattern.Piece, i int, line geom.Path, by, within float64) bool {
	meant, err := outer.EdgeMoved(i, by)
	if err != nil {
		return false
	}
	meant = geom.Carrier(meant, reach)
	for _, c := range line {
		for k := range 9 {
			if _, d := meant.Nearest(c.At(float64(k) / 8)); d > within {
				return false
			}
		}
	}
	return true
}

// movedNear is the line of edge k of the inner piece that lies near an edge of its outer,
// moved as much as that was, in parallel or along the grain; ok is false of one that lies
// along it, and where the outer's was drawn otherwise.
func (t *transfer) movedNear(a along, k, now, then int) (geom.Path, bool) {
	if !a.near {
		return nil, false
	}
	by, ok := evenDistance(t.then.outer, then, t.m.piece.EdgePath(now), true)
	if !ok {
		return nil, false
	}
	line, err := t.w.piece.EdgeMoved(k, by)
	return line, err == nil
}
