package geom

import "math"

// Path is a run of curves, each starting where the one before ends. Unless a
// method says otherwise, gaps between its curves are passed over, and an empty
// path has no length and no points.
type Path []Cubic

// Ring is a closed path: the last curve ends where the first starts. A ring
// that runs clockwise as seen has a positive area.
type Ring []Cubic

// Polyline is the path of straight lines through the points.
func Polyline(points ...Point) Path {
	var p Path
	for i := 1; i < len(points); i++ {
		p = append(p, Line(points[i-1], points[i]))
	}
	return p
}

// Polygon is the ring of straight lines through the points.
func Polygon(points ...Point) Ring {
	if len(points) == 0 {
		return nil
	}
	return append(Ring(Polyline(points...)), Line(points[len(points)-1], points[0]))
}

// Start returns the first point; the path must not be empty.
func (p Path) Start() Point { return p[0].P0 }

// End returns the last point; the path must not be empty.
func (p Path) End() Point { return p[len(p)-1].P3 }

// StartTangent returns the unit direction in which the path leaves its start,
// passing over curves that are single points.
func (p Path) StartTangent() Point {
	for _, c := range p {
		if d := c.Tangent(0); d != (Point{}) {
			return d
		}
	}
	return Point{}
}

// EndTangent returns the unit direction of travel at the path's end.
func (p Path) EndTangent() Point {
	for i := len(p) - 1; i >= 0; i-- {
		if d := p[i].Tangent(1); d != (Point{}) {
			return d
		}
	}
	return Point{}
}

// Reverse returns the path run the other way.
func (p Path) Reverse() Path {
	r := make(Path, len(p))
	for i, c := range p {
		r[len(p)-1-i] = c.Reverse()
	}
	return r
}

// Moved returns the path after a rigid motion.
func (p Path) Moved(m Motion) Path {
	r := make(Path, len(p))
	for i, c := range p {
		r[i] = c.Moved(m)
	}
	return r
}

// Length returns the path's length in mm, within 1e-6 mm a curve.
func (p Path) Length() float64 {
	sum := 0.0
	for _, c := range p {
		sum += c.Length()
	}
	return sum
}

// Box returns the exact bounds of the path.
func (p Path) Box() Box {
	b := EmptyBox()
	for _, c := range p {
		b = b.Union(c.Box())
	}
	return b
}

// Place is a position on a path: curve index and parameter.
type Place struct {
	Curve int
	T     float64
}

// PlaceAt returns the place at the given length in mm along the path from its
// start; lengths outside the path give its ends. Accuracy as for
// Cubic.ParamAt.
func (p Path) PlaceAt(length float64) Place {
	for i, c := range p {
		l := c.Length()
		if length <= l || i == len(p)-1 {
			return Place{i, c.ParamAt(length)}
		}
		length -= l
	}
	return Place{}
}

// At returns the point at a place.
func (p Path) At(at Place) Point { return p[at.Curve].At(at.T) }

// PointAt returns the point at the given length along the path.
func (p Path) PointAt(length float64) Point { return p.At(p.PlaceAt(length)) }

// TangentAt returns the unit direction of travel at the given length. At a
// node it is the direction in which the path arrives.
func (p Path) TangentAt(length float64) Point {
	at := p.PlaceAt(length)
	return p[at.Curve].Tangent(at.T)
}

// CurvatureAt returns the signed curvature in 1/mm at the given length,
// positive where the path turns clockwise as seen; 0 where it comes to rest. At
// a node it is that of the curve that ends there.
func (p Path) CurvatureAt(length float64) float64 {
	at := p.PlaceAt(length)
	return p[at.Curve].Curvature(at.T)
}

// Split returns the two parts of the path before and after the given length in
// mm from its start. They meet to the bit; a part without length is a single
// point.
func (p Path) Split(length float64) (Path, Path) {
	at := p.PlaceAt(length)
	before, after := p.Between(Place{}, at), p.Between(at, Place{len(p) - 1, 1})
	after[0].P0 = before.End()
	return before, after
}

// LengthTo returns the length of the path from its start to the place.
func (p Path) LengthTo(at Place) float64 {
	sum := 0.0
	for _, c := range p[:at.Curve] {
		sum += c.Length()
	}
	return sum + p[at.Curve].LengthBetween(0, at.T)
}

// Between returns the stretch of the path between two places, from ≤ to.
// Curves shorter than 1e-9 mm are left out, unless nothing would be left.
func (p Path) Between(from, to Place) Path {
	var r Path
	for i := from.Curve; i <= to.Curve && i < len(p); i++ {
		t0, t1 := 0.0, 1.0
		if i == from.Curve {
			t0 = from.T
		}
		if i == to.Curve {
			t1 = to.T
		}
		if t1 <= t0 {
			continue
		}
		if part := p[i].Part(t0, t1); part.hull() > 1e-9 {
			r = append(r, part)
		}
	}
	if len(r) == 0 {
		q := p.At(from)
		r = Path{Line(q, q)}
	}
	return r
}

// BetweenLengths returns the stretch between two lengths along the path.
func (p Path) BetweenLengths(from, to float64) Path {
	return p.Between(p.PlaceAt(from), p.PlaceAt(to))
}

