package match

import (
	"math"
	"slices"

	"toile/geom"
)

// spare settles what becomes of the parts between two known neighbours that no
// stored edge continues. Corners that are clearly new stay, and so do the parts
// between them. Of the others one is the corner of the two neighbours: what
// lies before it belongs to the first, the rest to the second, whichever
// explains them best, and these corners are dropped. Parts that turn sharply at
// both ends, between edges that were kept, are new edges.
func (s *settler) spare(out []settling, j, next int) []settling {
	const sharp = math.Pi * 2 / 9
	meant := s.kept(s.edges[j]) && s.kept(s.edges[next%len(s.edges)])
	for k := j + 1; k < next; k++ {
		meant = meant && s.turnAt(s.edges[k].from) > sharp && s.turnAt(s.edges[k].to) > sharp
	}
	if meant {
		return append(out, s.edges[j+1:next]...)
	}
	parts := slices.Clone(s.edges[j:min(next+1, len(s.edges))])
	parts[0] = out[len(out)-1]
	cuts := upTo(len(parts))[1:] // parts at whose start the two neighbours may meet
	if next == len(s.edges) {
		cuts = []int{len(parts)} // where the ring starts
	}
	real := make([]bool, len(parts)+1)
	for k := 1; k < len(parts); k++ {
		leg := longLeg
		if s.leavesAndReturns(parts, k) {
			leg = leastLeg
		}
		real[k] = s.isCorner(parts[k-1], parts[k], leg)
	}
	if next < len(s.edges) && slices.Contains(real, true) {
		stored := s.Old[s.edges[next].old].Start()
		cuts = slices.DeleteFunc(cuts, func(k int) bool {
			return !real[k] && s.ring.PointAt(parts[k].from).Dist(stored) > 2*s.tolerance()
		})
	}
	var best []settling
	least := math.Inf(1)
	for _, cut := range cuts {
		groups, score := s.grouped(parts, real, cut)
		for _, g := range groups {
			score += s.scoreOf(g)
		}
		if score < least {
			best, least = groups, score
		}
	}
	if next < len(s.edges) {
		s.edges[next].from = best[len(best)-1].from
		best = best[:len(best)-1]
	}
	return append(out[:len(out)-1], best...)
}

// grouped joins parts between the corners that stay, those that are real and
// the one at the start of part cut, and says what dropping the others costs.
func (s *settler) grouped(parts []settling, real []bool, cut int) (groups []settling, cost float64) {
	longest := 0.0
	for k, e := range parts {
		switch {
		case k == 0 || k == cut || real[k]:
			groups, longest = append(groups, e), e.to-e.from
			continue
		case k == len(parts)-1 && e.old >= 0, len(groups) > 1 && groups[len(groups)-1].old < 0 && e.to-e.from > longest:
			groups[len(groups)-1].old, groups[len(groups)-1].part = e.old, e.part
			longest = e.to - e.from
		}
		groups[len(groups)-1].to = e.to
		turn := geom.InDegrees(s.turnAt(e.from)) / tellingTurn
		cost += turn * turn
	}
	return groups, cost
}

// Between corners that lie nearer to each other a line may just as well be one
// corner drawn round, or a corner a narrow bend: leastLeg in mm counts where the
// outline leaves a stored edge and returns to it, longLeg elsewhere.
const leastLeg, longLeg = 25.0, 50.0

// leavesAndReturns reports whether parts before and after the start of part k
// lie on one stored edge.
func (s *settler) leavesAndReturns(parts []settling, k int) bool {
	on := map[int]bool{}
	for i, e := range parts {
		if p := e.parent(); p >= 0 && (i < k || on[p]) && s.kept(e) {
			if i >= k {
				return true
			}
			on[p] = true
		}
	}
	return false
}

