package main

import (
	"math"
	"slices"

	"toile/pattern/alter"
	"toile/pattern/change"
)

// unmatchedOnWhole is unmatched by what a version did to an edge in all.
func unmatchedOnWhole(steps, theirs []edgeStep, fits bool) *edgeStep {
	pairs, byHand := followedIn(steps, theirs)
	rests := givenByHand(steps, pairs, byHand)
	for i := range steps {
		switch k := pairs[i]; {
		case len(steps[i].changes) == 0:
		case k < 0:
			if len(rests[i]) > 0 {
				return &edgeStep{at: steps[i].at, changes: rests[i], beside: steps[i].beside, part: !sameAmounts(rests[i], steps[i].changes)}
			}
		case theirs[k].at == steps[i].at && (steps[i].at == -1 || !fits):
			rest := remainder(steps[i].changes, theirs[k].changes, fits)
			if len(rest) > 0 && !(fits && onlyRuns(rest)) {
				return &edgeStep{at: steps[i].at, changes: rest, beside: steps[i].beside}
			}
		}
	}
	return nil
}

// followedIn pairs each step of an edge with the step of a sewn-to edge that
// follows it, or that it follows; −1 for none. Those that are alike go before
// those that were only made in the same version. alone are those of the sewn-to
// edge that are paired with none.
func followedIn(steps, theirs []edgeStep) (pairs []int, alone []edgeStep) {
	used := make([]bool, len(theirs))
	pairs = make([]int, len(steps))
	pair := func(fits func(s, t edgeStep) bool) {
		for i := range steps {
			for j := len(theirs) - 1; j >= 0 && pairs[i] < 0; j-- {
				if !used[j] && len(theirs[j].changes) > 0 && fits(steps[i], theirs[j]) {
					pairs[i], used[j] = j, true
				}
			}
		}
	}
	for i := range steps {
		pairs[i] = -1
		steps[i].changes = withoutCorners(slices.Clone(steps[i].changes))
	}
	pair(func(s, t edgeStep) bool { return t.at == s.at && alike(s.changes, t.changes) })
	pair(func(s, t edgeStep) bool { return t.at < s.at && alike(s.changes, t.changes) })
	pair(func(s, t edgeStep) bool { return t.at == s.at })
	pairFollowers(steps, theirs, pairs, used)
	for j, t := range theirs {
		if !used[j] {
			alone = append(alone, t)
		}
	}
	return pairs, alone
}

// pairFollowers pairs what is left of an edge's steps with the older step of
// the sewn-to edge that each follows itself: what was carried here from there
// is not to be carried back. The oldest are paired first.
func pairFollowers(steps, theirs []edgeStep, pairs []int, used []bool) {
	for i := len(steps) - 1; i >= 0; i-- {
		for j := len(theirs) - 1; j >= 0 && pairs[i] < 0; j-- {
			if !used[j] && theirs[j].at > steps[i].at && alike(steps[i].changes, theirs[j].changes) {
				pairs[i], used[j] = j, true
			}
		}
	}
}

// The differences up to which two edges were changed by the same amount: mm,
// and degrees of a swing, whose chord depends on the length of the edge.
const (
	alikeWithin = 0.5
	turnWithin  = 0.1
)

// alike reports whether an edge was changed as another was: a change of both is
// of one kind and amount.
func alike(a, b []change.Change) bool {
	for _, x := range a {
		for _, y := range b {
			if x.Kind != y.Kind {
				x, y = alter.AsDrawn(x), alter.AsDrawn(y)
			}
			switch {
			case x.Kind != y.Kind || x.How != y.How:
			case x.Kind == change.EdgeSwung:
				if armsAlike(x, y) && (amountsAlike(x.Turn, y.Turn, turnWithin) || amountsAlike(chordNow(x), chordNow(y), alikeWithin) && chordNow(x) != nil) {
					return true
				}
			case amountsAlike(x.By, y.By, alikeWithin) && amountsAlike(x.Max, y.Max, alikeWithin):
				return true
			case amountsAlike(taperNow(x), taperNow(y), alikeWithin) && taperNow(x) != nil:
				return true
			}
		}
	}
	return false
}

func amountsAlike(a, b *float64, within float64) bool {
	if a == nil || b == nil {
		return a == b
	}
	return math.Abs(*a-*b) <= within
}
