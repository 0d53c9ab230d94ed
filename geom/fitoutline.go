package geom

import (
	"cmp"
	"math"
	"slices"
)

// FitOptions are the settings of FitOutline; zero values stand for the
// defaults.
type FitOptions struct {
	// CornerTurn is the turn in radians from which a bend is a corner; 20° by
	// default.
	CornerTurn float64
	// Window is the number of points on either side from which the directions at
	// a corner are taken; 8 by default, about an inch at a point every 3 mm.
	// Corners closer together than half of it are taken for one, and with fewer
	// than about four points between them they are placed less well.
	Window int
	// Tolerance in mm that the fit need not beat even on points without noise;
	// 0.02 by default.
	Tolerance float64
}

func (o FitOptions) orDefault() FitOptions {
	if !(o.CornerTurn > 0) {
		o.CornerTurn = 20 * math.Pi / 180
	}
	if o.Window < 3 {
		o.Window = 8
	}
	if !(o.Tolerance > 0) {
		o.Tolerance = 0.02
	}
	return o
}

// FitOutline returns a ring of cubics and lines through the dense, noisy,
// about evenly spaced points of a closed outline, in their direction. It
// starts at the first corner at or after the first point; corners are the
// indices of the curves that start at a corner, rising. noise is the estimated
// standard deviation of the points square to the outline, in mm. Fewer than
// eight different points give a nil ring.
//
// Method: the noise from differences of second differences, in which straight
// and evenly curved stretches cancel; corners where lines fitted before and
// after a point differ in direction, unless parabolas fitted there do not;
// between corners Gauss–Newton fits as in Fit, divided where the residuals are
// greater, or run on one side longer, than the noise explains. A corner is
// put at the meeting of its fitted neighbours, not at a noisy point, and both
// are fitted again to end there.
func FitOutline(points []Point, options FitOptions) (ring Ring, corners []int, noise float64) {
	o := options.orDefault()
	points = distinct(points)
	for len(points) > 1 && points[0].Dist(points[len(points)-1]) <= 1e-9 {
		points = points[:len(points)-1]
	}
	if len(points) < 8 {
		return nil, nil, 0
	}
	noise = outlineNoise(points)
	f := noisyFitter(math.Max(noise, o.Tolerance/3))
	at := outlineCorners(points, o)
	if len(at) == 0 {
		return f.smoothRing(points), nil, noise
	}
	runs := make([][]Point, len(at))
	for k, i := range at {
		runs[k] = runBetween(points, i, at[(k+1)%len(at)])
	}
	ends := f.cornerPoints(points, at, runs)
	for k, run := range runs {
		corners = append(corners, len(ring))
		a, b := ends[k], ends[(k+1)%len(at)]
		run = append(append([]Point{a}, run...), b)
		ring = append(ring, f.fit(run, fitEnds{a: a, b: b})...)
	}
	return ring, corners, noise
}

// outlineNoise estimates the noise of a closed run of points: differences of
// second differences, square to the run, have a variance of 20 σ²; their
// median size stands for it, so that corners do not count.
func outlineNoise(points []Point) float64 {
	n := len(points)
	sizes := make([]float64, n)
	for i := range points {
		a, b, c, d := points[i], points[(i+1)%n], points[(i+2)%n], points[(i+3)%n]
		third := d.Sub(c.Mul(3)).Add(b.Mul(3)).Sub(a)
		sizes[i] = math.Abs(d.Sub(a).Unit().Cross(third))
	}
	slices.Sort(sizes)
	// The median size of a normal variable is 0.6745 of its deviation.
	return sizes[n/2] / 0.6745 / math.Sqrt(20)
}

// fitWindow is the number of residuals in a row whose mean is tested.
const fitWindow = 8

// noisyFitter accepts a fit whose residuals look like noise of the given
// deviation: their mean square within three deviations of its own scatter, no
// mean of fitWindow in a row beyond four, none of them beyond five.
func noisyFitter(sigma float64) fitter {
	return fitter{least: 6, near: 2 * sigma, judge: func(off []float64) (bool, int) {
		n := len(off)
		square, worst, most := 0.0, 0, 0.0
		wide := min(fitWindow, n)
		ok, sum := true, 0.0
		for i, d := range off {
			square += float64(d * d)
			ok = ok && math.Abs(d) <= 5*sigma
			sum += d
			if i >= wide {
				sum -= off[i-wide]
			}
			if mean := math.Abs(sum) / float64(wide); i >= wide-1 && mean > most {
				worst, most = i-wide/2, mean
			}
		}
		ok = ok && most <= 4*sigma/math.Sqrt(float64(wide))
		ok = ok && square/float64(n) <= sigma*sigma*(1+float64(3*math.Sqrt(2/float64(n))))
		return ok, worst
	}}
}

