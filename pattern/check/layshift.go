package check

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// lieRow is how an edge of a laid piece lies on the edge of the outer that it
// belongs to.
type lieRow struct {
	square   geom.Point // to the left of the outer's edge, where it lies furthest off
	more     float64    // mm further to that side than it is declared to lie
	left     float64    // mm that no sum of declared differences explains
	declared bool       // whether a difference is declared there
}

// lies lists how the edges of a laid piece lie that are judged against the outer.
func (c *checker) lies(l laid, v *layering, known []int) []lieRow {
	var rows []lieRow
	for i, k := range l.on {
		if k < 0 || known[i] == joinedBeside || l.side != 0 && l.piece.Edges[i].Fold {
			continue
		}
		off, where, ok := apart(l.edges[i], v.outer.EdgePath(k))
		if !ok {
			continue
		}
		on := v.outer.EdgePath(k)
		place, _ := on.Nearest(where)
		row := lieRow{square: on[place.Curve].Tangent(place.T).Left(), more: off, left: math.Inf(1)}
		for _, by := range v.ofEdge(l.piece, k, where) {
			row.more, row.declared = row.more-by, row.declared || by != 0
		}
		for _, by := range v.sumsOf(l.piece, k, where) {
			row.left = math.Min(row.left, math.Abs(off-by))
		}
		rows = append(rows, row)
	}
	return rows
}

// sumsOf are the sums of some of what is declared for an inner piece at an edge of
// the outer, in mm square to it at the place where; 0 among them.
func (v *layering) sumsOf(inner *pattern.Piece, edge int, where geom.Point) []float64 {
	sums, tried := []float64{0}, 0
	for _, by := range v.ofEdge(inner, edge, where) {
		if by == 0 || tried == mostDifferences {
			continue
		}
		tried++
		for _, sum := range slices.Clone(sums) {
			sums = append(sums, sum+by)
		}
	}
	return sums
}

// shifted lays a piece that is drawn elsewhere on the sheet, and of which something
// is declared at edges, where those edges hold it at which nothing is: two of them,
// or, where they leave a way open, one or none and what is declared. It is shifted
// so only where fewer of all its edges are out then; each is judged by itself there,
// so that no fault is shared out among the others. way is the one in which it may be
// shifted, nil where any may do.
func (c *checker) shifted(best laid, v *layering, by laying, way *geom.Point) laid {
	any := slices.ContainsFunc(by.differences, func(d pattern.Difference) bool { return d.Edge != "" && d.Of(best.piece.Name) })
	if !any || best.motion.Identity() {
		return best
	}
	rows := c.lies(best, v, by.known)
	out, sum := outOf(rows, c.tol)
	from := best
	for _, s := range shiftsOf(rows, way) {
		l := c.laidBy(from.piece, v.outer, from.motion.Then(geom.Motion{Shift: s.Mul(-1)}), by)
		l.on, l.side, l.centre, l.beyond = from.on, from.side, from.centre, from.beyond
		lie := c.lies(l, v, by.known)
		n, more := outOf(lie, c.tol)
		if len(lie) < len(rows) {
			continue // an edge came off its own
		}
		if n < out || n == out && best.motion != from.motion && more < sum-1e-6 {
			best, out, sum = l, n, more
		}
	}
	return best
}

// outOf counts the edges that are out by more than the tolerance, and sums up by
// how many mm all are.
func outOf(rows []lieRow, tol float64) (count int, sum float64) {
	for _, r := range rows {
		sum += r.left
		if r.left > tol {
			count++
		}
	}
	return count, sum
}

// leastSlant is the sine of the angle between two edges from which they hold a piece
// in both ways: below it what one is off is more than tripled.
const leastSlant = 0.3

// shiftsOf are the shifts in mm by which a piece is astray that two of its edges
// tell, or one where it may be shifted one way alone: of those at which nothing is
// declared, else of these with those at which something is, else of the latter.
func shiftsOf(rows []lieRow, way *geom.Point) []geom.Point {
	var by [3][]geom.Point // by how many of the two are declared
	declared := func(r lieRow) int {
		if r.declared {
			return 1
		}
		return 0
	}
	for i, a := range rows {
		if way != nil {
			if along := way.Dot(a.square); math.Abs(along) >= leastSlant {
				by[declared(a)] = append(by[declared(a)], way.Mul(a.more/along))
			}
			continue
		}
		for _, b := range rows[i+1:] {
			det := a.square.X*b.square.Y - a.square.Y*b.square.X
			if math.Abs(det) < leastSlant {
				continue
			}
			n := declared(a) + declared(b)
			by[n] = append(by[n], geom.Pt((a.more*b.square.Y-b.more*a.square.Y)/det, (b.more*a.square.X-a.more*b.square.X)/det))
		}
	}
	for _, shifts := range by {
		if len(shifts) > 0 {
			return shifts
		}
	}
	return nil
}
