package geom

import (
	"math"
	"slices"
)

const (
	// doubtPrice is what it costs a fit, in variances, not to look like noise.
	doubtPrice = 25.0
	// strangePrice is what it costs to have curves that few points speak for,
	// or bends too sharp to tell.
	strangePrice = 100.0
	// wellExplained is how far above what is expected the sum of squares, in
	// variances, may lie before more curves are tried.
	wellExplained = 12.0
	// longStraight is the least length in mm, and straightCount the least
	// number of points, of a straight stretch within a run that bends.
	longStraight  = 15.0
	straightCount = 6
)

// runFit is a run of points with curves for it, with free ends.
type runFit struct {
	*spline
	price float64
	ok    bool
}

// weighed is the price, doubts included.
func (r runFit) weighed() float64 {
	if r.ok {
		return r.price
	}
	return r.price + doubtPrice
}

// orBetter is the better of two fits of a run.
func (r runFit) orBetter(s runFit) runFit {
	if s.weighed() < r.weighed() {
		return s
	}
	return r
}

// judged is a fit with its price. One that strays has none; one with curves
// that hardly any points speak for, or that bends more sharply than points can
// tell, is dear.
func (m noiseModel) judged(s *spline) runFit {
	if s.astray() >= 0 {
		return runFit{s, math.Inf(1), false}
	}
	ok, _ := m.ok(s.off(), s.unknowns())
	r := runFit{s, m.price(s), ok}
	if s.scant() || s.tightest() < s.tellable() {
		r.ok, r.price = false, r.price+strangePrice
	}
	return r
}

// single fits a run of points with free ends by the cheapest of a line, a
// parabola and a cubic.
func (m noiseModel) single(points []Point) runFit {
	best := m.judged(straightRun(points))
	f := m.fitter()
	if len(points) >= 5 {
		best = best.orBetter(m.judged(f.oneCurve(points, fitEnds{}, true)))
	}
	if len(points) >= 8 {
		best = best.orBetter(m.judged(f.oneCurve(points, fitEnds{}, false)))
	}
	return best
}

// run fits a run of points with free ends: the cheapest of a line, a parabola,
// a cubic, several cubics, and straight stretches joined by cubics.
func (m noiseModel) run(points []Point) runFit {
	best := m.single(points)
	if len(points) < 10 || best.ok && best.explained(m) {
		return best
	}
	f := m.fitter()
	best = best.orBetter(m.judged(f.divided(points, fitEnds{})))
	if s := f.partlyStraight(points, m); s != nil {
		best = best.orBetter(m.judged(s))
	}
	if len(best.curves) > 1 {
		best = best.orBetter(m.judged(f.straightened(best.spline)))
	}
	return best
}

// explained reports whether more curves could not pay.
func (r runFit) explained(m noiseModel) bool {
	return r.cost()/m.unit() < float64(len(r.points)-r.unknowns())+wellExplained
}

// straightRun is the line of least squares through a run.
func straightRun(points []Point) *spline {
	a, b := leastLine(points)
	s := &spline{points: points, curves: []Cubic{Line(a, b)}, lines: []bool{true}, on: make([]int, len(points)), t: make([]float64, len(points))}
	along := b.Sub(a)
	if square := along.Dot(along); square > 0 {
		for i, p := range points {
			s.t[i] = p.Sub(a).Dot(along) / square
		}
	}
	s.refoot()
	return s
}

// partlyStraight fits straight stretches joined by cubics; nil when there are
// none.
func (f fitter) partlyStraight(points []Point, m noiseModel) *spline {
	at, lines := straightStretches(points, math.Sqrt(m.unit()))
	if at == nil {
		return nil
	}
	s := f.joined(points, at, lines, fitEnds{})
	for range fitWindow {
		ok, worst := f.good(s)
		k := s.on[worst]
		if ok || s.lines[k] {
			break
		}
		at = s.nodes()
		if at[k+1]-at[k] < 2*fitFew {
			break
		}
		s = f.joined(points, slices.Insert(at, k+1, (at[k]+at[k+1])/2), slices.Insert(slices.Clone(s.lines), k+1, false), fitEnds{})
	}
	return s
}

// straightStretches divides a run where long straight stretches begin and end;
// lines says which parts are such. nil when there is none.
func straightStretches(points []Point, sigma float64) (at []int, lines []bool) {
	n := len(points)
	ends := straightOn(points, append(dividedOpen(points, sigma), n), max(sigma, polygonLeast))
	last := 0
	for k := 0; k+1 < len(ends); k++ {
		from, to := ends[k], ends[k+1]-1
		if to-from+1 < straightCount || points[from].Dist(points[to]) < longStraight {
			continue
		}
		// The stretches bend away at their ends.
		trim := max(1, (to-from)/8)
		if from > 0 {
			from += trim
		}
		if to < n-1 {
			to -= trim
		}
		if from > last {
			at, lines = append(at, last), append(lines, false)
		}
		at, lines = append(at, from), append(lines, true)
		last = to
	}
	if at == nil {
		return nil, nil
	}
	at = append(at, last)
	if last < n-1 {
		at, lines = append(at, n-1), append(lines, false)
	}
	return at, lines
}

// straightened makes curves of a run straight where that pays.
func (f fitter) straightened(s *spline) *spline {
	for k := range s.curves {
		if s.lines[k] || k > 0 && s.lines[k-1] || k+1 < len(s.lines) && s.lines[k+1] {
			continue
		}
		lines := slices.Clone(s.lines)
		lines[k] = true
		t := f.joined(s.points, s.nodes(), lines, s.ends)
		if ok, _ := f.good(t); ok && f.score(t) < f.score(s) {
			s = t
		}
	}
	return s
}
