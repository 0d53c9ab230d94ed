package geom

import (
	"cmp"
	"math"
	"slices"
)

// PathMeeting is a point that two paths share, with its place on each.
type PathMeeting struct {
	At   Point
	P, Q Place
}

// MeetPaths returns the meetings of two paths in the order of the first. A
// meeting at a node is given once. Accuracy and overlapping stretches as for
// Meet.
func MeetPaths(p, q Path) []PathMeeting {
	boxes := make([]Box, 0, len(p)+len(q))
	for _, c := range p {
		boxes = append(boxes, c.HullBox().Grow(meetTolerance))
	}
	for _, c := range q {
		boxes = append(boxes, c.HullBox())
	}
	var found []PathMeeting
	newBoxTree(boxes).pairs(func(i, j int) bool {
		if j -= len(p); i < len(p) && j >= 0 {
			for _, m := range Meet(p[i], q[j]) {
				found = append(found, PathMeeting{m.At, Place{i, m.T}, Place{j, m.U}})
			}
		}
		return true
	})
	slices.SortFunc(found, func(a, b PathMeeting) int {
		return cmp.Or(a.P.compare(b.P), a.Q.compare(b.Q))
	})
	var single []PathMeeting
	for _, m := range found {
		if !slices.ContainsFunc(single, m.same) {
			single = append(single, m)
		}
	}
	return single
}

// compare orders places along a path.
func (a Place) compare(b Place) int {
	return cmp.Or(cmp.Compare(a.Curve, b.Curve), cmp.Compare(a.T, b.T))
}

// same reports whether two meetings are one, seen from both sides of a node.
func (m PathMeeting) same(n PathMeeting) bool {
	return m.At.Dist(n.At) <= 1e-7 && m.P.besideNode(n.P) && m.Q.besideNode(n.Q)
}

// besideNode reports whether two places with the same point are on the same
// curve or on neighbours at their common node.
func (a Place) besideNode(b Place) bool {
	if a.compare(b) > 0 {
		a, b = b, a
	}
	switch b.Curve - a.Curve {
	case 0:
		return b.T-a.T < 0.01
	case 1:
		return a.T > 0.99 && b.T < 0.01
	}
	return false
}

// nodeNear is the distance in mm from the common end of two neighbours within
// which they may be close: a spike shorter than this is not one.
const nodeNear = 1e-4

// SelfCrossing looks for a place where the ring crosses or touches itself
// other than at the common ends of neighbours: two curves that meet, a curve
// that loops or runs back over itself, neighbours folded onto each other. It
// returns one such place and the indices i ≤ j of the curves. Curves that are
// single points are passed over. Near n·log n for outlines.
func (r Ring) SelfCrossing() (at Point, i, j int, found bool) {
	m, i, j, found := r.selfMeeting()
	return m.At, i, j, found
}

// selfMeeting is SelfCrossing with the parameters on both curves.
func (r Ring) selfMeeting() (m Meeting, i, j int, found bool) {
	index := make([]int, 0, len(r))
	boxes := make([]Box, 0, len(r))
	for k, c := range r {
		if c.hull() <= 2*meetTolerance {
			continue
		}
		if m, ok := c.loop(len(r) == 1); ok {
			return m, k, k, true
		}
		index = append(index, k)
		boxes = append(boxes, c.HullBox().Grow(meetTolerance/2))
	}
	n := len(index)
	newBoxTree(boxes).pairs(func(x, y int) bool {
		i, j = index[x], index[y]
		next, around := y == x+1, x == 0 && y == n-1
		if !next && !around {
			if all := Meet(r[i], r[j]); len(all) > 0 {
				m, found = all[0], true
			}
		} else {
			m, found = neighboursMeet(r[i], r[j], next, around)
		}
		return !found
	})
	if !found {
		return Meeting{}, 0, 0, false
	}
	return m, i, j, true
}

// neighboursMeet looks for a meeting of a and b other than their common ends:
// a's end with b's start when next, b's end with a's start when around.
func neighboursMeet(a, b Cubic, next, around bool) (Meeting, bool) {
	if next != around && runsOn(a, b, next) {
		return Meeting{}, false
	}
	all := Meet(a, b)
	atNode := func(m Meeting) bool {
		return (next && m.T > 0.5 && m.U < 0.5 && m.At.Dist(a.P3) <= nodeNear) ||
			(around && m.T < 0.5 && m.U > 0.5 && m.At.Dist(a.P0) <= nodeNear)
	}
	for _, m := range all {
		if !atNode(m) {
			return m, true
		}
	}
	if next && around && len(all) == 2 {
		if x := (&meeter{a: a, b: b}); x.sameBetween(all[0], all[1]) {
			t := (all[0].T + all[1].T) / 2
			u, _ := b.Nearest(a.At(t))
			return Meeting{t, u, a.At(t)}, true
		}
	}
	return Meeting{}, false
}

