package match

import (
	"math"
	"slices"

	"toile/geom"
)

// leastCrossing in radians: lines that cross at less have no sure meeting.
const leastCrossing = 0.14

// meetingOf finds where the carriers of two lines meet nearest to a place.
func meetingOf(a, b geom.Path, near geom.Point) (best geom.PathMeeting, found bool) {
	on, from := geom.Carrier(a, carrierReach), geom.Carrier(b, carrierReach)
	for _, m := range geom.MeetPaths(on, from) {
		turn := math.Abs(geom.AngleBetween(on[m.P.Curve].Tangent(m.P.T), from[m.Q.Curve].Tangent(m.Q.T)))
		if turn < leastCrossing || turn > math.Pi-leastCrossing {
			continue
		}
		if !found || m.At.Dist(near) < best.At.Dist(near) {
			best, found = m, true
		}
	}
	return best, found
}

// crumb in mm: a shorter curve at the end of a line is left out.
const crumb = 0.02

// cutTo cuts a line, or runs it on, so that it ends at a place beside its
// carrier.
func cutTo(p geom.Path, end geom.Point) geom.Path {
	_, after := geom.CarrierEnds(p, carrierReach)
	whole := append(append(geom.Path{}, p...), after...)
	at, _ := whole.Nearest(end)
	out := whole.Between(geom.Place{}, at)
	for len(out) > 1 && out[len(out)-1].Length() < crumb {
		out = out[:len(out)-1]
	}
	if len(out) == 0 {
		return p
	}
	if n := len(out); n == len(p)+1 && out[n-1].IsStraight(1e-6) && out[n-2].IsStraight(1e-6) {
		out = append(out[:n-2:n-2], geom.Line(out[n-2].P0, out[n-1].P3))
	}
	return endingAt(out, end)
}

// endingAt moves the end of a path, with its handle, to a place beside it.
func endingAt(p geom.Path, end geom.Point) geom.Path {
	out := slices.Clone(p)
	c := &out[len(out)-1]
	if c.IsStraight(1e-6) {
		*c = geom.Line(c.P0, end)
	} else {
		c.P2, c.P3 = c.P2.Add(end.Sub(c.P3)), end
	}
	return out
}

// joined brings the settled lines together at corners.
func (s *settler) joined() []Settled {
	corners := make([]geom.Point, len(s.edges))
	for j := range s.edges {
		corners[j] = s.corner(j)
	}
	out := make([]Settled, len(s.edges))
	for j, e := range s.edges {
		p := e.model.line
		from, to := corners[j], corners[s.after(j)]
		if p.End() != to {
			p = s.bring(e, e.to)(p, to)
		}
		if p.Start() != from {
			p = s.bring(e, e.from)(p.Reverse(), from).Reverse()
		}
		out[j] = Settled{Old: e.old, Part: e.part, Path: p, Made: e.model.kind != asDrawn}
	}
	for j := range out {
		out[j].Round = s.radius(j, out)
	}
	return out
}

// bring is how edge e is brought to its corner at a length of the ring.
func (s *settler) bring(e settling, at float64) func(geom.Path, geom.Point) geom.Path {
	if _, round := s.zoneAt(at); e.model.kind == asDrawn && !round {
		return s.brought
	}
	return cutTo
}

// brought ends a line as drawn at a corner: cut where it passes the corner, and
// its end moved there.
func (s *settler) brought(p geom.Path, to geom.Point) geom.Path {
	at, _ := p.Nearest(to)
	if out := p.Between(geom.Place{}, at); out.Length() > p.Length()/2 {
		p = out
	}
	return endingAt(p, to)
}

// corner is where edge j starts: the stored corner where both lines lead there
// and the drawing does too, else where they meet.
func (s *settler) corner(j int) geom.Point {
	i := s.before(j)
	a, b, near := &s.edges[i], &s.edges[j], s.edges[j].drawn.Start()
	if a.own[1] && b.own[0] {
		return b.model.line.Start()
	}
	if k := b.parent(); k >= 0 && a.parent() == (k+len(s.Old)-1)%len(s.Old) {
		stored := s.Old[k].Start()
		if a.model.kind == asKept && b.model.kind == asKept {
			return stored
		}
		_, da := a.model.line.Nearest(stored)
		_, db := b.model.line.Nearest(stored)
		if math.Max(da, db) <= s.tolerance() && stored.Dist(near) <= 2*s.tolerance()+s.rounded(k) {
			return stored
		}
	}
	if m, ok := meetingOf(a.model.line, b.model.line, near); ok && m.At.Dist(near) < 20*s.Sigma+5+s.rounded(b.old) {
		return m.At
	}
	return near
}
