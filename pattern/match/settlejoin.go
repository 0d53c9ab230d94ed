package match

import (
	"cmp"
	"math"
	"slices"

	"toile/geom"
)

// lookForCorners moves corners that did not show to where the two edges there
// are explained best, with the easing of one to the other: the one first that
// gains most by it.
func (s *settler) lookForCorners() {
	const leastGain = 2.0 // of χ²
	settled := map[int]bool{}
	for {
		corner, at, gain := -1, 0.0, leastGain
		for j := 1; j < len(s.edges); j++ {
			if a, b := &s.edges[j-1], &s.edges[j]; b.guessed && !settled[j] && (a.model.kind == asDrawn || b.model.kind == asDrawn) {
				if to, g := s.bestCorner(j); g > gain {
					corner, at, gain = j, to, g
				}
			}
		}
		if corner < 0 {
			return
		}
		settled[corner] = true
		s.edges[corner-1].to, s.edges[corner].from = at, at
		s.fit(corner - 1)
		s.fit(corner)
	}
}

// bestCorner looks where edge j best starts, and what that gains.
func (s *settler) bestCorner(j int) (best, gain float64) {
	const reach, coarse = 40, 4 // points to either side, and between two tries
	was := s.edges[j].from
	best, now := was, s.scoreAt(j, was)
	least := now
	try := func(at float64) {
		if at < s.edges[j-1].from+4*s.spacing || at > s.edges[j].to-4*s.spacing {
			return
		}
		if score := s.scoreAt(j, at); score < least {
			best, least = at, score
		}
	}
	for k := -reach; k <= reach; k += coarse {
		try(was + float64(k)*s.spacing)
	}
	around := best
	for k := 1 - coarse; k < coarse; k++ {
		try(around + float64(k)*s.spacing)
	}
	s.edges[j-1].to, s.edges[j].from = was, was
	s.fit(j - 1)
	s.fit(j)
	return best, now - least
}

// scoreAt puts the start of edge j at a length and returns what the two edges
// there then cost.
func (s *settler) scoreAt(j int, at float64) float64 {
	a, b := &s.edges[j-1], &s.edges[j]
	a.to, b.from = at, at
	s.alone = true
	s.fit(j - 1)
	s.fit(j)
	wasA, wasB := *a, *b
	if m := a.model; m.kind == asSwung && m.far == 1 {
		s.easeOne(j-1, j)
	}
	if m := b.model; m.kind == asSwung && m.far == 0 {
		s.easeOne(j, j-1)
	}
	score := a.model.score + b.model.score
	*a, *b = wasA, wasB
	s.alone = false
	return score
}

// refine moves the ends of edges to where the lines meet that explain them,
// and explains those anew whose ends moved. It reports whether any did.
func (s *settler) refine() bool {
	moved := false
	changed := make([]bool, len(s.edges))
	for j := 1; j < len(s.edges); j++ {
		a, b := &s.edges[j-1], &s.edges[j]
		if a.model.kind == asDrawn || b.model.kind == asDrawn {
			continue
		}
		at := s.corner(j)
		place, _ := s.ring.Nearest(at)
		to := s.ring.LengthTo(place)
		if to < a.from+2*s.spacing || to > b.to-2*s.spacing || math.Abs(to-b.from) < s.spacing {
			continue
		}
		a.to, b.from = to, to
		changed[j-1], changed[j], moved = true, true, true
	}
	for j, c := range changed {
		if c {
			s.fit(j)
		}
	}
	return moved
}

// easeNeighbours looks whether the neighbours of swung edges were eased on to
// them, the widest swings first.
func (s *settler) easeNeighbours() {
	var swings []int
	for j := range s.edges {
		if s.edges[j].model.kind == asSwung {
			swings = append(swings, j)
		}
	}
	slices.SortStableFunc(swings, func(a, b int) int { return cmp.Compare(s.sweep(b), s.sweep(a)) })
	for _, j := range swings {
		m := s.edges[j].model
		next := s.after(j)
		if m.far == 0 {
			next = s.before(j)
		}
		if m.kind == asSwung && s.edges[next].old >= 0 && next != j {
			s.easeOne(j, next)
		}
	}
}

