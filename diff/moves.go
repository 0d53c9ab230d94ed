package diff

import (
	"math"

	"toile/geom"
	"toile/pattern/change"
)

// explainMove finds the simplest motion that takes the old edge's carrier to
// the new one: a shift along the grain (of a hem), a parallel move, a swing
// about a point on it, a taper; what none explains was redrawn. Where the
// moved edge was cut or run on besides, the run tells its ends.
func (c *comparison) explainMove(pair *edgePair) (change.Change, *run) {
	for _, try := range []func(*edgePair) (change.Change, *run, bool){c.shifted, c.parallel, c.swung, c.tapered} {
		if ch, r, ok := try(pair); ok {
			ch.Edges = []string{c.old.Edges[pair.i].Name}
			ch.OldPath, ch.NewPath = pair.p, pair.q
			ch.Says = c.saysMove(pair, ch)
			return ch, r
		}
	}
	far, at := farthest(pair.q, pair.p)
	if back, there := farthest(pair.p, pair.q); back > far {
		far, at = back, there
	}
	ch := change.Change{Kind: change.EdgeRedrawn, Edges: []string{c.old.Edges[pair.i].Name},
		Max: change.Amount(far), At: change.At(at), OldPath: pair.p, NewPath: pair.q}
	ch.Says = c.saysMove(pair, ch)
	return ch, nil
}

// moveTolerance is how far in mm an edge may lie from where a motion would
// put it: rounding to 0.001 mm at both ends of an edge and of its neighbours,
// and offset curves that are themselves within 0.01 mm.
func (c *comparison) moveTolerance() float64 { return math.Max(3*sameWithin, c.tol) }

