package geom

import "math"

// flatSteps returns the number of even parameter steps that keep the chords
// within tol of the curve. Method: the second difference bounds the second
// derivative by 6·d, and a chord over a step h is off by at most h²/8 of it.
func (c Cubic) flatSteps(tol float64) int {
	if c.evenlyStraight() {
		return 1
	}
	d := math.Max(c.P0.Sub(c.P1.Mul(2)).Add(c.P2).Len(), c.P1.Sub(c.P2.Mul(2)).Add(c.P3).Len())
	n := int(math.Ceil(math.Sqrt(0.75 * d / tol)))
	return min(max(n, 1), 4096)
}

// Flatten returns points along the curve, both ends included, whose chords
// stay within tol of it.
func (c Cubic) Flatten(tol float64) []Point {
	n := c.flatSteps(tol)
	points := make([]Point, 0, n+1)
	points = append(points, c.P0)
	for k := 1; k < n; k++ {
		points = append(points, c.At(float64(k)/float64(n)))
	}
	return append(points, c.P3)
}

// Flatten returns points along the path, each node once.
func (p Path) Flatten(tol float64) []Point {
	var points []Point
	for i, c := range p {
		f := c.Flatten(tol)
		if i > 0 {
			f = f[1:]
		}
		points = append(points, f...)
	}
	return points
}
