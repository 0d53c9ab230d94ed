package geom

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Constants of the offset of one curve.
const (
	// offsetDepth bounds the halving: 2⁻¹² of a curve is below any tolerance a
	// fit of a regular stretch can need.
	offsetDepth = 12
	// offsetFitPoints are looked at by the least squares; fewer leave wiggles
	// unseen, more cost time and gain nothing.
	offsetFitPoints = 9
	// offsetCheckPoints are measured afterwards; with 23 none of 2,000 curves
	// was off by more than the tolerance when measured at 100 points of each
	// cubic (TestOffsetCubicsPerCurve).
	offsetCheckPoints = 23
	// offsetMargin of the tolerance is accepted at the check points; the rest
	// is for what lies between them.
	offsetMargin = 0.9
	// offsetRounds of foot points and least squares; the fifth changes nothing
	// at 0.01 mm.
	offsetRounds = 4
	// offsetFlat is the distance in mm from the chord within which a curve is a
	// line: a hundredth of what a tolerance of 0.01 mm lets through.
	offsetFlat = 1e-7
)

// ErrNoDirection is the error for a curve or path that is a single point.
var ErrNoDirection = errors.New("the curve is a single point and has no direction to offset from")

// Offset returns the curve at distance d mm to the left of the direction of
// travel (to the right when negative), within tol of the true parallel curve,
// with its exact ends and end tangents. Where the radius of curvature on that
// side is smaller than |d| the parallel curve turns back; these stretches are
// part of the result, joined at the cusps. A straight curve is shifted, also
// one that overshoots its end. At a cusp of the curve itself, where the side
// changes, the parts are joined by a line.
//
// Method: the curve is split where 1 + d·κ changes sign; each part is fitted by
// one cubic with given ends and end tangents, the handles by least squares on
// the distance from the parallel curve at Newton foot points, and halved when
// it deviates. Errors: ErrNoDirection; numbers that are not finite; a
// tolerance that cannot be reached. Typically 1.3 cubics per curve at 0.01 mm.
func (c Cubic) Offset(d, tol float64) (Path, error) {
	if !c.Finite() || math.IsNaN(d) || math.IsInf(d, 0) || !(tol > 0) {
		return nil, fmt.Errorf("cannot offset by %v mm within %v mm: the numbers have to be finite and the tolerance positive", d, tol)
	}
	if c.hull() < 1e-9 {
		return nil, ErrNoDirection
	}
	if d == 0 {
		return Path{c}, nil
	}
	if line, ok := c.asLine(); ok {
		if line.P0.Dist(line.P3) < 1e-9 {
			return nil, ErrNoDirection
		}
		n := line.P3.Sub(line.P0).Unit().Left().Mul(d)
		return Path{Line(line.P0.Add(n), line.P3.Add(n))}, nil
	}
	o := parallel{c: c, d: d, tol: tol}
	cuts := o.cuts()
	for i := 1; i < len(cuts); i++ {
		o.fit(cuts[i-1], cuts[i], offsetDepth)
	}
	if o.worst > tol {
		return nil, fmt.Errorf("offset by %.3f mm deviates by %.3g mm, %.3g mm wanted", d, o.worst, tol)
	}
	return o.out, nil
}

// asLine returns the line between the ends of a curve whose controls all lie
// on it, whatever its speed.
func (c Cubic) asLine() (Cubic, bool) {
	far := c.P3
	for _, p := range [2]Point{c.P1, c.P2} {
		if p.Dist(c.P0) > far.Dist(c.P0) {
			far = p
		}
	}
	u := far.Sub(c.P0).Unit()
	for _, p := range [3]Point{c.P1, c.P2, c.P3} {
		if math.Abs(u.Cross(p.Sub(c.P0))) > offsetFlat {
			return Cubic{}, false
		}
	}
	return Line(c.P0, c.P3), true
}

// parallel is the work on one curve.
type parallel struct {
	c      Cubic
	d, tol float64
	out    Path
	worst  float64
}

// factor is 1 + d·κ, the speed of the parallel curve over the curve's, with
// its sign.
func (o *parallel) factor(t float64) float64 { return 1 + o.d*o.c.Curvature(t) }

// at is the point of the parallel curve.
func (o *parallel) at(t float64) Point { return o.c.At(t).Add(o.c.Tangent(t).Left().Mul(o.d)) }

