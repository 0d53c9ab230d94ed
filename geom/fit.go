package geom

import (
	"math"
	"slices"
	"sort"
)

const (
	// fitFarthest is the greatest coordinate in mm of a point that counts; no
	// drawing holds a greater one, and its powers stay far from overflow.
	fitFarthest = 1e12
	// fitFew is the number of steps between points up to which a run is always
	// one curve.
	fitFew = 4
	// fitManyCurves is the number of curves above which a division is not
	// thinned out curve by curve any more: each trial fits the whole run again.
	fitManyCurves = 24
	// fitDivisions is how often a division that was too hopeful is divided
	// further.
	fitDivisions = 40
	// scantPoints is the number of points below which a curve among others is
	// not worth having in a run that scatters.
	scantPoints = 3
)

// Fit returns smooth cubics through points in order, from the first point to
// the last, each point within tol mm of them where there are points enough to
// say so: a stretch of five points or fewer is always one cubic. Neighbouring
// cubics share their tangent. A tangent given for an end (direction of travel)
// is kept; nil, or the zero vector, leaves it free. Points that lie straight
// give one line.
//
// Method: Gauss–Newton on handles, nodes and the points' parameters together
// (each point counts by its distance along the normal at its foot, the
// tangent-distance form of the problem), damped as Levenberg and Marquardt do;
// where a point stays too far off, the run is divided and all its curves are
// fitted together; then nodes are spread and left out as long as that will do.
// The reparametrisation of Schneider (An algorithm for automatically fitting
// digitized curves, Graphics Gems, 1990), which Gauss–Newton replaces,
// converges far more slowly.
//
// Accuracy: exact points of one cubic give it back within 1e-6 mm where its
// handles are not very unlike, else another within tol; a circle is divided
// into no more cubics than its arc formula needs (both in docs/accuracy.md).
//
// Degenerate input: points equal to the one before (1e-9 mm), not finite, or
// beyond ±1e12 mm are passed over; fewer than two different ones give nil. A
// run that comes back to its start, turns sharply or doubles back on itself
// gets small curves there, finite ones. With tol not positive, or not a
// number, every stretch is divided down to five points.
func Fit(points []Point, startTangent, endTangent *Point, tol float64) Path {
	points = distinct(points)
	if len(points) < 2 {
		return nil
	}
	f := fitter{must: true, ok: func(off []float64, _ int) (bool, int) {
		worst := 0
		for i, d := range off {
			if math.Abs(d) > math.Abs(off[worst]) {
				worst = i
			}
		}
		return math.Abs(off[worst]) <= tol, worst
	}, score: func(s *spline) float64 { return float64(len(s.curves)) }}
	ends := fitEnds{fixedA: true, fixedB: true, from: unitOrNil(startTangent), to: unitOrNil(endTangent)}
	if ends.from == nil && ends.to == nil {
		if line, off := chordLine(points); off != nil {
			if ok, _ := f.ok(off, 0); ok {
				return Path{line}
			}
		}
	}
	return f.smooth(points, ends).cutTo()
}

// unitOrNil is the direction of a vector, nil when it has none.
func unitOrNil(v *Point) *Point {
	if v == nil || !v.Finite() {
		return nil
	}
	u := v.Unit()
	if !u.Finite() || u == (Point{}) {
		return nil
	}
	return &u
}

// distinct drops points equal to the one before, not finite, or too far away.
func distinct(points []Point) []Point {
	var out []Point
	for _, p := range points {
		if !(math.Abs(p.X) <= fitFarthest && math.Abs(p.Y) <= fitFarthest) {
			continue
		}
		if len(out) == 0 || p.Dist(out[len(out)-1]) > 1e-9 {
			out = append(out, p)
		}
	}
	return out
}

// chordLine returns the line from the first to the last point and the points'
// distances from it; none when they run back along it.
func chordLine(points []Point) (Cubic, []float64) {
	a, b := points[0], points[len(points)-1]
	u := b.Sub(a).Unit()
	if u == (Point{}) {
		return Cubic{}, nil
	}
	off := make([]float64, len(points))
	at := math.Inf(-1)
	for i, p := range points {
		w := p.Sub(a)
		off[i] = u.Cross(w)
		x := u.Dot(w)
		if x < at-float64(b.Dist(a)/2) {
			return Cubic{}, nil
		}
		at = max(at, x)
	}
	return Line(a, b), off
}

