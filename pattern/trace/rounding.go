package trace

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern/units"
)

// rounding is a corner that is drawn round.
type rounding struct {
	at     geom.Point // the sharp corner
	radius float64    // mm
}

// What makes a run of curves the rounding of a corner. Exact drawings draw a
// circle with one cubic a quarter, which lies up to 2.7e-4 of the radius
// outside: 0.011 mm at 40 mm.
const (
	roundWithin   = 0.02  // mm from a circle, and from the rounding computed
	sameRoundness = 3e-4  // of the radius, added to that for large ones
	tangentWithin = 0.02  // radians (1.1°) between arc and neighbour
	leastArc      = 1.0   // mm long
	onStored      = 0.05  // mm beside the stored edge: a drawn edge ends on its very line
	largestRadius = 500.0 // mm; a larger one is the curve of an edge
	carrierLimit  = 150.0 // mm an edge is run on to meet its neighbour
)

// arcRun is a run of curves of a ring on one circle.
type arcRun struct {
	from, count int
	radius      float64
}

// sharpened puts the sharp corner in the place of each arc that touches both
// its neighbours where the stored piece has that corner.
func (t *tracing) sharpened(ring geom.Ring) (geom.Ring, []rounding) {
	var done []rounding
	for tries := 0; tries < len(t.old.Corners); tries++ {
		next, r, ok := t.sharpenOne(ring)
		if !ok {
			break
		}
		ring, done = next, append(done, r)
	}
	return ring, done
}

func (t *tracing) sharpenOne(ring geom.Ring) (geom.Ring, rounding, bool) {
	for _, a := range arcRuns(ring) {
		for k := range t.old.Corners {
			if sharp, r, ok := t.cornerOf(ring, a, k); ok {
				n := len(ring)
				out := append(geom.Ring{}, sharp...)
				for i := range n - a.count {
					out = append(out, ring[(a.from+a.count+i)%n])
				}
				// The ring keeps its start as nearly as it can.
				if a.from+a.count <= n {
					shift := len(out) - a.from
					out = append(slices.Clone(out[shift:]), out[:shift]...)
				}
				return out, r, true
			}
		}
	}
	return ring, rounding{}, false
}

// arcRuns finds the longest runs of curves on one circle with smooth ends.
func arcRuns(ring geom.Ring) []arcRun {
	n := len(ring)
	smooth := func(i int) bool { // at the start of curve i
		return math.Abs(geom.AngleBetween(ring[(i+n-1)%n].Tangent(1), ring[i%n].Tangent(0))) <= tangentWithin
	}
	var out []arcRun
	for i := range n {
		if !smooth(i) {
			continue
		}
		if _, ok := circleThrough(geom.Path{ring[(i+n-1)%n], ring[i]}); ok {
			continue // it begins before
		}
		var path geom.Path
		best := arcRun{from: i}
		for k := 0; k < n-2; k++ {
			if k > 0 && !smooth(i+k) {
				break
			}
			path = append(path, ring[(i+k)%n])
			r, ok := circleThrough(path)
			if !ok {
				break
			}
			best.count, best.radius = k+1, r
		}
		if best.count > 0 && smooth(i+best.count) && path[:best.count].Length() >= leastArc {
			out = append(out, best)
		}
	}
	return out
}

// circleThrough returns the radius of the circle through a path's ends and
// middle, if the whole path lies on it and bends one way.
func circleThrough(p geom.Path) (radius float64, ok bool) {
	for _, c := range p {
		if c.IsStraight(storedStraight) {
			return 0, false
		}
	}
	// The joint nearest the middle is on the circle exactly, and so is the
	// middle of a single cubic.
	mid := p[0].At(0.5)
	if n := len(p); n > 1 {
		mid = p[n/2].P0
	}
	centre, radius, ok := circumcircle(p.Start(), mid, p.End())
	if !ok || radius > largestRadius {
		return 0, false
	}
	within := roundWithin + sameRoundness*radius
	turn := 0.0
	for _, c := range p {
		for k := range 9 {
			if math.Abs(c.At(float64(k)/8).Dist(centre)-radius) > within {
				return 0, false
			}
		}
		turn += math.Abs(geom.AngleBetween(c.Tangent(0), c.Tangent(1)))
	}
	// Its length is that of an arc: it does not run back on itself, and a
	// straight run is no arc of a huge circle.
	return radius, turn > 0.05 && math.Abs(p.Length()-radius*turn) < 0.02*p.Length()+within
}

func circumcircle(a, b, c geom.Point) (centre geom.Point, radius float64, ok bool) {
	u, v := b.Sub(a), c.Sub(a)
	d := 2 * u.Cross(v)
	if math.Abs(d) < 1e-9*(u.Dot(u)+v.Dot(v)) {
		return centre, 0, false
	}
	uu, vv := u.Dot(u), v.Dot(v)
	o := geom.Pt((v.Y*uu-u.Y*vv)/d, (u.X*vv-v.X*uu)/d)
	return a.Add(o), o.Len(), true
}