// cuts returns the parameters between which the parallel curve is regular:
// 0, 1, sign changes of the factor, and cusps of the curve.
func (o *parallel) cuts() []float64 {
	const samples = 32
	ts := make([]float64, 0, samples+6)
	for i := range samples + 1 {
		ts = append(ts, float64(i)/samples)
	}
	slow := o.c.slowest()
	ts = append(ts, slow...)
	slices.Sort(ts)
	cuts := []float64{0}
	for i := 1; i < len(ts); i++ {
		lo, hi := ts[i-1], ts[i]
		positive := o.factor(lo+1e-9) > 0
		if hi-lo < 1e-8 || positive == (o.factor(hi-1e-9) > 0) {
			continue
		}
		for range 50 {
			if mid := (lo + hi) / 2; (o.factor(mid) > 0) == positive {
				lo = mid
			} else {
				hi = mid
			}
		}
		cuts = append(cuts, lo)
	}
	for _, t := range slow {
		if o.c.Deriv(t).Len() < 1e-6*o.c.hull() {
			cuts = append(cuts, t)
		}
	}
	cuts = append(cuts, 1)
	slices.Sort(cuts)
	kept := cuts[:1]
	for _, t := range cuts[1:] {
		if t-kept[len(kept)-1] > 1e-7 {
			kept = append(kept, t)
		}
	}
	kept[len(kept)-1] = 1
	return kept
}

// slowest returns the inner parameters at which the speed has an extreme: the
// roots of c′·c″, which in Bernstein form has these coefficients.
func (c Cubic) slowest() []float64 {
	u, v, w := c.P1.Sub(c.P0), c.P2.Sub(c.P1), c.P3.Sub(c.P2)
	p, q := v.Sub(u), w.Sub(v)
	f := bernstein{u.Dot(p), (2*v.Dot(p) + u.Dot(q)) / 3, (w.Dot(p) + 2*v.Dot(q)) / 3, w.Dot(q)}
	scale := 0.0
	for _, x := range f {
		scale = math.Max(scale, math.Abs(x))
	}
	if scale == 0 {
		return nil
	}
	for i := range f {
		f[i] /= scale
	}
	return slices.DeleteFunc(f.roots(), func(t float64) bool { return t <= 0 || t >= 1 })
}

// fit adds the parallel of the stretch t0…t1 to the result.
func (o *parallel) fit(t0, t1 float64, depth int) {
	// Looked at from inside, so that the tangent at a cusp is this side's.
	in := 1e-7 * (t1 - t0)
	a, b := t0, t1
	if t0 > 0 {
		a += in
	}
	if t1 < 1 {
		b -= in
	}
	f, off := o.fitOne(a, b)
	if off > offsetMargin*o.tol && depth > 0 {
		mid := (t0 + t1) / 2
		o.fit(t0, mid, depth-1)
		o.fit(mid, t1, depth-1)
		return
	}
	o.worst = math.Max(o.worst, off)
	if n := len(o.out); n > 0 {
		if end := o.out[n-1].P3; end.Dist(f.P0) < 0.05*o.tol {
			f.P0 = end
		} else {
			o.out = append(o.out, Line(end, f.P0))
		}
	}
	o.out = append(o.out, f)
}

// foot is a sample of a fit: its parameter, and that of its foot on the
// source.
type foot struct{ u, t float64 }

// handles is a cubic with given ends and end tangents and the lengths of its
// handles.
type handles struct {
	p, q, tp, tq Point
	alpha, beta  float64
}

func (h handles) cubic() Cubic {
	return Cubic{h.p, h.p.Add(h.tp.Mul(h.alpha)), h.q.Sub(h.tq.Mul(h.beta)), h.q}
}

// fitOne fits one cubic to the stretch and returns its greatest deviation.
func (o *parallel) fitOne(t0, t1 float64) (Cubic, float64) {
	h := o.guess(t0, t1)
	var feet [offsetFitPoints]foot
	for i := range feet {
		u := float64(i+1) / (offsetFitPoints + 1)
		feet[i] = foot{u, t0 + u*(t1-t0)}
	}
	for range offsetRounds {
		if !o.improve(&h, feet[:], t0, t1) {
			break
		}
	}
	f := h.cubic()
	worst := 0.0
	for i := 1; i <= offsetCheckPoints; i++ {
		u := float64(i) / (offsetCheckPoints + 1)
		e, _ := o.residual(f, &foot{u, t0 + u*(t1-t0)}, t0, t1)
		worst = math.Max(worst, e.Len())
	}
	if math.IsNaN(worst) {
		worst = math.Inf(1)
	}
	return f, worst
}

