package geom

import (
	"slices"
	"sort"
)

// regions collects the connected regions of the faces for which in says yes.
// Their boundaries are made of stretches of the true curves.
func (a *arrangement) regions(in func(w [2]int) bool) []Region {
	inside := make([]bool, len(a.winding))
	for f, w := range a.winding {
		inside[f] = in(w)
	}
	border := func(h int) bool { return inside[a.halves[h].face] && !inside[a.halves[h^1].face] }
	seen := make([]bool, len(a.halves))
	var outers, holes []boundary
	for h := range a.halves {
		if seen[h] || !border(h) {
			continue
		}
		var chain []int
		for g := h; !seen[g]; {
			seen[g] = true
			chain = append(chain, g)
			g = a.halves[g].next
			for !border(g) {
				g = a.halves[g^1].next
			}
		}
		b := a.boundary(chain)
		if b.flat > 0 {
			outers = append(outers, b)
		} else {
			holes = append(holes, b)
		}
	}
	return assembleRegions(outers, holes)
}

// boundary is one ring of a region.
type boundary struct {
	ring  Ring
	sides []Side
	flat  float64 // signed area on the grid
	grid  []Point
}

// boundary joins half-edges that follow each other on one curve into single
// stretches.
func (a *arrangement) boundary(chain []int) boundary {
	// Start where a stretch starts, so that none is cut in two.
	start := 0
	for k := range chain {
		if !a.follows(chain[(k+len(chain)-1)%len(chain)], chain[k]) {
			start = k
			break
		}
	}
	chain = append(append([]int{}, chain[start:]...), chain[:start]...)
	var b boundary
	for i := 0; i < len(chain); {
		j := i
		for j+1 < len(chain) && a.follows(chain[j], chain[j+1]) {
			j++
		}
		b.add(a, chain[i], chain[j])
		i = j + 1
	}
	for _, h := range chain {
		p, q := a.vertices[a.halves[h].from], a.vertices[a.halves[h].to]
		b.flat += float64(float64(p.x)*float64(q.y)) - float64(float64(p.y)*float64(q.x))
		b.grid = append(b.grid, p.point(a.origin))
	}
	b.flat /= 2 * gridPerMM * gridPerMM
	b.close()
	return b
}

// follows reports whether h continues g on the same curve in the same
// direction.
func (a *arrangement) follows(g, h int) bool {
	x, y := &a.halves[g], &a.halves[h]
	return x.curve == y.curve && x.t1 == y.t0 && (x.t1 > x.t0) == (y.t1 > y.t0)
}

// jointGap is the gap in mm below which two stretches meet by rounding alone.
const jointGap = 1e-9

// add appends the stretch from the start of half-edge g to the end of h. Ends
// stay on the true curve, so that regions on both sides of a stretch take the
// same area from it; where three curves share a vertex of the grid a straight
// joint of at most a few grid steps closes the gap to the next.
func (b *boundary) add(a *arrangement, g, h int) {
	x, y := &a.halves[g], &a.halves[h]
	if x.t0 == y.t1 {
		return
	}
	w := a.curves[x.curve]
	b.join(orderedPart(w.curve, x.t0, y.t1), w.side)
}

// join appends a curve after a joint, if one is needed.
func (b *boundary) join(c Cubic, side Side) {
	if n := len(b.ring); n > 0 {
		if last := b.ring[n-1].P3; last.Dist(c.P0) > jointGap {
			b.ring = append(b.ring, Line(last, c.P0))
			b.sides = append(b.sides, Side{OfB: side.OfB, Curve: -1})
		} else {
			c.P0 = last
		}
	}
	b.ring = append(b.ring, c)
	b.sides = append(b.sides, side)
}

// close ends the ring where it starts. A ring that holds no curve, because it
// is a single step of the grid wide, is the grid's polygon.
func (b *boundary) close() {
	if len(b.ring) == 0 {
		for _, c := range Polygon(b.grid...) {
			b.join(c, Side{Curve: -1})
		}
		return
	}
	first, last := b.ring[0].P0, len(b.ring)-1
	if b.ring[last].P3.Dist(first) > jointGap {
		b.join(Line(b.ring[last].P3, first), Side{Curve: -1})
	} else {
		b.ring[last].P3 = first
	}
}

// assembleRegions gives each hole to the smallest outer boundary around it.
// Regions whose true curves enclose nothing, being in another order than their
// chords, are left out.
func assembleRegions(outers, holes []boundary) []Region {
	sort.SliceStable(outers, func(i, j int) bool { return outers[i].flat > outers[j].flat })
	regions := make([]Region, len(outers))
	for i, o := range outers {
		regions[i] = Region{Rings: []Ring{o.ring}, Sides: [][]Side{o.sides}}
	}
	for _, h := range holes {
		for i := len(outers) - 1; i >= 0; i-- {
			if outers[i].flat >= -h.flat && holdsAny(outers[i].grid, h.grid) {
				regions[i].Rings = append(regions[i].Rings, h.ring)
				regions[i].Sides = append(regions[i].Sides, h.sides)
				break
			}
		}
	}
	for i := range regions {
		regions[i].measure()
	}
	return slices.DeleteFunc(regions, func(r Region) bool { return !(r.Area > 0) })
}

// measure works out the region's area and width.
func (r *Region) measure() {
	perimeter := 0.0
	for _, ring := range r.Rings {
		r.Area += ring.Area()
		perimeter += ring.Length()
	}
	if perimeter > 0 {
		r.Width = 2 * r.Area / perimeter
	}
}

// holdsAny reports whether the polygon holds a point of the hole that is not
// one of its own vertices.
func holdsAny(polygon, hole []Point) bool {
	own := make(map[Point]bool, len(polygon))
	for _, p := range polygon {
		own[p] = true
	}
	ring := Polygon(polygon...)
	for _, q := range hole {
		if !own[q] {
			return ring.Holds(q)
		}
	}
	return ring.Holds(hole[0].Lerp(hole[1], 0.5))
}
