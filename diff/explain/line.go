package explain

import (
	"math"

	"toile/geom"
	"toile/pattern/change"
)

// carrierReach is how far in mm a carrier runs on beyond an edge's ends.
const carrierReach = 150

// samplesPerCurve is how many places of each curve are measured where a
// greatest distance is looked for.
const samplesPerCurve = 24

// Farthest returns the greatest distance in mm from path to other, and the
// place on path: found on samples and narrowed between their neighbours by
// golden section (Kiefer, Sequential minimax search for a maximum, 1953).
func Farthest(path, other geom.Path) (float64, geom.Point) {
	far, curve, best := -1.0, 0, 0
	for i, c := range path {
		for k := 0; k <= samplesPerCurve; k++ {
			if _, d := other.Nearest(c.At(float64(k) / samplesPerCurve)); d > far {
				far, curve, best = d, i, k
			}
		}
	}
	if far <= 0 {
		return 0, path.Start()
	}
	c := path[curve]
	at := c.At(float64(best) / samplesPerCurve)
	if far < narrowFrom {
		return far, at
	}
	lo, hi := max(float64(best-1)/samplesPerCurve, 0), min(float64(best+1)/samplesPerCurve, 1)
	const golden, rounds = 0.6180339887498949, 16
	for range rounds {
		a, b := hi-golden*(hi-lo), lo+golden*(hi-lo)
		_, da := other.Nearest(c.At(a))
		_, db := other.Nearest(c.At(b))
		if da > db {
			hi = b
		} else {
			lo = a
		}
		for _, q := range [2]struct{ t, d float64 }{{a, da}, {b, db}} {
			if q.d > far {
				far, at = q.d, c.At(q.t)
			}
		}
	}
	return far, at
}

// narrowFrom in mm: a smaller greatest distance only says that two lines are
// the same, and need not be narrowed.
const narrowFrom = 0.1

// common is what two paths that run the same way share.
type common struct {
	p0, p1, q0, q1 float64 // lengths from the starts of p and q to where it starts and ends
	covered        float64 // mm of p that coincide
	fit            float64 // mm
}

// shares finds what p and q have in common; not ok when they share nothing,
// or run against each other somewhere.
func shares(p, q geom.Path, within float64) (common, bool) {
	c := common{p0: math.Inf(1), q0: math.Inf(1)}
	stretches := geom.Match(geom.Ring(p), geom.Ring(q), within)
	for _, s := range stretches {
		if s.B0 > s.B1 {
			return common{}, false
		}
		a0 := p.LengthTo(geom.Place{Curve: s.A, T: s.A0})
		a1 := p.LengthTo(geom.Place{Curve: s.A, T: s.A1})
		c.p0, c.p1 = min(c.p0, a0), max(c.p1, a1)
		c.q0 = min(c.q0, q.LengthTo(geom.Place{Curve: s.B, T: s.B0}))
		c.q1 = max(c.q1, q.LengthTo(geom.Place{Curve: s.B, T: s.B1}))
		c.covered += a1 - a0
		c.fit = max(c.fit, s.Deviation)
	}
	return c, len(stretches) > 0
}

// sameLine reports whether q is p but for its ends: one common stretch, and
// at each end a part of p that was cut off, a part of q that was run on, or
// first the one and then the other, as where a hem was taken up between
// slanted sides and then eased on to a swung one.
func sameLine(p, q geom.Path, within float64) (runs [2]Run, _ float64, ok bool) {
	c, ok := shares(p, q, within)
	gap := 10 * within
	if !ok || c.p1-c.p0-c.covered > gap || math.Abs((c.q1-c.q0)-(c.p1-c.p0)) > gap {
		return runs, 0, false
	}
	fit, pLength, qLength := c.fit, p.Length(), q.Length()
	lost := [2]float64{c.p0, pLength - c.p1}
	gained := [2]float64{c.q0, qLength - c.q1}
	for end := range 2 {
		runs[end].By, runs[end].Lost = gained[end]-lost[end], lost[end]
		if max(lost[end], gained[end]) <= leastRun {
			runs[end].By = 0
			continue
		}
		runs[end].How = howLed(p, q, [2]float64{c.q0, c.q1}[end], end, within)
		if lost[end] > gap && gained[end] > gap && runs[end].How != change.HowEased {
			return runs, 0, false // it leaves the line before its end, and is not led on
		}
		if runs[end].How == change.HowAlong && gained[end] > leastRun {
			fit = max(fit, offCarrier(p, q, [2]float64{c.q0, c.q1}[end], end))
		}
	}
	return runs, fit, true
}

// offCarrier is how far at most what q has beyond the length at, towards an end,
// lies from p run on.
func offCarrier(p, q geom.Path, at float64, end int) float64 {
	before, after := geom.CarrierEnds(p, carrierReach)
	ext, tail := before, q.BetweenLengths(0, at)
	if end == 1 {
		ext, tail = after, q.BetweenLengths(at, q.Length())
	}
	if len(ext) == 0 || len(tail) == 0 {
		return 0
	}
	far, _ := Farthest(tail, append(append(geom.Path{}, ext...), p...))
	return far
}

// surelyDrawn in mm: of lines that are the same only within more, as those drawn
// by hand, nothing tells where a curve that leaves them begins.
const surelyDrawn = 0.1

// howLed says how what q has beyond the length at, where it leaves p towards an
// end, was made. A curve that leaves smoothly lies on p for a while and has
// turned where it is seen to leave: it may begin at a node before.
func howLed(p, q geom.Path, at float64, end int, within float64) string {
	length := q.Length()
	begins := []float64{at}
	back := 0.0
	if within <= surelyDrawn {
		back = bridgeBack
	}
	switch {
	case end == 0 && at > leastRun:
		begins = append(begins, nodesWithin(q, at, min(at+back, length))...)
	case end == 1 && at < length-leastRun:
		begins = append(begins, nodesWithin(q, max(at-back, 0), at)...)
	default:
		return howRun(p, nil, end, within)
	}
	how := ""
	for k, b := range begins {
		tail := q.BetweenLengths(0, b)
		if end == 1 {
			tail = q.BetweenLengths(b, length)
		}
		if made := howRun(p, tail, end, within); k == 0 || made == change.HowEased {
			how = made
		}
		if how != change.HowDrawn {
			break
		}
	}
	return how
}

// smoothLead is the greatest angle in radians at which a tail leaves its edge
// and still was eased on.
const smoothLead = math.Pi / 180

// bendsOnce reports whether a path lies near the one cubic that leads smoothly
// from its one end to the other.
func bendsOnce(p geom.Path) bool {
	const near = 0.05 // of its length
	simple := geom.Path{geom.Eased(p.Start(), p.StartTangent(), p.End(), p.EndTangent())}
	far, _ := Farthest(p, simple)
	return far <= max(0.5, near*p.Length())
}

// howRun says how the tail of q beyond an end of p was made.
func howRun(p, tail geom.Path, end int, within float64) string {
	if len(tail) == 0 {
		return change.HowAlong
	}
	before, after := geom.CarrierEnds(p, carrierReach)
	ext, lead, joint := after, tail.StartTangent(), tail.Start()
	if end == 0 {
		ext, lead, joint = before, tail.EndTangent(), tail.End()
	}
	if len(ext) > 0 {
		if far, _ := Farthest(tail, ext); far <= within {
			return change.HowAlong
		}
	}
	at, _ := p.Nearest(joint)
	if math.Abs(geom.AngleBetween(p[at.Curve].Tangent(at.T), lead)) < smoothLead && bendsOnce(tail) {
		return change.HowEased
	}
	return change.HowDrawn
}
