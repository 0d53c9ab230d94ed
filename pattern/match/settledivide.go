package match

import (
	"math"
	"slices"
	"sort"

	"toile/geom"
)

// place starts the ring at the corner that most surely is one, and finds where
// every point lies along it.
func (s *settler) place() bool {
	runs := len(s.Corners)
	if runs < 2 {
		return false
	}
	first := -1
	for k := range runs {
		before := s.Of[(k+runs-1)%runs]
		sure := before >= 0 && before == (s.Of[k]+len(s.Old)-1)%len(s.Old)
		if s.Of[k] >= 0 && (first < 0 || sure) {
			if first = k; sure {
				break
			}
		}
	}
	if first < 0 {
		return false
	}
	from := s.Corners[first]
	s.ring = append(append(geom.Path{}, s.Ring[from:]...), s.Ring[:from]...)
	lengths := make([]float64, len(s.ring)+1)
	for i, c := range s.ring {
		lengths[i+1] = lengths[i] + c.Length()
	}
	s.length = lengths[len(s.ring)]
	for i, q := range s.Points {
		at, _ := s.ring.Nearest(q)
		s.at = append(s.at, drawnAt{q, lengths[at.Curve] + s.ring[at.Curve].LengthBetween(0, at.T)})
		s.spacing += q.Dist(s.Points[(i+1)%len(s.Points)]) / float64(len(s.Points))
	}
	sort.SliceStable(s.at, func(a, b int) bool { return s.at[a].at < s.at[b].at })
	for k := range runs {
		run := (first + k) % runs
		at := (s.Corners[run] - from + len(s.ring)) % len(s.ring)
		e := settling{old: s.Of[run], part: -1, from: lengths[at]}
		if e.old < 0 && s.Parts != nil {
			e.part = s.Parts[run]
		}
		s.edges = append(s.edges, e)
		for _, c := range s.drawnRound {
			if c.run == run {
				s.zones = append(s.zones, zone{c, lengths[at]})
			}
		}
	}
	s.close()
	return true
}

// close ends every edge where the next one starts.
func (s *settler) close() {
	for j := range s.edges {
		s.edges[j].to = s.length
		if j+1 < len(s.edges) {
			s.edges[j].to = s.edges[j+1].from
		}
	}
}

// within lists the points of the ring between two lengths, in order.
func (s *settler) within(from, to float64) []drawnAt {
	a := sort.Search(len(s.at), func(i int) bool { return s.at[i].at >= from })
	b := sort.Search(len(s.at), func(i int) bool { return s.at[i].at >= to })
	return s.at[a:max(a, b)]
}

// pointsOf lists the points of edge j; those beside a corner may be of either
// edge, those of a rounding are of none, and both are left out where enough
// remain.
func (s *settler) pointsOf(j int) []geom.Point {
	e := s.edges[j]
	margin := math.Min(1.5*s.spacing, (e.to-e.from)/6)
	from, to := e.from+margin+s.rounded(e.old), e.to-margin
	if e.old >= 0 {
		to -= s.rounded((e.old + 1) % len(s.Old))
	}
	var all, inner []geom.Point
	for _, p := range s.within(s.clearOfArcs(e)) {
		all = append(all, p.q)
		if p.at > from && p.at < to {
			inner = append(inner, p.q)
		}
	}
	if len(inner) >= 8 {
		return inner
	}
	return all
}

// rounded is how far in mm the rounding of a stored corner reaches.
func (s *settler) rounded(k int) float64 {
	if k < 0 || s.Round[k] == 0 {
		return 0
	}
	before := s.Old[(k+len(s.Old)-1)%len(s.Old)]
	turn := math.Abs(geom.AngleBetween(before.EndTangent(), s.Old[k].StartTangent()))
	return s.Round[k] * math.Tan(math.Min(turn, 2.8)/2)
}

// divide gives every stored edge its part of the ring: parts between corners
// that were found continue one; further corners on it are dropped, and where
// one was not found it is looked for. It reports whether the order allows it.
func (s *settler) divide() bool {
	n := len(s.Old)
	known := slices.DeleteFunc(upTo(len(s.edges)), func(j int) bool { return s.edges[j].old < 0 })
	turns := 0
	for i, j := range known {
		turns += (s.edges[known[(i+1)%len(known)]].old - s.edges[j].old + n) % n
	}
	if len(known) < 2 || turns != n {
		return false
	}
	var out []settling
	for i, j := range known {
		next := len(s.edges)
		if i+1 < len(known) {
			next = known[i+1]
		}
		follows := s.edges[known[(i+1)%len(known)]].old
		missing := (follows - s.edges[j].old - 1 + n) % n
		if i > 0 && s.edges[j].from <= out[len(out)-1].from {
			return false // what is missing would be counted from the wrong edge
		}
		out = append(out, s.edges[j])
		switch {
		case missing > 0:
			more, ok := s.missing(out[len(out)-1], next, missing)
			if !ok {
				return false
			}
			out = append(out, more...)
		case next-j > 1:
			out = s.spare(out, j, next)
		}
	}
	s.edges = out
	s.close()
	for j := range out {
		if out[j].to-out[j].from < 2*s.spacing {
			return false
		}
	}
	return true
}

// missing looks for the corners between the known edge first and the known one
// at next when count stored edges lie between them that no corner told: every
// point is given to one of the edges, in order, at the least sum of squared
// distances; beyond 6σ a distance counts little more than that. It returns the missing edges; where the
// next one starts is settled too.
func (s *settler) missing(first settling, next, count int) ([]settling, bool) {
	m, to := count+1, s.length
	if next < len(s.edges) {
		m, to = count+2, s.edges[next].to
	}
	points := s.within(first.from, to)
	if len(points) < 3*m {
		return nil, false
	}
	stay := s.cheapestCuts(first.old, m, points)
	cuts := make([]float64, m)
	for i, l := len(points)-1, m-1; l > 0 && i > 0; i-- {
		if !stay[i][l] {
			cuts[l] = (points[i-1].at + points[i].at) / 2
			l--
		}
	}
	var out []settling
	for l := 1; l < m; l++ {
		if cuts[l] < cuts[l-1]+2*s.spacing {
			return nil, false
		}
		if l <= count {
			out = append(out, settling{old: (first.old + l) % len(s.Old), part: -1, from: cuts[l], guessed: true})
		} else {
			s.edges[next].from, s.edges[next].guessed = cuts[l], math.Abs(cuts[l]-s.edges[next].from) > s.spacing
		}
	}
	return out, true
}

// cheapestCuts tells for every point and each of m stored edges from first on
// whether, with the point on that edge, the one before is on it too.
func (s *settler) cheapestCuts(first, m int, points []drawnAt) [][]bool {
	before := make([]float64, m)
	stay := make([][]bool, len(points))
	for i, p := range points {
		stay[i] = make([]bool, m)
		now := make([]float64, m)
		for l := range m {
			_, d := s.Old[(first+l)%len(s.Old)].Nearest(p.q)
			d /= s.Sigma
			c := math.Min(d*d, 36) + 0.05*d
			switch {
			case i == 0 && l > 0:
				c = math.Inf(1)
			case i > 0 && (l == 0 || before[l] <= before[l-1]):
				c, stay[i][l] = c+before[l], true
			case i > 0:
				c += before[l-1]
			}
			now[l] = c
		}
		before = now
	}
	return stay
}
