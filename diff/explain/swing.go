package explain

import (
	"math"

	"toile/geom"
	"toile/pattern/change"
)

// leastSwung is the shortest arm in mm that can be said to swing.
const leastSwung = 1

// swung tries a turn of the part beyond a pivot on the edge, in which that
// part keeps its shape; beyond its old length it may be cut or run on, where
// the neighbour moved too. The pivot lies where the new edge leaves the old
// one, or at the end they share.
func (e *explainer) swung(x *Edge) bool {
	ahead, back := *x, *x
	okAhead, okBack := e.swungEnd(&ahead, 1, false), e.swungEnd(&back, 0, false)
	switch {
	case okAhead && (!okBack || ahead.Fit <= back.Fit):
		*x = ahead
	case okBack:
		*x = back
	}
	return okAhead || okBack
}

// swungEnd looks for a swing that moves the end far. cut says that a swing
// about the other end itself may also have been cut or run on, which cannot be
// told from a taper by the edge alone.
func (e *explainer) swungEnd(x *Edge, far int, cut bool) bool {
	towards := func(reversed bool) bool {
		return e.swungTowards(x, reversed, cut) || (!cut && (e.blended(x, reversed) || e.swungBeyond(x, reversed)))
	}
	if far == 1 {
		return towards(false)
	}
	from, to := x.From, x.To
	x.From, x.To = from.Reverse(), to.Reverse()
	ok := towards(true)
	x.From, x.To = from, to
	return ok
}

// swungBeyond looks for a swing about a place before the edge's own end, to
// which it was run on first because the neighbour there moved: all of the edge
// turned.
func (e *explainer) swungBeyond(x *Edge, reversed bool) bool {
	before, _ := geom.CarrierEnds(x.From, carrierReach)
	if len(before) == 0 {
		return false
	}
	at, off := before.Nearest(x.To.Start())
	gained := before.Length() - before.LengthTo(at)
	if off > e.tol.moved() || gained < leastSwung {
		return false
	}
	y := *x
	y.From = append(before.Between(at, geom.Place{Curve: len(before) - 1, T: 1}), x.From...)
	if !e.swungTowards(&y, reversed, false) {
		return false
	}
	if place, _ := y.From.Nearest(y.Pivot); y.From.LengthTo(place) > gained+leastSwung {
		return false
	}
	y.From = x.From
	y.Runs[1-y.Far] = Run{By: gained, How: change.HowAlong}
	*x = y
	return true
}

// settleSwings tells an edge that may as well be the same line, led on at one
// end, so where the neighbour there is swung: a swung edge is met like that.
func (e *explainer) settleSwings(x *Explanation) {
	n := len(e.old.Edges)
	for i := range n {
		s := &x.Edges[i]
		if s.led == nil {
			continue
		}
		if next := &x.Edges[(i+n-1+2*s.Far)%n]; next.Kind == change.EdgeSwung &&
			(next.led == nil || math.Abs(next.By) > math.Abs(s.By)) {
			*s = *s.led
		}
	}
}

// settleTapers tells a taper that starts from nothing, or a line that nothing
// simple explains, as a swing about that end where the neighbour at the other one
// was eased on to meet it: that is how a swung edge is met, while a taper ends on
// its neighbour's own line.
func (e *explainer) settleTapers(x *Explanation) {
	n := len(e.old.Edges)
	for i := range n {
		t := &x.Edges[i]
		if t.How != change.HowTapered && t.Kind != change.EdgeRedrawn {
			continue
		}
		for far := range 2 {
			next := &x.Edges[(i+n-1+2*far)%n]
			if math.Abs(t.Ends[1-far]) > e.tol.moved() || next.Runs[1-far].How != change.HowEased {
				continue
			}
			y := Edge{Old: t.Old, Into: -1, New: t.New, From: t.From, To: t.To}
			if e.swungEnd(&y, far, true) {
				*t = y
			}
		}
	}
}

// leastEased in mm: an end that was eased on by less gains or loses nothing that
// is worth telling, so that the stretch drawn anew has to be told itself.
const leastEased = 0.05

// settleEased tells an edge that was cut and eased on at an end so only where
// the neighbour there was swung, or tapered as a swing may be told; anywhere
// else it was redrawn.
func (e *explainer) settleEased(x *Explanation) {
	n := len(e.old.Edges)
	for i := range n {
		s := &x.Edges[i]
		if (s.Kind != "" && s.Kind != change.EdgeMoved) || len(s.New) == 0 {
			continue
		}
		for end, r := range s.Runs {
			next := &x.Edges[(i+n-1+2*end)%n]
			if r.How != change.HowEased || r.Lost <= 10*e.tol.Kept || (s.Kind != "" && math.Abs(r.By) > leastEased) {
				continue
			}
			if (next.Kind != change.EdgeSwung && next.How != change.HowTapered) || math.Abs(r.By) <= leastEased {
				s.Runs, s.How, s.Ends = [2]Run{}, "", [2]float64{}
				s.redrawn()
				e.taperedFrom(s)
				break
			}
		}
	}
}

