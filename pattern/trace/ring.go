package trace

import (
	"math"

	"toile/geom"
)

const (
	// pointSize: curves that stay within it, in mm, are points and dropped.
	pointSize = 1e-6

	// closeGap: an end this near the start, in mm, is the start. Programs
	// write six to eight digits; a closing line as short as their rounding
	// would make two corners out of none. It is the distance below which two
	// outlines count as the same.
	closeGap = 0.01
)

// withoutPoints drops curves that are single points and joins what is left.
func withoutPoints(curves geom.Path) geom.Path {
	var kept geom.Path
	for _, c := range curves {
		if n := len(kept); n > 0 {
			c.P0 = kept[n-1].P3
		}
		if c.P0.Dist(c.P1) > pointSize || c.P0.Dist(c.P2) > pointSize || c.P0.Dist(c.P3) > pointSize {
			kept = append(kept, c)
		}
	}
	return kept
}

// ring closes a subpath that is closed: by Z, or because it ends where it
// starts. It gives nil for an open one and for one that is a point.
func (s subpath) ring() geom.Ring {
	p := withoutPoints(s.curves)
	if len(p) == 0 {
		return nil
	}
	start, end := p.Start(), p.End()
	switch gap := end.Dist(start); {
	case gap > closeGap && !s.closed:
		return nil
	case gap > closeGap:
		p = append(p, geom.Line(end, start))
	case gap > 0:
		// The last curve is moved by the gap, growing evenly from its start.
		last, by := &p[len(p)-1], start.Sub(end)
		last.P1, last.P2, last.P3 = last.P1.Add(by.Mul(1./3)), last.P2.Add(by.Mul(2./3)), start
		p = withoutPoints(p)
	}
	if len(p) > 0 {
		p[len(p)-1].P3 = p[0].P0
	}
	return geom.Ring(p)
}

// dotDiameter: closed circles smaller than this, in mm, are dots.
const dotDiameter = 10

// smallCircle recognises a circle under 10 mm across: its points lie on one
// about the middle of its box to within one hundredth of the radius. The
// radius given is that of the curves' ends, which lie on the true circle.
func smallCircle(r geom.Ring) (centre geom.Point, radius float64, ok bool) {
	const mostCurves, samples = 200, 8
	box := r.Box()
	size := box.Size()
	if len(r) > mostCurves || math.Max(size.X, size.Y) >= dotDiameter {
		return centre, 0, false
	}
	centre = box.Centre()
	least, most := math.Inf(1), 0.0
	for _, c := range r {
		radius += c.P0.Dist(centre) / float64(len(r))
		for i := range samples {
			d := c.At(float64(i) / samples).Dist(centre)
			least, most = math.Min(least, d), math.Max(most, d)
		}
	}
	middle := (least + most) / 2
	return centre, radius, middle > 0 && most-middle <= 0.01*middle
}

// shorterThan reports whether a path is shorter than limit mm.
func shorterThan(p geom.Path, limit float64) bool {
	for _, c := range p {
		if limit -= c.Length(); limit <= 0 {
			return false
		}
	}
	return true
}

// straight reports whether a path is one straight line.
func straight(p geom.Path) bool {
	line := p.End().Sub(p.Start())
	l := line.Len()
	if l == 0 {
		return false
	}
	for _, c := range p {
		for _, q := range [3]geom.Point{c.P1, c.P2, c.P3} {
			if math.Abs(line.Cross(q.Sub(p.Start())))/l > closeGap {
				return false
			}
		}
	}
	return true
}
