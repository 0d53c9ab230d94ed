package explain

import (
	"math"

	"toile/geom"
)

// crossed is an edge that a spread's line crosses, as a path from the corner
// that stayed to the one that moved, and between which lengths along it the
// line has to cross.
type crossed struct {
	path   geom.Path
	lo, hi float64 // mm
	at     float64 // mm: the likeliest place
	how    crossing
	slides bool // between lo and hi the edge lies on both its halves, as a straight one does along which it moved
	drawn  bool // on one side, where it was drawn anew from a node on, so that at is known
	tail   bool // a good length of it beyond the cut lies where the motion takes it and nowhere else
}

// crossing says how well an edge tells where it was cut.
type crossing int

// The edge keeps its line on both sides of the cut; on one side; or it was
// drawn straight across the gap, so that the line may cross it anywhere.
const (
	onBothSides crossing = iota
	onOneSide
	straightOver
)

// leastTurned is the turn in radians of the part that moved below which it
// moved along.
const leastTurned = 1e-4

// opened finds where the line crosses the edges at both ends of the part that
// moved, and how far it opened there. It fails when an edge keeps nothing of
// its line on either side and was not merely drawn straight across the gap, and
// when the line would open at one end and close at the other. proof says that
// so many of the edges show by themselves that a part of them moved with the rest.
func (e *explainer) opened(x *Explanation, s *Spread) (proof int, ok bool) {
	var ends [2]crossed
	for k, i := range [2]int{s.First, s.Last} {
		p, q := x.Edges[i].From, x.Edges[i].To
		if k == 1 {
			p, q = p.Reverse(), q.Reverse()
		}
		if ends[k], ok = e.crossed(s.Motion, p, q, s.residual); !ok {
			return 0, false
		}
	}
	if ok := e.hinged(s, &ends) || e.inParallel(s, &ends); !ok {
		return 0, false
	}
	for k := range ends {
		s.Line[k] = ends[k].path.PointAt(ends[k].at)
	}
	// Clockwise from the first edge to the last the part that moved lies to the
	// left of the line.
	away := s.Line[1].Sub(s.Line[0]).Unit().Left()
	for k, here := range s.Line {
		by := s.Motion.Apply(here).Sub(here)
		if s.Open[k] = math.Copysign(by.Len(), by.Dot(away)); by.Len() < e.tol.moved() {
			s.Open[k] = 0
		}
	}
	for k := range s.Open {
		if small, large := math.Abs(s.Open[k]), math.Abs(s.Open[1-k]); small > 0 && small < nextToNothing*large {
			s.Open[k], s.Shared, s.Fit = 0, true, math.Max(s.Fit, small)
		}
	}
	s.Turn = math.Copysign(s.Motion.Turn, s.Open[0]+s.Open[1])
	for k := range ends {
		if ends[k].tail {
			proof++
		}
	}
	return proof, s.Open[0]*s.Open[1] >= 0 && s.Open != [2]float64{}
}

// nextToNothing is the share of what a line opened at its one end up to which it
// stayed closed at the other. Several wedges hinged at one edge, taken as a
// single one, are hinged a little beside it: for two of 3° 40 mm apart by 0.5 mm,
// which opens 0.05 mm there, and more where the edge is curved.
const nextToNothing = 0.01

// straightAcross is how far, as a share of what opened, an edge may lie from
// both its halves where it was drawn anew across the gap.
const straightAcross = 0.1