// outlineCorners returns the indices of the points nearest to corners.
func outlineCorners(points []Point, o FitOptions) []int {
	n := len(points)
	w := min(o.Window, n/4)
	turns := make([]float64, n)
	var found []int
	for i := range points {
		_, in := principal(around(points, i-w, i))
		_, on := principal(around(points, i, i+w))
		turns[i] = math.Abs(AngleBetween(in, on))
	}
	for i, turn := range turns {
		if turn >= o.CornerTurn && turn == greatest(turns, i, w/2) {
			found = append(found, i)
		}
	}
	slices.SortStableFunc(found, func(i, j int) int { return cmp.Compare(turns[j], turns[i]) })
	var corners []int
	for _, i := range found {
		nearby := func(j int) bool { d := (i - j + n) % n; return min(d, n-d) <= w/2 }
		if slices.ContainsFunc(corners, nearby) {
			continue
		}
		_, in := localParabola(around(points, i-w, i), points[i])
		_, on := localParabola(around(points, i, i+w), points[i])
		if math.Abs(AngleBetween(in, on)) >= o.CornerTurn {
			corners = append(corners, i)
		}
	}
	slices.Sort(corners)
	return corners
}

// greatest returns the greatest of the values within reach of the i-th, going
// round.
func greatest(values []float64, i, reach int) float64 {
	n := len(values)
	most := math.Inf(-1)
	for k := i - reach; k <= i+reach; k++ {
		most = math.Max(most, values[(k+n)%n])
	}
	return most
}

// around returns the points with indices from to to, going round.
func around(points []Point, from, to int) []Point {
	n := len(points)
	var out []Point
	for i := from; i <= to; i++ {
		out = append(out, points[((i%n)+n)%n])
	}
	return out
}

// runBetween returns the points between two corners. A point at a corner may
// lie on either edge, so it and, where there are enough, its neighbours are
// left out.
func runBetween(points []Point, i, j int) []Point {
	if j <= i {
		j += len(points)
	}
	switch {
	case j-i >= 12:
		return around(points, i+2, j-2)
	case j-i >= 2:
		return around(points, i+1, j-1)
	}
	return nil
}

// cornerPoints fits each run by itself and returns, for each corner, where the
// run that ends there and the one that starts there meet when carried on.
func (f fitter) cornerPoints(points []Point, at []int, runs [][]Point) []Point {
	fits := make([]Path, len(runs))
	for k, run := range runs {
		if len(run) >= 3 {
			fits[k] = f.fit(run, fitEnds{a: run[0], b: run[len(run)-1], freeA: true, freeB: true})
		}
	}
	ends := make([]Point, len(runs))
	for k, i := range at {
		ends[k] = points[i]
		in, on := fits[(k+len(runs)-1)%len(runs)], fits[k]
		if in == nil || on == nil {
			continue
		}
		reach := 3 * (in.End().Dist(points[i]) + on.Start().Dist(points[i]))
		if q, ok := carriedMeeting(in, on, reach); ok && q.Dist(points[i]) < reach {
			ends[k] = q
		}
	}
	return ends
}

// carriedMeeting returns where two paths meet when the first is carried on
// beyond its end and the second before its start; the tangents' meeting when
// the carriers have none.
func carriedMeeting(in, on Path, reach float64) (Point, bool) {
	_, after := CarrierEnds(in, reach)
	before, _ := CarrierEnds(on, reach)
	a := append(Path{in[len(in)-1]}, after...)
	b := append(append(Path{}, before...), on[0])
	best, least := Point{}, math.Inf(1)
	for _, m := range MeetPaths(a, b) {
		if d := m.At.Dist(in.End()) + m.At.Dist(on.Start()); d < least {
			best, least = m.At, d
		}
	}
	if !math.IsInf(least, 1) {
		return best, true
	}
	u, v := in.EndTangent(), on.StartTangent()
	if x := u.Cross(v); math.Abs(x) > 0.1 {
		return in.End().Add(u.Mul(on.Start().Sub(in.End()).Cross(v) / x)), true
	}
	return Point{}, false
}

// smoothRing fits an outline without corners: it starts and ends at a smoothed
// first point, with one tangent.
func (f fitter) smoothRing(points []Point) Ring {
	near := around(points, -fitSmooth, fitSmooth)
	at, dir := localParabola(near, points[0])
	run := append(append([]Point{at}, points[1:]...), at)
	half := len(run) / 2
	mid, midDir := smoothed(run, half)
	ring := Ring(f.fit(run[:half+1], fitEnds{a: at, b: mid, from: &dir, to: &midDir}))
	return append(ring, f.fit(run[half:], fitEnds{a: mid, b: at, from: &midDir, to: &dir})...)
}
