package geom

import "math"

// Cubic is a cubic Bézier from P0 to P3 with control points P1 and P2: the
// point at t in [0, 1] is (1−t)³P0 + 3(1−t)²t·P1 + 3(1−t)t²·P2 + t³P3. A
// straight line is a Cubic too, with its controls at the thirds (Line).
//
// Every method ends for every input. With coordinates that are not finite the
// results are not numbers, or nothing is found; none of them panics. A curve
// whose control polygon is no longer than pointSize counts as a single point.
type Cubic struct{ P0, P1, P2, P3 Point }

// pointSize is the length in mm of a control polygon up to which a curve
// counts as a single point, without a direction: far above what rounding
// leaves of a point (1e-11 at 1e5 mm), far below the 0.001 mm of stored
// coordinates.
const pointSize = 1e-9

// Line is the straight cubic from a to b, run at even speed.
func Line(a, b Point) Cubic { return Cubic{a, a.Lerp(b, 1./3), a.Lerp(b, 2./3), b} }

// Quadratic is the cubic that equals the quadratic Bézier a, control, b.
func Quadratic(a, control, b Point) Cubic {
	return Cubic{a, a.Lerp(control, 2./3), b.Lerp(control, 2./3), b}
}

// At returns the point at parameter t, to rounding (a few 1e-16 of the
// coordinates); t outside [0, 1] follows the same polynomial beyond its ends.
// At 0 and 1 it is P0 and P3 to the bit.
func (c Cubic) At(t float64) Point {
	s := 1 - t
	a, b, d, e := s*s*s, 3*s*s*t, 3*s*t*t, t*t*t
	return Point{
		float64(a*c.P0.X) + float64(b*c.P1.X) + float64(d*c.P2.X) + float64(e*c.P3.X),
		float64(a*c.P0.Y) + float64(b*c.P1.Y) + float64(d*c.P2.Y) + float64(e*c.P3.Y),
	}
}

// Deriv returns the first derivative at t, in mm per unit of t.
func (c Cubic) Deriv(t float64) Point {
	s := 1 - t
	a, b, d := 3*s*s, 6*s*t, 3*t*t
	u, v, w := c.P1.Sub(c.P0), c.P2.Sub(c.P1), c.P3.Sub(c.P2)
	return Point{
		float64(a*u.X) + float64(b*v.X) + float64(d*w.X),
		float64(a*u.Y) + float64(b*v.Y) + float64(d*w.Y),
	}
}

// Deriv2 returns the second derivative at t, in mm per unit of t squared.
func (c Cubic) Deriv2(t float64) Point {
	u := c.P2.Sub(c.P1.Mul(2)).Add(c.P0)
	v := c.P3.Sub(c.P2.Mul(2)).Add(c.P1)
	return u.Mul(6 * (1 - t)).Add(v.Mul(6 * t))
}

// Tangent returns the unit direction of travel at t. Where the derivative
// vanishes it is the limit from inside the curve: at an end with a handle of
// length zero the direction to the next control point that is elsewhere, at a
// cusp the direction in which the curve leaves it. A curve that is one point
// has the zero vector. A derivative below 1e-9 of 1 mm and the control polygon
// counts as vanishing.
func (c Cubic) Tangent(t float64) Point {
	hull := c.hull()
	if hull <= pointSize {
		return Point{}
	}
	tiny := 1e-9 * math.Min(1+hull, 1e3*hull)
	if d := c.Deriv(t); d.Len() > tiny {
		return d.Unit()
	}
	switch {
	case t <= 0:
		for _, q := range []Point{c.P2, c.P3} {
			if d := q.Sub(c.P0); d.Len() > tiny {
				return d.Unit()
			}
		}
	case t >= 1:
		for _, q := range []Point{c.P1, c.P0} {
			if d := c.P3.Sub(q); d.Len() > tiny {
				return d.Unit()
			}
		}
	}
	return c.restTangent(t)
}

// restTangent is the direction of travel beside an inner parameter at which
// the curve comes to rest: before it against, after it along the first higher
// derivative that does not vanish.
func (c Cubic) restTangent(t float64) Point {
	d, d2 := c.Deriv(t), c.Deriv2(t)
	if d2.Len() > 1e-9*c.hull() {
		if d.Dot(d2) < 0 {
			d2 = d2.Mul(-1)
		}
		return d2.Unit()
	}
	return c.P3.Sub(c.P2.Mul(3)).Add(c.P1.Mul(3)).Sub(c.P0).Unit()
}

// Curvature returns the signed curvature at t in 1/mm, (c′ × c″)/|c′|³:
// positive where the curve turns clockwise as seen. It is 0 where the
// derivative vanishes (below 1e-12 mm), and has few digits near such a place.
func (c Cubic) Curvature(t float64) float64 {
	d := c.Deriv(t)
	l := d.Len()
	if l < 1e-12 {
		return 0
	}
	return d.Cross(c.Deriv2(t)) / (l * l * l)
}

// Split returns the two parts of the curve before and after t (de Casteljau's
// method); they meet to the bit, and lie on the curve to rounding.
func (c Cubic) Split(t float64) (Cubic, Cubic) {
	a, b, d := c.P0.Lerp(c.P1, t), c.P1.Lerp(c.P2, t), c.P2.Lerp(c.P3, t)
	e, f := a.Lerp(b, t), b.Lerp(d, t)
	m := e.Lerp(f, t)
	return Cubic{c.P0, a, e, m}, Cubic{m, f, d, c.P3}
}

