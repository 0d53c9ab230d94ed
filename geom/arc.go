package geom

import "math"

// ArcHandle returns the handle length, in radii, of the cubic that stands in
// for a circular arc of the given angle: 4/3·tan(φ/4). For a quarter circle
// the radius is too great by at most 2.73e-4 of itself (Goldapp, Computer
// Aided Geometric Design 8, 1991; Riškus, Information Technology and Control
// 35, 2006; both from memory, values derived); the error falls with the sixth
// power of the angle. The sign is the angle's.
func ArcHandle(angle float64) float64 { return float64(4. / 3 * tan(angle/4)) }

// mostArcParts bounds the cubics of one arc: sixteen turns.
const mostArcParts = 64

// Arc returns the circular arc about centre from the direction start through
// sweep radians, clockwise as seen when positive: one cubic per started 90°,
// outside the circle by at most 2.73e-4 of the radius (ArcHandle). A sweep or
// radius of 0 gives one curve that is a point; numbers that are not finite pass
// through; sweeps beyond sixteen turns are divided into mostArcParts.
func Arc(centre Point, radius, start, sweep float64) Path {
	return ArcIn(centre, radius, start, sweep, quarters(sweep))
}

// quarters counts the started quarter turns of a sweep, from 1 to
// mostArcParts.
func quarters(sweep float64) int {
	n := math.Ceil(math.Abs(sweep)/(math.Pi/2) - 1e-9)
	if !(n > 1) { // not a number too
		return 1
	}
	return int(math.Min(n, mostArcParts))
}

// ArcIn returns the same arc in n equal cubics, n ≥ 1. Neighbours meet to the
// bit; handles are tangent to the circle and of the length ArcHandle gives.
func ArcIn(centre Point, radius, start, sweep float64, n int) Path {
	step := sweep / float64(n)
	k := float64(ArcHandle(step) * radius)
	var p Path
	for i := range n {
		s0, c0 := sincos(start + float64(float64(i)*step))
		s1, c1 := sincos(start + float64(float64(i+1)*step))
		a := centre.Add(Pt(c0, s0).Mul(radius))
		b := centre.Add(Pt(c1, s1).Mul(radius))
		if i > 0 {
			a = p[i-1].P3
		}
		p = append(p, Cubic{a, a.Add(Pt(-s0, c0).Mul(k)), b.Sub(Pt(-s1, c1).Mul(k)), b})
	}
	return p
}

// Circle returns the whole circle as a clockwise ring of four cubics.
func Circle(centre Point, radius float64) Ring {
	r := Ring(Arc(centre, radius, 0, 2*math.Pi))
	r[len(r)-1].P3 = r[0].P0
	return r
}

// arcParts returns how many cubics keep an arc within tol of the true circle:
// the radial error of one falls with the sixth power of its angle, from
// 2.7253e-4 of the radius at 90°; for smaller angles the true error is a
// little less than that.
func arcParts(radius, sweep, tol float64) int {
	n := quarters(sweep)
	for n < mostArcParts {
		x := math.Abs(sweep) / float64(n) / (math.Pi / 2)
		x *= x * x
		if radius*2.7253e-4*(x*x) <= tol {
			break
		}
		n++
	}
	return n
}

// EllipticalArc returns the arc of SVG's path command A from a to b: radii,
// x axis turned by axis radians, the large and the clockwise (sweep) flags.
// Radii too small are scaled up, a zero radius is a line, equal ends give
// nothing, as the SVG specification (W3C, SVG 1.1, appendix F.6) says. The
// result stays within tol of the true ellipse, or as near as mostArcParts
// cubics come, 2e-11 of the greater radius. Its ends are a and b to the bit.
// Numbers that are not finite pass through.
func EllipticalArc(a, b Point, rx, ry, axis float64, large, clockwise bool, tol float64) Path {
	if a == b {
		return nil
	}
	rx, ry = math.Abs(rx), math.Abs(ry)
	if rx == 0 || ry == 0 {
		return Path{Line(a, b)}
	}
	h := a.Sub(b).Mul(0.5).Turn(-axis)
	// In units of the radii the ellipse is a circle of radius 1, half the chord
	// is u, and the centre lies off its middle by √(1/u² − 1) of it, square to it.
	u := Pt(h.X/rx, h.Y/ry)
	l := u.Len()
	if l < 1e-150 { // the ellipse is a line as far as numbers reach
		return Path{Line(a, b)}
	} else if l > 1 {
		rx, ry, u = rx*l, ry*l, u.Mul(1/l)
	}
	f := math.Sqrt(math.Max(0, 1/u.Dot(u)-1))
	if large == clockwise {
		f = -f
	}
	c := Pt(float64(f*u.Y*rx), float64(-f*u.X*ry))
	centre := c.Turn(axis).Add(a.Lerp(b, 0.5))
	from := Pt((h.X-c.X)/rx, (h.Y-c.Y)/ry)
	to := Pt((-h.X-c.X)/rx, (-h.Y-c.Y)/ry)
	sweep := AngleBetween(from, to)
	if clockwise && sweep < 0 {
		sweep += 2 * math.Pi
	} else if !clockwise && sweep > 0 {
		sweep -= 2 * math.Pi
	}
	unit := ArcIn(Point{}, 1, from.Angle(), sweep, arcParts(math.Max(rx, ry), sweep, tol))
	place := func(p Point) Point { return Pt(float64(p.X*rx), float64(p.Y*ry)).Turn(axis).Add(centre) }
	out := make(Path, len(unit))
	for i, u := range unit {
		out[i] = Cubic{place(u.P0), place(u.P1), place(u.P2), place(u.P3)}
	}
	out[0].P0, out[len(out)-1].P3 = a, b
	for i := 1; i < len(out); i++ {
		out[i].P0 = out[i-1].P3
	}
	return out
}
