package geom

import (
	"fmt"
	"math"
	"strconv"
)

// RadiusTooLarge is the error of RoundCorner when the circle does not touch
// both edges.
type RadiusTooLarge struct {
	Radius  float64 // mm, as asked for
	Largest float64 // mm, the largest that fits, rounded down to about 1 %; 0 when none does
}

func (e *RadiusTooLarge) Error() string {
	asked := fmt.Sprintf("a radius of %.2f mm", e.Radius)
	if e.Radius < 1 {
		asked = fmt.Sprintf("a radius of %.3g mm", e.Radius)
	}
	if e.Largest == 0 {
		return asked + " does not fit the corner, nor does a smaller one"
	}
	return asked + " does not fit the corner; about " + roundedDown(e.Largest) + " mm does"
}

// roundedDown prints a length so that it fits where v mm does: with two
// decimals, or with as many as leave two digits.
func roundedDown(v float64) string {
	decimals, scale := 2, 100.0
	for ; v*scale < 10 && decimals < 12; decimals++ {
		scale *= 10
	}
	return strconv.FormatFloat(math.Floor(v*scale)/scale, 'f', decimals, 64)
}

// NotACorner is the error of RoundCorner where the direction turns by less
// than leastCornerTurn, or the edges do not share an end.
type NotACorner struct {
	At   Point
	Turn float64 // radians, clockwise positive
}

func (e *NotACorner) Error() string {
	return fmt.Sprintf("no corner to round at (%.2f, %.2f): the outline turns by %.3f° there",
		e.At.X, e.At.Y, e.Turn*180/math.Pi)
}

// leastCornerTurn is the turn in radians, about 0.06°, below which rounding a
// corner would move nothing that can be seen: at a radius of 100 mm the tip
// moves by 1e-5 mm.
const leastCornerTurn = 1e-3

// RoundCorner rounds the corner at which before ends and after starts by the
// circle of radius r (mm) on the inside of the turn that touches both. It
// returns the arc, one cubic per started 90° from the point where it leaves
// before to the point where it joins after, and the lengths to remove from the
// end of before and from the start of after. Convex and concave corners,
// straight and curved edges; for straight ones both lengths are
// r·tan(φ/2), φ the turn.
//
// Method: the centre is the meeting of the two parallel curves at distance r,
// found on samples and then by Newton's method to 1e-10 mm; of several the one
// nearest to the corner. The circle must not cut into what is left of the
// edges near by. Errors: *NotACorner, *RadiusTooLarge.
func RoundCorner(before, after Path, r float64) (arc Path, cutBefore, cutAfter float64, err error) {
	if len(before) == 0 || len(after) == 0 {
		return nil, 0, 0, &NotACorner{}
	}
	turn := AngleBetween(before.EndTangent(), after.StartTangent())
	if !(math.Abs(turn) >= leastCornerTurn && before.End().Dist(after.Start()) <= 1e-6) { // not a number too
		return nil, 0, 0, &NotACorner{before.End(), turn}
	}
	if !(r > 0) || math.IsInf(r, 0) {
		return nil, 0, 0, fmt.Errorf("a radius of %v mm cannot round a corner; it has to be positive", r)
	}
	c := corner{before: before, after: after, side: -math.Copysign(1, turn)}
	f, ok := c.fit(r)
	if !ok {
		return nil, 0, 0, &RadiusTooLarge{r, c.largest(r)}
	}
	return c.arc(f, r), f.cutBefore, f.cutAfter, nil
}

// corner is a corner being rounded; side is +1 when the circle lies to the
// left of the direction of travel, −1 to the right.
type corner struct {
	before, after Path
	side          float64
}

// fitted is a circle in a corner.
type fitted struct {
	p, q                Place // the places of touch on before and after
	centre              Point
	cutBefore, cutAfter float64
}

// roundSamples is the number of stretches of each curve on which the parallel
// curves are searched for meetings.
const roundSamples = 24

// shifted returns the point at distance r beside the path and the derivative
// of that point by the parameter.
func (c corner) shifted(p Path, at Place, r float64) (Point, Point) {
	curve := p[at.Curve]
	n := curve.Tangent(at.T).Left()
	d := c.side * r
	return curve.At(at.T).Add(n.Mul(d)), curve.Deriv(at.T).Mul(1 + float64(d*curve.Curvature(at.T)))
}

// fit finds the circle of radius r nearest to the corner.
func (c corner) fit(r float64) (fitted, bool) {
	lenBefore := c.before.Length()
	best, found := fitted{}, false
	us := c.sampled(c.before, r)
	vs := c.sampled(c.after, r)
	for i := 1; i < len(us); i++ {
		for j := 1; j < len(vs); j++ {
			if us[i].at.Curve != us[i-1].at.Curve || vs[j].at.Curve != vs[j-1].at.Curve ||
				!segmentsMeet(us[i-1].q, us[i].q, vs[j-1].q, vs[j].q) {
				continue
			}
			f, ok := c.newton(us[i-1].at, vs[j-1].at, r)
			if !ok {
				continue
			}
			f.cutBefore, f.cutAfter = lenBefore-c.before.LengthTo(f.p), c.after.LengthTo(f.q)
			if !found || f.cutBefore+f.cutAfter < best.cutBefore+best.cutAfter {
				best, found = f, true
			}
		}
	}
	return best, found && c.clear(best, lenBefore, r)
}

