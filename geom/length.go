package geom

import "math"

// Nodes and weights of the 16-point Gauss–Legendre rule on [−1, 1]
// (Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, table
// 25.4); the rule is symmetric, so half of them are listed.
var (
	gaussNode = [8]float64{
		0.0950125098376374402, 0.2816035507792589132, 0.4580167776572273863, 0.6178762444026437484,
		0.7554044083550030339, 0.8656312023878317439, 0.9445750230732325761, 0.9894009349916499326,
	}
	gaussWeight = [8]float64{
		0.1894506104550684963, 0.1826034150449235889, 0.1691565193950025382, 0.1495959888165767321,
		0.1246289712555338720, 0.0951585116824927848, 0.0622535239386478929, 0.0271524594117540949,
	}
)

// Constants of the length of a curve.
const (
	// lengthFar is the size, as the sum of its half axes, of the ellipse about a
	// panel that must be free of branch points of the speed. The 16-point rule is
	// then within 5·3⁻³⁰ = 2e-14 of half the panel times the greatest speed on
	// that ellipse (Trefethen, Is Gauss quadrature better than Clenshaw–Curtis?,
	// SIAM Review 50, 2008, theorem 4.5; from memory).
	lengthFar = 3
	// lengthCusp is the distance of a branch point from the real axis up to which
	// it counts as a cusp, at which the speed |t − k|·(smooth) has a corner: that
	// changes the length by at most 1e-14·ln(1e7) of the curve's size.
	lengthCusp = 1e-7
	// lengthTiny is the length in mm below which a panel is not divided further.
	lengthTiny = 1e-12
	// lengthDepth bounds the halving; a branch point at lengthCusp takes 24.
	lengthDepth = 30
)

// Length returns the length of the curve in mm, within 1e-6 mm; measured: 1e-12
// mm on curves as patterns have them, 2e-10 beside cusps (docs/accuracy.md). A curve
// that runs back over itself counts every run; a single point is 0 long.
//
// Method: 16-point Gauss–Legendre quadrature of the speed on panels chosen
// beforehand. With z = x + iy the derivative is a quadratic with complex
// coefficients; the branch points of the speed |z′| are its two roots and their
// conjugates. Panels end at the roots' real parts and are halved until their
// roots are far enough off for the rule to be exact to rounding.
func (c Cubic) Length() float64 { return c.LengthBetween(0, 1) }

// LengthBetween returns the length of the stretch from t0 to t1, negative
// when t1 < t0. The parameters may lie outside [0, 1]. Accuracy as for Length.
func (c Cubic) LengthBetween(t0, t1 float64) float64 {
	if c.evenlyStraight() {
		return float64(c.P0.Dist(c.P3) * (t1 - t0))
	}
	s := c.speed()
	return s.between(t0, t1)
}

// speed is a curve with the branch points of its speed; y is not negative.
type speed struct {
	c      Cubic
	branch [2]Point
	n      int
}

// speed finds the branch points: roots of the derivative as a complex number.
func (c Cubic) speed() speed {
	s := speed{c: c}
	u, v, w := c.P1.Sub(c.P0), c.P2.Sub(c.P1), c.P3.Sub(c.P2)
	// A·t² + 2B·t + C, points being complex numbers.
	a, b := u.Sub(v.Mul(2)).Add(w), v.Sub(u)
	q := complexRoot(complexMul(b, b).Sub(complexMul(a, u)))
	if q.Dot(b) < 0 {
		q = q.Mul(-1)
	}
	q = q.Add(b).Mul(-1)
	for _, f := range [2][2]Point{{q, a}, {u, q}} {
		// Nearer than 1e12; what vanishes beside rounding has its root at an end.
		if d2 := f[1].Dot(f[1]); d2 > 1e-24*f[0].Dot(f[0]) && d2 > 1e-300 {
			z := complexMul(f[0], Point{f[1].X, -f[1].Y}).Mul(1 / d2)
			s.branch[s.n] = Point{z.X, math.Abs(z.Y)}
			s.n++
		}
	}
	return s
}

func complexMul(a, b Point) Point {
	return Point{float64(a.X*b.X) - float64(a.Y*b.Y), float64(a.X*b.Y) + float64(a.Y*b.X)}
}

// complexRoot returns a square root of a complex number.
func complexRoot(a Point) Point {
	r := math.Sqrt((a.Len() + math.Abs(a.X)) / 2)
	switch {
	case r == 0:
		return Point{}
	case a.X < 0:
		return Point{a.Y / (2 * r), r}
	}
	return Point{r, a.Y / (2 * r)}
}

