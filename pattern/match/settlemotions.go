package match

import (
	"math"

	"toile/geom"
)

// motions lists how old edge k may have been moved to lie by the points: the
// simplest first.
func (s *settler) motions(k int, x *scatter) []model {
	var found []model
	add := func(m model, ok bool) {
		if ok {
			found = append(found, m)
		}
	}
	if k == s.Hem {
		add(s.shifted(x, s.Down))
		add(s.parallel(x))
	} else {
		add(s.parallel(x))
		add(s.shifted(x, s.Down))
	}
	if !s.Folds[k] {
		for far := range 2 {
			add(s.swungAtCorner(x, far))
			add(s.swungInside(x, far))
		}
	}
	add(s.tapered(x))
	return found
}

// shifted fits a shift along the grain.
func (s *settler) shifted(x *scatter, down geom.Point) (model, bool) {
	by := 0.0
	line := x.old
	for range 4 {
		at := newScatter(line, x.points)
		num, den := 0.0, 0.0
		for i, n := range at.normal {
			g := down.Dot(n)
			num, den = num+g*at.out[i], den+g*g
		}
		if den < 0.09*float64(len(x.points)) { // it would slide along itself
			return model{}, false
		}
		by += num / den
		line = x.old.Moved(geom.Motion{Shift: down.Mul(by)})
	}
	return model{kind: asShifted, line: line, score: s.chi(newScatter(line, x.points).out) + priceOne}, true
}

// parallel fits a move at equal distance.
func (s *settler) parallel(x *scatter) (model, bool) {
	by, _, off := x.line(true)
	line, err := x.old.Offset(by, 1e-4)
	return model{kind: asParallel, line: line, score: s.chi(off) + priceOne}, err == nil && len(line) > 0
}

// tapered fits a distance that is linear in the edge's length.
func (s *settler) tapered(x *scatter) (model, bool) {
	start, slope, off := x.line(false)
	steepest := 0.2
	if math.Min(math.Abs(start), math.Abs(start+slope*x.length)) < s.tolerance() {
		steepest = 1 // from nothing at an end, as a taper is made
	}
	if math.Abs(slope) > steepest || math.Abs(slope)*x.length < s.tolerance() {
		return model{}, false
	}
	line := Tapered(x.old, start, slope)
	return model{kind: asTapered, line: line, score: s.chi(off) + priceTwo}, len(line) > 0
}

// swungAtCorner fits a swing about the end that is not far.
func (s *settler) swungAtCorner(x *scatter, far int) (model, bool) {
	at := 0.0
	if far == 0 {
		at = x.length
	}
	return s.swung(x, at, far, priceOne+1)
}

// swungInside fits a swing about a place on the edge: the best of a row of
// places, then narrowed by golden section.
func (s *settler) swungInside(x *scatter, far int) (model, bool) {
	const places = 24
	const least, most = 0.04, 0.75 // of the edge, from the end that stays
	place := func(share float64) float64 {
		if far == 0 {
			share = 1 - share
		}
		return share * x.length
	}
	best, score := -1, math.Inf(1)
	for k := range places {
		if _, off := x.turnAbout(place(least+(most-least)*float64(k)/(places-1)), far); off != nil {
			if c := s.chi(off); c < score {
				best, score = k, c
			}
		}
	}
	if best < 0 {
		return model{}, false
	}
	step := (most - least) / (places - 1)
	lo, hi := math.Max(least, least+step*float64(best-1)), math.Min(most, least+step*float64(best+1))
	value := func(share float64) float64 {
		if _, off := x.turnAbout(place(share), far); off != nil {
			return s.chi(off)
		}
		return math.Inf(1)
	}
	const golden, rounds = 0.6180339887498949, 14
	for range rounds {
		a, b := hi-golden*(hi-lo), lo+golden*(hi-lo)
		if value(a) < value(b) {
			hi = b
		} else {
			lo = a
		}
	}
	m, ok := s.swung(x, place((lo+hi)/2), far, priceTwo)
	// No corner was drawn where this one leaves a kink.
	kink := geom.InDegrees(m.turn) / tellingTurn
	m.score += kink * kink
	return m, ok
}

// turnAbout estimates the turn of the part beyond the pivot by least squares
// and returns what is left over; nil where too little lies beyond it.
func (x *scatter) turnAbout(at float64, far int) (turn float64, off []float64) {
	pivot := x.old.PointAt(at)
	num, den := 0.0, 0.0
	levers := make([]float64, len(x.out))
	beyond := 0
	for i := range x.out {
		if (far == 1) != (x.along[i] > at) {
			continue
		}
		beyond++
		levers[i] = x.foot[i].Sub(pivot).Right().Dot(x.normal[i])
		num, den = num+levers[i]*x.out[i], den+levers[i]*levers[i]
	}
	if beyond < 4 || den < 1 {
		return 0, nil
	}
	turn = num / den
	for i, r := range x.out {
		off = append(off, r-turn*levers[i])
	}
	return math.Atan(turn), off
}

// swung builds a swing about a place and fits its turn exactly.
func (s *settler) swung(x *scatter, at float64, far int, price float64) (model, bool) {
	turn, off := x.turnAbout(at, far)
	if off == nil {
		return model{}, false
	}
	for range 3 {
		turn += x.turnMissing(at, far, turn)
	}
	const leastTurn, mostTurn = 1e-3, 0.4
	if math.Abs(turn) < leastTurn || math.Abs(turn) > mostTurn {
		return model{}, false
	}
	line := swungLine(x.old, at, far, turn)
	return model{kind: asSwung, line: line, at: at, turn: turn, far: far,
		score: s.chi(newScatter(line, x.points).out) + price}, true
}

// turnMissing is by how much a turn still falls short.
func (x *scatter) turnMissing(at float64, far int, turn float64) float64 {
	pivot := x.old.PointAt(at)
	now := newScatter(swungLine(x.old, at, far, turn), x.points)
	num, den := 0.0, 0.0
	for i := range now.out {
		if (far == 1) != (now.along[i] > at) {
			continue
		}
		lever := now.foot[i].Sub(pivot).Right().Dot(now.normal[i])
		num, den = num+lever*now.out[i], den+lever*lever
	}
	if den < 1 {
		return 0
	}
	return num / den
}

// about is the turn about a point.
func about(pivot geom.Point, turn float64) geom.Motion {
	return geom.Motion{Shift: pivot.Mul(-1)}.Then(geom.Motion{Turn: turn, Shift: pivot})
}

// swungLine turns the part of p beyond the length at, towards its end (far 1)
// or its start.
func swungLine(p geom.Path, at float64, far int, turn float64) geom.Path {
	m := about(p.PointAt(at), turn)
	lead, arm := p.Split(at)
	if far == 0 {
		return append(lead.Moved(m), arm...)
	}
	return append(append(geom.Path{}, lead...), arm.Moved(m)...)
}