// shifted tries a shift along the grain, which is how a hem is taken up. Ends
// that were eased on to meet a swung neighbour are told as runs; ends that
// follow slanted neighbours along the hem's own line are not, they go with it.
func (c *comparison) shifted(pair *edgePair) (change.Change, *run, bool) {
	if pair.i != c.old.HemEdge() {
		return change.Change{}, nil, false
	}
	down := c.old.GrainDirection()
	d, ok := shiftAlong(pair.p, pair.q, down)
	if !ok || math.Abs(d) <= c.tol {
		return change.Change{}, nil, false
	}
	moved := pair.p.Moved(geom.Motion{Shift: down.Mul(d)})
	var eased *run
	fit := c.misfit(moved, pair.q)
	if fit > c.moveTolerance() {
		r, ok := c.sameLine(moved, pair.q, c.moveTolerance(), true)
		if !ok {
			return change.Change{}, nil, false
		}
		for end, how := range r.how {
			if how == change.HowAlong {
				r.by[end] = 0
			}
		}
		eased, fit = &r, r.fit
	}
	out := d
	if down.Dot(pair.p.TangentAt(pair.pLength/2).Left()) < 0 {
		out = -d
	}
	return change.Change{Kind: change.EdgeMoved, How: change.HowShifted, By: change.Amount(out), Fit: fit}, eased, true
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

// misfit returns how far q lies from the carrier of p; infinite when q does
// not lie beside p at all.
func (c *comparison) misfit(p, q geom.Path) float64 {
	far, _ := farthest(q, geom.Carrier(p, carrierReach))
	return far
}

// signedDistances measures q's outward distances from the carrier of p: the
// places along p, counted from its start, and the distances there.
func signedDistances(p, q geom.Path) (along, out []float64) {
	before, after := geom.CarrierEnds(p, carrierReach)
	carrier := append(append(append(geom.Path{}, before...), p...), after...)
	lead := before.Length()
	for _, curve := range q {
		for k := 0; k <= samplesPerCurve; k++ {
			m := curve.At(float64(k) / samplesPerCurve)
			at, d := carrier.Nearest(m)
			foot, t := carrier.At(at), carrier[at.Curve].Tangent(at.T)
			if m.Sub(foot).Dot(t.Left()) < 0 {
				d = -d
			}
			along = append(along, carrier.LengthTo(at)-lead)
			out = append(out, d)
		}
	}
	return along, out
}

// parallel tries a move at equal distance.
func (c *comparison) parallel(pair *edgePair) (change.Change, *run, bool) {
	_, out := signedDistances(pair.p, pair.q)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, d := range out {
		lo, hi = math.Min(lo, d), math.Max(hi, d)
	}
	by := (lo + hi) / 2
	fit := (hi - lo) / 2
	if fit > c.moveTolerance() || math.Abs(by) <= c.tol || math.Abs(by) < 2*fit {
		return change.Change{}, nil, false
	}
	return change.Change{Kind: change.EdgeMoved, How: change.HowParallel, By: change.Amount(by), Fit: fit}, nil, true
}

// tapered tries a distance that is linear in the edge's length.
func (c *comparison) tapered(pair *edgePair) (change.Change, *run, bool) {
	along, out := signedDistances(pair.p, pair.q)
	n := float64(len(along))
	var sx, sy, sxx, sxy float64
	for k, x := range along {
		sx, sy, sxx, sxy = sx+x, sy+out[k], sxx+x*x, sxy+x*out[k]
	}
	det := n*sxx - sx*sx
	if det < 1e-9 {
		return change.Change{}, nil, false
	}
	slope := (n*sxy - sx*sy) / det
	start := (sy - slope*sx) / n
	fit := 0.0
	for k, x := range along {
		fit = math.Max(fit, math.Abs(out[k]-start-slope*x))
	}
	end := start + slope*pair.pLength
	if fit > c.moveTolerance() || math.Abs(slope) > 0.2 {
		return change.Change{}, nil, false
	}
	by := start
	if math.Abs(end) > math.Abs(start) {
		by = end
	}
	return change.Change{Kind: change.EdgeMoved, How: change.HowTapered, By: change.Amount(by), Fit: fit,
		Ends: &[2]float64{change.Figure(start), change.Figure(end)}}, nil, true
}

// swung tries a turn of the part beyond a pivot on the edge, in which that
// part keeps its shape; beyond its old length it may be cut or run on, where
// the hem moved too.
func (c *comparison) swung(pair *edgePair) (change.Change, *run, bool) {
	ch, by, ok := c.swungTowards(pair.p, pair.q, false)
	end := 1
	if !ok {
		ch, by, ok = c.swungTowards(pair.p.Reverse(), pair.q.Reverse(), true)
		end = 0
	}
	if !ok {
		return ch, nil, false
	}
	ch.Area = change.Amount(c.areaAt(pair))
	r := &run{}
	if math.Abs(by) > c.moveTolerance() {
		r.by[end], r.how[end], r.fit = by, change.HowAlong, ch.Fit
	}
	return ch, r, true
}

// leastSwung is the shortest arm in mm that can be said to swing.
const leastSwung = 1

// swungTowards looks for a pivot with the far end at the end of p, and returns
// by how much the new edge is longer there. reversed says that p runs
// anticlockwise, so that outward lies to its right. A swing about the corner
// itself must keep the edge's length: else it cannot be told from a taper.
func (c *comparison) swungTowards(p, q geom.Path, reversed bool) (change.Change, float64, bool) {
	if p.Start().Dist(q.Start()) > c.moveTolerance() {
		return change.Change{}, 0, false
	}
	at := commonLead(p, q, c.tol)
	length := p.Length()
	longer := q.Length() - length
	kept := math.Abs(longer) <= c.moveTolerance()
	if length-at < leastSwung || (!kept && (at < leastSwung || length+longer-at < leastSwung)) {
		return change.Change{}, 0, false
	}
	place := p.PlaceAt(at)
	pivot := p.At(place)
	part := p.Between(place, geom.Place{Curve: len(p) - 1, T: 1})
	tail := q.BetweenLengths(at, q.Length())
	turn := c.swingAngle(part, tail, pivot, kept)
	about := geom.Motion{Shift: pivot.Mul(-1)}.Then(geom.Motion{Turn: turn, Shift: pivot})
	fit := c.misfit(part.Moved(about), tail)
	if fit > c.moveTolerance() || math.Abs(turn) < 1e-5 {
		return change.Change{}, 0, false
	}
	// Clockwise along a clockwise outline turns inward.
	out := -turn
	if reversed {
		out = turn
	}
	chord := 2 * p.End().Dist(pivot) * math.Sin(math.Abs(turn)/2)
	if kept {
		longer = 0
	}
	return change.Change{Kind: change.EdgeSwung, Pivot: change.At(pivot), Turn: change.Amount(geom.InDegrees(out)),
		By: change.Amount(math.Copysign(chord, out)), Fit: fit, At: change.At(p.End())}, longer, true
}

// swingAngle measures the turn between the part beyond the pivot and what it
// became: by the far ends when the length was kept, else by places as far from
// the pivot as the shorter of the two reaches.
func (c *comparison) swingAngle(part, tail geom.Path, pivot geom.Point, kept bool) float64 {
	if kept {
		return geom.AngleBetween(part.End().Sub(pivot), tail.End().Sub(pivot))
	}
	reach := math.Min(part.Length(), tail.Length())
	return geom.AngleBetween(part.PointAt(reach).Sub(pivot), tail.PointAt(reach).Sub(pivot))
}

// areaAt returns the area really added (positive) or removed along an edge:
// that of the regions it bounds.
func (c *comparison) areaAt(pair *edgePair) float64 {
	sum := 0.0
	for _, r := range c.d.Overlap.Added {
		if c.bounds(r, true, pair.j) {
			sum += r.Area
		}
	}
	for _, r := range c.d.Overlap.Removed {
		if c.bounds(r, false, pair.i) {
			sum -= r.Area
		}
	}
	return sum
}

func (c *comparison) bounds(r geom.Region, ofNew bool, edge int) bool {
	side := 0
	if ofNew {
		side = 1
	}
	for _, ring := range r.Sides {
		for _, s := range ring {
			if s.OfB == ofNew && s.Curve >= 0 && c.edgeOf[side][s.Curve] == edge {
				return true
			}
		}
	}
	return false
}

// commonLead returns how far from their common start two paths coincide.
func commonLead(p, q geom.Path, tol float64) float64 {
	lead := 0.0
	for _, s := range geom.Match(geom.Ring(p), geom.Ring(q), tol) {
		a0 := p.LengthTo(geom.Place{Curve: s.A, T: s.A0})
		a1 := p.LengthTo(geom.Place{Curve: s.A, T: s.A1})
		if s.B0 < s.B1 && a0 <= lead+10*tol && a1 > lead {
			lead = a1
		}
	}
	return lead
}
