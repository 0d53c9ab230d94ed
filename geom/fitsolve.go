package geom

import "math"

// Constants of the least-squares fit.
const (
	// fitRounds of Gauss–Newton at most; four to ten are enough on most data.
	fitRounds = 40
	// fitPatience is the number of rounds that a fit far off is given.
	fitPatience = 5
	// fitDamping is the share of each diagonal element that is added to the
	// normal equations at first (Levenberg and Marquardt); it is divided by ten
	// when a step does good and multiplied when not, down to fitLeastDamping,
	// which holds what the points say nothing about, as a free end's sliding
	// along its curve, or a node's between two alike curves, and up to
	// fitMostDamping, where nothing does good any more.
	fitDamping      = 1e-4
	fitLeastDamping = 1e-10
	fitMostDamping  = 1e4
	// fitBend is the greatest length of a step's correction for the bend of the
	// way, as a share of half the step, measured by what they do to the points.
	fitBend = 0.75
	// fitBeyond is how far beyond a free end, in parameters of its curve, a
	// point's foot may lie.
	fitBeyond = 0.25
)

// solve makes the curves those of least squares: the sum of the squared
// distances of the points from them becomes least. It returns that sum.
//
// Method: Gauss–Newton on nodes, directions and handles, each point counting
// by its distance along the normal at its foot, and the feet found anew at
// every step; damped (Levenberg and Marquardt). Where the data say little
// about the handles, the way to the least is long and bent; there each step is
// corrected for the bend (the acceleration along the geodesic of Transtrum and
// Sethna, Improvements to the Levenberg-Marquardt algorithm, 2012, from
// memory), from the distances half way and at its end.
func (s *spline) solve() float64 {
	unknowns := s.setUp()
	cost := s.refoot()
	if unknowns == 0 {
		return cost
	}
	length := polylineLength(s.points)
	least := 1e-24 * length * length
	system := newBanded(unknowns)
	damping, slow := fitDamping, false
	for round := range fitRounds {
		s.equations(system, false)
		next, better, used := s.betterStep(system, cost, damping, slow)
		if next == nil {
			break
		}
		done := cost-better < max(s.enough, 1e-7*cost) || better < least
		slow = better > cost/4
		if hopeless := s.hopeless * float64(len(s.points)); hopeless > 0 && round >= fitPatience && better > hopeless {
			done = done || better > cost*2/3
		}
		s.curves, s.on, s.t, s.miss, s.axis = next.curves, next.on, next.t, next.miss, next.axis
		cost, damping = better, max(used/10, fitLeastDamping)
		if done {
			break
		}
	}
	return cost
}

// betterStep returns the spline after a step that lowers the cost, the new
// cost and the damping it took; nil when none does.
func (s *spline) betterStep(b *banded, cost, damping float64, slow bool) (*spline, float64, float64) {
	reach := s.reaches()
	for ; damping <= fitMostDamping; damping *= 10 {
		x, ok := b.solve(damping)
		if !ok {
			continue
		}
		next, better := s.step(x, reach)
		if slow && better > cost/4 {
			if bent, least := s.bentStep(b, append([]float64{}, x...), next, reach); least < better {
				next, better = bent, least
			}
		}
		if better < cost {
			return next, better, damping
		}
		slow = true
	}
	return nil, 0, 0
}

// step returns the spline after a step of the unknowns, with its cost; nil
// when it cannot stand.
func (s *spline) step(x []float64, reach []float64) (*spline, float64) {
	curves := s.moved(x)
	if !s.sane(curves, reach) {
		return nil, math.Inf(1)
	}
	next := &spline{fitCare: s.fitCare, points: s.points, curves: curves, lines: s.lines, ends: s.ends,
		parabola: s.parabola, units: s.units, on: append([]int{}, s.on...), t: append([]float64{}, s.t...)}
	return next, next.refoot()
}

