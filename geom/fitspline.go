package geom

// Bounds of the handles of fitted curves. Where they bite, a few noisy points
// have asked for something no smooth edge looks like.
const (
	// fitHandle is the least length of a handle at a node, as a share of its
	// curve's chord: with shorter ones a curve is as good as bent there. A
	// quarter circle has 0.39.
	fitHandle = 0.15
	// fitHandles is the greatest length of both handles together, as a share of
	// the points' reach along the curve; with longer ones a nearly straight
	// curve runs back over itself. A half circle has 0.85.
	fitHandles = 1.2
)

// spline is a smooth run of cubics that is being laid through points: joined
// with a common tangent, each either free or a straight line. The foot of
// point i is at parameter t[i] of curve on[i].
type spline struct {
	fitCare
	points []Point
	curves []Cubic
	lines  []bool // which of the curves are straight
	ends   fitEnds
	// parabola keeps the only curve to a parabola.
	parabola bool
	on       []int
	t        []float64
	// miss and axis are, for each point, what is left from its foot to it and
	// the direction in which its distance counts: square to the curve, but from
	// an end straight to the point. They belong to the last refoot.
	miss, axis []Point
	units      []splineUnit
}

// fitEnds is what is known about the ends of a run of points.
type fitEnds struct {
	// fixedA and fixedB keep the ends where the spline has them.
	fixedA, fixedB bool
	// from and to are unit tangents to keep, or nil.
	from, to *Point
}

// fitCare says how far a fit is to be driven.
type fitCare struct {
	// enough is by how little a step has to better the sum of squares to be the
	// last, in mm².
	enough float64
	// hopeless is the mean square of the distances, in mm², above which little
	// progress is given up; 0 for never.
	hopeless float64
	// tame holds both handles of a curve to fitHandles.
	tame bool
}

// splineUnit is a node, or a straight line with its two nodes: what has one
// place and one direction. Its unknowns are the place, the direction, a line's
// length, and the handles of the curves before and after it; each field holds
// the number of the first, −1 for one that is not free. At an end without a
// given tangent the handle has two unknowns, its vector, and the direction
// none.
type splineUnit struct {
	line, before, after          int // indices of curves, or −1
	place, turn, length, in, out int
	vector                       bool
}

// unitAt is the unit at node k; its unknowns are not numbered yet.
func (s *spline) unitAt(k int) splineUnit {
	u := splineUnit{line: -1, before: k - 1, after: k, place: -1, turn: -1, length: -1, in: -1, out: -1}
	if k < len(s.curves) && s.lines[k] {
		u.line, u.after = k, k+1
	}
	if u.after >= len(s.curves) {
		u.after = -1
	}
	return u
}

// number numbers the unknowns of a unit from count on and returns the next.
func (s *spline) number(u *splineUnit, count int) int {
	first, last := u.before < 0, u.after < 0
	next := func(field *int, n int) { *field, count = count, count+n }
	if !(first && s.ends.fixedA || last && s.ends.fixedB) {
		next(&u.place, 2)
	}
	handle := 1
	switch {
	case u.line >= 0:
		next(&u.turn, 1)
		next(&u.length, 1)
	case !first && !last:
		next(&u.turn, 1)
	case first && s.ends.from == nil || last && s.ends.to == nil:
		u.vector, handle = true, 2
	}
	if !first {
		next(&u.in, handle)
	}
	if !last {
		next(&u.out, handle)
	}
	return count
}

// setUp divides the spline into units, numbers the unknowns along it, so that
// the normal equations are banded, and returns how many there are.
func (s *spline) setUp() int {
	if s.parabola {
		return 6
	}
	s.units = s.units[:0]
	count := 0
	for k := 0; k <= len(s.curves); k++ {
		u := s.unitAt(k)
		count = s.number(&u, count)
		s.units = append(s.units, u)
		if u.line >= 0 {
			k++
		}
	}
	return count
}

// unknowns is the number of unknowns of the shape: a free end's place along
// its curve is none of it.
func (s *spline) unknowns() int {
	n := s.setUp()
	if !s.ends.fixedA {
		n--
	}
	if !s.ends.fixedB {
		n--
	}
	return n
}