// crossed finds the lengths along p, from the corner that stayed, between which
// a spread's line crosses it. It is not ok where q has nothing of p, unless it is
// known that it was drawn over the gap.
func (e *explainer) crossed(m geom.Motion, p, q geom.Path, over bool) (c crossed, ok bool) {
	moved := p.Moved(m)
	kept, okKept := shares(p, q, e.tol.Kept)
	gone, okGone := shares(moved, q, e.tol.moved())
	c = crossed{path: p, hi: p.Length(), how: onOneSide}
	if okKept {
		c.lo, c.at = kept.p1, kept.p1
	}
	if okGone {
		c.hi, c.at = gone.p0, gone.p0
	}
	switch {
	case okKept && okGone:
		c.how, c.at = onBothSides, (kept.p1+gone.p0)/2
		c.tail = c.lo >= leastTail && p.Length()-max(c.lo, c.hi) >= leastTail
		c.slides = c.lo-c.hi > leastAnywhere
		c.lo, c.hi = min(c.lo, c.hi), max(c.lo, c.hi)
	case okKept:
		leaves, sure := e.drawnFrom(q, kept.q1, -1)
		c.at, c.drawn = math.Min(c.lo+leaves+drawnOver(m, p, c.lo+leaves, 1), c.hi), sure
	case okGone:
		leaves, sure := e.drawnFrom(q, gone.q0, 1)
		c.at, c.drawn = math.Max(c.hi+leaves-drawnOver(m, p, c.hi+leaves, -1), 0), sure
	case !okKept && !okGone:
		far, _ := Farthest(q, append(append(geom.Path{}, geom.Carrier(p, carrierReach)...), geom.Carrier(moved, carrierReach)...))
		if far > straightAcross*p.End().Dist(moved.End()) && !straightBoth(p, q) && !over {
			return c, false
		}
		c.how, c.at = straightOver, c.hi/2
	}
	c.at = math.Min(math.Max(c.at, 0), p.Length())
	if c.drawn { // it may have been drawn over along the old line, and be seen to keep that for too long
		c.lo, c.hi = math.Min(c.lo, c.at), math.Max(c.hi, c.at)
	}
	return c, true
}

// drawnFrom is how far from a place on q, where it is seen to leave the line that it
// keeps on one side, the curve begins that was drawn over the cut, towards what is kept
// (way 1 on along q, −1 back): it leaves smoothly, at a node before. sure says that it
// is one curve from there to the end of q, eased, as an alteration draws it.
func (e *explainer) drawnFrom(q geom.Path, at, way float64) (by float64, sure bool) {
	lo, hi := at-bridgeBack, at+leastRun
	if way > 0 {
		lo, hi = at-leastRun, at+bridgeBack
	}
	found := false
	for _, node := range nodesWithin(q, math.Max(lo, 0), math.Min(hi, q.Length())) {
		if d := node - at; !found || math.Abs(d) < math.Abs(by) {
			by, found = d, true
		}
	}
	if !found || e.tol.Kept > surelyDrawn {
		return by, false
	}
	over := q.BetweenLengths(0, at+by)
	if way < 0 {
		over = q.BetweenLengths(at+by, q.Length())
	}
	if over.Length() < leastTail {
		return by, false
	}
	far, _ := Farthest(over, geom.Path{geom.Eased(over.Start(), over.StartTangent(), over.End(), over.EndTangent())})
	return by, far <= e.tol.Kept
}

// leastAnywhere in mm: a line that may lie anywhere between two places no farther
// apart is told halfway.
const leastAnywhere = 10

// leastTail in mm: of less of an edge it is not said that it moved with a part.
const leastTail = 10

// Over so many openings, and so many mm at least, an edge is drawn anew on
// either side of a cut. It is only needed where an edge keeps its line on one
// side.
const (
	drawnOpenings = 2
	drawnLeast    = 20.0
)

// drawnOver is how far from a place on p, where the drawing anew ends, the cut
// lies: on along p (way 1) or back (−1).
func drawnOver(m geom.Motion, p geom.Path, end, way float64) float64 {
	over := drawnLeast
	const rounds = 20
	for range rounds {
		here := p.PointAt(math.Min(math.Max(end+way*over, 0), p.Length()))
		over = math.Max(drawnLeast, drawnOpenings*here.Dist(m.Apply(here)))
	}
	return over
}

// straightBoth reports whether two edges are straight from corner to corner.
func straightBoth(p, q geom.Path) bool {
	for _, path := range []geom.Path{p, q} {
		line := geom.Line(path.Start(), path.End())
		if far, _ := Farthest(path, geom.Path{line}); far > straightWithin {
			return false
		}
	}
	return true
}

// straightWithin in mm: an edge that departs no more from the line between its
// ends was drawn straight.
const straightWithin = 0.01

// hinged settles the line of a part that turned: where it turned about a place
// on one of the two edges, the line begins there. It fails for a part that
// moved along.
func (e *explainer) hinged(s *Spread, ends *[2]crossed) bool {
	if math.Abs(s.Motion.Turn) < leastTurned || (ends[0].how == straightOver && ends[1].how == straightOver) {
		return false
	}
	pivot := centre(s.Motion)
	for k := range ends {
		c := &ends[k]
		place, off := c.path.Nearest(pivot)
		if at := c.path.LengthTo(place); off < e.hingeWithin(s) && at >= c.lo-1 && at <= c.hi+1 {
			c.at, c.how = at, onBothSides
			break
		}
	}
	for k := range ends {
		if c, other := &ends[k], &ends[1-k]; c.how == straightOver {
			place, _ := c.path.Nearest(other.path.PointAt(other.at))
			c.at = c.path.LengthTo(place)
		}
	}
	return true
}