// Nearest returns the place on the path nearest to q and its distance. Of
// equally near places the earliest is given.
func (p Path) Nearest(q Point) (Place, float64) {
	best, dist := Place{}, math.Inf(1)
	for i, c := range p {
		if boxDistance(c.HullBox(), q) >= dist {
			continue
		}
		if t, d := c.Nearest(q); d < dist {
			best, dist = Place{i, t}, d
		}
	}
	return best, dist
}

// boxDistance returns the distance from q to the box, 0 inside.
func boxDistance(b Box, q Point) float64 {
	dx := math.Max(0, math.Max(b.Min.X-q.X, q.X-b.Max.X))
	dy := math.Max(0, math.Max(b.Min.Y-q.Y, q.Y-b.Max.Y))
	return hypot(dx, dy)
}

// Area returns the signed area inside the ring, positive when it runs
// clockwise as seen; exact but for rounding.
func (r Ring) Area() float64 {
	if len(r) == 0 {
		return 0
	}
	// Taken about the ring's own start so that no digits are lost far from the
	// origin.
	m := Motion{Shift: r[0].P0.Mul(-1)}
	sum := 0.0
	for _, c := range r {
		sum += c.Moved(m).Area()
	}
	return sum
}

// Length returns the ring's whole length in mm.
func (r Ring) Length() float64 { return Path(r).Length() }

// Box returns the exact bounds of the ring.
func (r Ring) Box() Box { return Path(r).Box() }

// Reverse returns the ring run the other way from the same start.
func (r Ring) Reverse() Ring { return Ring(Path(r).Reverse()) }

// Moved returns the ring after a rigid motion. A mirror turns its direction.
func (r Ring) Moved(m Motion) Ring { return Ring(Path(r).Moved(m)) }

// Holds reports whether q lies inside the ring by winding number. On the
// boundary, within about 1e-9 mm, either answer may come.
func (r Ring) Holds(q Point) bool { return r.Winding(q) != 0 }

// Holds reports whether q lies in the region: inside its outer boundary and in
// none of its holes. On a boundary, within about 1e-9 mm, either answer may
// come.
func (r Region) Holds(q Point) bool {
	w := 0
	for _, ring := range r.Rings {
		w += ring.Winding(q)
	}
	return w != 0
}

// Winding returns how often the ring runs around q, clockwise positive.
// Method: signed crossings of the ray from q to the right, each curve cut at
// its turning points in y; a ray through a node or along an edge counts right,
// ends being half open. Gaps between curves count as closed by a line, so that
// one of 1e-12 mm lets no ray through. A point that is not finite is outside.
func (r Ring) Winding(q Point) int {
	w := 0
	for i, c := range r {
		if before := r[(i+len(r)-1)%len(r)].P3; before != c.P0 {
			w += Line(before, c.P0).rayCrossings(q)
		}
		b := c.HullBox()
		if q.Y < b.Min.Y || q.Y > b.Max.Y || q.X > b.Max.X {
			continue
		}
		w += c.rayCrossings(q)
	}
	return w
}

// rayCrossings counts the curve's crossings of the ray from q to +x: +1 for
// each downward one, −1 for each upward one, with half-open ends in y.
func (c Cubic) rayCrossings(q Point) int {
	u, v, w := c.P1.Y-c.P0.Y, c.P2.Y-c.P1.Y, c.P3.Y-c.P2.Y
	cuts := []float64{0}
	roots := quadraticRoots(u-float64(2*v)+w, 2*(v-u), u)
	if len(roots) == 2 && roots[0] > roots[1] {
		roots[0], roots[1] = roots[1], roots[0]
	}
	for _, t := range roots {
		if t > 0 && t < 1 {
			cuts = append(cuts, t)
		}
	}
	cuts = append(cuts, 1)
	n := 0
	for i := 1; i < len(cuts); i++ {
		y0, y1 := c.yAt(cuts[i-1]), c.yAt(cuts[i])
		down := y0 <= q.Y && y1 > q.Y
		up := y1 <= q.Y && y0 > q.Y
		if !down && !up {
			continue
		}
		if x := c.At(c.monotoneY(cuts[i-1], cuts[i], q.Y)).X; x > q.X {
			if down {
				n++
			} else {
				n--
			}
		}
	}
	return n
}

// yAt is At(t).Y with the ends kept to the bit, so that neighbouring curves
// agree about their common end.
func (c Cubic) yAt(t float64) float64 {
	switch t {
	case 0:
		return c.P0.Y
	case 1:
		return c.P3.Y
	}
	return c.At(t).Y
}

// monotoneY finds t in [t0, t1] with y(t) = y by bisection; y must be
// monotone between t0 and t1 and take the value there.
func (c Cubic) monotoneY(t0, t1, y float64) float64 {
	rising := c.yAt(t1) > c.yAt(t0)
	for range 60 {
		mid := (t0 + t1) / 2
		if mid == t0 || mid == t1 {
			break
		}
		if (c.yAt(mid) <= y) == rising {
			t0 = mid
		} else {
			t1 = mid
		}
	}
	return (t0 + t1) / 2
}
