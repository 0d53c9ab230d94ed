package geom

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// sameDirection is the greatest angle in radians between the tangents of two
// curves that are taken to coincide: two edges that cross at a corner come
// within any tolerance of each other near it, but not in the same direction.
const sameDirection = 0.05

// breakpointGap is the distance in mm within which two breakpoints on a curve
// are one. It lies far above the error of a projection (1e-9) and far below
// the 0.001 mm of stored coordinates.
const breakpointGap = 1e-5

// Match finds the stretches on which the two rings coincide within tol,
// whatever their divisions and directions. Method: for each pair of curves
// whose boxes touch, the ends of each are projected onto the other; the range
// common to both is accepted when the control points of the two parts agree,
// or, for other parametrisations of the same line, when sampled distances do.
// A deviation that grows from zero, as beside a pivot, is accepted only for
// whole common ranges, never cut where it leaves the tolerance. Near n·log n
// for outlines. With a tol that is negative or no number nothing coincides.
func Match(a, b Ring, tol float64) []Stretch {
	boxes := make([]Box, 0, len(a)+len(b))
	for _, c := range a {
		boxes = append(boxes, c.HullBox().Grow(tol))
	}
	for _, c := range b {
		boxes = append(boxes, c.HullBox())
	}
	var found []Stretch
	newBoxTree(boxes).pairs(func(i, j int) bool {
		if j -= len(a); i < len(a) && j >= 0 {
			if s, ok := matchCubics(a[i], b[j], tol); ok {
				s.A, s.B = i, j
				found = append(found, s)
			}
		}
		return true
	})
	slices.SortFunc(found, func(s, o Stretch) int { return cmp.Or(cmp.Compare(s.A, o.A), cmp.Compare(s.B, o.B)) })
	return tidyStretches(a, b, found, tol)
}

// paired is a place common to two curves: t on the one, u on the other.
type paired struct{ t, u float64 }

// commonEnds lists the ends of each curve that lie within tol of the other,
// with their places on both. Two ends within tol of each other are one place,
// so that outlines whose nodes differ by less than the tolerance still match
// node to node and leave no slivers between.
func commonEnds(c, d Cubic, tol float64) []paired {
	ends := make([]paired, 0, 4)
	var metC, metD [2]bool
	for i, p := range [2]Point{c.P0, c.P3} {
		for j, q := range [2]Point{d.P0, d.P3} {
			if p.Dist(q) <= tol {
				metC[i], metD[j] = true, true
				ends = append(ends, paired{float64(i), float64(j)})
			}
		}
	}
	for j, q := range [2]Point{d.P0, d.P3} {
		if metD[j] {
			continue
		}
		if t, dist := c.Nearest(q); dist <= tol {
			ends = append(ends, paired{snapEnd(c, t), float64(j)})
		}
	}
	for i, p := range [2]Point{c.P0, c.P3} {
		if metC[i] {
			continue
		}
		if u, dist := d.Nearest(p); dist <= tol {
			ends = append(ends, paired{float64(i), snapEnd(d, u)})
		}
	}
	return ends
}

// matchCubics finds the common range of two curves.
func matchCubics(c, d Cubic, tol float64) (Stretch, bool) {
	ends := commonEnds(c, d, tol)
	if len(ends) < 2 {
		return Stretch{}, false
	}
	sort.SliceStable(ends, func(i, j int) bool { return ends[i].t < ends[j].t })
	first, last := ends[0], ends[len(ends)-1]
	s := Stretch{A0: first.t, A1: last.t, B0: first.u, B1: last.u}
	if s.A1 <= s.A0 || s.B0 == s.B1 {
		return Stretch{}, false
	}
	dev, ok := coincide(c.Part(s.A0, s.A1), orderedPart(d, s.B0, s.B1), tol)
	s.Deviation = dev
	return s, ok
}

// snapEnd replaces a parameter within breakpointGap of an end by the end.
func snapEnd(c Cubic, t float64) float64 {
	switch {
	case t < 0.5 && c.At(t).Dist(c.P0) <= breakpointGap:
		return 0
	case t > 0.5 && c.At(t).Dist(c.P3) <= breakpointGap:
		return 1
	}
	return t
}

// orderedPart is Part for u0 > u1 too: then it runs backwards.
func orderedPart(c Cubic, u0, u1 float64) Cubic {
	if u0 <= u1 {
		return c.Part(u0, u1)
	}
	return c.Part(u1, u0).Reverse()
}

