package geom

import (
	"math"
	"slices"
)

const (
	// pruneReach is how far in mm, and pruneCount and pruneMost with how many
	// points at least and at most, a break's sides are looked at when it is
	// tried against a smooth curve.
	pruneReach = 90.0
	pruneCount = 12
	pruneMost  = 120
	// breakPrice is what a break costs, in variances of the noise, where it
	// might be a smooth curve instead: one of several near each other, or one
	// whose turn is less than slightBreak; twice where the edge beside it is
	// shorter than shortEdge mm. A sharp corner costs nothing, and a rounding
	// has to explain the points better than it by as much.
	breakPrice  = 8.0
	slightBreak = 20 * math.Pi / 180
	shortEdge   = 8.0
	// gentleBend is the radius in mm from which a smooth curve is no rounding.
	gentleBend = 12.0
	// tipDepth is by how many deviations of the noise a rounding leaves out the
	// tip of the corner at least.
	tipDepth = 3.0
	// tightSteps is the number of places at which a curve's radius is looked at.
	tightSteps = 20
	// settleGain is by how many variances another place for a break must
	// explain the points better.
	settleGain = 4.0
	// mostBreaks is the number of breaks above which none is tried against a
	// smooth curve: no garment part has as many, and each trial takes its time.
	mostBreaks = 400
)

// sideOf is a side of a break: the points between two indices, of which the
// end counts, or the start.
type sideOf struct {
	from, to int
	end      bool
}

// fitSide returns the fit of a side.
func (f *outlineFit) fitSide(from, to int, end bool) runFit {
	key := sideOf{from, to, end}
	if s, ok := f.sides[key]; ok {
		return s
	}
	s := f.model.sideRun(near(f.stretch(from, to), end), end)
	if f.sides == nil {
		f.sides = map[sideOf]runFit{}
	}
	f.sides[key] = s
	return s
}

// near is the end (or the start) of a run as far as it is looked at.
func near(run []Point, end bool) []Point {
	n, length := len(run), 0.0
	for k := 1; k < n; k++ {
		i := k
		if end {
			i = n - k
		}
		if length += run[i].Dist(run[i-1]); length > pruneReach && k >= pruneCount || k >= pruneMost {
			if end {
				return run[n-k:]
			}
			return run[:k]
		}
	}
	return run
}

// sideRun is the longest end (or start) of a run that one curve explains, by
// halving.
func (m noiseModel) sideRun(run []Point, end bool) runFit {
	for {
		r := m.single(run)
		if r.ok || len(run) < 6 {
			return r
		}
		if half := len(run) / 2; end {
			run = run[half:]
		} else {
			run = run[:len(run)-half]
		}
	}
}

// settle puts breaks between the points that their two sides divide.
func (f *outlineFit) settle() {
	n, m := len(f.points), len(f.at)
	for k := range f.at {
		before, after := f.at[(k+m-1)%m], f.at[(k+1)%m]
		try := func(at int) (a, b runFit, price float64) {
			if m == 1 {
				before, after = (at+n/2)%n, (at+n-n/2)%n
			}
			a, b = f.fitSide(before, at, true), f.fitSide(at, after, false)
			return a, b, a.price + b.price - float64(len(a.points)+len(b.points))
		}
		a, b, price := try(f.at[k])
		for range 3 {
			in, on := a.curves[len(a.curves)-1], b.curves[0]
			t, u, place, ok := meetOn(in, on)
			if !ok {
				break
			}
			at := (dividedAt(f.points, f.at[k], place, in.Tangent(t).Add(on.Tangent(u))) + n) % n
			if at == f.at[k] || at == before || at == after {
				break
			}
			c, d, least := try(at)
			if least >= price-settleGain || len(c.points) < min(3, len(a.points)) || len(d.points) < min(3, len(b.points)) {
				break
			}
			a, b, price = c, d, least
			f.at[k] = at
		}
	}
	slices.Sort(f.at)
}

// prune leaves out breaks, up to three neighbours at once, where a smooth
// curve explains the points as well.
func (f *outlineFit) prune() {
	if len(f.at) > mostBreaks {
		return
	}
	for changed := true; changed && len(f.at) > 0; {
		changed = false
		for count := 1; count <= 3 && !changed; count++ {
			for k := 0; k < len(f.at) && count <= len(f.at); k++ {
				if f.smoothAt(k, count) {
					f.leaveOut(k, count)
					changed = true
					k--
				}
			}
		}
	}
}

// leaveOut takes count breaks from k on, going round, out of the list.
func (f *outlineFit) leaveOut(k, count int) {
	m := len(f.at)
	var at []int
	for i, index := range f.at {
		if (i-k+m)%m >= count {
			at = append(at, index)
		}
	}
	f.at = at
}

