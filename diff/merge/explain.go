package merge

import (
	"math"

	"toile/geom"
)

// swungAbout looks for a swing of an edge about an end that stayed, or about one
// that it had in the state before, where none was told: where that explains the
// edge.
func (s *sideOutline) swungAbout(i int, old geom.Path, before *sideOutline) motion {
	now := s.paths[i]
	reach := math.Min(old.Length(), now.Length())
	about := []geom.Path{old}
	if before != nil && before.whole == "" {
		about = append(about, before.paths[i])
	}
	for k := range 2 * len(about) {
		far, pivots := k%2, about[k/2]
		from, to, pivot := old.PointAt(reach), now.PointAt(reach), pivots.Start()
		if far == 0 {
			from, to, pivot = old.PointAt(old.Length()-reach), now.PointAt(now.Length()-reach), pivots.End()
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

// moves notes the motion that explains the edge best: the one that was told, a
// shift along the grain or a move at equal distance. What was told has to be
// outdone by more than what rounding makes.
func (s *sideOutline) moves(i int, old geom.Path, ends ledOn, told motion, down geom.Point) bool {
	var tries []motion
	if told.how != kept {
		tries = append(tries, told)
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
