package alter

import "toile/geom"

// tail is the part of the line that is drawn anew, and whether it is curved: a straight
// one becomes an arc, a curved one keeps its shape and is only turned.
func (e *crossingEnd) tail() (geom.Path, bool) {
	tail := e.path
	if at := e.path.Length() - e.over; at > 1e-6 {
		tail = e.path.BetweenLengths(at, e.path.Length())
	}
	return tail, len(tail) > 1 || !tail[0].IsStraight(1e-6)
}

// turnedTo is a line whose end is moved to a place and has a direction there, its start
// and the direction at its start staying: each place moves by what a cubic over the
// length says (Hermite), so that the line keeps its shape, its nodes and nearly its
// length. What is added to the tangents at the nodes is that cubic's slope.
func turnedTo(line geom.Path, to, arrive geom.Point) geom.Path {
	length := line.Length()
	by, slope := to.Sub(line.End()), arrive.Sub(line.EndTangent()).Mul(length)
	moved := func(u float64) geom.Point {
		return by.Mul(float64(u * u * (3 - 2*u))).Add(slope.Mul(float64(u * u * (u - 1))))
	}
	turned := func(u float64) geom.Point { // by the share of the length
		return by.Mul(float64(6 * u * (1 - u))).Add(slope.Mul(float64(u * (3*u - 2))))
	}
	out := make(geom.Path, len(line))
	at := 0.0
	for k, c := range line {
		u := at / length
		at += c.Length()
		v := at / length
		first, last := c.P1.Sub(c.P0), c.P3.Sub(c.P2)
		p0, p3 := c.P0.Add(moved(u)), c.P3.Add(moved(v))
		if k == len(line)-1 {
			p3 = to
		}
		out[k] = geom.Cubic{P0: p0, P1: p0.Add(first).Add(turned(u).Mul(first.Len() / length)),
			P2: p3.Sub(last).Sub(turned(v).Mul(last.Len() / length)), P3: p3}
	}
	return out
}