// sweep is how far the end of a swing moved.
func (s *settler) sweep(j int) float64 {
	m, old := s.edges[j].model, s.Old[s.edges[j].old]
	end := old.End()
	if m.far == 0 {
		end = old.Start()
	}
	return math.Abs(m.turn) * end.Dist(old.PointAt(m.at))
}

// easeOne tries the edge next as one that was eased on to the swung edge j: as
// it was, or moved besides, its amounts from what lies before the easing.
func (s *settler) easeOne(j, next int) {
	e := &s.edges[next]
	tries := []model{{kind: asKept, line: s.Old[e.old]}}
	if inner := s.beforeEasing(j, next); len(inner) >= 4 {
		tries = append(tries, s.motions(e.old, newScatter(s.Old[e.old], inner))...)
	}
	for _, t := range tries {
		if t.kind == asSwung {
			continue
		}
		line, arm, ok := s.eased(j, t.line)
		if !ok {
			continue
		}
		var off []float64
		for _, q := range e.points {
			_, d := line.Nearest(q)
			off = append(off, d)
		}
		price := map[int]float64{asShifted: priceOne, asParallel: priceOne, asTapered: priceTwo}[t.kind]
		if c := s.chi(off) + price; c < e.model.score {
			e.model = model{kind: t.kind, line: line, score: c}
			swung := &s.edges[j]
			swung.model.line = arm
			swung.own[swung.model.far], e.own[1-swung.model.far] = true, true
		}
	}
}

// beforeEasing lists the points of the edge next that lie farther from the
// swung edge than an easing reaches.
func (s *settler) beforeEasing(j, next int) []geom.Point {
	reach := 3 * s.sweep(j)
	p := s.edges[next].drawn
	corner := p.Start()
	if s.edges[j].model.far == 0 {
		corner = p.End()
	}
	var out []geom.Point
	for _, q := range s.edges[next].points {
		if q.Dist(corner) > reach {
			out = append(out, q)
		}
	}
	return out
}

// eased leads a neighbour's line on to the swung edge j: one cubic from where
// it met the edge before the swing, or for an inward swing from two chords
// before its meeting with the swung edge. It returns the swung edge's line too,
// to the end it then has.
func (s *settler) eased(j int, line geom.Path) (led, arm geom.Path, ok bool) {
	m, old := s.edges[j].model, s.Old[s.edges[j].old]
	at, turn := m.at, m.turn
	if m.far == 0 { // all is done with the swung edge's end, the neighbour's start
		at, old, line = old.Length()-at, old.Reverse(), line.Reverse()
	}
	met, ok := meetingOf(old, line, old.End())
	if !ok {
		return nil, nil, false
	}
	far := about(old.PointAt(at), turn).Apply(met.At)
	arm = swungLine(cutTo(old, met.At), at, 1, turn)
	arm[len(arm)-1].P3 = far
	rest := cutTo(line.Reverse(), met.At).Reverse()
	from, dir := rest.Start(), rest.StartTangent()
	arrive := dir.Turn(turn)
	if far.Sub(from).Dot(dir) > 0 { // inward
		cross, ok := meetingOf(arm, rest, far)
		if !ok {
			return nil, nil, false
		}
		start, _ := rest.Nearest(cross.At)
		length := rest.LengthTo(start) + 2*from.Dist(far)
		if length >= rest.Length() {
			return nil, nil, false
		}
		rest = rest.BetweenLengths(length, rest.Length())
		from, dir = rest.Start(), rest.StartTangent()
	}
	led = append(geom.Path{geom.Eased(far, arrive, from, dir)}, rest...)
	if m.far == 0 {
		return led.Reverse(), arm.Reverse(), true
	}
	return led, arm, true
}

// leastCrossing in radians: lines that cross at less have no sure meeting.
const leastCrossing = 0.14

// meetingOf finds where the carriers of two lines meet nearest to a place.
func meetingOf(a, b geom.Path, near geom.Point) (best geom.PathMeeting, found bool) {
	on, from := geom.Carrier(a, carrierReach), geom.Carrier(b, carrierReach)
	for _, m := range geom.MeetPaths(on, from) {
		turn := math.Abs(geom.AngleBetween(on[m.P.Curve].Tangent(m.P.T), from[m.Q.Curve].Tangent(m.Q.T)))
		if turn < leastCrossing || turn > math.Pi-leastCrossing {
			continue
		}
		if !found || m.At.Dist(near) < best.At.Dist(near) {
			best, found = m, true
		}
	}
	return best, found
}

