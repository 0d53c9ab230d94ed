package merge

import (
	"math"

	"toile/geom"
	"toile/pattern"
)

// swungAbout looks for a swing of an edge where none was told: where one explains
// the edge.
func (s *sideOutline) swungAbout(i int, old geom.Path, before *sideOutline) motion {
	now := s.paths[i]
	reach := math.Min(old.Length(), now.Length())
	for k, pivot := range pivots(old, now, i, before) {
		far := 1 - k%2
		from, to := old.PointAt(reach), now.PointAt(reach)
		if far == 0 {
			from, to = old.PointAt(old.Length()-reach), now.PointAt(now.Length()-reach)
		}
		m := motion{how: swung, pivot: pivot, far: far, turn: geom.AngleBetween(from.Sub(pivot), to.Sub(pivot))}
		if math.Abs(m.turn) > math.Pi/4 || math.Abs(m.turn)*reach < movedWithin {
			continue
		}
		if m = s.settled(i, old, m); s.lies(i, m.swing(old), ledOn{}, movedWithin, false) {
			return m
		}
	}
	return motion{}
}

// pivots are the places about which edge i may have been swung, by turns for its
// end and for its start: its ends, those that it had in the state before, and where
// the line that it had then meets the one that it has now.
func pivots(old, now geom.Path, i int, before *sideOutline) []geom.Point {
	all := []geom.Point{old.Start(), old.End()}
	if before == nil || before.whole != "" {
		return all
	}
	then := before.paths[i]
	all = append(all, then.Start(), then.End())
	for _, m := range geom.MeetPaths(then, extend(now).whole) {
		all = append(all, m.At, m.At)
	}
	return all
}

// moves notes the motion that explains the edge best: the one that was told, a
// shift along the grain or a move at equal distance. What was told has to be
// outdone by more than what rounding makes.
func (s *sideOutline) moves(i int, old geom.Path, ends ledOn, told motion, down geom.Point) bool {
	var tries []motion
	if told.how != kept {
		tries = append(tries, told)
	}
	if told.how == swung {
		if t, ok := taperedAs(old, s.core(i), told); ok {
			tries = append(tries, t)
		}
	}
	if told.how != swung && told.how != tapered {
		tries = append(tries, s.asWhole(i, old, down)...)
	}
	best, found, tails, lost := math.Inf(1), false, [2]float64{}, [2]float64{}
	for _, m := range tries {
		line, err := m.of(old)
		if err != nil || !s.lies(i, line, ends, movedWithin, false) {
			continue
		}
		if off := offBy(s.core(i), line); !found || off < best-storedWithin {
			best, found, tails, lost = off, true, s.tails[i], s.lost[i]
			s.motions[i] = m
		}
	}
	if !found && (told.how == swung || told.how == tapered) {
		return s.moves(i, old, ends, motion{}, down)
	}
	s.tails[i], s.lost[i] = tails, lost
	return found
}

// offBy is the greatest distance in mm of a path from a line or its carrier.
func offBy(p, line geom.Path) (far float64) {
	on := geom.NewRunOn(line, reach)
	for _, c := range p {
		for k := 0; k <= samples; k++ {
			far = math.Max(far, math.Abs(on.Foot(c.At(float64(k)/samples)).Out))
		}
	}
	return far
}

// asWhole is a shift along the grain and a move at equal distance by which the
// edge's middle lies where it does.
func (s *sideOutline) asWhole(i int, old geom.Path, down geom.Point) []motion {
	now := s.paths[i]
	middle := now.PointAt(now.Length() / 2)
	f := geom.NewRunOn(old, reach).Foot(middle)
	tries := []motion{{how: parallel, by: toThousandth(f.Out)}}
	if lean := down.Dot(f.Normal); math.Abs(lean) > 0.2 {
		by := f.Out / lean
		for _, m := range geom.MeetPaths(geom.Carrier(old, reach), geom.Path{geom.Line(middle.Sub(down.Mul(2*by)), middle.Add(down.Mul(by)))}) {
			by = middle.Sub(m.At).Dot(down)
		}
		tries = append(tries, motion{how: shifted, shift: down.Mul(toThousandth(by))})
	}
	return tries
}