// fitter fits runs of points. ok is given the distances of the points from
// curves (signed, along the normal) and the number of unknowns, and says
// whether that will do, and the worst point; score weighs one division against
// another, less is better. With must a run is divided until it is ok, whatever
// the score.
type fitter struct {
	ok    func(off []float64, unknowns int) (ok bool, worst int)
	score func(s *spline) float64
	must  bool
	care  fitCare
}

// smooth fits one cubic, or as many as it takes.
func (f fitter) smooth(points []Point, ends fitEnds) *spline {
	s := f.oneCurve(points, ends, false)
	if ok, _ := f.good(s); ok || len(points) <= fitFew {
		return s
	}
	s = s.fromOtherStarts()
	if ok, _ := f.good(s); ok {
		return s
	}
	return f.divided(points, ends)
}

// good reports whether a spline will do, and else the worst point: where it
// lies too far off, or where the curves run astray between the points.
func (f fitter) good(s *spline) (bool, int) {
	if k := s.astray(); k >= 0 {
		at := s.nodes()
		return false, (at[k] + at[k+1]) / 2
	}
	ok, worst := f.ok(s.off(), s.unknowns())
	return ok && (f.must || !s.scant()), worst
}

// scant reports whether a curve of several has hardly any points on it.
func (s *spline) scant() bool {
	counts := make([]int, len(s.curves))
	for _, k := range s.on {
		counts[k]++
	}
	return len(counts) > 1 && slices.Min(counts) < scantPoints
}

// oneCurve fits one cubic, or one parabola: first whole distances at
// parameters spread by the chords, which is linear, then the distances along
// the normals at the feet.
func (f fitter) oneCurve(points []Point, ends fitEnds, parabola bool) *spline {
	n := len(points)
	s := &spline{fitCare: f.care, points: points, curves: []Cubic{ends.between(points[0], points[n-1])}, lines: []bool{false},
		ends: ends, parabola: parabola, on: make([]int, n), t: chordParams(points)}
	if unknowns := s.setUp(); unknowns > 0 {
		system := newBanded(unknowns)
		s.equations(system, true)
		if x, ok := system.solve(1e-9); ok {
			if first := s.moved(x); s.sane(first, s.reaches()) {
				s.curves = first
			}
		}
	}
	s.solve()
	return s
}

// between is the cubic to start from.
func (e fitEnds) between(a, b Point) Cubic {
	c := Line(a, b)
	third := a.Dist(b) / 3
	if e.from != nil {
		c.P1 = a.Add(e.from.Mul(third))
	}
	if e.to != nil {
		c.P2 = b.Sub(e.to.Mul(third))
	}
	return c
}

// chordParams spreads parameters over the points by the lengths between them.
func chordParams(points []Point) []float64 {
	ts := make([]float64, len(points))
	for i := 1; i < len(points); i++ {
		ts[i] = ts[i-1] + points[i].Dist(points[i-1])
	}
	if total := ts[len(ts)-1]; total > 0 {
		for i := range ts {
			ts[i] /= total
		}
	}
	return ts
}

// otherStarts are the shares of the handles' lengths from which one curve is
// fitted again: exact points of a cubic whose handles are very unlike can have
// a false least, some thousandths of a millimetre off.
var otherStarts = [4][2]float64{{0.7, 0.7}, {1.4, 0.7}, {0.7, 1.4}, {1.4, 1.4}}

// fromOtherStarts fits one curve again from other handles.
func (s *spline) fromOtherStarts() *spline {
	best, least := s, s.cost()
	for _, k := range otherStarts {
		c := s.curves[0]
		c.P1, c.P2 = c.P0.Lerp(c.P1, k[0]), c.P3.Lerp(c.P2, k[1])
		u := &spline{fitCare: s.fitCare, points: s.points, curves: []Cubic{c}, lines: s.lines, ends: s.ends,
			on: append([]int{}, s.on...), t: append([]float64{}, s.t...)}
		if cost := u.solve(); cost < least {
			best, least = u, cost
		}
	}
	return best
}

// divided fits several curves: pieces are halved until each can be fitted by
// itself, joined, divided further where that was too hopeful, and joined again
// to as few as will do.
func (f fitter) divided(points []Point, ends fitEnds) *spline {
	at, _ := f.halved(points, ends, 0, len(points)-1)
	s := f.joined(points, append([]int{0}, at...), nil, ends)
	for range fitDivisions {
		ok, worst := f.good(s)
		if ok {
			break
		}
		next := f.halvedAt(s, worst)
		if next == nil || !f.must && f.score(next) >= f.score(s) {
			break
		}
		s = next
	}
	return f.thinned(s)
}