// between returns the length from t0 to t1.
func (s *speed) between(t0, t1 float64) float64 {
	if t1 < t0 {
		return -s.between(t1, t0)
	}
	if s.far(t0, t1) && !s.cusp(t0, t1) {
		return s.c.gauss(t0, t1)
	}
	x := [2]float64{t0, t0}
	for i, z := range s.branch[:s.n] {
		x[i] = math.Min(t1, math.Max(t0, z.X))
	}
	lo, hi := math.Min(x[0], x[1]), math.Max(x[0], x[1])
	return s.panel(t0, lo, lengthDepth) + s.panel(lo, hi, lengthDepth) + s.panel(hi, t1, lengthDepth)
}

// panel returns the length of a panel, halving it towards branch points.
func (s *speed) panel(t0, t1 float64, depth int) float64 {
	if t0 == t1 {
		return 0
	}
	if depth == 0 || s.far(t0, t1) {
		return s.c.gauss(t0, t1)
	}
	if l := s.c.gauss(t0, t1); !(l > lengthTiny) { // not a number too
		return l
	}
	mid := (t0 + t1) / 2
	return s.panel(t0, mid, depth-1) + s.panel(mid, t1, depth-1)
}

// far reports whether the branch points lie outside the ellipse with its foci
// at the panel's ends whose half axes add up to lengthFar half widths. Cusps,
// which lie at the ends of panels, count as none.
func (s *speed) far(t0, t1 float64) bool {
	// The sum of the distances from the foci is twice the greater half axis.
	const greater = (lengthFar + 1./lengthFar) / 2
	for _, z := range s.branch[:s.n] {
		if z.Y > lengthCusp && hypot(z.X-t0, z.Y)+hypot(z.X-t1, z.Y) < greater*(t1-t0) {
			return false
		}
	}
	return true
}

// cusp reports whether the curve comes to rest between two parameters.
func (s *speed) cusp(t0, t1 float64) bool {
	for _, z := range s.branch[:s.n] {
		if z.Y <= lengthCusp && z.X > t0 && z.X < t1 {
			return true
		}
	}
	return false
}

// gauss is the 16-point rule on the speed from t0 to t1.
func (c *Cubic) gauss(t0, t1 float64) float64 {
	mid, half := float64((t0+t1)/2), (t1-t0)/2
	sum := 0.0
	for i, x := range gaussNode {
		x = float64(half * x)
		sum += float64(gaussWeight[i] * (c.Deriv(mid-x).Len() + c.Deriv(mid+x).Len()))
	}
	return float64(sum * half)
}

// evenlyStraight reports whether the curve is a line at even speed, as Line
// makes them, to within rounding.
func (c Cubic) evenlyStraight() bool {
	l := Line(c.P0, c.P3)
	const rounding = 1e-10
	return math.Abs(l.P1.X-c.P1.X)+math.Abs(l.P1.Y-c.P1.Y) < rounding &&
		math.Abs(l.P2.X-c.P2.X)+math.Abs(l.P2.Y-c.P2.Y) < rounding
}

// ParamAt returns the parameter at which the curve has run the given length
// in mm from its start: the inverse of LengthBetween(0, t). Lengths outside
// [0, Length] give 0 or 1, a single point 0. The length up to the result is
// within 1e-9 mm of the one asked for, also where the speed vanishes. Method:
// Newton on the length with its bracket kept.
func (c Cubic) ParamAt(length float64) float64 {
	if c.evenlyStraight() {
		total := c.P0.Dist(c.P3)
		if !(total > 0) {
			return 0
		}
		return math.Min(1, math.Max(0, length/total))
	}
	s := c.speed()
	total := s.between(0, 1)
	switch {
	case math.IsNaN(length) || math.IsNaN(total):
		return math.NaN()
	case length <= 0 || total == 0:
		return 0
	case length >= total:
		return 1
	}
	lo, hi, t := 0.0, 1.0, length/total
	at, run := 0.0, 0.0 // the length up to at is run
	for range 60 {
		run, at = run+s.between(at, t), t
		miss := run - length
		if math.Abs(miss) < 1e-10 || hi-lo < 1e-15 {
			break
		}
		if miss > 0 {
			hi = t
		} else {
			lo = t
		}
		next := (lo + hi) / 2
		if speed := c.Deriv(t).Len(); speed > 0 {
			if n := t - miss/speed; n > lo && n < hi {
				next = n
			}
		}
		t = next
	}
	return t
}