// crumb in mm: a shorter curve at the end of a line is left out.
const crumb = 0.02

// cutTo cuts a line, or runs it on, so that it ends at a place beside its
// carrier.
func cutTo(p geom.Path, end geom.Point) geom.Path {
	_, after := geom.CarrierEnds(p, carrierReach)
	whole := append(append(geom.Path{}, p...), after...)
	at, _ := whole.Nearest(end)
	out := whole.Between(geom.Place{}, at)
	for len(out) > 1 && out[len(out)-1].Length() < crumb {
		out = out[:len(out)-1]
	}
	if len(out) == 0 {
		return p
	}
	if n := len(out); n == len(p)+1 && out[n-1].IsStraight(1e-6) && out[n-2].IsStraight(1e-6) {
		out = append(out[:n-2:n-2], geom.Line(out[n-2].P0, out[n-1].P3))
	}
	return endingAt(out, end)
}

// endingAt moves the end of a path, with its handle, to a place beside it.
func endingAt(p geom.Path, end geom.Point) geom.Path {
	out := slices.Clone(p)
	c := &out[len(out)-1]
	if c.IsStraight(1e-6) {
		*c = geom.Line(c.P0, end)
	} else {
		c.P2, c.P3 = c.P2.Add(end.Sub(c.P3)), end
	}
	return out
}

// joined brings the settled lines together at corners.
func (s *settler) joined() []Settled {
	corners := make([]geom.Point, len(s.edges))
	for j := range s.edges {
		corners[j] = s.corner(j)
	}
	out := make([]Settled, len(s.edges))
	for j, e := range s.edges {
		p := e.model.line
		from, to := corners[j], corners[s.after(j)]
		bring := cutTo
		if e.model.kind == asDrawn {
			bring = s.brought
		}
		if p.End() != to {
			p = bring(p, to)
		}
		if p.Start() != from {
			p = bring(p.Reverse(), from).Reverse()
		}
		out[j] = Settled{Old: e.old, Path: p, Made: e.model.kind != asDrawn}
	}
	debugOut(out)
	for j := range out {
		out[j].Round = s.radius(j, out)
	}
	return out
}

// brought ends a line as drawn at a corner: cut where it passes the corner, and
// its end moved there.
func (s *settler) brought(p geom.Path, to geom.Point) geom.Path {
	at, _ := p.Nearest(to)
	if out := p.Between(geom.Place{}, at); out.Length() > p.Length()/2 {
		p = out
	}
	return endingAt(p, to)
}

// corner is where edge j starts: the stored corner where both lines lead there
// and the drawing does too, else where they meet.
func (s *settler) corner(j int) geom.Point {
	i := s.before(j)
	a, b, near := &s.edges[i], &s.edges[j], s.edges[j].drawn.Start()
	if a.own[1] && b.own[0] {
		return b.model.line.Start()
	}
	if k := b.old; k >= 0 && a.old == (k+len(s.Old)-1)%len(s.Old) {
		stored := s.Old[k].Start()
		if a.model.kind == asKept && b.model.kind == asKept {
			return stored
		}
		_, da := a.model.line.Nearest(stored)
		_, db := b.model.line.Nearest(stored)
		if math.Max(da, db) <= s.tolerance() && stored.Dist(near) <= 2*s.tolerance()+s.rounded(k) {
			return stored
		}
	}
	if m, ok := meetingOf(a.model.line, b.model.line, near); ok && m.At.Dist(near) < 20*s.Sigma+5+s.rounded(b.old) {
		return m.At
	}
	return near
}

// radius is the radius at the start of edge j of the settled outline: the
// stored one, unless the points beside the corner say otherwise.
func (s *settler) radius(j int, out []Settled) float64 {
	k := out[j].Old
	if k < 0 || s.Round[k] == 0 {
		return 0
	}
	return s.Round[k]
}
