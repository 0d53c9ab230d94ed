package explain

import (
	"math"

	"toile/geom"
	"toile/pattern/change"
)

// explained says what became of old edge i, continued by these new edges: the
// same line, else the simplest motion that takes its carrier to the new one,
// else it was redrawn.
func (e *explainer) explained(i int, now []int) Edge {
	return e.continued(i, e.old.Edges[i], now)
}

// continued is explained for an old edge that now runs over its neighbours
// too.
func (e *explainer) continued(i int, from geom.Path, now []int) Edge {
	x := Edge{Old: i, Into: -1, New: append([]int(nil), now...), From: from, To: e.joined(now)}
	if len(now) == 0 {
		return x
	}
	if runs, fit, ok := sameLine(x.From, x.To, e.tol.Kept); ok {
		y := x
		x.Runs, x.Fit = runs, fit
		if !replaced(runs, e.tol.Kept) {
			return x
		}
		if lost := runs[0].Lost + runs[1].Lost; lost > x.From.Length()/2 {
			if z, ok := e.motion(i, y); ok && z.Kind == change.EdgeMoved && ledEnds(z) == 0 {
				return z // it is the same line only where a move leads along it
			}
		}
		if e.swung(&y) {
			y.led = &x
			return y
		}
		return x
	}
	if y, ok := e.motion(i, x); ok {
		return y
	}
	x.redrawn()
	x.whole = e.congruent(x.From, x.To)
	e.taperedFrom(&x)
	return x
}

// congruent reports whether two paths have the same shape.
func (e *explainer) congruent(p, q geom.Path) bool {
	length, other := p.Length(), q.Length()
	if math.Abs(length-other) > e.tol.moved() {
		return false
	}
	const parts = 6
	var from, to []geom.Point
	for k := range parts + 1 {
		share := float64(k) / parts
		from, to = append(from, p.PointAt(length*share)), append(to, q.PointAt(other*share))
	}
	m := geom.FitMotion(from, to, false)
	for k := range from {
		if m.Apply(from[k]).Dist(to[k]) > e.tol.moved() {
			return false
		}
	}
	return true
}

// redrawn says that nothing simple explains the edge.
func (x *Edge) redrawn() {
	x.Kind, x.Fit = change.EdgeRedrawn, 0
	far, at := Farthest(x.To, x.From)
	if back, there := Farthest(x.From, x.To); back > far {
		far, at = back, there
	}
	x.By, x.At = far, at
}

// motion finds the simplest motion of edge i. Of the two ways to move as a
// whole the one that fits clearly better counts.
func (e *explainer) motion(i int, x Edge) (Edge, bool) {
	tries := e.attempts(i)
	first, second := x, x
	okFirst, okSecond := tries[0](&first), tries[1](&second)
	switch {
	case okFirst && okSecond && first.Fit > 2*second.Fit+0.002 && ledEnds(second) <= ledEnds(first):
		return second, true
	case okFirst:
		return first, true
	case okSecond:
		return second, true
	}
	for _, try := range tries[2:] {
		y := x
		if try(&y) {
			return y, true
		}
	}
	return x, false
}

// ledEnds counts the ends that were led on.
func ledEnds(x Edge) int {
	n := 0
	for _, r := range x.Runs {
		if r.How != "" {
			n++
		}
	}
	return n
}

// replaced reports whether an end of an edge was cut off and led on in another
// direction, as the arm of a swing is too where the pivot is hardly bent.
func replaced(runs [2]Run, within float64) bool {
	for _, r := range runs {
		if r.How != change.HowAlong && r.Lost > 10*within {
			return true
		}
	}
	return false
}

// attempts lists the motions, the simplest first. A hem is taken up along the
// grain; any other edge is let out at equal distance.
func (e *explainer) attempts(i int) []func(*Edge) bool {
	if i == e.old.Hem {
		return []func(*Edge) bool{e.shifted, e.parallel, e.swung, e.tapered}
	}
	return []func(*Edge) bool{e.parallel, e.shifted, e.swung, e.tapered}
}

