package geom

import "math"

// ArcHandle returns the handle length, in radii, of the cubic that stands in
// for a circular arc of the given angle: 4/3·tan(φ/4). For a quarter circle
// the radius is too great by at most 2.73e-4 of itself (Goldapp, Computer
// Aided Geometric Design 8, 1991; Riškus, Information Technology and Control
// 35, 2006; both from memory, values derived).
func ArcHandle(angle float64) float64 { return 4. / 3 * math.Tan(angle/4) }

// Arc returns the circular arc about centre from the direction start through
// sweep radians, clockwise as seen when positive: one cubic per started 90°.
func Arc(centre Point, radius, start, sweep float64) Path {
	n := int(math.Ceil(math.Abs(sweep)/(math.Pi/2) - 1e-9))
	return ArcIn(centre, radius, start, sweep, max(n, 1))
}

// ArcIn returns the same arc in n equal cubics.
func ArcIn(centre Point, radius, start, sweep float64, n int) Path {
	step := sweep / float64(n)
	k := ArcHandle(step) * radius
	var p Path
	for i := range n {
		s0, c0 := math.Sincos(start + float64(i)*step)
		s1, c1 := math.Sincos(start + float64(i+1)*step)
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

// arcParts returns how many cubics keep an arc within tol of the true circle.
// The radial error of one cubic over φ is close to 2·r·φ⁶/(27·4⁶)… for small
// angles; doubling the parts divides it by 64, so a search by doubling from
// the known error at 90° is enough.
func arcParts(radius, sweep, tol float64) int {
	n := max(1, int(math.Ceil(math.Abs(sweep)/(math.Pi/2)-1e-9)))
	for n < 64 {
		part := math.Abs(sweep) / float64(n)
		if radius*2.7253e-4*math.Pow(part/(math.Pi/2), 6) <= tol {
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
// result stays within tol of the true ellipse.
func EllipticalArc(a, b Point, rx, ry, axis float64, large, clockwise bool, tol float64) Path {
	if a == b {
		return nil
	}
	rx, ry = math.Abs(rx), math.Abs(ry)
	if rx == 0 || ry == 0 {
		return Path{Line(a, b)}
	}
	h := a.Sub(b).Mul(0.5).Turn(-axis)
	if l := (h.X*h.X)/(rx*rx) + (h.Y*h.Y)/(ry*ry); l > 1 {
		rx, ry = rx*math.Sqrt(l), ry*math.Sqrt(l)
	}
	num := rx*rx*ry*ry - rx*rx*h.Y*h.Y - ry*ry*h.X*h.X
	f := math.Sqrt(math.Max(0, num/(rx*rx*h.Y*h.Y+ry*ry*h.X*h.X)))
	if large == clockwise {
		f = -f
	}
	c := Pt(f*rx*h.Y/ry, -f*ry*h.X/rx)
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
	place := func(p Point) Point { return Pt(p.X*rx, p.Y*ry).Turn(axis).Add(centre) }
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
