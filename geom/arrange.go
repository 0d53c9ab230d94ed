package geom

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// weighted is a directed curve of one or two closed outlines: how often each
// outline runs along it, negative when against its direction.
type weighted struct {
	curve Cubic
	w     [2]int
	side  Side
}

// halfEdge is one direction of an edge of the arrangement. Its face lies to
// the right of its travel as seen, which is the inside of a clockwise ring.
type halfEdge struct {
	from, to int // vertices
	next     int // the next half-edge around the same face
	face     int
	w        [2]int
	curve    int // of the weighted curves, run in the half-edge's direction from t0 to t1
	t0, t1   float64
}

// arrangement is the planar graph of the curves' flattenings on the grid.
// Half-edge h and h^1 are the two directions of one edge.
type arrangement struct {
	origin   Point
	curves   []weighted
	vertices []gridPoint
	halves   []halfEdge
	out      [][]int  // the half-edges that leave each vertex, clockwise
	faces    []int    // one half-edge of each face
	winding  [][2]int // of each face
	place    []Point  // of each vertex on the true curves
}

// arrange builds the arrangement of the curves' chords, divided as divide
// says. The weighted curves
// must form closed outlines whose ends meet to the bit.
func arrange(curves []weighted, origin Point, fine float64) (*arrangement, error) {
	segments, err := gridChords(curves, origin, fine)
	if err != nil {
		return nil, err
	}
	if segments, err = snap(segments); err != nil {
		return nil, err
	}
	a := &arrangement{origin: origin, curves: curves}
	a.collect(segments)
	a.link()
	if err := a.wind(); err != nil {
		return nil, err
	}
	a.locate()
	return a, nil
}

// gridChords rounds the chords of the curves to the grid. One that falls on a
// single point of it is left out.
func gridChords(curves []weighted, origin Point, fine float64) ([]gridSegment, error) {
	d := divide(curves, fine)
	segments := make([]gridSegment, 0, len(d.parts))
	for k, w := range curves {
		last, err := toGrid(w.curve.P0, origin)
		if err != nil {
			return nil, err
		}
		from := 0.0
		d.of(k, func(p *part) {
			g, outside := toGrid(p.c.P3, origin)
			if outside != nil {
				err = outside
			} else if g != last {
				segments = append(segments, gridSegment{p: last, q: g, curve: k, t0: from, t1: p.t1})
				last, from = g, p.t1
			}
		})
		if err != nil {
			return nil, err
		}
	}
	return segments, nil
}

// collect merges segments that coincide to the bit into edges and numbers the
// vertices. An edge along which neither outline runs in the balance is left
// out; of several curves on one edge the first counts.
func (a *arrangement) collect(segments []gridSegment) {
	for i := range segments {
		if s := &segments[i]; s.q.compare(s.p) < 0 {
			s.p, s.q, s.t0, s.t1, s.turned = s.q, s.p, s.t1, s.t0, true
		}
		a.vertices = append(a.vertices, segments[i].p, segments[i].q)
	}
	slices.SortFunc(a.vertices, gridPoint.compare)
	a.vertices = slices.Compact(a.vertices)
	slices.SortFunc(segments, func(s, o gridSegment) int {
		if c := s.p.compare(o.p); c != 0 {
			return c
		}
		if c := s.q.compare(o.q); c != 0 {
			return c
		}
		return cmp.Compare(s.curve, o.curve)
	})
	a.halves = make([]halfEdge, 0, 2*len(segments))
	for i := 0; i < len(segments); {
		s := segments[i]
		var w [2]int
		for ; i < len(segments) && segments[i].p == s.p && segments[i].q == s.q; i++ {
			o := a.curves[segments[i].curve].w
			if segments[i].turned {
				o = [2]int{-o[0], -o[1]}
			}
			w[0], w[1] = w[0]+o[0], w[1]+o[1]
		}
		if w == [2]int{} {
			continue
		}
		p, _ := slices.BinarySearchFunc(a.vertices, s.p, gridPoint.compare)
		q, _ := slices.BinarySearchFunc(a.vertices, s.q, gridPoint.compare)
		a.halves = append(a.halves,
			halfEdge{from: p, to: q, w: w, curve: s.curve, t0: s.t0, t1: s.t1},
			halfEdge{from: q, to: p, w: [2]int{-w[0], -w[1]}, curve: s.curve, t0: s.t1, t1: s.t0})
	}
}

