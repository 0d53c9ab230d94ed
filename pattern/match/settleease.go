package match

import (
	"cmp"
	"math"
	"slices"

	"toile/geom"
)

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
	m, old := s.edges[j].model, s.Old[s.edges[j].parent()]
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
		gain := 0.0
		if t.kind != asKept {
			gain = leastEasing
		}
		if c := s.chi(off) + price; c < e.model.score-gain {
			e.model = model{kind: t.kind, line: line, score: c}
			swung := &s.edges[j]
			swung.model.line = arm
			swung.own[swung.model.far], e.own[1-swung.model.far] = true, true
		}
	}
}

// leastEasing of χ² is what the easing of an edge has to gain that moved besides:
// where the swing's end went along it, the points hardly tell.
const leastEasing = 4.0

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
	m, old := s.edges[j].model, s.Old[s.edges[j].parent()]
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
