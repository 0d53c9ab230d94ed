package geom

import (
	"math"
	"slices"
)

// stubSize is the length of a handle, as a share of 100 mm and the control
// polygon, below which it counts as zero: above 3e-9, up to which a handle can
// leave the fit too few digits beside the end, and far below the 0.001 mm of
// stored coordinates.
const stubSize = 1e-8

// withoutStubs returns the curve with handles of next to no length made zero.
// It moves by less than their length. At either end the controls that follow
// the end in turn are looked at, so that both may come to lie in it.
func (c Cubic) withoutStubs() Cubic {
	size := stubSize * (100 + c.hull())
	if c.P1.Dist(c.P0) <= size {
		c.P1 = c.P0
		if c.P2.Dist(c.P0) <= size {
			c.P2 = c.P0
		}
	}
	if c.P2.Dist(c.P3) <= size {
		c.P2 = c.P3
		if c.P1.Dist(c.P3) <= size {
			c.P1 = c.P3
		}
	}
	return c
}

// withoutStubs is the path with each of its curves made so; the path itself
// where that changes nothing.
func (p Path) withoutStubs() Path {
	out := p
	for i, c := range p {
		if q := c.withoutStubs(); q != c {
			if &out[0] == &p[0] {
				out = slices.Clone(p)
			}
			out[i] = q
		}
	}
	return out
}

// hasDirection reports whether the curve is more than a point, and does not run
// back to its start on a line.
func (c Cubic) hasDirection() bool {
	if c.hull() <= pointSize {
		return false
	}
	line, ok := c.asLine()
	return !ok || !(line.P0.Dist(line.P3) <= pointSize)
}

// asLine returns the line between the ends of a curve whose controls all lie
// on it, whatever its speed.
func (c Cubic) asLine() (Cubic, bool) {
	far := c.P3
	for _, p := range [2]Point{c.P1, c.P2} {
		if p.Dist(c.P0) > far.Dist(c.P0) {
			far = p
		}
	}
	u := far.Sub(c.P0).Unit()
	for _, p := range [3]Point{c.P1, c.P2, c.P3} {
		if math.Abs(u.Cross(p.Sub(c.P0))) > offsetFlat {
			return Cubic{}, false
		}
	}
	return Line(c.P0, c.P3), true
}