// coincideSamples is the number of inner points compared when control points
// do not agree, besides those where a curve turns along or across its chord;
// the deviation of two cubics within tol at these and at both ends exceeds it
// between them by little.
const coincideSamples = 9

// coincide reports whether two curves lie within tol of each other along
// their whole length in the same direction, and the deviation.
func coincide(p, q Cubic, tol float64) (float64, bool) {
	length := p.P0.Dist(p.P3)
	if hull := p.hull(); hull <= breakpointGap || q.hull() <= breakpointGap {
		return 0, false
	} else if length < breakpointGap {
		length = hull
	}
	if !parallelAt(p, q, 0.5, 0.5) {
		return 0, false
	}
	dev := max(p.P0.Dist(q.P0), p.P1.Dist(q.P1), p.P2.Dist(q.P2), p.P3.Dist(q.P3))
	if dev <= tol && dev*10 <= length {
		return dev, true
	}
	dev = 0
	for k := 0; k <= coincideSamples+1; k++ {
		t := float64(k) / (coincideSamples + 1)
		u, near := q.Nearest(p.At(t))
		_, back := p.Nearest(q.At(t))
		dev = max(dev, near, back)
		if dev > tol || !parallelAt(p, q, t, u) {
			return dev, false
		}
	}
	for _, pair := range [2][2]Cubic{{p, q}, {q, p}} {
		for _, t := range pair[0].turns(q.P3.Sub(q.P0)) {
			_, near := pair[1].Nearest(pair[0].At(t))
			if dev = max(dev, near); dev > tol {
				return dev, false
			}
		}
	}
	return dev, dev*10 <= length
}

// turns lists the inner parameters at which the curve turns along a direction
// or across it.
func (c Cubic) turns(along Point) []float64 {
	u, v, w := c.P1.Sub(c.P0), c.P2.Sub(c.P1), c.P3.Sub(c.P2)
	var ts []float64
	for _, d := range [2]Point{along, along.Left()} {
		a, b, e := u.Dot(d), v.Dot(d), w.Dot(d)
		for _, t := range quadraticRoots(a-float64(2*b)+e, 2*(b-a), a) {
			if t > 0 && t < 1 {
				ts = append(ts, t)
			}
		}
	}
	return ts
}

func parallelAt(p, q Cubic, t, u float64) bool {
	a, b := p.Tangent(t), q.Tangent(u)
	if a == (Point{}) || b == (Point{}) {
		return true
	}
	return math.Abs(AngleBetween(a, b)) <= sameDirection
}

// tidyStretches brings the stretches to a form in which neighbours meet to
// the bit: breakpoints of a curve that lie together become one, and where two
// stretches overlap on A or on B one gives way (dropOverlaps).
func tidyStretches(a, b Ring, s []Stretch, tol float64) []Stretch {
	joinBreakpoints(a, s, func(x *Stretch) (int, *float64, *float64) { return x.A, &x.A0, &x.A1 })
	joinBreakpoints(b, s, func(x *Stretch) (int, *float64, *float64) { return x.B, &x.B0, &x.B1 })
	s = dropOverlaps(a, b, s, tol)
	out := s[:0]
	for _, x := range s {
		if x.A1 > x.A0 && x.B0 != x.B1 {
			out = append(out, x)
		}
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].A != out[j].A {
			return out[i].A < out[j].A
		}
		return out[i].A0 < out[j].A0
	})
	return out
}

func joinBreakpoints(r Ring, s []Stretch, side func(*Stretch) (int, *float64, *float64)) {
	byCurve := make(map[int][]*float64)
	for k := range s {
		i, t0, t1 := side(&s[k])
		byCurve[i] = append(byCurve[i], t0, t1)
	}
	for i := range r {
		ts := byCurve[i]
		sort.Slice(ts, func(x, y int) bool { return *ts[x] < *ts[y] })
		for from := 0; from < len(ts); {
			to := from + 1
			for to < len(ts) && together(r[i], *ts[to-1], *ts[to]) {
				to++
			}
			t := *ts[from]
			if *ts[to-1] == 1 {
				t = 1
			}
			for _, x := range ts[from:to] {
				*x = t
			}
			from = to
		}
	}
}

// together reports whether two breakpoints are one: a curve that runs back over
// itself passes a place twice, and those are two.
func together(c Cubic, t, u float64) bool {
	return c.At(t).Dist(c.At(u)) <= breakpointGap && (t == u || c.Part(t, u).hull() <= 4*breakpointGap)
}