// link sorts the half-edges around each vertex and finds each one's successor
// around its face: the sharpest turn to the right.
func (a *arrangement) link() {
	count := make([]int, len(a.vertices)+1)
	for h := range a.halves {
		count[a.halves[h].from+1]++
	}
	for v := range a.vertices {
		count[v+1] += count[v]
	}
	list := make([]int, len(a.halves))
	at := slices.Clone(count)
	for h := range a.halves {
		v := a.halves[h].from
		list[at[v]] = h
		at[v]++
	}
	a.out = make([][]int, len(a.vertices))
	for v := range a.vertices {
		around := list[count[v]:count[v+1]:count[v+1]]
		if len(around) > 1 {
			slices.SortFunc(around, a.clockwise)
		}
		for k, h := range around {
			a.halves[h^1].next = around[(k+len(around)-1)%len(around)]
		}
		a.out[v] = around
	}
}

// direction returns the half-edge's vector on the grid.
func (a *arrangement) direction(h int) (int64, int64) {
	p, q := a.vertices[a.halves[h].from], a.vertices[a.halves[h].to]
	return q.x - p.x, q.y - p.y
}

// clockwise orders directions by their angle clockwise from −x exclusive:
// exactly, by half-planes and cross products.
func (a *arrangement) clockwise(g, h int) int {
	gx, gy := a.direction(g)
	hx, hy := a.direction(h)
	// Angles run from just after −x (−π) over −y, +x (0), +y to −x (π).
	upper := func(x, y int64) bool { return y < 0 || (y == 0 && x > 0) }
	if gu, hu := upper(gx, gy), upper(hx, hy); gu != hu {
		if gu {
			return -1
		}
		return 1
	}
	return -cmp.Compare(gx*hy-gy*hx, 0)
}

// wind numbers the faces and finds how often each outline winds around each.
// A face is one cycle of half-edges: the outside of a component that lies in
// a face of another counts as a face of its own, with the same winding.
func (a *arrangement) wind() error {
	a.number()
	component := a.components()
	done := make([]bool, len(a.faces))
	for _, start := range a.leftmost(component) {
		around := a.out[start]
		// The last half-edge clockwise at a component's leftmost vertex: its
		// right side opens to −x, which is the face around the component.
		outer := around[len(around)-1]
		if err := a.spread(outer, a.windingAround(start, component), done); err != nil {
			return err
		}
	}
	return nil
}

// number numbers the faces.
func (a *arrangement) number() {
	for h := range a.halves {
		a.halves[h].face = -1
	}
	for h := range a.halves {
		if a.halves[h].face >= 0 {
			continue
		}
		for g := h; a.halves[g].face < 0; g = a.halves[g].next {
			a.halves[g].face = len(a.faces)
		}
		a.faces = append(a.faces, h)
	}
	a.winding = make([][2]int, len(a.faces))
}

// components returns for each vertex the smallest vertex connected with it.
func (a *arrangement) components() []int {
	root := make([]int, len(a.vertices))
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for h := 0; h < len(a.halves); h += 2 {
		p, q := find(a.halves[h].from), find(a.halves[h].to)
		root[max(p, q)] = min(p, q)
	}
	for i := range root {
		root[i] = find(i)
	}
	return root
}

// leftmost returns the leftmost vertex of each component that has an edge:
// vertices are sorted, so it is the first met.
func (a *arrangement) leftmost(component []int) []int {
	met := make([]bool, len(component))
	var first []int
	for v, c := range component {
		if !met[c] && len(a.out[v]) > 0 {
			met[c] = true
			first = append(first, v)
		}
	}
	return first
}

// windingAround counts the crossings of the ray from a vertex to −x with the
// edges of the other components.
func (a *arrangement) windingAround(v int, component []int) [2]int {
	q := a.vertices[v]
	var w [2]int
	for h := 0; h < len(a.halves); h += 2 {
		e := &a.halves[h]
		if component[e.from] == component[v] {
			continue
		}
		p, r := a.vertices[e.from], a.vertices[e.to]
		up := r.y <= q.y && p.y > q.y
		down := p.y <= q.y && r.y > q.y
		if !up && !down {
			continue
		}
		// The crossing lies to the left of q when q is on the right-hand side of
		// an upward edge, or the left-hand side of a downward one.
		side := orient(p, r, q)
		if up && side > 0 {
			w[0] += e.w[0]
			w[1] += e.w[1]
		} else if down && side < 0 {
			w[0] -= e.w[0]
			w[1] -= e.w[1]
		}
	}
	return w
}

// spread gives the outer half-edge's face its winding and carries it across
// edges: the right side of a half-edge is wound w more often than the left.
func (a *arrangement) spread(outer int, base [2]int, done []bool) error {
	f := a.halves[outer].face
	a.winding[f], done[f] = base, true
	queue := []int{f}
	for len(queue) > 0 {
		f, queue = queue[0], queue[1:]
		h := a.faces[f]
		for {
			g := a.halves[h^1].face
			w := [2]int{a.winding[f][0] - a.halves[h].w[0], a.winding[f][1] - a.halves[h].w[1]}
			if !done[g] {
				a.winding[g], done[g] = w, true
				queue = append(queue, g)
			} else if a.winding[g] != w {
				return fmt.Errorf("an outline is not closed: its sides wind %v and %v", a.winding[g], w)
			}
			if h = a.halves[h].next; h == a.faces[f] {
				break
			}
		}
	}
	return nil
}

