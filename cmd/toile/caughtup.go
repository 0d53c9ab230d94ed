package main

import (
	"errors"
	"math"
	"slices"
	"strings"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
	"toile/repo"
)

// notCaughtUp leaves out of what has not followed a change since a version what
// that change only followed itself.
func (o *opened) notCaughtUp(all []change.NotFollowed, now *pattern.Pattern, since *repo.Version, working bool) ([]change.NotFollowed, error) {
	l, err := o.lookBackFrom(now, since)
	if err != nil {
		return nil, err
	}
	l.working = working
	listed := slices.Clone(all)
	all = nil
	for _, n := range listed {
		piece, edge, _ := strings.Cut(n.Of, "/")
		followed := n.Edge != "" && !n.Mismatch && asLayer(listed, n.Piece, piece)
		if n.Why == string(alter.Layered) && n.Corner == "" {
			var ok bool
			if n, ok, err = l.ofPart(n); err != nil {
				return nil, err
			}
			followed = !ok || slices.ContainsFunc(all, func(m change.NotFollowed) bool { return m.Says == n.Says })
		}
		if n.Edge != "" && !followed {
			if followed, err = l.nothingLeft(piece, edge, n); err != nil {
				return nil, err
			}
		}
		if !followed {
			all = append(all, n)
		}
	}
	inPart, err := l.recently().followedInPart(all)
	return append(append(all, inPart...), placesOff(now)...), err
}

// nothingLeft reports whether an edge listed as not having followed another one has
// nothing to follow.
func (l *lookingBack) nothingLeft(piece, edge string, n change.NotFollowed) (bool, error) {
	untouched, err := l.untouched(piece, edge)
	if err != nil || untouched || n.Mismatch {
		return untouched, err
	}
	return l.caughtUp(piece, edge, n.Piece, n.Edge)
}

// untouched reports whether none of the alterations since the last version did anything
// to an edge that an edge sewn to it would follow, whatever the outlines before and
// after look like: of parts that were altered those do not tell where they were split.
func (l *lookingBack) untouched(piece, edge string) (bool, error) {
	q, err := l.now.Piece(piece)
	if err != nil {
		return false, nil // named otherwise then
	}
	if _, err := q.EdgeIndex(edge); err != nil || l.last == nil {
		return false, nil
	}
	own, _, known, err := l.stagedChanges(-1, q, edge)
	return known && len(own) == 0, err
}

// asLayer reports whether a piece is listed as one that finishes to another.
func asLayer(all []change.NotFollowed, inner, outer string) bool {
	return slices.ContainsFunc(all, func(n change.NotFollowed) bool {
		of, _, _ := strings.Cut(n.Of, "/")
		return n.Edge == "" && n.Piece == inner && of == outer
	})
}

// caughtUp reports whether an edge that changed since the last version only
// followed an older change of the edge sewn to it: that one has nothing to
// follow then. An inner piece that lies on its outer has followed it, whatever
// it was altered by.
func (l *lookingBack) caughtUp(piece, edge, sewnTo, its string) (bool, error) {
	if alter.LiesAlong(l.now, sewnTo, its, piece, edge) {
		return true, nil
	}
	q, errQ := l.now.Piece(piece)
	f, errF := l.now.Piece(sewnTo)
	if errQ != nil || errF != nil {
		return false, nil // named otherwise then
	}
	newer, errQ := l.steps(q, edge)
	older, errF := l.steps(f, its)
	if err := errors.Join(errQ, errF); err != nil {
		return false, err
	}
	if l.settledSince(q, edge, f, its, newer, older, true) >= -1 {
		return true, nil
	}
	newer, older = sewnSteps(newer), sewnSteps(older)
	if apartNow(newer) && (allApart(newer) && allApart(older) || len(older) > 0 && older[0].apart) {
		lacks := unmatched(newer, older, true, never)
		return lacks == nil || lacks.at >= 0, nil
	}
	pairs, _ := followedIn(older, newer)
	for i, k := range pairs {
		if k >= 0 && newer[k].at == -1 && older[i].at >= 0 {
			return true, nil
		}
	}
	return false, nil
}

// never is no step: nothing is settled.
const never = -2

// settledSince is the oldest step since which two edges sewn together changed
// by the same in all: whatever is newer, one has caught up with the other, be it
// in other portions. It is never where there is none. Edges that changed alike
// themselves have not where one of them alone was cut or run on, as for a hem, and
// their seam does not fit for it.
func (l *lookingBack) settledSince(q *pattern.Piece, edge string, f *pattern.Piece, its string, a, b []edgeStep, fits bool) int {
	if allApart(a) && allApart(b) || l.until > 0 {
		return never // what is left of each is told better by pairing them
	}
	var places []int
	for _, s := range slices.Concat(a, b) {
		places = append(places, s.at)
	}
	slices.Sort(places)
	for _, at := range slices.Backward(slices.Compact(places)) {
		if l.alikeSince(at, q, edge, f, its, a, b, fits) {
			return at
		}
	}
	return never
}

