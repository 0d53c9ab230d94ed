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
	m, arm, ok := e.armMotion(p, q, kept)
	if !ok {
		return false
	}
	pivot := centre(m)
	place, _ := p.Nearest(pivot)
	at := p.LengthTo(place)
	bridge := q.BetweenLengths(kept.q1, arm.q0)
	if len(bridge) == 0 || !bendsOnce(bridge) {
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
	return e.armEnd(x, p, q, arm)
}

// armEnd settles what the far end of a swing with a smoothed bend lost or gained
// along the arm. It fails where something else was drawn on.
func (e *explainer) armEnd(x *Edge, p, q geom.Path, arm common) bool {
	lost, gained := p.Length()-arm.p1, q.Length()-arm.q1
	within := 10 * e.tol.moved()
	if lost <= within && gained <= within {
		return true
	}
	x.Runs[x.Far] = Run{By: gained - lost, How: change.HowAlong, Lost: lost}
	if gained > within {
		far, _ := Farthest(q.BetweenLengths(arm.q1, q.Length()), geom.Carrier(q.BetweenLengths(arm.q0, arm.q1), carrierReach))
		return far <= e.tol.moved()
	}
	return true
}

// pivotWithin is how far in mm from an edge the centre of its arm's turn may
// lie where the bend was smoothed: rounding to 0.001 mm moves it along an arm of
// 10 mm and a turn of 0.5° by as much.
const pivotWithin = 0.5

// armMotion finds the turn that takes the arm of an edge beyond a smoothed bend
// to where it lies: by its end, and where that was cut or run on because the
// neighbour there moved too, by the places where the new edge's curves join.
func (e *explainer) armMotion(p, q geom.Path, kept common) (geom.Motion, common, bool) {
	for _, at := range anchors(q) {
		if at.end == 0 && len(at.path) == len(q) {
			continue
		}
		var m geom.Motion
		if at.end == 1 {
			m = laidOn(p.End(), p.EndTangent(), at.path.End(), at.path.EndTangent())
			if arm, ok := e.armOf(p, q, m); ok {
				m = fitArm(p, q, arm)
				if arm, ok = e.armOf(p, q, m); ok && turnsOn(p, m, kept, arm) {
					return m, arm, true
				}
			}
			continue
		}
		m, ok := e.armAlong(p, at.path, kept)
		if !ok {
			continue
		}
		if arm, ok := e.armOf(p, q, m); ok && turnsOn(p, m, kept, arm) {
			return m, arm, true
		}
	}
	return geom.Motion{}, common{}, false
}

// turnsOn reports whether a motion is a turn about a place on the edge between
// what it kept and the arm.
func turnsOn(p geom.Path, m geom.Motion, kept, arm common) bool {
	if math.Abs(m.Turn) < leastTurned {
		return false
	}
	place, off := p.Nearest(centre(m))
	at := p.LengthTo(place)
	return off <= pivotWithin && at >= kept.p1 && at <= arm.p0
}

// laidOn is the motion that takes a place and the direction there to another.
func laidOn(from, dir, to, now geom.Point) geom.Motion {
	return geom.Motion{Shift: from.Mul(-1)}.Then(geom.Motion{Turn: geom.AngleBetween(dir, now), Shift: to})
}

// armAlong finds the motion of an arm of which the end was cut, from the place
// where the smoothing ends: a turn about a place on the edge leaves the arm as
// far from that place as it was, so that the place of the old edge that lies
// there now is looked for by halving.
func (e *explainer) armAlong(p, rest geom.Path, kept common) (geom.Motion, bool) {
	off := func(at float64) (float64, geom.Motion) {
		m := laidOn(p.PointAt(at), p.TangentAt(at), rest.Start(), rest.StartTangent())
		if math.Abs(m.Turn) < leastTurned {
			return math.NaN(), m
		}
		pivot := centre(m)
		place, _ := p.Nearest(pivot)
		return pivot.Sub(p.At(place)).Dot(p[place.Curve].Tangent(place.T).Left()), m
	}
	const parts, rounds = 64, 40
	length := p.Length()
	for k := range parts {
		lo, hi := kept.p1+(length-kept.p1)*float64(k)/parts, kept.p1+(length-kept.p1)*float64(k+1)/parts
		a, _ := off(lo)
		b, _ := off(hi)
		if !(a*b <= 0) {
			continue
		}
		for range rounds {
			mid := (lo + hi) / 2
			if v, _ := off(mid); v*a > 0 {
				lo = mid
			} else {
				hi = mid
			}
		}
		_, m := off((lo + hi) / 2)
		if e.armLies(p.Moved(m), rest) {
			return m, true
		}
	}
	return geom.Motion{}, false
}

// armLies reports whether a good length of an arm lies on the new edge.
func (e *explainer) armLies(moved, rest geom.Path) bool {
	c, ok := shares(moved, rest, e.tol.moved())
	return ok && c.covered >= leastTail
}

// armOf is what the end of an edge, moved, has in common with the new edge: a
// good length, and up to the end of one of the two, for the other may have been
// cut or run on.
func (e *explainer) armOf(p, q geom.Path, m geom.Motion) (common, bool) {
	arm, ok := shares(p.Moved(m), q, e.tol.moved())
	within := 10 * e.tol.moved()
	return arm, ok && (p.Length()-arm.p1 <= within || q.Length()-arm.q1 <= within) && arm.p1-arm.p0 >= leastTail &&
		math.Abs((arm.p1-arm.p0)-arm.covered) <= within
}

// fitArm fits the motion that takes what an arm shares with the new edge there.
func fitArm(p, q geom.Path, arm common) geom.Motion {
	return fitFromEnd(p.BetweenLengths(arm.p0, arm.p1), q.BetweenLengths(arm.q0, arm.q1), min(arm.p1-arm.p0, arm.q1-arm.q0))
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