// cornerOf returns the sharp corner that an arc rounds, if it is the stored
// corner k or what became of it: the path that takes the arc's place.
func (t *tracing) cornerOf(ring geom.Ring, a arcRun, k int) (geom.Path, rounding, bool) {
	n, m := len(ring), len(t.old.Corners)
	before, after := ring[(a.from+n-1)%n], ring[(a.from+a.count)%n]
	var arc geom.Path
	for i := range a.count {
		arc = append(arc, ring[(a.from+i)%n])
	}
	on, alongBefore, ok := t.runOn(before, t.old.EdgePath((k+m-1)%m))
	if !ok {
		return nil, rounding{}, false
	}
	back, alongAfter, ok := t.runOn(after.Reverse(), t.old.EdgePath(k).Reverse())
	if !ok || !(alongBefore || alongAfter) {
		return nil, rounding{}, false
	}
	meetings := geom.MeetPaths(on, back)
	if len(meetings) == 0 {
		return nil, rounding{}, false
	}
	at := meetings[0]
	first := on.Between(geom.Place{}, at.P)
	second := back.Between(geom.Place{}, at.Q).Reverse()
	corner := at.At
	if stored := t.old.Corners[k].At; stored.Dist(corner) <= math.Max(t.tol, roundWithin) {
		corner = stored
	}
	first[len(first)-1] = moveEnds(first[len(first)-1], first[len(first)-1].P0, corner)
	second[0] = moveEnds(second[0], corner, second[0].P3)
	first[0] = moveEnds(first[0], before.P3, first[0].P3)
	second[len(second)-1] = moveEnds(second[len(second)-1], second[len(second)-1].P0, after.P0)
	radius, ok := t.radiusOf(arc, append(geom.Path{before}, first...), append(slices.Clone(second), after), a.radius, t.old.Corners[k].Round)
	if !ok {
		return nil, rounding{}, false
	}
	return append(first, second...), rounding{corner, radius}, true
}

// runOn extends a curve beyond its end: along the stored edge when it ends on
// that (reported), else along its own carrier when it runs much the same way.
func (t *tracing) runOn(c geom.Cubic, edge geom.Path) (on geom.Path, along, ok bool) {
	const sameWay = 0.35 // radians (20°), as an edge may have turned between versions
	end, dir := c.P3, c.Tangent(1)
	at, dist := edge.Nearest(end)
	along = dist <= t.tol && math.Abs(geom.AngleBetween(dir, edge[at.Curve].Tangent(at.T))) <= tangentWithin
	if along && dist <= onStored {
		_, carrier := geom.CarrierEnds(edge, carrierLimit)
		rest := edge.Between(at, geom.Place{Curve: len(edge) - 1, T: 1})
		if rest.Length() < crumb {
			return carrier, true, len(carrier) > 0
		}
		return append(rest, carrier...), true, true
	}
	if math.Abs(geom.AngleBetween(dir, edge.EndTangent())) > sameWay {
		return nil, false, false
	}
	_, on = geom.CarrierEnds(geom.Path{c}, carrierLimit)
	return on, along, len(on) > 0
}

// radiusOf finds the radius as somebody would have given it, and checks that
// the rounding computed with it is the arc drawn.
func (t *tracing) radiusOf(arc, before, after geom.Path, measured, stored float64) (float64, bool) {
	radius := units.Round(measured, 3)
	switch tenth := units.Round(measured, 1); {
	case stored > 0 && math.Abs(stored-measured) <= roundWithin:
		radius = stored
	case math.Abs(tenth-measured) <= 0.01:
		radius = tenth
	}
	if radius <= 0 {
		return 0, false
	}
	drawn := roundedNear(before, after, radius)
	if drawn == nil {
		return 0, false
	}
	within := roundWithin + sameRoundness*radius + 3*t.noise
	a, _ := farthestFrom(arc, drawn)
	b, _ := farthestFrom(drawn, arc)
	return radius, a <= within && b <= within
}

// roundedNear is the rounding with a radius, or with one that differs by less
// than can be seen: where a circle touches an edge just at a node of it, at which
// the drawing turns by a millionth of a degree, there is none for the radius
// itself.
func roundedNear(before, after geom.Path, radius float64) geom.Path {
	const unseen = roundWithin / 10
	for _, r := range [3]float64{radius, radius + unseen, radius - unseen} {
		if drawn, _, _, err := geom.RoundCorner(before, after, r); err == nil {
			return drawn
		}
	}
	return nil
}