// sample is a place and the point beside it.
type sample struct {
	at Place
	q  Point
}

func (c corner) sampled(p Path, r float64) []sample {
	var out []sample
	for i, curve := range p {
		if curve.hull() < 1e-9 {
			continue
		}
		n := roundSamples
		if curve.evenlyStraight() {
			n = 1
		}
		for k := 0; k <= n; k++ {
			at := Place{i, float64(k) / float64(n)}
			q, _ := c.shifted(p, at, r)
			out = append(out, sample{at, q})
		}
	}
	return out
}

// segmentsMeet reports whether the segments p–q and u–v come within a
// thousandth of their lengths of crossing, so that a meeting at a sample is
// not lost.
func segmentsMeet(p, q, u, v Point) bool {
	d, e := q.Sub(p), v.Sub(u)
	x := d.Cross(e)
	if x == 0 {
		return false
	}
	w := u.Sub(p)
	s, t := w.Cross(e)/x, w.Cross(d)/x
	const slack = 1e-3
	return s >= -slack && s <= 1+slack && t >= -slack && t <= 1+slack
}

// newton refines a meeting of the parallel curves from the stretches that
// start at p and q, which it may leave but by a little.
func (c corner) newton(p, q Place, r float64) (fitted, bool) {
	p0, q0 := p.T, q.T
	p.T, q.T = p.T+0.5/roundSamples, q.T+0.5/roundSamples
	for range 30 {
		a, da := c.shifted(c.before, p, r)
		b, db := c.shifted(c.after, q, r)
		f, det := a.Sub(b), da.Cross(db)
		if det == 0 {
			return fitted{}, false
		}
		dp, dq := -f.Cross(db)/det, da.Cross(f)/det
		p.T, q.T = p.T+dp, q.T+dq
		if math.Abs(dp)+math.Abs(dq) < 1e-15 {
			break
		}
	}
	slackP, slackQ := 2./roundSamples, 2./roundSamples
	if c.before[p.Curve].evenlyStraight() {
		slackP = 1.5
	}
	if c.after[q.Curve].evenlyStraight() {
		slackQ = 1.5
	}
	const end = 1e-10
	if !(math.Abs(p.T-p0) <= slackP && math.Abs(q.T-q0) <= slackQ && p.T >= -end && p.T <= 1+end && q.T >= -end && q.T <= 1+end) {
		return fitted{}, false
	}
	p.T, q.T = math.Min(1, math.Max(0, p.T)), math.Min(1, math.Max(0, q.T))
	a, _ := c.shifted(c.before, p, r)
	b, _ := c.shifted(c.after, q, r)
	return fitted{p: p, q: q, centre: a.Lerp(b, 0.5)}, a.Dist(b) < 1e-8
}

// clear reports whether the circle keeps off what is left of the edges, on
// the two radii of length next to it.
func (c corner) clear(f fitted, lenBefore, r float64) bool {
	keptB := lenBefore - f.cutBefore
	left := c.before.BetweenLengths(math.Max(0, keptB-2*r), keptB)
	right := c.after.BetweenLengths(f.cutAfter, f.cutAfter+2*r)
	for _, p := range []Path{left, right} {
		if _, d := p.Nearest(f.centre); d < float64(r*(1-1e-6))-1e-7 {
			return false
		}
	}
	return true
}

// largest returns the largest radius below r that fits, by bisection; it
// takes the fitting radii to start at 0.
func (c corner) largest(r float64) float64 {
	lo, hi := 0.0, r
	for range 40 {
		mid := (lo + hi) / 2
		if _, ok := c.fit(mid); ok {
			lo = mid
		} else {
			hi = mid
		}
		if hi-lo < 0.005*hi || hi < 1e-3 {
			break
		}
	}
	return lo
}

// arc draws the fitted circle between its places of touch, with the ends and
// end tangents of the paths.
func (c corner) arc(f fitted, r float64) Path {
	a, b := c.before.At(f.p), c.after.At(f.q)
	from, to := c.before[f.p.Curve].Tangent(f.p.T), c.after[f.q.Curve].Tangent(f.q.T)
	sweep := AngleBetween(from, to)
	// The circle turns to its own side: right (clockwise) when side is −1.
	if sweep*c.side > 0 {
		sweep -= math.Copysign(2*math.Pi, sweep)
	}
	arc := Arc(f.centre, r, a.Sub(f.centre).Angle(), sweep)
	arc[0].P0, arc[len(arc)-1].P3 = a, b
	return arc
}