// at returns a unit's ends, its direction, and the lengths of the handles
// before and after it.
func (s *spline) at(u splineUnit) (a, b, dir Point, in, out float64) {
	switch {
	case u.line >= 0:
		a, b = s.curves[u.line].P0, s.curves[u.line].P3
		dir = b.Sub(a).Unit()
	case u.after >= 0:
		a = s.curves[u.after].P0
		b, dir = a, s.curves[u.after].P1.Sub(a).Unit()
		if u.before < 0 && s.ends.from != nil {
			dir = *s.ends.from
		}
	default:
		a = s.curves[u.before].P3
		b, dir = a, a.Sub(s.curves[u.before].P2).Unit()
		if s.ends.to != nil {
			dir = *s.ends.to
		}
	}
	if u.before >= 0 {
		in = a.Sub(s.curves[u.before].P2).Dot(dir)
	}
	if u.after >= 0 {
		out = s.curves[u.after].P1.Sub(b).Dot(dir)
	}
	return a, b, dir, in, out
}

// effect is how an unknown moves a curve's control points.
type effect struct {
	unknown int
	moves   [4]Point
}

// effects lists, for each curve, the unknowns that move it.
func (s *spline) effects() [][]effect {
	list := make([][]effect, len(s.curves))
	if s.parabola {
		for k, w := range [3][4]float64{{1, 1. / 3}, {0, 2. / 3, 2. / 3}, {0, 0, 1. / 3, 1}} {
			for axis, e := range [2]Point{{1, 0}, {0, 1}} {
				list[0] = append(list[0], effect{2*k + axis, [4]Point{e.Mul(w[0]), e.Mul(w[1]), e.Mul(w[2]), e.Mul(w[3])}})
			}
		}
		return list
	}
	add := func(curve, unknown int, moves [4]Point) {
		if curve >= 0 && unknown >= 0 {
			list[curve] = append(list[curve], effect{unknown, moves})
		}
	}
	for _, u := range s.units {
		s.unitEffects(u, add)
	}
	return list
}

// unitEffects adds what a unit's unknowns move, to first order.
func (s *spline) unitEffects(u splineUnit, add func(curve, unknown int, moves [4]Point)) {
	a, b, dir, in, out := s.at(u)
	run, square := b.Sub(a).Len(), dir.Right()
	for axis, e := range [2]Point{{1, 0}, {0, 1}} {
		before, after := [4]Point{2: e, 3: e}, [4]Point{0: e, 1: e}
		if u.vector {
			before[2], after[1] = Point{}, Point{}
			if u.in >= 0 {
				add(u.before, u.in+axis, [4]Point{2: e})
			}
			if u.out >= 0 {
				add(u.after, u.out+axis, [4]Point{1: e})
			}
		}
		if u.place >= 0 {
			add(u.before, u.place+axis, before)
			add(u.line, u.place+axis, [4]Point{e, e, e, e})
			add(u.after, u.place+axis, after)
		}
	}
	add(u.before, u.turn, [4]Point{2: square.Mul(-in)})
	add(u.line, u.turn, [4]Point{1: square.Mul(run / 3), 2: square.Mul(run * 2 / 3), 3: square.Mul(run)})
	add(u.after, u.turn, [4]Point{0: square.Mul(run), 1: square.Mul(run + out)})
	add(u.line, u.length, [4]Point{1: dir.Mul(1. / 3), 2: dir.Mul(2. / 3), 3: dir})
	add(u.after, u.length, [4]Point{0: dir, 1: dir})
	if !u.vector {
		add(u.before, u.in, [4]Point{2: dir.Mul(-1)})
		add(u.after, u.out, [4]Point{1: dir})
	}
}

