package geom

import "math"

// Through lays a smooth curve through the points, as a flexible ruler held at
// each of them lies: one cubic between each two, with continuous direction
// and curvature. Two points give a straight line.
//
// Method: the C² cubic spline over the length of the chords (de Boor, A
// Practical Guide to Splines, 1978, chapter IV). With four points or more the
// ends are 'not-a-knot' (the first two pieces are one polynomial, and the
// last two), which keeps the order of accuracy up to the ends. With three,
// the end directions are those of the circle through them.
//
// Accuracy: a quarter circle of 100 to 200 mm radius measured every 20 mm
// comes out within 0.01 mm, but for the error of the measures themselves,
// which a spline passes on, less than doubled even near its ends.
func Through(p []Point) Path {
	n := len(p)
	switch {
	case n == 2:
		return Path{Line(p[0], p[1])}
	case n == 3:
		a, b := circleTangents(p[0], p[1], p[2])
		return hermite(p, chordLengths(p), clamped(p, a, b))
	}
	return hermite(p, chordLengths(p), notAKnot(p))
}

// ThroughClosed lays the same curve through the points and back to the first,
// smooth all round: the spline of the points gone round three times, of which
// the middle round is kept. What the ends of the run do fades by a factor of
// about 3.7 a point, so the run is long enough when it overlaps by 40 points.
func ThroughClosed(p []Point) Path {
	n := len(p)
	lap := n * max(1, (40+n-1)/n)
	run := make([]Point, 0, 2*lap+n+1)
	for i := range 2*lap + n + 1 {
		run = append(run, p[i%n])
	}
	round := Through(run)[lap : lap+n]
	round[n-1].P3 = round[0].P0
	return round
}

// chordLengths gives the distance from each point to the next.
func chordLengths(p []Point) []float64 {
	h := make([]float64, len(p)-1)
	for i := range h {
		h[i] = p[i].Dist(p[i+1])
	}
	return h
}

// hermite makes the cubics from points and derivatives m over steps h.
func hermite(p []Point, h []float64, m []Point) Path {
	path := make(Path, len(h))
	for i := range h {
		path[i] = Cubic{
			P0: p[i], P1: p[i].Add(m[i].Mul(h[i] / 3)),
			P2: p[i+1].Sub(m[i+1].Mul(h[i] / 3)), P3: p[i+1],
		}
	}
	return path
}

// tridiagonal holds rows lower·m[i−1] + diagonal·m[i] + upper·m[i+1] = right.
type tridiagonal struct {
	lower, diagonal, upper []float64
	right                  []Point
}

// interior sets the rows that make the second derivative continuous.
func interior(p []Point, h []float64) tridiagonal {
	n := len(p)
	t := tridiagonal{make([]float64, n), make([]float64, n), make([]float64, n), make([]Point, n)}
	for i := 1; i < n-1; i++ {
		t.lower[i], t.diagonal[i], t.upper[i] = h[i], 2*(h[i-1]+h[i]), h[i-1]
		t.right[i] = slope(p, h, i-1).Mul(3 * h[i]).Add(slope(p, h, i).Mul(3 * h[i-1]))
	}
	return t
}

func slope(p []Point, h []float64, i int) Point { return p[i+1].Sub(p[i]).Mul(1 / h[i]) }

// clamped gives the derivatives for given directions at the ends.
func clamped(p []Point, first, last Point) []Point {
	t := interior(p, chordLengths(p))
	n := len(p)
	t.diagonal[0], t.right[0] = 1, first
	t.diagonal[n-1], t.right[n-1] = 1, last
	return t.solve()
}

// notAKnot gives the derivatives when the third derivative is continuous at
// the second point and the last but one.
func notAKnot(p []Point) []Point {
	h, n := chordLengths(p), len(p)
	t := interior(p, h)
	end := func(a, b float64, s, next Point) Point {
		return s.Mul(float64((a + 2*(a+b)) * b)).Add(next.Mul(float64(a * a))).Mul(1 / (a + b))
	}
	t.diagonal[0], t.upper[0] = h[1], h[0]+h[1]
	t.right[0] = end(h[0], h[1], slope(p, h, 0), slope(p, h, 1))
	a, b := h[n-2], h[n-3]
	t.diagonal[n-1], t.lower[n-1] = b, a+b
	t.right[n-1] = end(a, b, slope(p, h, n-2), slope(p, h, n-3))
	return t.solve()
}

// solve runs the elimination without pivoting; the systems above have no zero
// pivot.
func (t tridiagonal) solve() []Point {
	n := len(t.diagonal)
	for i := 1; i < n; i++ {
		f := t.lower[i] / t.diagonal[i-1]
		t.diagonal[i] -= float64(f * t.upper[i-1])
		t.right[i] = t.right[i].Sub(t.right[i-1].Mul(f))
	}
	m := t.right
	m[n-1] = m[n-1].Mul(1 / t.diagonal[n-1])
	for i := n - 2; i >= 0; i-- {
		m[i] = m[i].Sub(m[i+1].Mul(t.upper[i])).Mul(1 / t.diagonal[i])
	}
	return m
}

// circleTangents gives the directions of travel at a and c along the circle
// through a, b, c, as long as the arc is longer than the chords: the tangent
// at a makes with ab the angle that cb makes with ca. On a line it is the
// line's direction.
func circleTangents(a, b, c Point) (Point, Point) {
	ab, bc, ac := b.Sub(a), c.Sub(b), c.Sub(a)
	if math.Abs(AngleBetween(ab, bc)) > 3 { // there and back: no circle to speak of
		return ab.Unit(), bc.Unit()
	}
	atC, atA := AngleBetween(ac, bc), AngleBetween(ab, ac)
	return ab.Unit().Turn(-atC).Mul(arcOverChord(atC)), bc.Unit().Turn(atA).Mul(arcOverChord(atA))
}

// arcOverChord is the ratio of an arc to its chord, half the arc's angle
// given.
func arcOverChord(half float64) float64 {
	if math.Abs(half) < 1e-6 {
		return 1
	}
	sin, _ := sincos(half)
	return half / sin
}
