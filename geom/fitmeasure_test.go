package geom

import (
	"math"
	"math/rand/v2"
	"slices"
)

// cornerSeen is what became of one true corner.
type cornerSeen struct {
	trueCorner
	found bool
	off   float64 // mm, from the true corner
}

// outlineSeen is what became of one outline.
type outlineSeen struct {
	kind    string
	seed    uint64
	scatter scatter
	corners []cornerSeen
	// sharpRounds are the rounded corners told as corners, and invented counts
	// the corners told where there is nothing of the kind.
	rounds, sharpRounds []trueRound
	invented            int
	// off are distances in mm of places on the fitted outline from the true one
	// and back, rising.
	off            []float64
	cubics, curves int
	noise          float64
	crosses        bool
	// straight counts the straight edges whose corners were found, and bent
	// those of them that are not one line.
	straight, bent int
}

// cornerReach is how near in mm a found corner must lie to be the true one; at
// short edges 0.45 of the edge.
const cornerReach = 5.0

// outlineTried fits one tracing of one outline and holds it against the truth.
func outlineTried(kind string, seed uint64, s scatter) outlineSeen {
	r := rand.New(rand.NewPCG(seed, 3))
	truth := garmentOutline(r, kind)
	ring, at, noise := FitOutline(s.tracing(r, truth.ring), FitOptions{})
	seen := outlineSeen{kind: kind, seed: seed, scatter: s, rounds: truth.rounds, cubics: len(ring), curves: len(truth.ring), noise: noise}
	index := seen.matchCorners(truth, ring, at)
	seen.countStraight(truth, ring, at, index)
	for _, pair := range [2][2]Ring{{ring, truth.ring}, {truth.ring, ring}} {
		for _, c := range pair[0] {
			n := int(c.hull()/2) + 1
			for i := range n {
				_, d := Path(pair[1]).Nearest(c.At(float64(i) / float64(n)))
				seen.off = append(seen.off, d)
			}
		}
	}
	slices.Sort(seen.off)
	_, _, _, seen.crosses = ring.SelfCrossing()
	return seen
}

// matchCorners gives each true corner the found one nearest to it and returns
// their indices, −1 for one not found.
func (seen *outlineSeen) matchCorners(truth knownOutline, ring Ring, at []int) []int {
	used := make([]bool, len(at))
	index := make([]int, len(truth.corners))
	for k, c := range truth.corners {
		best, least := -1, math.Min(cornerReach, 0.45*c.shorter)
		for j, i := range at {
			if d := ring[i].P0.Dist(c.at); d < least && !used[j] {
				best, least = j, d
			}
		}
		index[k] = best
		if best >= 0 {
			used[best] = true
		}
		seen.corners = append(seen.corners, cornerSeen{c, best >= 0, least})
	}
	for j, i := range at {
		if used[j] {
			continue
		}
		k := slices.IndexFunc(truth.rounds, func(r trueRound) bool { return ring[i].P0.Dist(r.tip) <= r.tangent+cornerReach })
		if k < 0 {
			seen.invented++
		} else if !slices.Contains(seen.sharpRounds, truth.rounds[k]) {
			seen.sharpRounds = append(seen.sharpRounds, truth.rounds[k])
		}
	}
	return index
}

// countStraight counts the straight edges between found corners.
func (seen *outlineSeen) countStraight(truth knownOutline, ring Ring, at, index []int) {
	for k, e := range truth.edges {
		if len(e) != 1 || !e[0].IsStraight(1e-9) {
			continue
		}
		from, to := index[k], index[(k+1)%len(index)]
		if from < 0 || to < 0 {
			continue
		}
		seen.straight++
		next := (from + 1) % len(at)
		if to != next || (at[next]-at[from]+len(ring))%len(ring) != 1 || !ring[at[from]].IsStraight(1e-9) {
			seen.bent++
		}
	}
}

// sigma is the standard deviation of a tracing's points, in x and in y.
func (s scatter) sigma() float64 { return math.Hypot(s.alone, s.together) }

// outlinesTried fits outlines of every kind as often as asked, with points 1 to
// 3 mm apart and noise up to 0.3 mm: of each point by itself, in waves, or both.
func outlinesTried(rounds int) []outlineSeen {
	var all []outlineSeen
	for round := range rounds {
		for k, kind := range garmentKinds {
			seed := uint64(5000 + 100*round + k)
			r := rand.New(rand.NewPCG(seed, 9))
			s := scatter{spacing: 1 + 2*r.Float64(), reach: 10 + 30*r.Float64()}
			sigma := []float64{0, 0.05, 0.1, 0.2, 0.3}[(round+k)%5]
			switch r.IntN(4) {
			case 0, 1:
				s.alone = sigma
			case 2:
				s.together = sigma
			case 3:
				s.alone, s.together = sigma/math.Sqrt2, sigma/math.Sqrt2
			}
			all = append(all, outlineTried(kind, seed, s))
		}
	}
	return all
}