// swungTowards looks for a pivot with the far end at the end of From.
// reversed says that the paths run anticlockwise, so that outward lies to the
// right.
func (e *explainer) swungTowards(x *Edge, reversed, cut bool) bool {
	p, q := x.From, x.To
	pAt, qAt, near, ok := e.leaves(p, q)
	if !ok && cut { // the neighbour at the pivot moved too
		pAt, qAt, ok = 0, 0, true
	}
	run, led := e.ledNear(p, q, near)
	length, reach := p.Length(), q.Length()
	if !ok || !led || length-pAt < leastSwung || reach-qAt < leastSwung {
		return false
	}
	longer := (reach - qAt) - (length - pAt)
	kept := math.Abs(longer) <= e.tol.moved()
	pivot := p.PointAt(pAt)
	arm := p.BetweenLengths(pAt, length)
	tail := q.BetweenLengths(qAt, reach)
	turn := e.swingAngle(arm, tail, pivot)
	fit, _ := Farthest(tail, geom.Carrier(turned(arm, pivot, turn), carrierReach))
	if fit > e.tol.moved() || math.Abs(turn) < 1e-5 {
		return false
	}
	if pAt < leastSwung && !kept && !cut {
		return false
	}
	out := -turn // clockwise along a clockwise outline turns inward
	x.Far = 1
	if reversed {
		out, x.Far = turn, 0
	}
	chord := 2 * p.End().Dist(pivot) * math.Sin(math.Abs(turn)/2)
	x.Kind, x.Pivot, x.Turn, x.Fit, x.At = change.EdgeSwung, pivot, out, fit, p.End()
	x.By = math.Copysign(chord, out)
	x.Runs[1-x.Far] = run
	if !kept {
		x.Runs[x.Far] = Run{By: longer, How: change.HowAlong}
	}
	return true
}

func turned(p geom.Path, pivot geom.Point, turn float64) geom.Path {
	return p.Moved(geom.Motion{Shift: pivot.Mul(-1)}.Then(geom.Motion{Turn: turn, Shift: pivot}))
}

// ledNear says what the end of an edge that a swing leaves where it is lost or
// gained along the edge, or as it was eased on to a neighbour; near is how much
// of either edge lies before what they have in common. It is not ok where q
// begins in a way of its own.
func (e *explainer) ledNear(p, q geom.Path, near [2]float64) (Run, bool) {
	gap := 10 * e.tol.Kept
	lost, gained := near[0], near[1]
	if max(lost, gained) <= leastRun || (lost <= gap && gained <= gap && math.Abs(gained-lost) <= leastRun) {
		return Run{}, true
	}
	r := Run{By: gained - lost, How: change.HowAlong, Lost: lost}
	if gained > leastRun {
		r.How = howRun(p, q.BetweenLengths(0, gained), 0, e.tol.Kept)
	}
	return r, r.How == change.HowEased || (r.How == change.HowAlong && min(lost, gained) <= gap)
}

// leaves finds the place, as lengths on both, where q leaves the line of p
// towards its end: the end of what they have in common at the start, where
// either may have been cut, by as much as near says.
func (e *explainer) leaves(p, q geom.Path) (pAt, qAt float64, near [2]float64, ok bool) {
	first := math.Inf(1)
	stretches := geom.Match(geom.Ring(p), geom.Ring(q), e.tol.Same)
	for _, s := range stretches {
		a0, a1 := p.LengthTo(geom.Place{Curve: s.A, T: s.A0}), p.LengthTo(geom.Place{Curve: s.A, T: s.A1})
		if s.B0 > s.B1 || (a0 > pAt+10*e.tol.Same && first < math.Inf(1)) {
			continue
		}
		if first > a0 {
			first, near = a0, [2]float64{a0, q.LengthTo(geom.Place{Curve: s.B, T: s.B0})}
		}
		if a1 > pAt {
			pAt, qAt = a1, q.LengthTo(geom.Place{Curve: s.B, T: s.B1})
		}
	}
	if first < math.Inf(1) {
		return pAt, qAt, near, true
	}
	return 0, 0, near, p.Start().Dist(q.Start()) <= e.tol.moved()
}

// swingAngle measures the turn between an arm and what it became by places as
// far from the pivot as the shorter of the two reaches, then by least squares
// over the whole of it.
func (e *explainer) swingAngle(arm, tail geom.Path, pivot geom.Point) float64 {
	reach := math.Min(arm.Length(), tail.Length())
	turn := geom.AngleBetween(arm.PointAt(reach).Sub(pivot), tail.PointAt(reach).Sub(pivot))
	const rounds = 3
	for range rounds {
		carrier := geom.Carrier(turned(arm, pivot, turn), carrierReach)
		num, den := 0.0, 0.0
		for _, c := range tail {
			for k := 0; k <= samplesPerCurve; k++ {
				m := c.At(float64(k) / samplesPerCurve)
				at, _ := carrier.Nearest(m)
				foot, n := carrier.At(at), carrier[at.Curve].Tangent(at.T).Left()
				lever := foot.Sub(pivot).Right().Dot(n)
				num, den = num+lever*m.Sub(foot).Dot(n), den+lever*lever
			}
		}
		if den > 0 {
			turn += num / den
		}
	}
	return turn
}
