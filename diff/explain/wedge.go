package explain

import (
	"math"

	"toile/geom"
	"toile/pattern/change"
)

// wedges measures what each swing really added or removed.
func (e *explainer) wedges(x *Explanation) {
	n := len(e.old.Edges)
	for i := range n {
		s := &x.Edges[i]
		if s.Kind != change.EdgeSwung {
			continue
		}
		next := &x.Edges[(i+n-1+2*s.Far)%n]
		p, q := s.From, s.To
		met, ok := e.ledTo(next, 1-s.Far)
		sign := 1.0
		if s.Far == 0 { // seen from the other side: all runs the other way
			p, q, sign = p.Reverse(), q.Reverse(), -1
		}
		area, meets := 0.0, false
		if ok {
			area, meets = wedge(p, q, met, s.Pivot)
		}
		if !meets { // a sector about the pivot to where the edge ends now
			r := q.End().Dist(s.Pivot)
			area, sign = r*r*math.Abs(s.Turn)/2, math.Copysign(1, s.By)
		}
		s.Area = sign * area
	}
}

// led is an edge as seen from an end at which it meets a swung neighbour, both
// paths running away from that end.
type led struct {
	line  geom.Path // as it would be but for what was led on there, run back beyond its start
	joint float64   // length along line from which the new edge lies on it
	tail  geom.Path // what was led on, from the end to there
}

// ledTo tells the line of an edge from what was led on at an end.
func (e *explainer) ledTo(x *Edge, end int) (led, bool) {
	if x.Old < 0 || len(x.New) == 0 || len(x.To) == 0 {
		return led{}, false
	}
	p, q := x.From, x.To
	eased := x.Runs[end].How == change.HowEased
	switch {
	case x.Kind == change.EdgeMoved && x.How == change.HowShifted:
		p = p.Moved(geom.Motion{Shift: e.old.Down.Mul(x.By * outward(p, e.old.Down))})
	case x.Kind == change.EdgeMoved && eased:
		r := profileOf(p, q)
		from, to, found := e.window(&r, len(q), x.How == change.HowParallel)
		if !found {
			return led{}, false
		}
		p = q.BetweenLengths(r.at[from], r.at[to-1])
	}
	if end == 1 {
		p, q = p.Reverse(), q.Reverse()
	}
	c, shared := shares(p, q, e.tol.moved())
	if !eased || !shared {
		p, c = q, common{}
	}
	before, _ := geom.CarrierEnds(p, carrierReach)
	return led{append(append(geom.Path{}, before...), p...), before.Length() + c.p0, q.BetweenLengths(0, c.q0)}, true
}

// wedge is the signed area between an edge p and what a swing at its far end
// made of it, q: from the pivot along q, then along what of the neighbour was
// led on to meet it, then along the neighbour's own line to the old edge, and
// back along that. Positive where q lies to the left of p.
func wedge(p, q geom.Path, next led, pivot geom.Point) (area float64, ok bool) {
	joint := next.line.PointAt(next.joint)
	if len(next.tail) > 0 {
		joint = next.tail.Start()
	}
	if q.End().Dist(joint) > 1e-3 {
		return 0, false
	}
	_, after := geom.CarrierEnds(p, carrierReach)
	own := append(append(geom.Path{}, p...), after...)
	var meeting geom.PathMeeting
	for _, m := range geom.MeetPaths(own, next.line) {
		if !ok || m.At.Dist(q.End()) < meeting.At.Dist(q.End()) {
			meeting, ok = m, true
		}
	}
	if !ok {
		return 0, false
	}
	fromP, _ := p.Nearest(pivot)
	fromQ, _ := q.Nearest(pivot)
	arm := q.Between(fromQ, geom.Place{Curve: len(q) - 1, T: 1})
	back := own.Between(fromP, meeting.P).Reverse()
	at := next.line.LengthTo(meeting.Q)
	along := next.line.BetweenLengths(math.Min(next.joint, at), math.Max(next.joint, at))
	if at < next.joint {
		along = along.Reverse()
	}
	return closed(arm, next.tail, along, back).Area(), true
}

// closed joins paths to a ring, by straight lines where they are apart.
func closed(paths ...geom.Path) geom.Ring {
	var r geom.Ring
	for _, p := range paths {
		if len(p) == 0 {
			continue
		}
		if len(r) > 0 {
			r = append(r, geom.Line(r[len(r)-1].P3, p.Start()))
		}
		r = append(r, p...)
	}
	if len(r) > 0 {
		r = append(r, geom.Line(r[len(r)-1].P3, r[0].P0))
	}
	return r
}
