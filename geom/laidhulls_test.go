package geom

import (
	"cmp"
	"math"
	"slices"
)

// markUnsure marks the chords whose hulls may meet another chord, of the other
// outline or of their own. Candidates come from a sweep over x.
func markUnsure(all []*chord) {
	type item struct {
		box Box
		c   *chord
	}
	items := make([]item, len(all))
	for i, c := range all {
		items[i] = item{c.c.HullBox(), c}
	}
	slices.SortFunc(items, func(p, q item) int { return cmp.Compare(p.box.Min.X, q.box.Min.X) })
	var active []item
	for _, x := range items {
		kept := active[:0]
		for _, y := range active {
			if y.box.Max.X < x.box.Min.X {
				continue
			}
			kept = append(kept, y)
			p, q := x.c, y.c
			if p.hull+q.hull == 0 || (p.unsure && q.unsure) {
				continue
			}
			if x.box.Min.Y <= y.box.Max.Y && y.box.Min.Y <= x.box.Max.Y && !hullsApart(p.c, q.c) {
				p.unsure, q.unsure = true, true
			}
		}
		active = append(kept, x)
	}
}

// hullsApart reports whether the hulls of two cubics' control points certainly
// have no point in common but a common end.
func hullsApart(c, d Cubic) bool {
	for _, p := range []Point{c.P0, c.P3} {
		if p == d.P0 || p == d.P3 {
			return conesApart(coneAt(c, p), coneAt(d, p))
		}
	}
	return separated(c, d) || separated(d, c)
}

// separated reports whether a normal of one of c's control lines separates the
// hulls. For convex sets with corners at the control points one of the two
// sets' lines does whenever any line does.
func separated(c, d Cubic) bool {
	p, q := [4]Point{c.P0, c.P1, c.P2, c.P3}, [4]Point{d.P0, d.P1, d.P2, d.P3}
	for i := range 4 {
		for j := range i {
			n := p[i].Sub(p[j]).Left()
			if n == (Point{}) {
				continue
			}
			n = n.Unit()
			lo, hi := extent(n, p, p[0])
			lo2, hi2 := extent(n, q, p[0])
			if gap := max(lo2-hi, lo-hi2); gap > 1e-9 {
				return true
			}
		}
	}
	return false
}

// extent is how far points reach along a direction, counted from origin.
func extent(n Point, points [4]Point, origin Point) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range points {
		x := n.Dot(p.Sub(origin))
		lo, hi = min(lo, x), max(hi, x)
	}
	return lo, hi
}

// cone is the directions from a corner of a hull to the others: from lo to hi
// about the direction mid.
type cone struct {
	mid    Point
	lo, hi float64
}

func coneAt(c Cubic, corner Point) cone {
	k := cone{}
	if corner == c.P0 {
		k.mid = c.P3.Sub(corner)
	} else {
		k.mid = c.P0.Sub(corner)
	}
	for _, p := range []Point{c.P0, c.P1, c.P2, c.P3} {
		if p == corner {
			continue
		}
		angle := AngleBetween(k.mid, p.Sub(corner))
		k.lo, k.hi = min(k.lo, angle), max(k.hi, angle)
	}
	return k
}

// conesApart reports whether two cones with a common corner have no direction
// in common.
func conesApart(a, b cone) bool {
	if a.hi-a.lo >= math.Pi || b.hi-b.lo >= math.Pi || a.mid == (Point{}) || b.mid == (Point{}) {
		return false
	}
	turn := AngleBetween(a.mid, b.mid)
	for _, full := range []float64{-2 * math.Pi, 0, 2 * math.Pi} {
		if lo, hi := turn+full+b.lo, turn+full+b.hi; lo <= a.hi+1e-9 && hi >= a.lo-1e-9 {
			return false
		}
	}
	return true
}

// microLoop is how long in mm a loop may be that unlooped takes out: some
// tolerances of matching.
const microLoop = 0.15

// unlooped takes out the tiny loops that B's outline makes where its own curve
// overshoots A's, within the tolerance, before a joint leads back; the
// reference takes no polygon that crosses itself. It returns the cuts, and the
// area that the loops held. Their sides cross, so their lenses are in doubt
// already.
func unlooped(points []Point) (out []Point, cuts []edgeCut, lost float64) {
	out = slices.Clone(points)
	for i := 0; i < len(out); i++ {
		n, way := len(out), 0.0
		at := func(k int) Point { return out[(i+k)%n] }
		for k := 2; k < n-1; k++ {
			if way += at(k - 1).Dist(at(k)); way > microLoop {
				break
			}
			x, ok := crossing(at(0), at(1), at(k), at(k+1))
			if !ok {
				continue
			}
			for _, end := range []Point{at(0), at(1), at(k), at(k + 1)} {
				if x.Dist(end) < 1e-9 { // a node that lies on the other edge
					x = end
				}
			}
			loop, rest := []Point{x}, []Point{x}
			for j := 1; j <= n; j++ {
				if j <= k {
					loop = append(loop, at(j))
				} else if at(j) != x {
					rest = append(rest, at(j))
				}
			}
			lost += math.Abs(ringArea(Polygon(loop...)))
			cuts = append(cuts, edgeCut{at(0), at(1), x}, edgeCut{at(k), at(k + 1), x})
			out, i = rest, -1 // from the start: loops are few
			break
		}
	}
	return out, cuts, lost
}

// edgeCut is a polygon's edge from p to q, cut at x.
type edgeCut struct{ p, q, x Point }

// cutAt cuts the edges of a polygon where another that shares them was cut, so
// that they still run on each other to the bit.
func cutAt(points []Point, cuts []edgeCut) []Point {
	for _, c := range cuts {
		for i, p := range points {
			q := points[(i+1)%len(points)]
			if ((p == c.p && q == c.q) || (p == c.q && q == c.p)) && c.x != p && c.x != q {
				points = slices.Insert(points, i+1, c.x)
				break
			}
		}
	}
	return points
}

// crossing returns the point in which two segments cross or one touches the
// other.
func crossing(a, b, c, d Point) (Point, bool) {
	u, v, w := b.Sub(a), d.Sub(c), c.Sub(a)
	det := u.Cross(v)
	if det == 0 {
		return Point{}, false
	}
	s, t := w.Cross(v)/det, w.Cross(u)/det
	if !(s >= 0 && s <= 1 && t >= 0 && t <= 1) {
		return Point{}, false
	}
	return a.Add(u.Mul(s)), true
}