// alikeSince reports whether two edges sewn together changed by the same in all
// since a step, of which what alterations did is taken where it is known.
func (l *lookingBack) alikeSince(at int, q *pattern.Piece, edge string, f *pattern.Piece, its string, a, b []edgeStep, fits bool) bool {
	mine, okA := ownSince(a, at)
	theirs, okB := ownSince(b, at)
	longer := 0.0
	if !okA || !okB {
		mine, okA = l.changesSince(at, q, edge)
		theirs, okB = l.changesSince(at, f, its)
		longer = math.Abs(grown(mine) - grown(theirs))
	}
	if alter.BesideUnderOuter(l.now, q.Name, f.Name) {
		mine, theirs = otherWay(otherWay(mine)), otherWay(theirs)
	}
	return okA && okB && allAlike(ownOf(mine), ownOf(theirs)) && (fits || (runsAlike(mine, theirs) && longer <= l.now.Tolerances.Section))
}

// allApart reports whether all of an edge's steps are known alteration by alteration.
func allApart(steps []edgeStep) bool {
	return !slices.ContainsFunc(steps, func(s edgeStep) bool { return !s.apart })
}

// ownSince are the alterations of an edge at its steps from one until now; ok is
// false where they are not all known each by itself.
func ownSince(steps []edgeStep, at int) (found []change.Change, ok bool) {
	for _, s := range steps {
		if s.at > at {
			break
		}
		if !s.apart {
			return nil, false
		}
		found = append(slices.Clone(s.own), found...)
	}
	return summedUp(found), true
}

// changesSince are the changes of an edge from before a step until now. ok is
// false where the piece or the edge was another then.
func (l *lookingBack) changesSince(at int, q *pattern.Piece, edge string) (found []change.Change, ok bool) {
	if at+1 >= len(l.line) {
		return nil, false
	}
	before, err := l.state(at + 1)
	if err != nil {
		return nil, false
	}
	i := slices.IndexFunc(before.Pieces, func(old *pattern.Piece) bool { return sameKept(old, q) })
	if i < 0 {
		return nil, false
	}
	d, err := l.changesFrom(at, before, before.Pieces[i], q)
	then := diff.EdgeThen(d, edge)
	if err != nil || then == "" {
		return nil, false
	}
	return withoutCorners(changesOf(d, then)), true
}

// withoutCorners leaves out the rounding of corners, which no sewn-to edge follows.
func withoutCorners(changes []change.Change) []change.Change {
	return slices.DeleteFunc(changes, func(ch change.Change) bool {
		return ch.Kind == change.CornerRounded || ch.Kind == change.CornerRestored
	})
}

// ownOf leaves out of an edge's changes where it was cut or run on to meet its
// neighbours, if it changed itself.
func ownOf(changes []change.Change) []change.Change {
	own := slices.DeleteFunc(slices.Clone(changes), func(ch change.Change) bool { return ch.Kind == change.EdgeRun })
	if len(own) > 0 {
		return own
	}
	return changes
}

// runsAlike reports whether two edges were cut or run on by the same in all.
func runsAlike(a, b []change.Change) bool {
	run := func(changes []change.Change) (sum float64) {
		for _, ch := range changes {
			if ch.Kind == change.EdgeRun && ch.By != nil {
				sum += *ch.By
			}
		}
		return sum
	}
	return math.Abs(run(a)-run(b)) <= alikeWithin
}

// grown is by how many mm an edge got longer in all, told or not.
func grown(changes []change.Change) float64 {
	for _, ch := range changes {
		if len(ch.OldPath) > 0 && len(ch.NewPath) > 0 {
			return ch.NewPath.Length() - ch.OldPath.Length()
		}
	}
	return 0
}

// changesFrom is what became of a piece from before a step until now.
func (l *lookingBack) changesFrom(at int, before *pattern.Pattern, old, q *pattern.Piece) (change.PieceDiff, error) {
	if at == -1 {
		return l.sinceLast(before, old, q)
	}
	return diff.Pieces(old, q, l.now)
}

// sameKept reports whether a piece of another version is this one.
func sameKept(old, q *pattern.Piece) bool {
	if old.ID != "" && q.ID != "" {
		return old.ID == q.ID
	}
	return old.Name == q.Name
}

// allAlike reports whether two edges were changed alike in every change.
func allAlike(a, b []change.Change) bool {
	if len(a) != len(b) {
		return false
	}
	left := slices.Clone(b)
	for _, x := range a {
		k := slices.IndexFunc(left, func(y change.Change) bool { return alike([]change.Change{x}, []change.Change{y}) })
		if k < 0 {
			return false
		}
		left = slices.Delete(left, k, k+1)
	}
	return true
}

// olderThan keeps the steps from before what is settled.
func olderThan(steps []edgeStep, settled int) []edgeStep {
	return slices.DeleteFunc(slices.Clone(steps), func(s edgeStep) bool { return s.at <= settled })
}