// runsOn reports whether the two neighbours together advance along one
// direction, which is enough for them to meet only at their common end.
func runsOn(a, b Cubic, next bool) bool {
	if !next {
		a, b = b, a
	}
	d := a.P3.Sub(a.P0).Unit().Add(b.P3.Sub(b.P0).Unit())
	return advances(a, d) && advances(b, d)
}

// advances reports whether no control vector of c runs against d, and c as a
// whole runs with it.
func advances(c Cubic, d Point) bool {
	return c.P1.Sub(c.P0).Dot(d) >= 0 && c.P2.Sub(c.P1).Dot(d) >= 0 && c.P3.Sub(c.P2).Dot(d) >= 0 &&
		c.P3.Sub(c.P0).Dot(d) > 1e-6*c.hull()
}

// loop finds the double point of a cubic that loops, in closed form: with
// c(t) = c₀ + c₁t + c₂t² + c₃t³ the difference c(s) − c(t), divided by s − t,
// is linear in s + t and s² + st + t². A straight curve that runs back over
// itself counts too. For a ring of one curve its closing is passed over.
func (c Cubic) loop(closed bool) (Meeting, bool) {
	chord := c.P3.Sub(c.P0)
	if advances(c, chord) {
		return Meeting{}, false
	}
	if t, u, ok := c.runsBack(); ok {
		return Meeting{t, u, c.At(t)}, true
	}
	c1 := c.P1.Sub(c.P0).Mul(3)
	c2 := c.P2.Sub(c.P1.Mul(2)).Add(c.P0).Mul(3)
	c3 := chord.Sub(c.P2.Sub(c.P1).Mul(3))
	det := c2.Cross(c3)
	if det == 0 {
		return Meeting{}, false
	}
	sum, w := -c1.Cross(c3)/det, c1.Cross(c2)/det
	roots := quadraticRoots(1, -sum, float64(sum*sum)-w)
	if len(roots) != 2 {
		return Meeting{}, false
	}
	s, t := min(roots[0], roots[1]), max(roots[0], roots[1])
	const slack = 1e-12
	if !(s >= -slack && t <= 1+slack && t-s > 1e-6) || (closed && s < 1e-9 && t > 1-1e-9) {
		return Meeting{}, false
	}
	return Meeting{s, t, c.At(s)}, true
}

// runsBack finds two parameters with the same point on a straight curve that
// turns round.
func (c Cubic) runsBack() (s, t float64, found bool) {
	far := c.P0
	for _, p := range [3]Point{c.P1, c.P2, c.P3} {
		if p.Dist(c.P0) > far.Dist(c.P0) {
			far = p
		}
	}
	u := far.Sub(c.P0).Unit()
	x := bernstein{}
	for i, p := range [4]Point{c.P0, c.P1, c.P2, c.P3} {
		d := p.Sub(c.P0)
		if math.Abs(u.Cross(d)) > meetTolerance {
			return 0, 0, false
		}
		x[i] = u.Dot(d)
	}
	v := [3]float64{x[1] - x[0], x[2] - x[1], x[3] - x[2]}
	for _, turn := range quadraticRoots(v[0]-float64(2*v[1])+v[2], 2*(v[1]-v[0]), v[0]) {
		if turn <= 1e-6 || turn >= 1-1e-6 {
			continue
		}
		if s, t, ok := x.equalAround(turn); ok && math.Abs(x.at(turn)-x.at(s)) > meetTolerance {
			return s, t, true
		}
	}
	return 0, 0, false
}

// equalAround finds two parameters on either side of an extreme with the same
// value.
func (f bernstein) equalAround(turn float64) (s, t float64, found bool) {
	step := float64(math.Min(turn, 1-turn) / 2)
	s = turn - step
	want, top := f.at(s), f.at(turn)
	lo, hi := turn, turn+step
	if (f.at(hi)-want)*(top-want) > 0 {
		s, lo, hi, want = turn+step, turn-step, turn, f.at(turn+step)
		if (f.at(lo)-want)*(top-want) > 0 {
			return 0, 0, false
		}
		lo, hi = hi, lo
	}
	for range 60 {
		mid := float64((lo + hi) / 2)
		if (f.at(mid)-want)*(top-want) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return math.Min(s, hi), math.Max(s, hi), true
}