// moved returns the curves after a step of the unknowns.
func (s *spline) moved(x []float64) []Cubic {
	out := append([]Cubic{}, s.curves...)
	if s.parabola {
		c := out[0]
		control := c.P1.Mul(3).Sub(c.P0).Mul(0.5)
		out[0] = Quadratic(c.P0.Add(Pt(x[0], x[1])), control.Add(Pt(x[2], x[3])), c.P3.Add(Pt(x[4], x[5])))
		return out
	}
	for _, u := range s.units {
		s.moveUnit(u, x, out)
	}
	return out
}

// moveUnit sets the control points around a unit to those after a step.
func (s *spline) moveUnit(u splineUnit, x []float64, curves []Cubic) {
	by := func(k int) float64 {
		if k < 0 {
			return 0
		}
		return x[k]
	}
	a, b, dir, in, out := s.at(u)
	run := b.Sub(a).Len()
	if u.place >= 0 {
		a = a.Add(Pt(x[u.place], x[u.place+1]))
	}
	if u.turn >= 0 {
		dir = dir.Turn(x[u.turn])
	}
	b = a
	if u.line >= 0 {
		b = a.Add(dir.Mul(run + by(u.length)))
		curves[u.line] = Line(a, b)
	}
	if u.before >= 0 {
		c := &curves[u.before]
		c.P3 = a
		if u.vector {
			c.P2 = c.P2.Add(Pt(x[u.in], x[u.in+1]))
		} else {
			c.P2 = a.Sub(dir.Mul(in + by(u.in)))
		}
	}
	if u.after >= 0 {
		c := &curves[u.after]
		c.P0 = b
		if u.vector {
			c.P1 = c.P1.Add(Pt(x[u.out], x[u.out+1]))
		} else {
			c.P1 = b.Add(dir.Mul(out + by(u.out)))
		}
	}
}

// reaches returns how far the points on each curve reach along it, with three
// steps between points to spare.
func (s *spline) reaches() []float64 {
	reach := make([]float64, len(s.curves))
	whole := 0.0
	for i := 1; i < len(s.points); i++ {
		step := s.points[i].Dist(s.points[i-1])
		whole += step
		reach[s.on[i-1]] += float64(step / 2)
		reach[s.on[i]] += float64(step / 2)
	}
	for k := range reach {
		reach[k] += 3 * whole / float64(len(s.points))
	}
	return reach
}

// sane reports whether the curves of a step can stand: finite, the handles at
// nodes and given tangents running forward, none of them much longer than the
// points on the curve reach, the ends near where they were.
func (s *spline) sane(curves []Cubic, reach []float64) bool {
	last := len(curves) - 1
	for i, c := range curves {
		was := s.curves[i]
		if !c.Finite() {
			return false
		}
		if s.lines[i] {
			if c.P3.Sub(c.P0).Dot(was.P3.Sub(was.P0)) <= 0 || c.P0.Dist(c.P3) > 1.5*reach[i] {
				return false
			}
			continue
		}
		a, b := c.P1.Sub(c.P0), c.P3.Sub(c.P2)
		first, second := a.Len(), b.Len()
		if first > reach[i] || second > reach[i] || s.tame && first+second > fitHandles*reach[i] {
			return false
		}
		least := fitHandle * c.P0.Dist(c.P3)
		if (i > 0 || s.ends.from != nil) && (first < least || a.Dot(was.P1.Sub(was.P0)) <= 0) {
			return false
		}
		if (i < last || s.ends.to != nil) && (second < least || b.Dot(was.P3.Sub(was.P2)) <= 0) {
			return false
		}
	}
	return curves[0].P0.Dist(s.points[0]) <= reach[0]/4 &&
		curves[last].P3.Dist(s.points[len(s.points)-1]) <= reach[last]/4
}

// astray returns a curve that is much longer than the points on it reach, or
// −1. Such a curve passes all its points and strays in between, or beyond.
func (s *spline) astray() int {
	reach := s.reaches()
	for k, c := range s.curves {
		length, before := 0.0, c.P0
		for i := 1; i <= 8; i++ {
			at := c.At(float64(i) / 8)
			length += at.Dist(before)
			before = at
		}
		if length > 1.2*reach[k] {
			return k
		}
	}
	return -1
}
