package geom

import "math"

// Point is a place on the sheet, or the vector to it, in millimetres.
type Point struct{ X, Y float64 }

// Pt is the point (x, y).
func Pt(x, y float64) Point { return Point{x, y} }

// Add returns p + q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub returns p − q.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Mul returns p scaled by s.
func (p Point) Mul(s float64) Point { return Point{float64(p.X * s), float64(p.Y * s)} }

// Dot returns the scalar product.
func (p Point) Dot(q Point) float64 { return float64(p.X*q.X) + float64(p.Y*q.Y) }

// Cross returns the z component of the vector product: positive when q lies
// clockwise of p as seen on the sheet.
func (p Point) Cross(q Point) float64 { return float64(p.X*q.Y) - float64(p.Y*q.X) }

// Len returns the vector's length.
func (p Point) Len() float64 { return hypot(p.X, p.Y) }

// Dist returns the distance from p to q.
func (p Point) Dist(q Point) float64 { return hypot(p.X-q.X, p.Y-q.Y) }

// Lerp returns the point at t on the way from p (0) to q (1).
func (p Point) Lerp(q Point, t float64) Point {
	return Point{p.X + float64(t*(q.X-p.X)), p.Y + float64(t*(q.Y-p.Y))}
}

// Unit returns the vector of length 1 in p's direction, and the zero vector
// for a zero vector.
func (p Point) Unit() Point {
	l := p.Len()
	if l == 0 {
		return Point{}
	}
	return Point{p.X / l, p.Y / l}
}

// Left returns the vector turned a quarter anticlockwise as seen. For the
// direction of travel along a clockwise ring this points outward.
func (p Point) Left() Point { return Point{p.Y, -p.X} }

// Right returns the vector turned a quarter clockwise as seen: inward on a
// clockwise ring.
func (p Point) Right() Point { return Point{-p.Y, p.X} }

// Angle returns the direction of the vector, clockwise from +x as seen, in
// (−π, π]; 0 for the zero vector.
func (p Point) Angle() float64 { return atan2(p.Y, p.X) }

// Turn returns p turned by the angle, clockwise as seen when positive.
func (p Point) Turn(angle float64) Point {
	s, c := sincos(angle)
	return Point{float64(c*p.X) - float64(s*p.Y), float64(s*p.X) + float64(c*p.Y)}
}

// Finite reports whether both coordinates are ordinary numbers.
func (p Point) Finite() bool {
	return !math.IsNaN(p.X) && !math.IsInf(p.X, 0) && !math.IsNaN(p.Y) && !math.IsInf(p.Y, 0)
}

// AngleBetween returns the signed angle that turns a onto b, clockwise as
// seen when positive, in (−π, π]; 0 when either is the zero vector.
func AngleBetween(a, b Point) float64 { return atan2(a.Cross(b), a.Dot(b)) }

// Box is an axis-parallel rectangle. The zero Box is a point at the origin;
// start from EmptyBox.
type Box struct{ Min, Max Point }

// EmptyBox holds nothing; extending it by a point gives that point's box.
func EmptyBox() Box {
	inf := math.Inf(1)
	return Box{Point{inf, inf}, Point{-inf, -inf}}
}

// Extend returns the box grown to hold p.
func (b Box) Extend(p Point) Box {
	return Box{
		Point{min(b.Min.X, p.X), min(b.Min.Y, p.Y)},
		Point{max(b.Max.X, p.X), max(b.Max.Y, p.Y)},
	}
}

// Union returns the smallest box that holds both.
func (b Box) Union(c Box) Box {
	return Box{
		Point{min(b.Min.X, c.Min.X), min(b.Min.Y, c.Min.Y)},
		Point{max(b.Max.X, c.Max.X), max(b.Max.Y, c.Max.Y)},
	}
}

// Grow returns the box with every side moved out by d.
func (b Box) Grow(d float64) Box {
	return Box{Point{b.Min.X - d, b.Min.Y - d}, Point{b.Max.X + d, b.Max.Y + d}}
}

// Overlaps reports whether the boxes share a point.
func (b Box) Overlaps(c Box) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X && b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y
}

