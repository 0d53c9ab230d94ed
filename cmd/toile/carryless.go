package main

import (
	"math"
	"slices"

	"toile/pattern/alter"
	"toile/pattern/change"
)

// givenByHand is what is left of each unpaired step of an edge when what the edge
// sewn to it was given by other amounts is counted. What that was given before, the
// step has followed itself, and no more than what it goes beyond that is left; what it
// was given later goes to the oldest of the steps that it is a part of, and the rest
// of it to the next.
func givenByHand(steps []edgeStep, pairs []int, theirs []edgeStep) [][]change.Change {
	rests := make([][]change.Change, len(steps))
	given := make([][]change.Change, len(theirs))
	for j := range theirs {
		given[j] = slices.Clone(theirs[j].changes)
	}
	for i := len(steps) - 1; i >= 0; i-- {
		if pairs[i] >= 0 {
			continue
		}
		rests[i] = slices.Clone(steps[i].changes)
		rests[i] = lessFollowed(rests[i], steps[i].at, theirs, given)
		for j := len(theirs) - 1; j >= 0; j-- {
			if theirs[j].at < steps[i].at {
				rests[i], given[j] = lessAll(rests[i], given[j])
			}
		}
		if onlyRuns(rests[i]) && !onlyRuns(steps[i].changes) {
			rests[i] = nil // what it was run on by came of the amount that is given
		}
	}
	return rests
}

// lessFollowed takes from the changes of a step what the edge sewn to it was given
// before, the latest first, until one of these is no part of them.
func lessFollowed(changes []change.Change, at int, theirs []edgeStep, given [][]change.Change) []change.Change {
	for j := range theirs {
		if theirs[j].at <= at {
			continue
		}
		rest, left := lessAll(changes, given[j])
		if sameAmounts(rest, changes) {
			break
		}
		changes, given[j] = rest, left
	}
	return changes
}

// sameAmounts reports whether nothing was taken from a list of changes.
func sameAmounts(a, b []change.Change) bool {
	return slices.EqualFunc(a, b, func(x, y change.Change) bool { return x.By == y.By && x.Turn == y.Turn && x.Ends == y.Ends })
}

// lessAll takes from each change the one of the same kind that was given: what is
// left of both.
func lessAll(changes, given []change.Change) (rest, left []change.Change) {
	left = slices.Clone(given)
	for _, ch := range changes {
		var more *change.Change = &ch
		for k, g := range left {
			if ch, g = asTapers(ch, g); g.Kind != ch.Kind || g.How != ch.How || ch.Kind == change.EdgeRun {
				continue
			}
			if less, ok := lessBy(ch, g); ok {
				more, left = less, slices.Delete(left, k, k+1)
				break
			}
			if over, ok := lessBy(g, ch); ok && over != nil {
				more, left[k] = nil, *over
				break
			}
		}
		if more != nil {
			rest = append(rest, *more)
		}
	}
	return rest, left
}

// asTapers has of a taper and a swing about the end of the edge, which are told apart
// by their size on a straight edge, both be tapers.
func asTapers(a, b change.Change) (x, y change.Change) {
	taper := func(ch change.Change) change.Change {
		if ch.Kind != change.EdgeSwung || ch.By == nil || ch.Pivot == nil || ch.At == nil || len(ch.OldPath) == 0 {
			return ch
		}
		ends := [2]float64{*ch.By, 0}
		held := ch.OldPath.End()
		if ch.At.Point().Dist(held) < ch.At.Point().Dist(ch.OldPath.Start()) {
			ends, held = [2]float64{0, *ch.By}, ch.OldPath.Start()
		}
		if ch.Pivot.Point().Dist(held) > alikeWithin {
			return ch
		}
		ch.Kind, ch.How, ch.Ends = change.EdgeMoved, change.HowTapered, &ends
		return ch
	}
	if a.Kind != b.Kind {
		return taper(a), taper(b)
	}
	return a, b
}

// armsWithin is the share by which the lengths of two edges that were swung may
// differ, from pivot to end, for one swing to be a part of the other.
const armsWithin = 0.2

// armsAlike reports whether two edges were swung about places about as far from the
// end that swung, as their chords and angles tell.
func armsAlike(a, b change.Change) bool {
	if a.By == nil || b.By == nil || a.Turn == nil || b.Turn == nil || *a.Turn**b.By == 0 {
		return true
	}
	return math.Abs(math.Abs(*a.By**b.Turn/(*a.Turn**b.By))-1) < armsWithin
}

// lessBy is a change less another of the same kind; nil where they are alike. It
// is not ok where the other is not a part of it.
func lessBy(ch, other change.Change) (less *change.Change, ok bool) {
	if alike([]change.Change{ch}, []change.Change{other}) {
		return nil, true
	}
	if ch.By == nil || other.By == nil || *ch.By**other.By <= 0 || math.Abs(*other.By) > math.Abs(*ch.By) {
		return nil, false
	}
	rest := ch
	rest.Taper = nil // its lines are those of all
	rest.By = change.Amount(*ch.By - *other.By)
	switch {
	case ch.Kind == change.EdgeRun, ch.Kind == change.EdgeMoved && ch.How == change.HowParallel:
		return &rest, true
	case ch.Kind == change.EdgeMoved && ch.How == change.HowTapered && ch.Ends != nil && other.Ends != nil:
		rest.Ends, ok = lessTaper(*ch.Ends, *other.Ends)
		return &rest, ok
	case ch.Kind == change.EdgeSwung && ch.Turn != nil && other.Turn != nil:
		turn := math.Abs(*ch.Turn) - math.Abs(*other.Turn)
		rest.Turn = change.Amount(math.Copysign(turn, *ch.Turn))
		return &rest, turn > 0 && armsAlike(ch, other)
	}
	return nil, false
}

// lessTaper takes a taper from another that comes to nothing at one end, as it does
// itself: the edges sewn together may run either way.
func lessTaper(ends, other [2]float64) (*[2]float64, bool) {
	nothing := func(a [2]float64) int {
		return slices.IndexFunc(a[:], func(x float64) bool { return math.Abs(x) <= alikeWithin/5 })
	}
	k, j := nothing(ends), nothing(other)
	if k < 0 || j < 0 {
		return nil, false
	}
	ends[1-k] -= other[1-j]
	return &ends, true
}

// otherWay is what an edge was changed by, the other way round.
func otherWay(changes []change.Change) []change.Change {
	turned := slices.Clone(changes)
	for i := range turned {
		turned[i], _ = alter.OtherWay(turned[i])
	}
	return turned
}

// otherWaySteps has every step be the other way round.
func otherWaySteps(steps []edgeStep) []edgeStep {
	turned := slices.Clone(steps)
	for i := range turned {
		turned[i].changes = otherWay(turned[i].changes)
	}
	return turned
}