// locate puts each vertex on the true curves: on a node exactly, on the
// meeting of two curves by Newton, else on the one curve it lies on. The
// half-edges' parameters follow.
func (a *arrangement) locate() {
	a.place = make([]Point, len(a.vertices))
	for v, around := range a.out {
		a.locateVertex(v, around)
	}
	for h := range a.halves {
		a.halves[h].t1 = a.halves[h^1].t0
	}
}

// on is a place on one of the curves.
type on struct {
	curve int
	t     float64
}

func (a *arrangement) locateVertex(v int, around []int) {
	curves := make([]on, 0, 4)
	for _, h := range around {
		c := on{a.halves[h].curve, a.halves[h].t0}
		if !slices.Contains(curves, c) {
			curves = append(curves, c)
		}
	}
	if len(curves) == 0 {
		return // its edges cancelled out
	}
	for _, c := range curves {
		if c.t == 0 || c.t == 1 {
			cubic := a.curves[c.curve].curve
			a.place[v] = cubic.P0
			if c.t == 1 {
				a.place[v] = cubic.P3
			}
			a.settle(v, around, curves)
			return
		}
	}
	at := a.vertices[v].point(a.origin)
	for i := range min(len(curves), 2) {
		c := &curves[i]
		t := a.curves[c.curve].curve.seated(c.t, at)
		a.setParam(around, *c, t)
		c.t = t
	}
	c := a.curves[curves[0].curve].curve
	a.place[v] = c.At(curves[0].t)
	if len(curves) < 2 {
		return
	}
	d := a.curves[curves[1].curve].curve
	if t, u, ok := meetNear(c, d, curves[0].t, curves[1].t); ok {
		a.place[v] = c.At(t)
		a.setParam(around, curves[0], t)
		a.setParam(around, curves[1], u)
	}
}

// seated returns the parameter near t at which the curve passes a place on
// one of its chords. Along a chord the parameter runs evenly only if the curve
// does.
func (c Cubic) seated(t float64, at Point) float64 {
	if c.evenlyStraight() {
		return t
	}
	const near = 4. / gridPerMM
	u := t
	for range 8 {
		d := c.Deriv(u)
		l2 := d.Dot(d)
		if l2 == 0 {
			break
		}
		step := at.Sub(c.At(u)).Dot(d) / l2
		u = min(max(u+step, 0), 1)
		if math.Abs(step) < 1e-12 {
			break
		}
	}
	if c.At(u).Dist(at) <= near+fineChord {
		return inside(u)
	}
	u, _ = c.Nearest(at)
	return inside(u)
}

// inside keeps a parameter off the curve's ends, which are nodes.
func inside(t float64) float64 { return min(max(t, 1e-12), 1-1e-12) }

// settle moves the parameters of curves that pass through a node to their
// point nearest to it.
func (a *arrangement) settle(v int, around []int, curves []on) {
	for _, c := range curves {
		if c.t == 0 || c.t == 1 {
			continue
		}
		cubic := a.curves[c.curve].curve
		if t := cubic.seated(c.t, a.place[v]); cubic.At(t).Dist(a.place[v]) < 4./gridPerMM {
			a.setParam(around, c, t)
		}
	}
}

// setParam gives the half-edges that leave along a curve where it was taken to
// pass another parameter there; a curve that crosses itself passes twice.
func (a *arrangement) setParam(around []int, c on, t float64) {
	for _, h := range around {
		if e := &a.halves[h]; e.curve == c.curve && e.t0 == c.t {
			e.t0 = t
		}
	}
}

// meetNear finds the meeting of two curves near the parameters t and u by
// Newton's method. It fails when the curves run together, or when the meeting
// leaves either curve or lies more than a millimetre off.
func meetNear(c, d Cubic, t, u float64) (float64, float64, bool) {
	start := c.At(t)
	for range 30 {
		miss := d.At(u).Sub(c.At(t))
		dc, dd := c.Deriv(t), d.Deriv(u)
		det := dc.Cross(dd)
		if det == 0 {
			return 0, 0, false
		}
		dt, du := miss.Cross(dd)/det, miss.Cross(dc)/det
		t, u = t+dt, u+du
		if !(t > 0 && t < 1 && u > 0 && u < 1) {
			return 0, 0, false
		}
		if max(dt, -dt) < 1e-15 || miss.Len() < 1e-13 {
			break
		}
	}
	p := c.At(t)
	return t, u, p.Dist(d.At(u)) < 1e-9 && p.Dist(start) < 1
}
