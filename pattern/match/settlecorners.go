package match

import "math"

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