// Holds reports whether p lies in the box, its border included.
func (b Box) Holds(p Point) bool {
	return b.Min.X <= p.X && p.X <= b.Max.X && b.Min.Y <= p.Y && p.Y <= b.Max.Y
}

// Empty reports whether the box holds nothing.
func (b Box) Empty() bool { return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y }

// Size returns width and height.
func (b Box) Size() Point { return b.Max.Sub(b.Min) }

// Centre returns the box's middle.
func (b Box) Centre() Point { return b.Min.Lerp(b.Max, 0.5) }

// Motion is a rigid motion of the sheet: an optional mirror in the y axis
// (x → −x), then a turn about the origin, then a shift. Lengths and curvature
// are kept to rounding, areas change their sign with a mirror. The zero Motion
// moves nothing, to the bit; a mirror or a shift alone is not rounded but by
// its one sum.
type Motion struct {
	Mirror bool
	Turn   float64 // radians, clockwise as seen
	Shift  Point
}

// Apply returns the moved point.
func (m Motion) Apply(p Point) Point {
	if m.Mirror {
		p.X = -p.X
	}
	if m.Turn != 0 {
		p = p.Turn(m.Turn)
	}
	return p.Add(m.Shift)
}

// ApplyVector moves a direction: the shift is left out.
func (m Motion) ApplyVector(v Point) Point {
	m.Shift = Point{}
	return m.Apply(v)
}

// Inverse returns the motion that undoes m.
func (m Motion) Inverse() Motion {
	inv := Motion{Mirror: m.Mirror, Turn: -m.Turn}
	if m.Mirror {
		inv.Turn = m.Turn
	}
	inv.Shift = inv.ApplyVector(m.Shift).Mul(-1)
	return inv
}

// MirrorIn is the mirror in the straight line through two points.
func MirrorIn(a, b Point) Motion {
	m := Motion{Mirror: true, Turn: 2*b.Sub(a).Angle() - math.Pi}
	m.Shift = a.Sub(m.Apply(a))
	return m
}

// Then returns the motion that makes m first and n after it.
func (m Motion) Then(n Motion) Motion {
	r := Motion{Mirror: m.Mirror != n.Mirror, Turn: n.Turn + m.Turn, Shift: n.Apply(m.Shift)}
	if n.Mirror {
		r.Turn = n.Turn - m.Turn
	}
	return r
}

// Identity reports whether the motion moves nothing.
func (m Motion) Identity() bool { return !m.Mirror && m.Turn == 0 && m.Shift == Point{} }

// FitMotion returns the motion without a mirror (or, with mirror set, with
// one) that brings the points from nearest to the points to in the sense of
// least squares. Method: the two-dimensional orthogonal Procrustes problem in
// closed form: the centroids are laid on each other, and the turn is the angle
// of (Σ a·b, Σ a×b), a and b counted from them (Schönemann, A generalized
// solution of the orthogonal Procrustes problem, 1966; from memory). At least
// two distinct points are needed for a turn; with one the motion is a shift;
// with none, or lists of unequal length, it is the mirror alone or nothing.
func FitMotion(from, to []Point, mirror bool) Motion {
	n := float64(len(from))
	if len(from) == 0 || len(from) != len(to) {
		return Motion{Mirror: mirror}
	}
	pre := Motion{Mirror: mirror}
	var ca, cb Point
	for i := range from {
		ca, cb = ca.Add(pre.Apply(from[i])), cb.Add(to[i])
	}
	ca, cb = ca.Mul(1/n), cb.Mul(1/n)
	var dot, cross float64
	for i := range from {
		a, b := pre.Apply(from[i]).Sub(ca), to[i].Sub(cb)
		dot += a.Dot(b)
		cross += a.Cross(b)
	}
	m := Motion{Mirror: mirror}
	if dot != 0 || cross != 0 {
		m.Turn = atan2(cross, dot)
	}
	m.Shift = cb.Sub(ca.Turn(m.Turn)) // ca is mirrored already
	return m
}

// Degrees converts an angle in degrees to radians.
func Degrees(d float64) float64 { return d * math.Pi / 180 }

// InDegrees converts an angle in radians to degrees.
func InDegrees(r float64) float64 { return r * 180 / math.Pi }