// halved returns the ends of pieces of points[from..to] that can each be
// fitted by one curve, or are few, or where two would not pay; and their score
// together.
func (f fitter) halved(points []Point, ends fitEnds, from, to int) (at []int, score float64) {
	s := f.oneCurve(points[from:to+1], ends.of(from == 0, to == len(points)-1), false)
	score = f.score(s)
	if to-from < fitFew || !f.must && to-from < 2*fitFew {
		return []int{to}, score
	}
	if ok, _ := f.good(s); ok {
		return []int{to}, score
	}
	mid := (from + to) / 2
	left, a := f.halved(points, ends, from, mid)
	right, b := f.halved(points, ends, mid, to)
	if !f.must && a+b >= score {
		return []int{to}, score
	}
	return append(left, right...), a + b
}

// halvedAt divides the curve with the worst point, or, where it must, every
// curve that will not do; nil when the points are too few.
func (f fitter) halvedAt(s *spline, worst int) *spline {
	at := s.nodes()
	i := sort.SearchInts(at, worst+1)
	i = min(max(i, 1), len(at)-1)
	next := []int{0}
	off := s.off()
	for k := 1; k < len(at); k++ {
		bad := k == i
		if f.must {
			ok, _ := f.ok(off[at[k-1]:at[k]+1], 0)
			bad = bad || !ok
		}
		if bad && at[k]-at[k-1] >= fitFew {
			next = append(next, (at[k-1]+at[k])/2)
		}
		next = append(next, at[k])
	}
	if len(next) == len(at) {
		return nil
	}
	return f.joined(s.points, next, nil, s.ends)
}

// of returns what is known of a piece's ends.
func (e fitEnds) of(first, last bool) fitEnds {
	var part fitEnds
	if first {
		part.fixedA, part.from = e.fixedA, e.from
	}
	if last {
		part.fixedB, part.to = e.fixedB, e.to
	}
	return part
}

// nodes returns the indices of the points at which the spline's curves begin
// and end.
func (s *spline) nodes() []int {
	at := []int{0}
	for k := 1; k < len(s.curves); k++ {
		i := sort.Search(len(s.on), func(i int) bool { return s.on[i] >= k })
		// Room for a point within every curve, where there are points enough.
		at = append(at, max(at[k-1]+1, min(max(i, at[k-1]+2), len(s.points)-1-2*(len(s.curves)-k))))
	}
	return append(at, len(s.points)-1)
}

// thinned leaves out nodes as long as that will do.
func (f fitter) thinned(s *spline) *spline {
	try := func(at []int) *spline {
		t := f.joined(s.points, at, nil, s.ends)
		if ok, _ := f.good(t); ok && f.score(t) < f.score(s) {
			return t
		}
		return nil
	}
	// Fewer curves, spread as these are: by halving the interval, as more than
	// half of them are needed.
	low, high := (len(s.curves)-1)/2, len(s.curves)
	for high-low > 1 {
		mid := (low + high) / 2
		if t := try(spreadNodes(s.nodes(), mid)); mid > 1 && t != nil {
			s, high = t, mid
		} else {
			low = mid
		}
	}
	for len(s.curves) > 2 && len(s.curves) <= fitManyCurves {
		at := s.nodes()
		k := f.leastNeeded(s.points, at, s.ends)
		t := try(slices.Delete(slices.Clone(at), k, k+1))
		if t == nil {
			break
		}
		s = t
	}
	return s
}

// spreadNodes returns n+1 nodes as dense, each where it is, as the given ones.
func spreadNodes(at []int, n int) []int {
	m := len(at) - 1
	out := make([]int, n+1)
	for k := range out {
		x := float64(k*m) / float64(n)
		i := min(int(x), m-1)
		out[k] = at[i] + int(math.Round((x-float64(i))*float64(at[i+1]-at[i])))
	}
	return out
}

// leastNeeded returns the node whose neighbours are best fitted by one curve.
func (f fitter) leastNeeded(points []Point, at []int, ends fitEnds) int {
	best, least := 1, math.Inf(1)
	for k := 1; k < len(at)-1; k++ {
		s := f.oneCurve(points[at[k-1]:at[k+1]+1], ends.of(k == 1, k == len(at)-2), false)
		if c := s.cost(); c < least {
			best, least = k, c
		}
	}
	return best
}