// Part returns the curve from t0 to t1 (t0 < t1), which may lie outside
// [0, 1]. The ends of the whole curve are kept to the bit; other ends lie on
// it to rounding. Method: blossoming (Ramshaw, Blossoming: a connect-the-dots
// approach to splines, 1987; from memory).
func (c Cubic) Part(t0, t1 float64) Cubic {
	if t0 == 0 && t1 == 1 {
		return c
	}
	blossom := func(a, b, d float64) Point {
		p, q, r := c.P0.Lerp(c.P1, a), c.P1.Lerp(c.P2, a), c.P2.Lerp(c.P3, a)
		return p.Lerp(q, b).Lerp(q.Lerp(r, b), d)
	}
	part := Cubic{blossom(t0, t0, t0), blossom(t0, t0, t1), blossom(t0, t1, t1), blossom(t1, t1, t1)}
	if t0 == 0 {
		part.P0 = c.P0
	}
	if t1 == 1 {
		part.P3 = c.P3
	}
	return part
}

// Reverse returns the curve run the other way.
func (c Cubic) Reverse() Cubic { return Cubic{c.P3, c.P2, c.P1, c.P0} }

// Moved returns the curve after a rigid motion.
func (c Cubic) Moved(m Motion) Cubic {
	return Cubic{m.Apply(c.P0), m.Apply(c.P1), m.Apply(c.P2), m.Apply(c.P3)}
}

// Finite reports whether all coordinates are ordinary numbers.
func (c Cubic) Finite() bool {
	return c.P0.Finite() && c.P1.Finite() && c.P2.Finite() && c.P3.Finite()
}

// hull returns the length of the control polygon: an upper bound of the
// curve's length.
func (c Cubic) hull() float64 { return c.P0.Dist(c.P1) + c.P1.Dist(c.P2) + c.P2.Dist(c.P3) }

// IsStraight reports whether the curve lies within tol of its chord and
// never runs back along it, so that the line between its ends can replace it.
func (c Cubic) IsStraight(tol float64) bool {
	chord := c.P3.Sub(c.P0)
	l := chord.Len()
	if l <= tol {
		return c.P0.Dist(c.P1) <= tol && c.P0.Dist(c.P2) <= tol
	}
	u := chord.Mul(1 / l)
	a, b := c.P1.Sub(c.P0), c.P2.Sub(c.P0)
	if math.Abs(u.Cross(a)) > tol || math.Abs(u.Cross(b)) > tol {
		return false
	}
	x, y := u.Dot(a), u.Dot(b)
	return x >= -tol && x <= l+tol && y >= -tol && y <= l+tol
}

// Area returns the curve's share of the area of a ring it is part of: half
// the line integral of x dy − y dx, by Green's theorem in closed form. The
// shares of a ring's curves add up to its signed area, positive clockwise as
// seen. Exact but for rounding, which grows with the square of the distance
// from the origin: Ring.Area counts from the ring's own start.
func (c Cubic) Area() float64 {
	sum := float64(6*c.P0.Cross(c.P1)) + float64(3*c.P0.Cross(c.P2)) + c.P0.Cross(c.P3) +
		float64(3*c.P1.Cross(c.P2)) + float64(3*c.P1.Cross(c.P3)) + float64(6*c.P2.Cross(c.P3))
	return sum / 20
}

// Box returns the exact bounds of the curve, to rounding: its ends and the
// points at which a coordinate's derivative, a quadratic, vanishes.
func (c Cubic) Box() Box {
	b := EmptyBox().Extend(c.P0).Extend(c.P3)
	for _, axis := range [2][4]float64{
		{c.P0.X, c.P1.X, c.P2.X, c.P3.X}, {c.P0.Y, c.P1.Y, c.P2.Y, c.P3.Y},
	} {
		u, v, w := axis[1]-axis[0], axis[2]-axis[1], axis[3]-axis[2]
		for _, t := range quadraticRoots(u-float64(2*v)+w, 2*(v-u), u) {
			if t > 0 && t < 1 {
				b = b.Extend(c.At(t))
			}
		}
	}
	return b
}

// HullBox returns the bounds of the control points: cheaper than Box, and
// never smaller.
func (c Cubic) HullBox() Box {
	return EmptyBox().Extend(c.P0).Extend(c.P1).Extend(c.P2).Extend(c.P3)
}

// quadraticRoots returns the real roots of a·t² + b·t + c, in a form that
// loses no digits to cancellation. A leading coefficient below 1e-14 of the
// greatest counts as none, which moves a root in [0, 1] by no more than that.
// Coefficients that are not finite give roots that are not, or none.
func quadraticRoots(a, b, c float64) []float64 {
	scale := math.Max(math.Abs(a), math.Max(math.Abs(b), math.Abs(c)))
	if scale == 0 {
		return nil
	}
	if math.Abs(a) < 1e-14*scale {
		if math.Abs(b) < 1e-14*scale {
			return nil
		}
		return []float64{-c / b}
	}
	disc := float64(b*b) - float64(4*a*c)
	if disc < 0 {
		return nil
	}
	q := -0.5 * (b + math.Copysign(math.Sqrt(disc), b))
	if q == 0 {
		return []float64{0}
	}
	return []float64{q / a, c / q}
}