// settled brings a swing that was told nearer: the pivot to a node that the
// edge has there, the turn by the places of both lines that lie as far along.
func (s *sideOutline) settled(i int, old geom.Path, m motion) motion {
	path := s.paths[i]
	near, least := m.pivot, math.Max(pivotWithin, movedWithin/math.Max(math.Abs(m.turn), 1e-3))
	for _, q := range append(nodes(path), old.Start(), old.End()) {
		if d := q.Dist(m.pivot); d < least {
			near, least = q, d
		}
	}
	m.pivot = near
	const rounds = 3
	for range rounds {
		line, sum, weight := geom.NewRunOn(m.swing(old), reach), 0.0, 0.0
		for _, c := range path {
			for k := 0; k <= samples; k++ {
				q := c.At(float64(k) / samples)
				f := line.Foot(q)
				if !m.swings(old, f.Along) || math.Abs(f.Out) > movedWithin*4 {
					continue
				}
				lever := f.At.Sub(m.pivot).Right().Dot(f.Normal)
				sum, weight = sum+lever*f.Out, weight+lever*lever
			}
		}
		if weight > 0 {
			m.turn += sum / weight
		}
	}
	arm := math.Max(m.pivot.Dist(old.Start()), m.pivot.Dist(old.End()))
	if typed := geom.Degrees(math.Round(geom.InDegrees(m.turn)*100) / 100); math.Abs(typed-m.turn)*arm < storedWithin {
		m.turn = typed
	}
	return m
}

// storedWithin in mm: how far a place may lie off for being stored to three
// decimals. A turn that is a hundredth of a degree within that is taken for one.
const storedWithin = 0.0008

// tapersNotSwings takes a swing for a taper, which moves a line that is straight or
// nearly so to the same place, where its neighbour is cut or runs on along its own
// line and is not led on to it, or where the edge did not keep its length.
func (s *sideOutline) tapersNotSwings(shared *pattern.Piece) {
	n := len(s.paths)
	for i, m := range s.motions {
		old, now := shared.EdgePath(i), s.paths[i]
		if m.how != swung {
			continue
		}
		next, other, end := (i+1)%n, (i+n-1)%n, 0
		if m.far == 0 {
			next, other, end = other, next, 1
		}
		if s.changed(next) || s.lost[next][end] > 0 || (s.changed(other) && s.leadsOn(next, end, shared.EdgePath(next))) {
			continue
		}
		t, ok := taperedAs(old, now, m)
		if !ok {
			continue
		}
		line, err := t.of(old)
		if err != nil || len(line) == 0 || !beside(now, line, movedWithin, false) {
			continue
		}
		least := 2 * storedWithin
		if s.tails[next][end] > 0 {
			least = sliver // it may be led on to a swing that is hardly one
		}
		if math.Abs(old.Length()-now.Length()) > least {
			s.motions[i], s.tails[i], s.lost[i] = t, [2]float64{}, [2]float64{}
		}
	}
}

// leadsOn reports whether what stands at an end of edge i leaves the line that the
// edge has: what runs on along it does not.
func (s *sideOutline) leadsOn(i, end int, line geom.Path) bool {
	_, tail := s.tail(i, end)
	return len(tail) > 0 && offBy(tail, line) > movedWithin
}

// taperedAs is the taper of the line old that takes it to now, from the end about
// which it would have been swung; ok is false where that is no end.
func taperedAs(old, now geom.Path, m motion) (t motion, ok bool) {
	on, length := geom.NewRunOn(old, reach), old.Length()
	pivot, f := old.Start(), on.Foot(now.End())
	along := f.Along
	if m.far == 0 {
		pivot, f = old.End(), on.Foot(now.Start())
		along = length - f.Along
	}
	t = motion{how: tapered, from: old}
	if pivot.Dist(m.pivot) > pivotWithin || along < leastEdge {
		return t, false
	}
	t.ends[m.far] = f.Out / along * length
	return t, true
}