// bentStep is the step x corrected for the bend of the way; full is the spline
// after x itself.
func (s *spline) bentStep(b *banded, x []float64, full *spline, reach []float64) (*spline, float64) {
	half := make([]float64, len(x))
	for k := range x {
		half[k] = x[k] / 2
	}
	mid, _ := s.step(half, reach)
	if mid == nil || full == nil {
		return nil, math.Inf(1)
	}
	clear(b.right)
	effects := s.effects()
	var row [2 * bandWidth]float64
	for i := range s.points {
		list := effects[s.on[i]]
		along(row[:], list, s.t[i], s.axis[i])
		value := 2 * (full.beside(i) - float64(2*mid.beside(i)) + s.beside(i))
		if s.curves[s.on[i]].Deriv(s.t[i]).Cross(s.axis[i]) < 0 {
			value = -value
		}
		for k, e := range list {
			b.right[e.unknown] += float64(row[k] * value)
		}
	}
	more, ok := b.solveAgain()
	if !ok {
		return nil, math.Inf(1)
	}
	// A correction that is no small part of the step is none.
	straight, bend := 0.0, 0.0
	for k := range x {
		straight += float64(b.m[k*bandWidth] * x[k] * x[k])
		bend += float64(b.m[k*bandWidth] * more[k] * more[k])
		x[k] += more[k]
	}
	if 4*bend > fitBend*fitBend*straight {
		return nil, math.Inf(1)
	}
	return s.step(x, reach)
}

// equations sets up the normal equations of the points' distances from the
// curves, or, with both set, of their two coordinates at their parameters.
func (s *spline) equations(b *banded, both bool) {
	b.clear()
	effects := s.effects()
	var row [2 * bandWidth]float64
	for i, p := range s.points {
		list := effects[s.on[i]]
		if !both {
			along(row[:], list, s.t[i], s.axis[i])
			b.add(list, row[:len(list)], s.miss[i].Dot(s.axis[i]))
			continue
		}
		miss := p.Sub(s.curves[s.on[i]].At(s.t[i]))
		for _, axis := range [2]Point{{1, 0}, {0, 1}} {
			along(row[:], list, s.t[i], axis)
			b.add(list, row[:len(list)], miss.Dot(axis))
		}
	}
}

// along sets row to the effect of each unknown, in a direction, on the curve's
// point at t.
func along(row []float64, list []effect, t float64, axis Point) {
	r := 1 - t
	a, b, c, d := r*r*r, 3*r*r*t, 3*r*t*t, t*t*t
	for k := range list {
		m := &list[k].moves
		x := float64(a*m[0].X) + float64(b*m[1].X) + float64(c*m[2].X) + float64(d*m[3].X)
		y := float64(a*m[0].Y) + float64(b*m[1].Y) + float64(c*m[2].Y) + float64(d*m[3].Y)
		row[k] = float64(x*axis.X) + float64(y*axis.Y)
	}
}

// refoot moves each parameter to the foot of its point, across nodes where
// need be, and returns the sum of the squared distances.
func (s *spline) refoot() float64 {
	if len(s.miss) != len(s.points) {
		s.miss, s.axis = make([]Point, len(s.points)), make([]Point, len(s.points))
	}
	curves := make([]powers, len(s.curves))
	for k, c := range s.curves {
		curves[k] = c.powers()
	}
	sum := 0.0
	for i, p := range s.points {
		// Two hops at most: a point beside a node may find no foot on either
		// side of it.
		for range 3 {
			low, high := 0.0, 1.0
			if s.on[i] == 0 && !s.ends.fixedA {
				low = -fitBeyond
			}
			if s.on[i] == len(curves)-1 && !s.ends.fixedB {
				high = 1 + fitBeyond
			}
			s.t[i] = curves[s.on[i]].foot(p, s.t[i], low, high)
			if s.t[i] <= 0 && s.on[i] > 0 {
				s.on[i], s.t[i] = s.on[i]-1, 1
			} else if s.t[i] >= 1 && s.on[i] < len(curves)-1 {
				s.on[i], s.t[i] = s.on[i]+1, 0
			} else {
				break
			}
		}
		s.miss[i], s.axis[i] = s.curves[s.on[i]].square(p, s.t[i])
		sum += s.miss[i].Dot(s.miss[i])
	}
	return sum
}

