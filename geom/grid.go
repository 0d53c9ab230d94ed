package geom

import (
	"cmp"
	"fmt"
	"math"
	"math/bits"
	"slices"
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

// compare orders points by x, then y.
func (p gridPoint) compare(q gridPoint) int {
	if p.x != q.x {
		return cmp.Compare(p.x, q.x)
	}
	return cmp.Compare(p.y, q.y)
}

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
	turned bool // p and q were exchanged against the curve's direction
}

// snap reroutes the segments through every vertex whose unit pixel they pass,
// vertices being all ends and all meetings rounded to the grid, until no two
// cross. Method: snap rounding (Hobby, Practical segment intersection with
// finite precision output, Computational Geometry 13, 1999); repeated, since
// one pass over rerouted segments need not be stable.
func snap(segments []gridSegment) ([]gridSegment, error) {
	const passes = 40 // two are usual; curves that run within a few grid steps of each other take more
	for range passes {
		hot := make([]gridPoint, 0, 2*len(segments)+8)
		for _, s := range segments {
			hot = append(hot, s.p, s.q)
		}
		hot = crossings(segments, hot)
		slices.SortFunc(hot, gridPoint.compare)
		next, changed := reroute(segments, slices.Compact(hot))
		segments = next
		if !changed {
			return segments, nil
		}
	}
	return nil, fmt.Errorf("the outlines lie too close to each other to be told apart: no stable arrangement after %d passes", passes)
}

// crossings appends the rounded points in which two segments cross in their
// insides. Candidates come from a sweep over x.
func crossings(segments []gridSegment, found []gridPoint) []gridPoint {
	type span struct {
		xl, xh, yl, yh int64
		segment        int
	}
	order := make([]span, len(segments))
	for i := range segments {
		s := &segments[i]
		order[i] = span{min(s.p.x, s.q.x), max(s.p.x, s.q.x), min(s.p.y, s.q.y), max(s.p.y, s.q.y), i}
	}
	slices.SortFunc(order, func(a, b span) int {
		if a.xl != b.xl {
			return cmp.Compare(a.xl, b.xl)
		}
		return cmp.Compare(a.segment, b.segment)
	})
	var active []span
	for _, s := range order {
		kept := active[:0]
		for _, o := range active {
			if o.xh < s.xl {
				continue
			}
			kept = append(kept, o)
			if o.yh < s.yl || o.yl > s.yh {
				continue
			}
			if m, ok := properCrossing(&segments[s.segment], &segments[o.segment]); ok {
				found = append(found, m)
			}
		}
		active = append(kept, s)
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

// reroute bends each segment through the hot pixels it passes; vertices are
// sorted.
func reroute(segments []gridSegment, vertices []gridPoint) ([]gridSegment, bool) {
	out := make([]gridSegment, 0, len(segments)+16)
	changed := false
	var on []gridPoint
	for _, s := range segments {
		on = pixelsOn(&s, vertices, on[:0])
		if len(on) == 0 {
			out = append(out, s)
			continue
		}
		changed = true
		out = s.through(on, out)
	}
	return out, changed
}

// pixelsOn lists the vertices other than the segment's ends whose pixel the
// segment touches, in order along it.
func pixelsOn(s *gridSegment, vertices []gridPoint, on []gridPoint) []gridPoint {
	xl, xh := min(s.p.x, s.q.x)-1, max(s.p.x, s.q.x)+1
	yl, yh := min(s.p.y, s.q.y)-1, max(s.p.y, s.q.y)+1
	from, _ := slices.BinarySearchFunc(vertices, xl, func(v gridPoint, x int64) int { return cmp.Compare(v.x, x) })
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
	if len(kept) > 1 {
		slices.SortFunc(kept, func(a, b gridPoint) int { return cmp.Compare(along(a), along(b)) })
	}
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

// through appends the parts of the segment between vertices in order along
// it; parameters follow the way along the old segment.
func (s *gridSegment) through(on []gridPoint, parts []gridSegment) []gridSegment {
	dx, dy := float64(s.q.x-s.p.x), float64(s.q.y-s.p.y)
	l2 := float64(dx*dx) + float64(dy*dy)
	at, t := s.p, s.t0
	for _, v := range on {
		f := (float64(float64(v.x-s.p.x)*dx) + float64(float64(v.y-s.p.y)*dy)) / l2
		u := s.t0 + float64((s.t1-s.t0)*f)
		parts = append(parts, gridSegment{p: at, q: v, curve: s.curve, t0: t, t1: u})
		at, t = v, u
	}
	return append(parts, gridSegment{p: at, q: s.q, curve: s.curve, t0: t, t1: s.t1})
}
