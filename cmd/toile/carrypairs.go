package main

import (
	"math"
	"slices"

	"toile/pattern/alter"
	"toile/pattern/change"
)

// One alteration of an edge, and what is left of it when what the edge sewn to it
// was given is counted.
type given struct {
	at      int
	apart   bool // it is known by itself
	was     change.Change
	left    change.Change
	paired  bool // nothing is left
	reduced bool // a part is left
}

// givenIn lists the alterations of steps, the latest step first; of those that are
// not known each by itself, what a version did in all.
func givenIn(steps []edgeStep) (all []given) {
	for _, s := range steps {
		for _, ch := range withoutCorners(slices.Clone(s.changes)) {
			all = append(all, given{at: s.at, apart: s.apart, was: ch, left: ch})
		}
	}
	return all
}

// pairGiven pairs the alterations of an edge with those of the edge sewn to it: in the
// same version like with like, then by what they have in common; then over versions
// like with like, whichever followed the other, those that are nearest in time first;
// then by what they have in common.
func pairGiven(mine, theirs []given) {
	each := func(fits func(m, t *given) bool, do func(m, t *given)) {
		for i := range slices.Backward(mine) {
			for j := range slices.Backward(theirs) {
				if m, t := &mine[i], &theirs[j]; !m.paired && !t.paired && fits(m, t) {
					do(m, t)
				}
			}
		}
	}
	same := func(m, t *given) bool { return alike([]change.Change{m.left}, []change.Change{t.left}) }
	both := func(m, t *given) { m.paired, t.paired = true, true }
	each(func(m, t *given) bool { return t.at == m.at && same(m, t) }, both)
	each(func(m, t *given) bool { // as a seam is shifted, which gives to one what it takes from the other
		other, ok := alter.OtherWay(t.left)
		return ok && t.at == m.at && m.was.Kind != change.EdgeRun && alike([]change.Change{m.left}, []change.Change{other})
	}, both)
	each(func(m, t *given) bool { return t.at == m.at && m.apart && t.apart }, takeOff)
	takenBack(mine, true)
	takenBack(theirs, true)
	for _, apart := range timesApart(mine, theirs) {
		each(func(m, t *given) bool { return m.at-t.at == apart && same(m, t) }, both)
		each(func(m, t *given) bool { return t.at-m.at == apart && same(m, t) }, both)
	}
	each(func(m, t *given) bool { return t.at < m.at && m.apart && t.apart && m.was.Kind != change.EdgeRun }, takeOff)
	for i := range slices.Backward(mine) { // it may have followed the other in part, or gone beyond it
		for j := range theirs {
			if m, t := &mine[i], &theirs[j]; !m.paired && !t.paired && m.apart && t.apart && t.at > m.at && m.was.Kind != change.EdgeRun {
				takeOff(m, t)
			}
		}
	}
	takenBack(mine, false)
}

// takenBack leaves out what was made and taken back later, at once or in portions,
// with none to follow either; atOnce where both were in one version.
func takenBack(mine []given, atOnce bool) {
	for i := range mine {
		sum, of := mine[i].left, []int{i}
		for j := range mine {
			more, ok := plus(sum, mine[j].left)
			if !ok || j == i || mine[i].paired || mine[j].paired || atOnce && mine[i].at != mine[j].at {
				continue
			}
			if pair, ok := plus(mine[i].left, mine[j].left); ok && comesToNothing(pair) {
				sum, of = pair, []int{i, j}
				break
			}
			sum, of = more, append(of, j)
		}
		if len(of) > 1 && comesToNothing(sum) {
			for _, j := range of {
				mine[j].paired = true
			}
		}
	}
}

// timesApart are the numbers of versions between alterations of two edges, ascending.
func timesApart(mine, theirs []given) (apart []int) {
	for _, m := range mine {
		for _, t := range theirs {
			apart = append(apart, max(m.at-t.at, t.at-m.at))
		}
	}
	slices.Sort(apart)
	return slices.Compact(apart)
}

// takeOff takes what two alterations have in common off both.
func takeOff(m, t *given) {
	a, b := asTapers(m.left, t.left)
	if a.Kind != b.Kind || a.How != b.How {
		return
	}
	switch less, ok := lessBy(a, b); {
	case ok && less == nil:
		m.paired, t.paired = true, true
	case ok:
		m.left, m.reduced, t.paired = *less, true, true
	default:
		if over, ok := lessBy(b, a); ok && over != nil {
			m.paired, t.left, t.reduced = true, *over, true
		}
	}
}

// unmatchedApart is unmatched for those steps whose alterations are known each by
// itself; rest is what the sewn-to edge was given apart from them.
func unmatchedApart(steps, theirs []edgeStep, fits bool) (lacks *edgeStep, rest []edgeStep) {
	mine, others := givenIn(steps), givenIn(theirs)
	pairGiven(mine, others)
	for _, s := range theirs {
		if !s.apart {
			continue
		}
		t := edgeStep{at: s.at, apart: true}
		for _, g := range others {
			if g.at == s.at && !g.paired && !g.reduced {
				t.changes = append(t.changes, g.left)
			}
		}
		if t.own = t.changes; len(t.changes) > 0 {
			rest = append(rest, t)
		}
	}
	for _, s := range steps {
		if !s.apart {
			continue
		}
		lack := edgeStep{at: s.at, apart: true, beside: s.beside}
		for _, g := range mine {
			if g.at == s.at && !g.paired {
				lack.changes = append(lack.changes, g.left)
				lack.part = lack.part || g.reduced
			}
		}
		lack.changes = summedUp(lack.changes)
		switch {
		case len(lack.changes) == 0, fits && onlyRuns(lack.changes):
		case drawnByHand(rest, s.at): // it was made to fit in another way
		case lacks != nil:
			lacks.more = true
			return lacks, rest
		default:
			lacks = &lack
		}
	}
	return lacks, rest
}

// drawnByHand reports whether an edge was drawn anew in a version, as it was wanted.
func drawnByHand(rest []edgeStep, at int) bool {
	return slices.ContainsFunc(rest, func(t edgeStep) bool {
		return t.at == at && slices.ContainsFunc(t.changes, func(ch change.Change) bool { return ch.Kind == change.EdgeRedrawn })
	})
}

// unknownOf are the steps of two edges from the latest on of which it is not known
// what each alteration did.
func unknownOf(a, b []edgeStep) (mine, others []edgeStep) {
	from := math.MaxInt
	for _, s := range slices.Concat(a, b) {
		if !s.apart {
			from = min(from, s.at)
		}
	}
	newer := func(s edgeStep) bool { return s.at < from }
	return slices.DeleteFunc(slices.Clone(a), newer), slices.DeleteFunc(slices.Clone(b), newer)
}