// guess starts from the handles that have the parallel curve's end speeds.
// Past a cusp its direction is the reverse of the source's.
func (o *parallel) guess(t0, t1 float64) handles {
	sign := 1.0
	if o.factor((t0+t1)/2) < 0 {
		sign = -1
	}
	h := handles{p: o.at(t0), q: o.at(t1), tp: o.c.Tangent(t0).Mul(sign), tq: o.c.Tangent(t1).Mul(sign)}
	handle := func(t float64) float64 {
		return math.Abs(o.factor(t)) * o.c.Deriv(t).Len() * (t1 - t0) / 3
	}
	inside := 1e-3 * (t1 - t0)
	h.alpha, h.beta = handle(t0+inside), handle(t1-inside)
	if chord := h.p.Dist(h.q); chord > 0 && (h.alpha > 3*chord || h.beta > 3*chord) {
		h.alpha, h.beta = chord/3, chord/3
	}
	return h
}

// improve makes one round: feet, then least squares on the handle lengths.
func (o *parallel) improve(h *handles, feet []foot, t0, t1 float64) bool {
	f := h.cubic()
	var aa, ab, bb, ra, rb float64
	for i := range feet {
		e, n := o.residual(f, &feet[i], t0, t1)
		u := feet[i].u
		x, y := 3*u*(1-u)*(1-u)*n.Dot(h.tp), -3*u*u*(1-u)*n.Dot(h.tq)
		aa, ab, bb = aa+x*x, ab+x*y, bb+y*y
		ra, rb = ra+x*e.Dot(n), rb+y*e.Dot(n)
	}
	// A touch of damping: on a straight stretch the handles do not matter.
	damp := 1e-9 * (aa + bb + 1e-12)
	aa, bb = aa+damp, bb+damp
	det := aa*bb - ab*ab
	if det <= 0 {
		return false
	}
	h.alpha = keepPositive(h.alpha, (ra*bb-rb*ab)/det)
	h.beta = keepPositive(h.beta, (rb*aa-ra*ab)/det)
	return true
}

// keepPositive adds a step to a handle's length, at most down to a tenth.
func keepPositive(handle, step float64) float64 {
	if next := handle + step; next > handle/10 {
		return next
	}
	return handle / 10
}

// residual moves the foot to the place on the source under the fit's point
// and returns the vector from the fit to the parallel curve there, and its
// normal.
func (o *parallel) residual(f Cubic, at *foot, t0, t1 float64) (e, n Point) {
	q := f.At(at.u)
	for range 5 {
		d := o.c.Deriv(at.t)
		w := q.Sub(o.c.At(at.t))
		// Newton on w·c′/|c′|: dividing by the speed keeps the false root at an
		// end without a handle, where c′ vanishes, out of it.
		dd, d2 := d.Dot(d), o.c.Deriv2(at.t)
		if dd == 0 {
			break
		}
		slope := dd - w.Dot(d2) + w.Dot(d)*d.Dot(d2)/dd
		if slope == 0 {
			break
		}
		step := w.Dot(d) / slope
		if slope < 0 {
			// Beyond the centre of curvature the foot is a farthest point; the
			// equation is the same.
			step = math.Copysign(math.Min(math.Abs(step), (t1-t0)/4), step)
		}
		next := math.Min(t1, math.Max(t0, at.t+step))
		if math.Abs(next-at.t) < 1e-13 {
			at.t = next
			break
		}
		at.t = next
	}
	n = o.c.Tangent(at.t).Left()
	return o.c.At(at.t).Add(n.Mul(o.d)).Sub(q), n
}

