package explain

import (
	"math"

	"toile/geom"
	"toile/pattern/change"
)

// blended looks for a swing of the far end at the end of From whose bend at the
// pivot was smoothed by one curve: the edge is kept up to it, and beyond it the
// arm kept its shape to the end, turned about a place on the edge that lies
// under the curve. reversed says that the paths run anticlockwise.
func (e *explainer) blended(x *Edge, reversed bool) bool {
	p, q := x.From, x.To
	kept, ok := shares(p, q, e.tol.Same)
	if !ok || kept.p0 > leastTail || kept.p1 < leastTail || p.Length()-kept.p1 < leastTail {
		return false
	}
	m := geom.Motion{Shift: p.End().Mul(-1)}.Then(geom.Motion{
		Turn: geom.AngleBetween(p.EndTangent(), q.EndTangent()), Shift: q.End()})
	arm, ok := e.armOf(p, q, m)
	if !ok || math.Abs(m.Turn) < leastTurned {
		return false
	}
	m = fitFromEnd(p, q, p.Length()-arm.p0)
	if arm, ok = e.armOf(p, q, m); !ok {
		return false
	}
	pivot := centre(m)
	place, off := p.Nearest(pivot)
	at := p.LengthTo(place)
	bridge := q.BetweenLengths(kept.q1, arm.q0)
	if off > pivotWithin || at < kept.p1 || at > arm.p0 || len(bridge) == 0 || !bendsOnce(bridge) {
		return false
	}
	out := -m.Turn
	x.Far = 1
	if reversed {
		out, x.Far = m.Turn, 0
	}
	x.Kind, x.Pivot, x.Turn, x.Fit, x.At = change.EdgeSwung, p.PointAt(at), out, arm.fit, p.End()
	x.By = math.Copysign(2*p.End().Dist(pivot)*math.Sin(math.Abs(m.Turn)/2), out)
	x.Blend = bridge.Length()
	return true
}

// pivotWithin is how far in mm from an edge the centre of its arm's turn may
// lie where the bend was smoothed: rounding to 0.001 mm moves it along an arm of
// 10 mm and a turn of 0.5° by as much.
const pivotWithin = 0.5

// armOf is what the end of an edge, moved, has in common with the new edge: a
// good length, and up to the ends of both.
func (e *explainer) armOf(p, q geom.Path, m geom.Motion) (common, bool) {
	arm, ok := shares(p.Moved(m), q, e.tol.moved())
	within := 10 * e.tol.moved()
	return arm, ok && p.Length()-arm.p1 <= within && q.Length()-arm.q1 <= within && arm.p1-arm.p0 >= leastTail &&
		math.Abs((arm.p1-arm.p0)-arm.covered) <= within
}

// fitFromEnd fits the motion that takes the last mm of p to those of q.
func fitFromEnd(p, q geom.Path, length float64) geom.Motion {
	const parts = 8
	var from, to []geom.Point
	for k := range parts + 1 {
		back := length * float64(k) / parts
		from, to = append(from, p.PointAt(p.Length()-back)), append(to, q.PointAt(q.Length()-back))
	}
	return geom.FitMotion(from, to, false)
}