// centre is the place that a turn leaves where it is.
func centre(m geom.Motion) geom.Point {
	// Half the way moved, and from there square to it by half of it over the
	// tangent of half the turn.
	from := geom.Pt(0, 0)
	by := m.Apply(from).Sub(from)
	return from.Add(by.Mul(0.5)).Add(geom.Pt(-by.Y, by.X).Mul(0.5 / math.Tan(m.Turn/2)))
}

// hingeWithin is how near to an edge in mm the centre of a turn has to lie for
// the edge to be the hinge: where the turn is small the centre is uncertain.
func (e *explainer) hingeWithin(s *Spread) float64 {
	return math.Min(e.tol.moved()/math.Abs(s.Motion.Turn), 5)
}

// inParallel settles the line of a part that moved along: a line that opens
// alike at both ends lies square to the way it opened. Where it may lie anywhere
// between two such lines it is told halfway.
func (e *explainer) inParallel(s *Spread, ends *[2]crossed) bool {
	if math.Abs(s.Motion.Turn) >= leastTurned {
		return false
	}
	way := s.Motion.Apply(ends[0].path.Start()).Sub(ends[0].path.Start()).Unit()
	lo, hi := math.Inf(-1), math.Inf(1)
	for k := range ends {
		a, b := ends[k].reach(way)
		lo, hi = math.Max(lo, a), math.Min(hi, b)
	}
	if lo > hi { // no line square to the way crosses both
		if ends[0].how == straightOver && ends[1].how == straightOver {
			return false
		}
		for k := range ends {
			if c, other := &ends[k], &ends[1-k]; c.how == straightOver {
				place, _ := c.path.Nearest(other.path.PointAt(other.at))
				c.at = c.path.LengthTo(place)
			}
		}
		return true
	}
	if ends[0].tells() && ends[1].tells() {
		return true
	}
	sure, level := surerEnd(ends), (lo+hi)/2
	if ends[sure].tells() || ends[sure].drawn {
		level = math.Min(math.Max(ends[sure].path.PointAt(ends[sure].at).Dot(way), lo), hi)
	}
	s.Anywhere = !ends[sure].tells() && !ends[sure].drawn && hi-lo > leastAnywhere
	for k := range ends {
		if c := &ends[k]; !c.tells() {
			s.Level[k] = c.how != onOneSide && c.hi-c.lo > leastAnywhere && !s.Anywhere
			c.at = c.levelAt(way, level)
		}
	}
	return true
}

// surerEnd is the end that tells more of where it was cut: one that tells it, else the
// one found the surer way, else one drawn anew over the cut on one side of it, so that
// nothing is kept on the other.
func surerEnd(ends *[2]crossed) int {
	sure := 0
	if ends[1].tells() || !ends[0].tells() && ends[1].how < ends[0].how {
		sure = 1
	}
	for k, c := range ends {
		if c.drawn && !ends[sure].tells() {
			sure = k
		}
	}
	return sure
}

// tells reports whether the edge shows by itself where the line crosses it.
func (c crossed) tells() bool { return c.how == onBothSides && !c.slides }

// reachParts is into how many parts an edge is divided where it is asked how
// far it reaches.
const reachParts = 32

// reach is the least and the greatest of the edge's places, where the line may
// cross it, along a direction.
func (c crossed) reach(way geom.Point) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for k := range reachParts + 1 {
		v := c.path.PointAt(c.lo + (c.hi-c.lo)*float64(k)/reachParts).Dot(way)
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	return lo, hi
}

// levelAt is the length along the edge at which it lies at a level along a
// direction, the likeliest of several.
func (c crossed) levelAt(way geom.Point, level float64) float64 {
	from := way.Mul(level)
	best, found := c.at, false
	for i, curve := range c.path {
		for _, t := range curve.MeetLine(from, from.Add(geom.Pt(-way.Y, way.X))) {
			at := c.path.LengthTo(geom.Place{Curve: i, T: t})
			if at >= c.lo-1 && at <= c.hi+1 && (!found || math.Abs(at-c.at) < math.Abs(best-c.at)) {
				best, found = at, true
			}
		}
	}
	return best
}
