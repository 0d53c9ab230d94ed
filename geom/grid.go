package geom

import (
	"fmt"
	"math"
	"math/bits"
	"sort"
)

// gridPerMM is the resolution of the arrangement: 2^16 steps to the
// millimetre. With coordinates within ±gridReach mm differences stay below
// 2^30, so that every orientation is exact in int64.
const (
	gridPerMM = 1 << 16
	gridReach = 4096
)

// gridPoint is a vertex of the arrangement.
type gridPoint struct{ x, y int64 }

func (p gridPoint) less(q gridPoint) bool { return p.x < q.x || (p.x == q.x && p.y < q.y) }

func (p gridPoint) point(origin Point) Point {
	return Point{float64(p.x)/gridPerMM + origin.X, float64(p.y)/gridPerMM + origin.Y}
}

// orient is positive when a, b, c turn clockwise as seen, exactly.
func orient(a, b, c gridPoint) int64 {
	return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x)
}

// toGrid rounds a point to the grid about origin.
func toGrid(p, origin Point) (gridPoint, error) {
	x, y := p.X-origin.X, p.Y-origin.Y
	if !(math.Abs(x) <= gridReach && math.Abs(y) <= gridReach) {
		return gridPoint{}, fmt.Errorf("the place (%.1f, %.1f) lies more than %d mm from the middle of the outlines", p.X, p.Y, gridReach)
	}
	return gridPoint{int64(math.Round(x * gridPerMM)), int64(math.Round(y * gridPerMM))}, nil
}

// gridSegment is a straight piece of a curve: from p to q the curve's
// parameter runs from t0 to t1.
type gridSegment struct {
	p, q   gridPoint
	curve  int
	t0, t1 float64
}

// snap reroutes the segments through every vertex whose unit pixel they pass,
// vertices being all ends and all meetings rounded to the grid, until no two
// cross. Method: snap rounding (Hobby, Practical segment intersection with
// finite precision output, Computational Geometry 13, 1999); repeated, since
// one pass over rerouted segments need not be stable.
func snap(segments []gridSegment) ([]gridSegment, error) {
	const passes = 12
	for range passes {
		hot := make(map[gridPoint]bool, len(segments))
		for _, s := range segments {
			hot[s.p], hot[s.q] = true, true
		}
		for _, m := range crossings(segments) {
			hot[m] = true
		}
		next, changed := reroute(segments, hot)
		segments = next
		if !changed {
			return segments, nil
		}
	}
	return nil, fmt.Errorf("the outlines lie too close to each other to be told apart: no stable arrangement after %d passes", passes)
}

// crossings returns the rounded points in which two segments cross in their
// insides. Candidates come from a sweep over x.
func crossings(segments []gridSegment) []gridPoint {
	order := make([]int, len(segments))
	for i := range order {
		order[i] = i
	}
	lo := func(i int) int64 { return min(segments[i].p.x, segments[i].q.x) }
	hi := func(i int) int64 { return max(segments[i].p.x, segments[i].q.x) }
	sort.Slice(order, func(a, b int) bool { return lo(order[a]) < lo(order[b]) })
	var found []gridPoint
	var active []int
	for _, i := range order {
		s := &segments[i]
		x := lo(i)
		yl, yh := min(s.p.y, s.q.y), max(s.p.y, s.q.y)
		kept := active[:0]
		for _, j := range active {
			if hi(j) < x {
				continue
			}
			kept = append(kept, j)
			o := &segments[j]
			if max(o.p.y, o.q.y) < yl || min(o.p.y, o.q.y) > yh {
				continue
			}
			if m, ok := properCrossing(s, o); ok {
				found = append(found, m)
			}
		}
		active = append(kept, i)
	}
	return found
}

// properCrossing returns the rounded crossing of two segments that cross in
// the inside of both.
func properCrossing(s, o *gridSegment) (gridPoint, bool) {
	a, b := orient(o.p, o.q, s.p), orient(o.p, o.q, s.q)
	if a == 0 || b == 0 || (a > 0) == (b > 0) {
		return gridPoint{}, false
	}
	c, d := orient(s.p, s.q, o.p), orient(s.p, s.q, o.q)
	if c == 0 || d == 0 || (c > 0) == (d > 0) {
		return gridPoint{}, false
	}
	// On s the crossing lies at the fraction a/(a−b).
	num, den := abs64(a), abs64(a)+abs64(b)
	return gridPoint{s.p.x + scaled(s.q.x-s.p.x, num, den), s.p.y + scaled(s.q.y-s.p.y, num, den)}, true
}