// outward returns the sign of a move of p in a direction: outward positive.
func outward(p geom.Path, dir geom.Point) float64 {
	if dir.Dot(p.TangentAt(p.Length()/2).Left()) < 0 {
		return -1
	}
	return 1
}

// leastAcross is the share of a shift along the grain that has to lead away from
// an edge for the edge to be let out or taken in by it: one that runs nearly
// along the grain hardly lies elsewhere after it.
const leastAcross = 0.25

// shifted tries a shift along the grain.
func (e *explainer) shifted(x *Edge) bool {
	d, ok := shiftAlong(x.From, x.To, e.old.Down)
	if !ok || math.Abs(d) <= e.tol.Same || math.Abs(e.old.Down.Dot(x.From.TangentAt(x.From.Length()/2).Left())) < leastAcross {
		return false
	}
	moved := x.From.Moved(geom.Motion{Shift: e.old.Down.Mul(d)})
	runs, fit, ok := e.onLine(moved, x.To)
	if !ok {
		return false
	}
	x.Kind, x.How, x.By, x.Fit = change.EdgeMoved, change.HowShifted, d*outward(x.From, e.old.Down), fit
	x.Runs = ledOn(runs)
	return true
}

// ledOn keeps of the runs of a moved edge those that were eased or drawn to
// meet a neighbour: ends that follow slanted neighbours along the edge's own
// line go with it.
func ledOn(runs [2]Run) [2]Run {
	for end := range runs {
		if runs[end].How == change.HowAlong {
			runs[end] = Run{}
		}
	}
	return runs
}

// onLine reports whether q lies on the carrier of a moved edge, and how its
// ends differ from the edge's.
func (e *explainer) onLine(moved, q geom.Path) (runs [2]Run, fit float64, ok bool) {
	within := e.tol.moved()
	if fit, _ := Farthest(q, geom.Carrier(moved, carrierReach)); fit <= within {
		return runs, fit, true
	}
	return sameLine(moved, q, within)
}

// shiftAlong finds how far along dir the middle of q lies from p's carrier.
func shiftAlong(p, q geom.Path, dir geom.Point) (float64, bool) {
	carrier := geom.Carrier(p, carrierReach)
	m := q.PointAt(q.Length() / 2)
	best, found := 0.0, false
	for _, curve := range carrier {
		for _, t := range curve.MeetLine(m, m.Add(dir)) {
			d := m.Sub(curve.At(t)).Dot(dir)
			if !found || math.Abs(d) < math.Abs(best) {
				best, found = d, true
			}
		}
	}
	return best, found
}

// profile is how far a new edge lies from the carrier of an old one: at
// places along the old edge, counted from its start, the outward distances,
// and for each the length along the new edge.
type profile struct{ along, out, at []float64 }

func profileOf(p, q geom.Path) profile {
	on := geom.NewRunOn(p, carrierReach)
	var r profile
	run := 0.0
	for _, curve := range q {
		for k := 0; k <= samplesPerCurve; k++ {
			t := float64(k) / samplesPerCurve
			f := on.Foot(curve.At(t))
			r.along = append(r.along, f.Along)
			r.out = append(r.out, f.Out)
			r.at = append(r.at, run+curve.LengthBetween(0, t))
		}
		run += curve.Length()
	}
	return r
}