// square returns what is left from the curve's point at t to p, and the
// direction to the left of travel there, or straight to p from an end.
func (c Cubic) square(p Point, t float64) (miss, axis Point) {
	miss = p.Sub(c.At(t))
	if t == 0 || t == 1 {
		if l := miss.Len(); l > 0 {
			return miss, miss.Mul(1 / l)
		}
	}
	if d := c.Deriv(t); d != (Point{}) {
		return miss, d.Unit().Left()
	}
	return miss, c.Tangent(t).Left()
}

// powers are the coefficients of a cubic in powers of its parameter, the
// highest first.
type powers [4]Point

func (c Cubic) powers() powers {
	u, v, w := c.P1.Sub(c.P0), c.P2.Sub(c.P1), c.P3.Sub(c.P2)
	second := v.Sub(u)
	return powers{w.Sub(v).Sub(second), second.Mul(3), u.Mul(3), c.P0}
}

// foot returns the parameter between low and high at which the curve is
// nearest to p, by Newton's method from t.
func (q *powers) foot(p Point, t, low, high float64) float64 {
	for range 6 {
		at := q[0].Mul(t).Add(q[1]).Mul(t).Add(q[2]).Mul(t).Add(q[3]).Sub(p)
		first := q[0].Mul(3 * t).Add(q[1].Mul(2)).Mul(t).Add(q[2])
		slope := first.Dot(first)
		if bent := slope + float64(2*at.Dot(q[0].Mul(3*t).Add(q[1]))); bent > slope/4 {
			slope = bent
		}
		if slope == 0 {
			break
		}
		next := min(high, max(low, t-at.Dot(first)/slope))
		// Newton squares the error.
		if math.Abs(next-t) < 1e-7 {
			return next
		}
		t = next
	}
	return t
}

// beside is the signed distance of a point: positive to the right.
func (s *spline) beside(i int) float64 {
	return math.Copysign(s.miss[i].Len(), s.curves[s.on[i]].Deriv(s.t[i]).Cross(s.miss[i]))
}

// off returns the signed distances of the points from the curves: positive to
// the right of the direction of travel.
func (s *spline) off() []float64 {
	off := make([]float64, len(s.points))
	for i := range off {
		off[i] = s.beside(i)
	}
	return off
}

// cost is the sum of the squared distances.
func (s *spline) cost() float64 {
	sum := 0.0
	for _, d := range s.miss {
		sum += d.Dot(d)
	}
	return sum
}

// cutTo returns the curves with free ends cut or run on to the feet of the
// first and last points.
func (s *spline) cutTo() Path {
	p := append(Path{}, s.curves...)
	last, n := len(p)-1, len(s.points)-1
	t0, t1 := 0.0, 1.0
	if !s.ends.fixedA && s.on[0] == 0 && s.t[0] < 0.9 {
		t0 = s.t[0]
	}
	if !s.ends.fixedB && s.on[n] == last && s.t[n] > 0.1 {
		t1 = s.t[n]
	}
	if last == 0 {
		if t1-t0 > 0.1 {
			p[0] = p[0].cutStraight(s.lines[0], t0, t1)
		}
		return p
	}
	p[0] = p[0].cutStraight(s.lines[0], t0, 1)
	p[last] = p[last].cutStraight(s.lines[last], 0, t1)
	return p
}

// cutStraight is Part, with a straight line run evenly again.
func (c Cubic) cutStraight(line bool, t0, t1 float64) Cubic {
	c = c.Part(t0, t1)
	if line {
		return Line(c.P0, c.P3)
	}
	return c
}
