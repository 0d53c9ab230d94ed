package main

import (
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
func (o *opened) notCaughtUp(all []change.NotFollowed, now *pattern.Pattern, since *repo.Version) ([]change.NotFollowed, error) {
	if len(all) == 0 {
		return all, nil
	}
	l, err := o.lookBackFrom(now, since)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(all, func(n change.NotFollowed) bool {
		piece, edge, _ := strings.Cut(n.Of, "/")
		return n.Edge != "" && !n.Mismatch && l.caughtUp(piece, edge, n.Piece, n.Edge)
	}), nil
}

// caughtUp reports whether an edge that changed since the last version only
// followed an older change of the edge sewn to it: that one has nothing to
// follow then. An inner piece that lies on its outer has followed it, whatever
// it was altered by.
func (l *lookingBack) caughtUp(piece, edge, sewnTo, its string) bool {
	if alter.LiesAlong(l.now, sewnTo, its, piece, edge) {
		return true
	}
	q, errQ := l.now.Piece(piece)
	f, errF := l.now.Piece(sewnTo)
	if errQ != nil || errF != nil {
		return false
	}
	newer, errQ := l.steps(q, edge)
	older, errF := l.steps(f, its)
	if errQ != nil || errF != nil {
		return false
	}
	if l.settledSince(q, edge, f, its, newer, older) >= -1 {
		return true
	}
	for i, k := range followedIn(older, newer) {
		if k >= 0 && newer[k].at == -1 && older[i].at >= 0 {
			return true
		}
	}
	return false
}

// never is no step: nothing is settled.
const never = -2

// settledSince is the oldest step since which two edges sewn together changed
// by the same in all: whatever is newer, one has caught up with the other, be it
// in other portions. It is never where there is none.
func (l *lookingBack) settledSince(q *pattern.Piece, edge string, f *pattern.Piece, its string, a, b []edgeStep) int {
	var places []int
	for _, s := range slices.Concat(a, b) {
		places = append(places, s.at)
	}
	slices.Sort(places)
	for _, at := range slices.Backward(slices.Compact(places)) {
		mine, okA := l.changesSince(at, q, edge)
		theirs, okB := l.changesSince(at, f, its)
		if okA && okB && allAlike(mine.own, theirs.own) && math.Abs(mine.grown-theirs.grown) <= l.now.Tolerances.Section {
			return at
		}
	}
	return never
}

// edgeChanges are the changes of an edge between two states: those that it made
// itself, or where it made none how its ends were cut or run on; and by how many mm
// it got longer in all.
type edgeChanges struct {
	own   []change.Change
	grown float64
}

// changesSince are the changes of an edge from before a step until now. ok is false
// where the piece or the edge was another then.
func (l *lookingBack) changesSince(at int, q *pattern.Piece, edge string) (since edgeChanges, ok bool) {
	if at+1 >= len(l.line) {
		return since, false
	}
	before, err := l.state(at + 1)
	if err != nil {
		return since, false
	}
	i := slices.IndexFunc(before.Pieces, func(old *pattern.Piece) bool { return sameKept(old, q) })
	if i < 0 {
		return since, false
	}
	d, err := l.changesFrom(at, before, before.Pieces[i], q)
	then := diff.EdgeThen(d, edge)
	if err != nil || then == "" {
		return since, false
	}
	all := slices.DeleteFunc(changesOf(d, then), func(ch change.Change) bool {
		return ch.Kind == change.CornerRounded || ch.Kind == change.CornerRestored
	})
	since.own = slices.DeleteFunc(slices.Clone(all), func(ch change.Change) bool { return ch.Kind == change.EdgeRun })
	if len(since.own) == 0 {
		since.own = all
	}
	for _, e := range d.Edges {
		if e.Edge == then {
			since.grown = e.Length[1] - e.Length[0]
		}
	}
	return since, true
}

// lessByHand is what a sewn-to edge lacks of a change that was kept in a version,
// less what it was given in the same way since: what both changed by in all is
// weighed. It is the change itself where the other edge did nothing of the kind.
func (l *lookingBack) lessByHand(s *edgeStep, q *pattern.Piece, edge string, f *pattern.Piece, its string) []change.Change {
	mine, okA := l.changesSince(s.at, q, edge)
	theirs, okB := l.changesSince(s.at, f, its)
	likewise := slices.ContainsFunc(s.changes, func(ch change.Change) bool {
		return ch.Kind != change.EdgeRun && slices.ContainsFunc(theirs.own, func(o change.Change) bool { return o.Kind == ch.Kind && o.How == ch.How })
	})
	if s.at < 0 || !okA || !okB || !likewise {
		return s.changes
	}
	return remainder(mine.own, theirs.own)
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

// remainder is what an edge was changed by beyond what the edge sewn to it was
// changed by in the same way: changes that the other has not, and the rest of
// those it has by less. It is nothing where the other was changed in ways of its
// own, for then it was made to fit by hand.
func remainder(changes, theirs []change.Change) []change.Change {
	var rest []change.Change
	left := slices.Clone(theirs)
	for _, ch := range changes {
		k := slices.IndexFunc(left, func(o change.Change) bool { return o.Kind == ch.Kind && o.How == ch.How })
		if k < 0 {
			rest = append(rest, ch)
			continue
		}
		less, ok := lessBy(ch, left[k])
		if !ok {
			return nil
		}
		if less != nil {
			rest = append(rest, *less)
		}
		left = slices.Delete(left, k, k+1)
	}
	if len(left) > 0 {
		return nil
	}
	return rest
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
	rest.By = change.Amount(*ch.By - *other.By)
	switch {
	case ch.Kind == change.EdgeRun, ch.Kind == change.EdgeMoved && ch.How == change.HowParallel:
		return &rest, true
	case ch.Kind == change.EdgeSwung && ch.Turn != nil && other.Turn != nil:
		rest.Turn = change.Amount(*ch.Turn - *other.Turn)
		return &rest, true
	}
	return nil, false
}
