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
	return Point{float64(float64(p.x)/gridPerMM) + origin.X, float64(float64(p.y)/gridPerMM) + origin.Y}
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

// box is the segment's box on the grid.
func (s *gridSegment) box() Box {
	return Box{
		Point{float64(min(s.p.x, s.q.x)), float64(min(s.p.y, s.q.y))},
		Point{float64(max(s.p.x, s.q.x)), float64(max(s.p.y, s.q.y))},
	}
}

// snap reroutes the segments through every vertex whose unit pixel they pass,
// vertices being all ends and all meetings rounded to the grid, until no two
// cross. Method: snap rounding (Hobby, Practical segment intersection with
// finite precision output, Computational Geometry 13, 1999); repeated, since
// one pass over rerouted segments need not be stable.
func snap(segments []gridSegment) ([]gridSegment, error) {
	const passes = 40 // two are usual; curves that run within a few grid steps of each other take more
	for range passes {
		boxes := make([]Box, len(segments))
		for i := range segments {
			boxes[i] = segments[i].box()
		}
		tree := newBoxTree(boxes)
		hot := make([]gridPoint, 0, 2*len(segments)+8)
		for _, s := range segments {
			hot = append(hot, s.p, s.q)
		}
		var passed []passing
		tree.pairs(func(i, j int) bool {
			if m, ok := properCrossing(&segments[i], &segments[j]); ok {
				hot = append(hot, m)
				passed = segments[i].passes(i, m, passed)
				passed = segments[j].passes(j, m, passed)
			}
			return true
		})
		slices.SortFunc(hot, gridPoint.compare)
		passed = passedPixels(segments, tree, slices.Compact(hot), passed)
		if len(passed) == 0 {
			return segments, nil
		}
		segments = reroute(segments, passed)
	}
	return nil, fmt.Errorf("the outlines lie too close to each other to be told apart: no stable arrangement after %d passes", passes)
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

// passing is a vertex whose pixel a segment touches, at the place along·v on
// it, v being the segment's vector.
type passing struct {
	segment int
	along   int64
	vertex  gridPoint
}

// passes appends that the segment runs through a vertex between its ends.
func (s *gridSegment) passes(segment int, v gridPoint, passed []passing) []passing {
	if v == s.p || v == s.q {
		return passed
	}
	dx, dy := s.q.x-s.p.x, s.q.y-s.p.y
	if along := (v.x-s.p.x)*dx + (v.y-s.p.y)*dy; along > 0 && along < dx*dx+dy*dy {
		passed = append(passed, passing{segment, along, v})
	}
	return passed
}

// passedPixels adds to the vertices in which segments cross those other than
// its ends whose pixel a segment passes, and lists them by segment and along
// it.
func passedPixels(segments []gridSegment, tree *boxTree, vertices []gridPoint, passed []passing) []passing {
	pixels := make([]Box, len(vertices))
	for i, v := range vertices {
		at := Point{float64(v.x), float64(v.y)}
		pixels[i] = Box{at, at}.Grow(0.5)
	}
	tree.with(newBoxTree(pixels), func(i, j int) bool {
		if s := &segments[i]; s.entersPixel(vertices[j]) {
			passed = s.passes(i, vertices[j], passed)
		}
		return true
	})
	slices.SortFunc(passed, func(a, b passing) int {
		return cmp.Or(cmp.Compare(a.segment, b.segment), cmp.Compare(a.along, b.along), a.vertex.compare(b.vertex))
	})
	return slices.Compact(passed)
}

// reroute bends segments through the vertices they pass.
func reroute(segments []gridSegment, passed []passing) []gridSegment {
	out := make([]gridSegment, 0, len(segments)+len(passed))
	for i, s := range segments {
		n := 0
		for n < len(passed) && passed[n].segment == i {
			n++
		}
		out = s.through(passed[:n], out)
		passed = passed[n:]
	}
	return out
}

// entersPixel reports whether the segment passes through the inside of the
// square of side 1 about v, by separating axes, in coordinates doubled to stay
// whole. One that only touches a corner of it is left alone: bent there and
// back, two short diagonals would never come to rest.
func (s *gridSegment) entersPixel(v gridPoint) bool {
	if 2*max(s.p.x, s.q.x) < 2*v.x-1 || 2*min(s.p.x, s.q.x) > 2*v.x+1 ||
		2*max(s.p.y, s.q.y) < 2*v.y-1 || 2*min(s.p.y, s.q.y) > 2*v.y+1 {
		return false
	}
	dx, dy := s.q.x-s.p.x, s.q.y-s.p.y
	// Twice the cross product at the centre against half the square's reach
	// across the line, both doubled.
	return abs64(2*orient(s.p, s.q, v)) < abs64(dx)+abs64(dy)
}

// through appends the parts of the segment between vertices in order along
// it; parameters follow the way along the old segment.
func (s *gridSegment) through(on []passing, parts []gridSegment) []gridSegment {
	dx, dy := s.q.x-s.p.x, s.q.y-s.p.y
	l2 := float64(dx*dx + dy*dy)
	at, t := s.p, s.t0
	for _, v := range on {
		u := s.t0 + float64((s.t1-s.t0)*(float64(v.along)/l2))
		parts = append(parts, gridSegment{p: at, q: v.vertex, curve: s.curve, t0: t, t1: u})
		at, t = v.vertex, u
	}
	return append(parts, gridSegment{p: at, q: s.q, curve: s.curve, t0: t, t1: s.t1})
}