// line fits out = start + slope·along by least squares over samples from to
// to, and returns the greatest distance from it.
func (r *profile) line(from, to int, level bool) (start, slope, fit float64) {
	n := float64(to - from)
	var sx, sy, sxx, sxy float64
	for k := from; k < to; k++ {
		x, y := r.along[k], r.out[k]
		sx, sy, sxx, sxy = sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	if det := n*sxx - sx*sx; !level && det > 1e-9 {
		slope = (n*sxy - sx*sy) / det
	}
	start = (sy - slope*sx) / n
	for k := from; k < to; k++ {
		fit = math.Max(fit, math.Abs(r.out[k]-start-slope*r.along[k]))
	}
	return start, slope, fit
}

// window finds the samples, from from to to, over which the profile is level
// or a line: all of them, else without the curves at either end that lead on
// to a neighbour. At least half of the edge has to lie in it.
func (e *explainer) window(r *profile, curves int, level bool) (from, to int, ok bool) {
	const per = samplesPerCurve + 1
	total := r.at[len(r.at)-1]
	for dropped := range curves {
		for a := 0; a <= dropped; a++ {
			from, to = a*per, (curves-dropped+a)*per
			if r.at[to-1]-r.at[from] < total/2 {
				continue
			}
			if _, _, fit := r.line(from, to, level); fit <= e.tol.moved() {
				return from, to, true
			}
		}
	}
	return 0, 0, false
}

// tails measures what of q lies outside of the window, led on to neighbours:
// how much longer it is than the part of the old edge that it replaces.
func (r *profile) tails(from, to int, length float64) [2]Run {
	var runs [2]Run
	if from > 0 {
		lost := math.Max(r.along[from], 0)
		runs[0] = Run{By: r.at[from] - lost, How: change.HowEased, Lost: lost}
	}
	if total := r.at[len(r.at)-1]; to < len(r.at) {
		lost := math.Max(length-r.along[to-1], 0)
		runs[1] = Run{By: total - r.at[to-1] - lost, How: change.HowEased, Lost: lost}
	}
	return runs
}

// leadsOnward reports whether what lies outside of the window was led on: away
// from it smoothly, and bending once. Anything else is another line.
func (r *profile) leadsOnward(q geom.Path, from, to int) bool {
	const per = samplesPerCurve + 1
	first, last := from/per, to/per // curves of the window, last not among them
	head, tail := q[:first], q[last:]
	if len(head) > 0 && !(math.Abs(geom.AngleBetween(head.EndTangent(), q[first].Tangent(0))) < smoothLead && bendsOnce(head)) {
		return false
	}
	return len(tail) == 0 || (math.Abs(geom.AngleBetween(q[last-1].Tangent(1), tail.StartTangent())) < smoothLead && bendsOnce(tail))
}

// parallel tries a move at equal distance.
func (e *explainer) parallel(x *Edge) bool {
	r := profileOf(x.From, x.To)
	from, to, ok := e.window(&r, len(x.To), true)
	if !ok {
		return false
	}
	by, _, fit := r.line(from, to, true)
	if !r.leadsOnward(x.To, from, to) || math.Abs(by) <= e.tol.Same || math.Abs(by) < 2*fit {
		return false
	}
	x.Kind, x.How, x.By, x.Fit = change.EdgeMoved, change.HowParallel, by, fit
	x.Runs = r.tails(from, to, x.From.Length())
	return true
}

// steepestTaper is the greatest change of distance per length that is told as
// a taper; a steeper one is another line, but for one that starts from nothing,
// as it is made: that may be as steep as steepestFromNothing.
const (
	steepestTaper       = 0.2
	steepestFromNothing = 1.0
)

// tapered tries a distance that is linear in the edge's length.
func (e *explainer) tapered(x *Edge) bool {
	r := profileOf(x.From, x.To)
	from, to, ok := e.window(&r, len(x.To), false)
	if !ok {
		return false
	}
	start, slope, fit := r.line(from, to, false)
	end := start + slope*x.From.Length()
	steepest := steepestTaper
	if min(math.Abs(start), math.Abs(end)) <= e.tol.moved() {
		steepest = steepestFromNothing
	}
	if !r.leadsOnward(x.To, from, to) || math.Abs(slope) > steepest {
		return false
	}
	x.steep = math.Abs(slope) > steepestTaper
	if math.Max(math.Abs(start), math.Abs(end)) <= e.tol.moved() {
		return false // only a tail of it was drawn anew
	}
	x.Kind, x.How, x.By, x.Fit = change.EdgeMoved, change.HowTapered, start, fit
	if math.Abs(end) > math.Abs(start) {
		x.By = end
	}
	x.Ends = [2]float64{start, end}
	x.Runs = r.tails(from, to, x.From.Length())
	return true
}
