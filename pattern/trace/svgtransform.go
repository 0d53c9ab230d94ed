package trace

import (
	"fmt"
	"math"
	"strings"

	"toile/geom"
)

// matrix is the affine map x' = A·x + C·y + E, y' = B·x + D·y + F, in the
// order of SVG's matrix(a b c d e f).
type matrix struct{ A, B, C, D, E, F float64 }

var identity = matrix{A: 1, D: 1}

func scaling(x, y float64) matrix     { return matrix{A: x, D: y} }
func translation(x, y float64) matrix { return matrix{1, 0, 0, 1, x, y} }

// times is the map that applies n first and m after it: the product m·n.
func (m matrix) times(n matrix) matrix {
	x, y, shift := m.vector(n.A, n.B), m.vector(n.C, n.D), m.apply(geom.Pt(n.E, n.F))
	return matrix{x.X, x.Y, y.X, y.Y, shift.X, shift.Y}
}

func (m matrix) apply(p geom.Point) geom.Point { return m.vector(p.X, p.Y).Add(geom.Pt(m.E, m.F)) }

// vector maps a direction. The products are rounded one by one, so that every
// processor gives the same outline.
func (m matrix) vector(x, y float64) geom.Point {
	return geom.Pt(float64(m.A*x)+float64(m.C*y), float64(m.B*x)+float64(m.D*y))
}

func (m matrix) applyCubic(c geom.Cubic) geom.Cubic {
	return geom.Cubic{P0: m.apply(c.P0), P1: m.apply(c.P1), P2: m.apply(c.P2), P3: m.apply(c.P3)}
}

// singular reports whether the map flattens the plane; SVG then draws nothing.
func (m matrix) singular() bool { return m.A*m.D-m.B*m.C == 0 }

func (m matrix) finite() bool {
	sum := m.A + m.B + m.C + m.D + m.E + m.F
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

// stretch is an upper bound of how much the map lengthens: its Frobenius norm.
func (m matrix) stretch() float64 { return math.Hypot(math.Hypot(m.A, m.B), math.Hypot(m.C, m.D)) }

// parseTransform reads a transform attribute: a list of matrix, translate,
// scale, rotate, skewX and skewY (W3C, SVG 1.1, section 7.6).
func parseTransform(s string) (matrix, error) {
	m := identity
	for rest := strings.Trim(s, " \t\r\n\f,"); rest != ""; rest = strings.TrimLeft(rest, " \t\r\n\f,") {
		name, after, open := strings.Cut(rest, "(")
		inner, after, closed := strings.Cut(after, ")")
		if !open || !closed {
			return m, fmt.Errorf("transform %s is not complete", quote(s))
		}
		v, err := numberList(inner)
		if err != nil {
			return m, fmt.Errorf("transform %s: %w", quote(s), err)
		}
		step, ok := transformStep(strings.TrimSpace(name), v)
		if !ok {
			return m, fmt.Errorf("transform %s: %s with %d numbers is not known", quote(s), quote(name), len(v))
		}
		m = m.times(step)
		rest = after
	}
	if !m.finite() {
		return m, fmt.Errorf("transform %s goes beyond what numbers can hold", quote(s))
	}
	return m, nil
}

// transformStep is one function of a transform list; angles are in degrees.
func transformStep(name string, v []float64) (matrix, bool) {
	at := func(i int, otherwise float64) float64 {
		if i < len(v) {
			return v[i]
		}
		return otherwise
	}
	n := len(v)
	switch {
	case name == "matrix" && n == 6:
		return matrix{v[0], v[1], v[2], v[3], v[4], v[5]}, true
	case name == "translate" && (n == 1 || n == 2):
		return translation(v[0], at(1, 0)), true
	case name == "scale" && (n == 1 || n == 2):
		return scaling(v[0], at(1, v[0])), true
	case name == "rotate" && (n == 1 || n == 3):
		x, y := at(1, 0), at(2, 0)
		return translation(x, y).times(rotation(v[0])).times(translation(-x, -y)), true
	case name == "skewX" && n == 1:
		return matrix{A: 1, C: math.Tan(v[0] * math.Pi / 180), D: 1}, true
	case name == "skewY" && n == 1:
		return matrix{A: 1, B: math.Tan(v[0] * math.Pi / 180), D: 1}, true
	}
	return identity, false
}

// rotation turns clockwise as seen by the angle in degrees; quarter turns
// are exact.
func rotation(degrees float64) matrix {
	s, c := math.Sincos(math.Mod(degrees, 360) * math.Pi / 180)
	if math.Mod(degrees, 90) == 0 {
		s, c = math.Round(s), math.Round(c)
	}
	return matrix{c, s, -s, c, 0, 0}
}