// smoothAt reports whether the breaks k to k+count−1 are none: a smooth curve
// explains the points around them nearly as well as sides that meet.
func (f *outlineFit) smoothAt(k, count int) bool {
	m := len(f.at)
	middle := make([][]Point, count-1)
	for i := range middle {
		middle[i] = f.stretch(f.at[(k+i)%m], f.at[(k+i+1)%m])
		if polylineLength(middle[i]) > pruneReach/2 {
			return false
		}
	}
	a, b := f.sidesOf(k, count)
	if count == 1 && m > 1 && !(a.ok && b.ok) {
		return f.smoothAcross(k)
	}
	price := a.price + b.price + float64(breakPrice*float64(count-1))
	if count == 1 && math.Abs(AngleBetween(a.curves[0].Tangent(1), b.curves[0].Tangent(0))) < slightBreak {
		price += breakPrice
	}
	for _, run := range middle {
		price += f.model.single(run).price
		if polylineLength(run) < shortEdge {
			price += breakPrice
		}
	}
	if count > 1 {
		price = min(price, f.oneOf(a, middle, b)+breakPrice)
	}
	return f.model.smoothOver(a, slices.Concat(middle...), b, price)
}

// smoothAcross reports whether break k, beside which no single curve explains
// the points, is none: curves joined smoothly cost less across it than apart.
func (f *outlineFit) smoothAcross(k int) bool {
	m := len(f.at)
	in := near(f.stretch(f.at[(k+m-1)%m], f.at[k]), true)
	on := near(f.stretch(f.at[k], f.at[(k+1)%m]), false)
	both := f.model.run(slices.Concat(in, on))
	return both.ok && both.price < f.model.run(in).weighed()+f.model.run(on).weighed()
}

// sidesOf are the sides before and after the breaks k to k+count−1; when there
// are no others, each has half of the points between.
func (f *outlineFit) sidesOf(k, count int) (a, b runFit) {
	m := len(f.at)
	first, last := f.at[k], f.at[(k+count-1)%m]
	if count < m {
		return f.fitSide(f.at[(k+m-1)%m], first, true), f.fitSide(last, f.at[(k+count)%m], false)
	}
	outside := f.stretch(last, first)
	half := len(outside) / 2
	return f.model.sideRun(near(outside[half:], true), true), f.model.sideRun(near(outside[:half], false), false)
}

// oneOf is the price of the cheapest way to explain the points with one of
// several breaks alone.
func (f *outlineFit) oneOf(a runFit, middle [][]Point, b runFit) float64 {
	least := math.Inf(1)
	for i := range len(middle) + 1 {
		before := slices.Concat(append([][]Point{a.points}, middle[:i]...)...)
		after := append(slices.Concat(middle[i:]...), b.points...)
		least = min(least, f.model.single(before).weighed()+f.model.single(after).weighed())
	}
	return least
}

// smoothOver reports whether the points of two sides and those between them
// can be had for less than price by one curve, by the two joined smoothly, or
// with an arc or a curve between them.
func (m noiseModel) smoothOver(a runFit, middle []Point, b runFit, price float64) bool {
	points := slices.Concat(a.points, middle, b.points)
	n, f := len(points)-1, m.fitter()
	good := func(s *spline) bool {
		r := m.judged(s)
		return r.ok && r.price < price && m.rounds(r, a, b, price)
	}
	if len(points) >= 8 && good(f.oneCurve(points, fitEnds{}, false)) {
		return true
	}
	if a.lines[0] && b.lines[0] {
		c := bestRounded(points, len(a.points), len(points)-len(b.points))
		ok, _ := m.ok(c.off, roundUnknowns)
		if ok && c.cost/m.unit()+unknownPrice*roundUnknowns+curvePrice < price-breakPrice && c.depth > tipDepth*m.sigma {
			return true
		}
	} else if at := (len(a.points) + n - len(b.points)) / 2; at >= 2 && at <= n-2 {
		if good(f.joined(points, []int{0, at, n}, []bool{a.lines[0], b.lines[0]}, fitEnds{})) {
			return true
		}
	}
	for wide := 1; wide <= 16; wide *= 2 {
		from, to := len(a.points)-wide, n-len(b.points)+wide
		if from < 2 || to > n-2 {
			break
		}
		if to-from >= 3 && good(f.joined(points, []int{0, from, to, n}, []bool{a.lines[0], false, b.lines[0]}, fitEnds{})) {
			return true
		}
	}
	return false
}

// rounds reports whether a smooth run is more than a corner with its tip worn
// off by the noise: where it bends sharply it costs clearly less than the break and leaves out the
// tip, the meeting of the two sides.
func (m noiseModel) rounds(s, a, b runFit, price float64) bool {
	radius := s.tightest()
	if radius > gentleBend {
		return true
	}
	if s.price > price-breakPrice {
		return false
	}
	_, _, tip, ok := meetOn(a.curves[len(a.curves)-1], b.curves[0])
	if !ok {
		return true
	}
	_, depth := Path(s.curves).Nearest(tip)
	return depth > tipDepth*m.sigma
}

// tellable is the least radius in mm of a bend that points can tell from a
// corner: the distance between them.
func (s *spline) tellable() float64 {
	return max(1, polylineLength(s.points)/float64(len(s.points)))
}

// tightest is the least radius of the curves' bends in mm.
func (s *spline) tightest() float64 {
	most := 0.0
	for k, c := range s.curves {
		if s.lines[k] {
			continue
		}
		for i := range tightSteps {
			most = max(most, math.Abs(c.Curvature((float64(i)+0.5)/tightSteps)))
		}
	}
	return 1 / most
}