// Offset returns the path at distance d mm to the left of its direction of
// travel, within tol of the true parallel curves. At its inner nodes, where a
// smooth path turns by little or nothing, the parts are run on to the meeting
// of their tangents, joined by an arc where the turn on the outside is more
// than 60°, and cut at their meeting on the inside. Curves that are single
// points are left out. Errors as for Cubic.Offset.
func (p Path) Offset(d, tol float64) (Path, error) {
	if d == 0 {
		return append(Path{}, p...), nil
	}
	var out Path
	var end Point // the direction of travel at the end of the source so far
	for _, c := range p {
		part, err := c.Offset(d, tol)
		if errors.Is(err, ErrNoDirection) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if len(out) > 0 {
			out, part = joinOffsets(out, part, turnAt{c.P0, end, c.Tangent(0), d, d}, tol)
		}
		out, end = append(out, part...), c.Tangent(1)
	}
	if len(out) == 0 {
		return nil, ErrNoDirection
	}
	return out, nil
}

// turnAt is a node of a path or ring with the directions of travel before and
// after it and the distances to the left of either.
type turnAt struct {
	at     Point
	in, on Point
	dIn    float64
	dOn    float64
}

// mitre returns how far the offset line before the node runs on beyond its
// end, and how far the one after starts before its start, to their meeting.
// Without a turn of at least 1e-7 there is none.
func (v turnAt) mitre() (ahead, back float64, meeting Point, ok bool) {
	sin, cos := v.in.Cross(v.on), v.in.Dot(v.on)
	if math.Abs(sin) < 1e-7 {
		return 0, 0, Point{}, false
	}
	ahead, back = (v.dOn-v.dIn*cos)/sin, (v.dIn-v.dOn*cos)/sin
	return ahead, back, v.end().Add(v.in.Mul(ahead)), true
}

// end is where the first of the two offset lines ends at the node.
func (v turnAt) end() Point { return v.at.Add(v.in.Left().Mul(v.dIn)) }

// joinOffsets joins two offsets at an inner node, distances equal.
func joinOffsets(a, b Path, v turnAt, tol float64) (Path, Path) {
	end, start := a.End(), b.Start()
	if end.Dist(start) <= 0.05*tol {
		b[0].P0 = end
		return a, b
	}
	turn := AngleBetween(v.in, v.on)
	outside := turn*v.dIn > 0
	ahead, back, m, ok := v.mitre()
	if ok && slides(a[len(a)-1], ahead, tol) && slides(b[0].Reverse(), back, tol) {
		return a.endMoved(m), b.Reverse().endMoved(m).Reverse()
	}
	if outside && math.Abs(turn) <= math.Pi/3 && ok {
		return a.runOn(m), b.Reverse().runOn(m).Reverse()
	}
	if outside {
		arc := Arc(v.at, math.Abs(v.dIn), end.Sub(v.at).Angle(), turn)
		arc[0].P0, arc[len(arc)-1].P3 = end, start
		return append(a, arc...), b
	}
	if m, ok := nearestMeeting(a, b); ok {
		b = b.Between(m.Q, Place{len(b) - 1, 1})
		a = a.Between(Place{}, m.P)
		b[0].P0 = a.End()
		return a, b
	}
	return append(a, Line(end, start)), b
}

// slides reports whether a curve's end may be moved along its tangent by the
// given length without leaving its course by more than a tenth of tol.
func slides(c Cubic, by, tol float64) bool {
	turn := math.Abs(AngleBetween(c.Tangent(0), c.Tangent(1)))
	return math.Abs(by) < 0.2*c.P0.Dist(c.P3) && math.Abs(by)*turn*0.15 <= 0.1*tol
}

// endMoved returns the path with its end put elsewhere along its tangent.
func (p Path) endMoved(to Point) Path {
	q := append(Path{}, p...)
	last := &q[len(q)-1]
	if last.evenlyStraight() {
		*last = Line(last.P0, to)
	} else {
		last.P3 = to
	}
	return q
}

// runOn returns the path with a straight line added from its end to a point
// ahead; a straight last curve is lengthened instead.
func (p Path) runOn(to Point) Path {
	last := p[len(p)-1]
	if last.evenlyStraight() {
		return p.endMoved(to)
	}
	return append(append(Path{}, p...), Line(last.P3, to))
}

// nearestMeeting returns the meeting of two paths nearest to a's end and b's
// start, measured along both.
func nearestMeeting(a, b Path) (PathMeeting, bool) {
	best, least, found := PathMeeting{}, math.Inf(1), false
	length := a.Length()
	for _, m := range MeetPaths(a, b) {
		if l := length - a.LengthTo(m.P) + b.LengthTo(m.Q); l < least {
			best, least, found = m, l, true
		}
	}
	return best, found
}
