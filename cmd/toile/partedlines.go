package main

import (
	"slices"
	"strings"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/change"
	"toile/render/album"
	"toile/repo"
)

// mostToldApart is over how many versions several alterations of one piece are told
// apart: making all of them again takes its time.
const mostToldApart = 3

// leavesOpen reports whether a diff leaves open where the line lay along which a piece
// was split or joined, or which of several alterations a piece had.
func leavesOpen(d *change.Diff) bool {
	return leavesLineOpen(d) || slices.ContainsFunc(d.Pieces, diff.Doubtful)
}

// leavesLineOpen reports the first of them, as where both parts were altered at the line
// besides.
func leavesLineOpen(d *change.Diff) bool {
	return slices.ContainsFunc(d.Pieces, func(p change.PieceDiff) bool {
		return slices.ContainsFunc(p.Changes, func(ch change.Change) bool { return strings.HasSuffix(ch.Says, diff.LineOpen) })
	})
}

// compareWith compares two patterns of the line that leads to a version, nil for the
// working pattern, from an earlier version of it, nil where there is none: where the
// outlines leave a line open, by the alterations made between.
func (o *opened) compareWith(a, b *pattern.Pattern, sides [2]change.Version, from, to *repo.Version) (change.Diff, error) {
	d, err := diff.Patterns(a, b, sides[0], sides[1])
	if err != nil || from == nil || !leavesOpen(&d) {
		return d, err
	}
	most := 0
	if !leavesLineOpen(&d) {
		most = mostToldApart
	}
	between, err := o.statesBetween(*from, to, most)
	if err != nil || len(between) == 0 {
		return d, err
	}
	return diff.PatternsBy(a, b, sides[0], sides[1], between)
}

// statesBetween are the states that alterations led through from one version to a
// later one, nil for the working pattern, as far as they are known: nothing where the
// one is not before the other, or more than so many versions before it, 0 for any number.
func (o *opened) statesBetween(from repo.Version, to *repo.Version, most int) (between [][]*pattern.Pattern, err error) {
	var l *lookingBack
	at := 0
	if to == nil {
		if o.Pattern == nil {
			if err := o.decodeWorking(); err != nil {
				return nil, err
			}
		}
		l, err = o.lookBack(o.Pattern)
		at = -1
	} else {
		now, errNow := o.patternOf(*to)
		if errNow != nil {
			return nil, errNow
		}
		l, err = o.lookBackFrom(now, to)
	}
	if err != nil {
		return nil, err
	}
	end := slices.IndexFunc(l.line, func(v repo.Version) bool { return v.ID == from.ID })
	if most > 0 && end-at > most {
		return nil, nil
	}
	for ; at < end; at++ {
		states, err := l.stages(at)
		if err != nil {
			return nil, err
		}
		if states != nil {
			between = append(between, states)
		}
	}
	slices.Reverse(between)
	return between, nil
}

// tellApart tells several alterations of one piece apart in what a version changed,
// where the outlines leave them open.
func (b *binder) tellApart(steps []album.Step, v repo.Version, head *pattern.Pattern) error {
	var between [][]*pattern.Pattern
	for i := range steps {
		s := &steps[i]
		if len(v.Parents) != 1 || s.Old == nil || s.New == nil || !diff.Doubtful(s.Diff) {
			continue
		}
		if between == nil {
			var err error
			if between, err = b.statesBetween(repo.Version{ID: v.Parents[0]}, &v, mostToldApart); err != nil {
				return err
			}
		}
		s.Diff = diff.Apart(s.Diff, s.Old, s.New, between, head)
		s.Laid = placed(s.Diff.Placement)
	}
	return nil
}