func abs64(v int64) int64 {
	if v < 0 {
		return -v
	}
	return v
}

// scaled returns d·num/den rounded to the nearest integer, exactly; 0 ≤ num ≤
// den.
func scaled(d, num, den int64) int64 {
	hi, lo := bits.Mul64(uint64(abs64(d)), uint64(num))
	q, r := bits.Div64(hi, lo, uint64(den))
	if r >= uint64(den)-r {
		q++
	}
	if d < 0 {
		return -int64(q)
	}
	return int64(q)
}

// reroute bends each segment through the hot pixels it passes.
func reroute(segments []gridSegment, hot map[gridPoint]bool) ([]gridSegment, bool) {
	vertices := make([]gridPoint, 0, len(hot))
	for v := range hot {
		vertices = append(vertices, v)
	}
	sort.Slice(vertices, func(i, j int) bool { return vertices[i].less(vertices[j]) })
	out := make([]gridSegment, 0, len(segments))
	changed := false
	var on []gridPoint
	for _, s := range segments {
		on = pixelsOn(&s, vertices, on[:0])
		if len(on) == 0 {
			out = append(out, s)
			continue
		}
		changed = true
		out = append(out, s.through(on)...)
	}
	return out, changed
}

// pixelsOn lists the vertices other than the segment's ends whose pixel the
// segment touches, in order along it.
func pixelsOn(s *gridSegment, vertices []gridPoint, on []gridPoint) []gridPoint {
	xl, xh := min(s.p.x, s.q.x)-1, max(s.p.x, s.q.x)+1
	yl, yh := min(s.p.y, s.q.y)-1, max(s.p.y, s.q.y)+1
	from := sort.Search(len(vertices), func(i int) bool { return vertices[i].x >= xl })
	for _, v := range vertices[from:] {
		if v.x > xh {
			break
		}
		if v.y < yl || v.y > yh || v == s.p || v == s.q || !s.touchesPixel(v) {
			continue
		}
		on = append(on, v)
	}
	dx, dy := s.q.x-s.p.x, s.q.y-s.p.y
	along := func(v gridPoint) int64 { return (v.x-s.p.x)*dx + (v.y-s.p.y)*dy }
	kept := on[:0]
	for _, v := range on {
		if d := along(v); d > 0 && d < dx*dx+dy*dy {
			kept = append(kept, v)
		}
	}
	sort.Slice(kept, func(i, j int) bool { return along(kept[i]) < along(kept[j]) })
	return kept
}

// touchesPixel reports whether the segment meets the closed square of side 1
// about v, by separating axes, in coordinates doubled to stay whole.
func (s *gridSegment) touchesPixel(v gridPoint) bool {
	if 2*max(s.p.x, s.q.x) < 2*v.x-1 || 2*min(s.p.x, s.q.x) > 2*v.x+1 ||
		2*max(s.p.y, s.q.y) < 2*v.y-1 || 2*min(s.p.y, s.q.y) > 2*v.y+1 {
		return false
	}
	dx, dy := s.q.x-s.p.x, s.q.y-s.p.y
	// Twice the cross product at the centre against half the square's reach
	// across the line, both doubled.
	return abs64(2*orient(s.p, s.q, v)) <= abs64(dx)+abs64(dy)
}

// through splits the segment at vertices in order along it; parameters follow
// the way along the old segment.
func (s *gridSegment) through(on []gridPoint) []gridSegment {
	dx, dy := float64(s.q.x-s.p.x), float64(s.q.y-s.p.y)
	l2 := dx*dx + dy*dy
	parts := make([]gridSegment, 0, len(on)+1)
	at, t := s.p, s.t0
	for _, v := range on {
		f := (float64(v.x-s.p.x)*dx + float64(v.y-s.p.y)*dy) / l2
		u := s.t0 + (s.t1-s.t0)*f
		parts = append(parts, gridSegment{at, v, s.curve, t, u})
		at, t = v, u
	}
	return append(parts, gridSegment{at, s.q, s.curve, t, s.t1})
}