// isCorner reports whether the corner between two parts of the ring is there
// beyond doubt: it turns by more than a corner has to by three deviations of
// what the points tell of it, both sides are at least leg mm long, no narrow bend explains the
// points as well, and no stored edge, moved or not, explains both sides as one.
//
// The direction at the end of n points over the length w, each off by σ, has
// the deviation √12·σ/(√n·w) for a line and √192·σ/(√n·w) for a parabola.
func (s *settler) isCorner(a, b settling, leg float64) bool {
	const reach = 40.0 // mm of either side whose direction counts
	const line, parabola = 12.0, 192.0
	variance := 0.0
	for side, e := range [2]settling{a, b} {
		w := math.Min(e.to-e.from, reach)
		if e.to-e.from < leg {
			return false
		}
		factor, beside := parabola, s.ring.BetweenLengths(e.from, e.from+w)
		if side == 0 {
			beside = s.ring.BetweenLengths(e.to-w, e.to)
		}
		if isStraight(beside) {
			factor = line
		}
		variance += factor * s.Sigma * s.Sigma * s.spacing / (w * w * w)
	}
	if s.turnAt(b.from) < cornerTurn+3*math.Sqrt(variance) || s.bendsThere(a, b) {
		return false
	}
	apart := s.scoreOf(a) + s.scoreOf(b)
	for _, k := range []int{a.parent(), b.parent()} {
		if k < 0 {
			continue
		}
		if m := s.bestAlone(settling{old: k, part: -1, from: a.from, to: b.to}); m.kind != asDrawn && m.score < apart {
			return false
		}
	}
	return true
}

// bendsThere reports whether a smooth bend from one part to the next lies by
// the points about as well as the corner between them: a cubic from a place
// before the corner to one as far behind it, tangent to the ring at both.
func (s *settler) bendsThere(a, b settling) bool {
	const clearly, least, step = 12.0, 12.5, 6.25 // of χ²; mm to either side
	reach := math.Min(longLeg, math.Min(a.to-a.from, b.to-b.from))
	before, after := s.ring.BetweenLengths(b.from-reach, b.from), s.ring.BetweenLengths(b.from, b.from+reach)
	var points []geom.Point
	for _, p := range s.within(b.from-reach, b.from+reach) {
		points = append(points, p.q)
	}
	most := s.squares(append(slices.Clone(before), after...), points) + clearly
	for w := least; w <= reach; w += step {
		lead, rest := before.BetweenLengths(0, reach-w), after.BetweenLengths(w, reach)
		from, to := before.PointAt(reach-w), after.PointAt(w)
		out, in := before.TangentAt(reach-w), after.TangentAt(w)
		for _, h := range bendHandles {
			for _, k := range bendHandles {
				line := slices.Clone(lead)
				line = append(line, geom.Cubic{P0: from, P1: from.Add(out.Mul(h * w)), P2: to.Sub(in.Mul(k * w)), P3: to})
				if s.squares(append(line, rest...), points) < most {
					return true
				}
			}
		}
	}
	return false
}

// bendHandles are the lengths of handles tried for a bend, in parts of its
// reach: from nearly straight to drawn out to the corner.
var bendHandles = []float64{0.3, 0.45, 0.6, 0.75}

// squares is Σ r²/σ², every error counted by itself.
func (s *settler) squares(line geom.Path, points []geom.Point) float64 {
	sum := 0.0
	for _, q := range points {
		_, d := line.Nearest(q)
		sum += d * d
	}
	return sum / (s.Sigma * s.Sigma)
}

// cornerTurn in radians (20°) is what a corner turns by.
const cornerTurn = math.Pi / 9

// isStraight reports whether a path is one straight line.
func isStraight(p geom.Path) bool {
	chord := p.End().Sub(p.Start()).Unit()
	for _, c := range p {
		if !c.IsStraight(1e-6) || math.Abs(c.P3.Sub(c.P0).Unit().Cross(chord)) > 1e-3 {
			return false
		}
	}
	return true
}

// tellingTurn in degrees: dropping a corner that turns by as much costs 1 in
// units of χ², by the square, and so does a kink where no corner was drawn.
const tellingTurn = 10

// scoreOf is what the best explanation of a part of the ring costs, every
// error counted by itself so that parts of any length compare.
func (s *settler) scoreOf(e settling) float64 { return s.bestAlone(e).score }

func (s *settler) kept(e settling) bool { return s.bestAlone(e).kind == asKept }

func (s *settler) bestAlone(e settling) model {
	s.together, s.alone = max(s.together, 1), true
	defer func() { s.alone = false }()
	e.drawn = s.drawnOf(e)
	for _, p := range s.within(s.clearOfArcs(e)) {
		e.points = append(e.points, p.q)
	}
	return s.best(&e)
}

// turnAt is the turn in radians of the ring at a length.
func (s *settler) turnAt(at float64) float64 {
	const beside = 0.01
	before := s.ring.TangentAt(math.Mod(at-beside+s.length, s.length))
	return math.Abs(geom.AngleBetween(before, s.ring.TangentAt(math.Mod(at+beside, s.length))))
}
