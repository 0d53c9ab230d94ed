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

// lengthTolerance is the difference in mm between one Gauss rule and two
// halves of it below which a length is accepted. The two-halves value is then
// better by orders of magnitude on a smooth speed, which keeps whole curves
// within 1e-6 mm even beside a cusp.
const lengthTolerance = 1e-9

// lengthDepth bounds the halving; 2^-24 of a curve near a cusp is far below
// the tolerance.
const lengthDepth = 24

func (c Cubic) gauss(t0, t1 float64) float64 {
	mid, half := (t0+t1)/2, (t1-t0)/2
	sum := 0.0
	for i, x := range gaussNode {
		sum += gaussWeight[i] * (c.Deriv(mid-half*x).Len() + c.Deriv(mid+half*x).Len())
	}
	return sum * half
}

// Length returns the length of the curve in mm, within 1e-6 mm; method:
// adaptive 16-point Gauss–Legendre quadrature of the speed. A curve that runs
// back over itself counts every run.
func (c Cubic) Length() float64 { return c.LengthBetween(0, 1) }

// LengthBetween returns the length of the stretch from t0 to t1, negative
// when t1 < t0.
func (c Cubic) LengthBetween(t0, t1 float64) float64 {
	if t0 == t1 {
		return 0
	}
	if c.evenlyStraight() {
		return c.P0.Dist(c.P3) * (t1 - t0)
	}
	return c.adaptiveLength(t0, t1, c.gauss(t0, t1), lengthDepth)
}

func (c Cubic) adaptiveLength(t0, t1, whole float64, depth int) float64 {
	mid := (t0 + t1) / 2
	a, b := c.gauss(t0, mid), c.gauss(mid, t1)
	if depth == 0 || !(math.Abs(a+b-whole) >= lengthTolerance) { // NaN ends too
		return a + b
	}
	return c.adaptiveLength(t0, mid, a, depth-1) + c.adaptiveLength(mid, t1, b, depth-1)
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
// from its start; lengths outside [0, Length] give 0 or 1. Method: Newton on
// the length with its bracket kept; accuracy 1e-9 mm of length where the
// speed does not vanish.
func (c Cubic) ParamAt(length float64) float64 {
	total := c.Length()
	if length <= 0 || total == 0 {
		return 0
	}
	if length >= total {
		return 1
	}
	lo, hi, t := 0.0, 1.0, length/total
	for range 60 {
		miss := c.LengthBetween(0, t) - length
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
