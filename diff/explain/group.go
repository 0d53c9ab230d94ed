package explain

import (
	"math"

	"toile/geom"
)

// Spread is a part of the outline that moved as one: the piece was cut open
// along a line, or folded out, and the two edges that the line crosses were
// drawn anew between the parts.
type Spread struct {
	First, Last int           // old edges that the line crosses; those between moved
	Motion      geom.Motion   // of the part that moved
	Line        [2]geom.Point // where the line crosses First and Last
	Open        [2]float64    // mm there, closing negative
	Turn        float64       // radians, by which the part turned, opening positive
	Fit         float64       // mm
}

// Spread marks the old edges that a spread explains.
func (x *Explanation) Spread() map[int]bool {
	in := map[int]bool{}
	n := x.old()
	for _, s := range x.Spreads {
		for i := s.First; ; i = (i + 1) % n {
			in[i] = true
			if i == s.Last {
				break
			}
		}
	}
	return in
}

// old is the number of old edges.
func (x *Explanation) old() int {
	n := 0
	for n < len(x.Edges) && x.Edges[n].Old >= 0 {
		n++
	}
	return n
}

// grouped looks for parts of the outline that moved as one, where that needs
// fewer changes than their edges one by one.
func (e *explainer) grouped(x *Explanation) {
	n := len(e.old.Edges)
	from, to, moved := e.corners(x)
	for first := range n {
		if moved[first] || !moved[(first+1)%n] {
			continue // a run of moved corners starts after this edge
		}
		run := 1
		for run < n-1 && moved[(first+1+run)%n] {
			run++
		}
		for count := run; count >= 2; count-- {
			if s, ok := e.spread(x, from, to, first, count); ok {
				x.Spreads = append(x.Spreads, s)
				break
			}
		}
	}
}

// corners lists the old corners, each at the start of its edge, the new ones
// that continue them, and which of those moved.
func (e *explainer) corners(x *Explanation) (from, to []geom.Point, moved []bool) {
	n := len(e.old.Edges)
	from, to, moved = make([]geom.Point, n), make([]geom.Point, n), make([]bool, n)
	for i := range n {
		from[i] = e.old.Edges[i].Start()
		edge, before := &x.Edges[i], &x.Edges[(i+n-1)%n]
		if len(edge.New) == 0 || len(before.New) == 0 || edge.To.Start().Dist(before.To.End()) > 1e-6 {
			continue
		}
		to[i] = edge.To.Start()
		moved[i] = from[i].Dist(to[i]) > e.tol.moved()
	}
	return from, to, moved
}

// spread tries whether the corners after edge first, count of them, moved as
// one, and the edges between them.
func (e *explainer) spread(x *Explanation, from, to []geom.Point, first, count int) (Spread, bool) {
	n := len(from)
	last := (first + count) % n
	var a, b []geom.Point
	for k := 1; k <= count; k++ {
		a, b = append(a, from[(first+k)%n]), append(b, to[(first+k)%n])
	}
	s := Spread{First: first, Last: last, Motion: geom.FitMotion(a, b, false)}
	alone := 0.0
	for k := 0; k <= count; k++ {
		edge := &x.Edges[(first+k)%n]
		alone += edge.cost()
		if k == 0 || k == count {
			continue
		}
		far, _ := Farthest(edge.To, edge.From.Moved(s.Motion))
		back, _ := Farthest(edge.From.Moved(s.Motion), edge.To)
		if s.Fit = max(s.Fit, far, back); s.Fit > 2*e.tol.moved() {
			return s, false
		}
	}
	if alone <= costMoved+costGone/2 || !e.opened(x, &s) {
		return s, false
	}
	return s, true
}

// opened finds where the line crosses the edges at both ends of the part that
// moved, and how far it opened there. It fails when an edge keeps nothing of
// its line on either side and was not merely drawn straight across the gap.
func (e *explainer) opened(x *Explanation, s *Spread) bool {
	var at [2]float64
	var trued [2]bool
	for k, i := range [2]int{s.First, s.Last} {
		p, q := x.Edges[i].From, x.Edges[i].To
		if k == 1 {
			p, q = p.Reverse(), q.Reverse() // from the corner that stayed to the one that moved
		}
		if at[k], trued[k] = e.crossing(s, p, q); at[k] < 0 {
			return false
		}
	}
	if trued[0] && trued[1] {
		return false
	}
	for k, i := range [2]int{s.First, s.Last} {
		p := x.Edges[i].From
		if k == 1 {
			p = p.Reverse()
		}
		if trued[k] { // it may be anywhere along the edge: straight across
			other := x.Edges[s.First].From
			if k == 0 {
				other = x.Edges[s.Last].From.Reverse()
			}
			place, _ := p.Nearest(other.PointAt(at[1-k]))
			at[k] = p.LengthTo(place)
		}
		here := p.PointAt(at[k])
		there := s.Motion.Apply(here)
		s.Line[k] = here
		s.Open[k] = math.Copysign(here.Dist(there), there.Sub(here).Dot(p.TangentAt(at[k])))
	}
	s.Turn = math.Copysign(s.Motion.Turn, s.Open[0]+s.Open[1])
	return math.Max(math.Abs(s.Open[0]), math.Abs(s.Open[1])) > e.tol.moved()
}

// straightAcross is how far, as a share of what opened, an edge may lie from
// both its halves where it was drawn anew across the gap.
const straightAcross = 0.1

// crossing finds the length along p, from the corner that stayed, at which a
// spread's line crosses it; trued says that q was drawn straight across, so that
// the line may cross anywhere. It is negative where q has nothing of p.
func (e *explainer) crossing(s *Spread, p, q geom.Path) (at float64, trued bool) {
	kept, okKept := shares(p, q, e.tol.Kept)
	gone, okGone := shares(p.Moved(s.Motion), q, e.tol.moved())
	switch {
	case okKept && okGone:
		at = (kept.p1 + gone.p0) / 2
	case okKept:
		at = kept.p1
	case okGone:
		at = gone.p0
	default:
		far, _ := Farthest(q, append(append(geom.Path{}, geom.Carrier(p, carrierReach)...), geom.Carrier(p.Moved(s.Motion), carrierReach)...))
		end := p.End()
		if far > straightAcross*end.Dist(s.Motion.Apply(end)) {
			return -1, false
		}
		return 0, true
	}
	return math.Min(math.Max(at, 0), p.Length()), false
}
