package main

import (
	"slices"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
)

// make makes an alteration on a pattern; to carry a change it looks back
// through the versions for what has to be carried.
func (o *opened) make(p *pattern.Pattern, r alter.Recipe) (alter.Result, error) {
	if r.Kind != "carry" {
		return alter.Make(p, r)
	}
	l, err := o.lookBack(p)
	if err != nil {
		return alter.Result{}, err
	}
	lacking, err := l.lacking(r)
	if err != nil {
		return alter.Result{}, err
	}
	if err := o.refuseOlder(r, lacking, l.altered); err != nil {
		return alter.Result{}, err
	}
	return alter.Carry(p, r, lacking)
}

// lacking finds for each follower of the recipe's edge the last change that it
// lacks.
func (l *lookingBack) lacking(r alter.Recipe) ([]alter.Lacking, error) {
	followers, err := alter.FollowersAsked(l.now, r)
	if err != nil {
		return nil, err
	}
	q, err := l.now.Piece(r.Piece)
	if err != nil {
		return nil, err
	}
	i, err := q.EdgeIndex(r.Values["edge"])
	if err != nil {
		return nil, err
	}
	steps, err := l.steps(q, q.Edges[i].Name)
	if err != nil {
		return nil, err
	}
	var lacking []alter.Lacking
	for _, f := range followers {
		found, err := l.lackOnSide(q, q.Edges[i].Name, steps, f)
		if err != nil {
			return nil, err
		}
		lacking = append(lacking, found...)
	}
	l.altered = len(steps) > 0 && steps[0].at < 0
	if len(lacking) == 0 {
		return lacking, l.refusePart(r, q, q.Edges[i].Name, sewnSteps(steps), followers)
	}
	return latestOnly(lacking), nil
}

// lackOnSide is what a follower lacks. Where its side of a seam is several pieces, a
// move at equal distance is lacked by each that has not made it; of anything else
// one of them has made it for all.
func (l *lookingBack) lackOnSide(q *pattern.Piece, edge string, steps []edgeStep, f alter.Follower) ([]alter.Lacking, error) {
	each := f.Each(l.now)
	if len(each) == 1 {
		return l.lackOfParts(q, edge, steps, f)
	}
	var some []alter.Lacking
	for _, g := range each {
		found, err := l.lack(q, edge, steps, g)
		if err != nil {
			return nil, err
		}
		some = append(some, found...)
	}
	if len(some) == len(each) && !slices.ContainsFunc(some, func(g alter.Lacking) bool {
		return g.Older != some[0].Older || len(g.Changes) != len(some[0].Changes) || !alike(g.Changes, some[0].Changes)
	}) {
		return l.lack(q, edge, steps, f)
	}
	return slices.DeleteFunc(some, func(g alter.Lacking) bool { return !movedEvenly(g.Changes) }), nil
}

// movedEvenly reports whether an edge was moved at equal distance, and nothing else was
// done to it but where it was cut or run on.
func movedEvenly(changes []change.Change) bool {
	return !slices.ContainsFunc(changes, func(ch change.Change) bool {
		return ch.Kind != change.EdgeRun && (ch.Kind != change.EdgeMoved || ch.How == change.HowTapered)
	}) && slices.ContainsFunc(changes, func(ch change.Change) bool { return ch.Kind == change.EdgeMoved })
}

// lackOfParts is what a follower of one piece lacks. Where that is several edges of it,
// of anything but a move at equal distance one of them has made it for all.
func (l *lookingBack) lackOfParts(q *pattern.Piece, edge string, steps []edgeStep, f alter.Follower) ([]alter.Lacking, error) {
	found, err := l.lack(q, edge, steps, f)
	if err != nil || len(found) != 1 || f.Why != alter.Sewn || movedEvenly(found[0].Changes) {
		return found, err
	}
	for _, part := range f.OtherParts(l.now) {
		if more, err := l.lack(q, edge, steps, part); err != nil || len(more) == 0 {
			return nil, err
		}
	}
	return found, nil
}

// lack is what one follower lacks: nothing, or one change.
func (l *lookingBack) lack(q *pattern.Piece, edge string, steps []edgeStep, f alter.Follower) ([]alter.Lacking, error) {
	switch f.Why {
	case alter.Banded:
		if f.BandLacks(l.now) {
			return []alter.Lacking{{Follower: f}}, nil
		}
		return nil, nil
	case alter.Placed:
		if f.PlaceLacks(l.now, q.Name, edge) {
			return []alter.Lacking{{Follower: f}}, nil
		}
		return nil, nil
	case alter.Layered:
		return l.layerLack(q, edge, steps, f)
	}
	follower, err := l.now.Piece(f.Piece)
	if err != nil {
		return nil, err
	}
	if alter.LiesAlong(l.now, f.Piece, f.Edge, q.Name, edge) {
		return nil, nil // an inner piece that lies on its outer
	}
	theirs, err := l.steps(follower, f.Edge)
	if err != nil {
		return nil, err
	}
	steps, theirs = sewnSteps(steps), sewnSteps(theirs)
	sought := steps
	if alter.BesideUnderOuter(l.now, q.Name, f.Piece) { // what one gains the other loses
		sought, theirs = otherWaySteps(otherWaySteps(steps)), otherWaySteps(theirs)
	}
	settled := l.settledSince(q, edge, follower, f.Edge, steps, theirs, f.Fits(l.now))
	if s := unmatched(sought, theirs, f.Fits(l.now), settled); s != nil {
		lacking := l.lackingStep(s, f)
		lacking.OneHalf, err = l.onOneHalf(q, edge, steps, f)
		return []alter.Lacking{lacking}, err
	}
	return nil, nil
}

// lackingStep is a sewn-to edge with what it lacks of a step.
func (l *lookingBack) lackingStep(s *edgeStep, f alter.Follower) alter.Lacking {
	lacking := alter.Lacking{Follower: f, Changes: s.changes, Apart: s.apart, More: s.more, Beside: s.beside, Older: s.at >= 0}
	if lacking.Older {
		lacking.Version = l.line[s.at].Number
	}
	return lacking
}

// layerLack looks for the last change of the edge before which the inner piece
// lay along it, and neither right after it nor now.
func (l *lookingBack) layerLack(q *pattern.Piece, edge string, steps []edgeStep, f alter.Follower) ([]alter.Lacking, error) {
	for _, s := range steps {
		found, known, drafted, err := l.stagedLayerLack(s.at, q, edge, f)
		if len(found) > 0 || drafted || err != nil {
			return found, err
		}
		if known {
			continue
		}
		lacking, err := l.beforeStep(s.at, f)
		if err != nil {
			return nil, err
		}
		lacking.Changes = s.changes
		if lacks, _ := lacking.InLayer(l.now, q.Name, edge); !lacks {
			continue
		}
		if s.at >= 0 {
			after, err := l.state(s.at)
			if err != nil {
				return nil, err
			}
			if lacks, _ := lacking.InLayer(after, q.Name, edge); !lacks {
				continue
			}
		}
		if len(s.changes) == 0 {
			lacking.Changes = s.own
		}
		lacking.Slashes, err = l.slashes(s.at, q)
		return []alter.Lacking{lacking}, err
	}
	return nil, nil
}

// beforeStep is an inner piece with the pattern before a step. One that was
// drafted in that step is there as it came out of it: it tells whether it was
// drafted before the outer was altered, for then it lies on the outer as that was.
func (l *lookingBack) beforeStep(at int, f alter.Follower) (alter.Lacking, error) {
	lacking := alter.Lacking{Follower: f}
	var err error
	if lacking.Before, err = l.state(at + 1); err != nil {
		return lacking, err
	}
	now, err := l.now.Piece(f.Piece)
	if err != nil {
		return lacking, err
	}
	after := l.now
	if at >= 0 {
		if after, err = l.state(at); err != nil {
			return lacking, err
		}
	}
	same := func(q *pattern.Piece) bool { return q.ID == now.ID && q.ID != "" || q.Name == now.Name }
	k := slices.IndexFunc(after.Pieces, same)
	if k < 0 || slices.ContainsFunc(lacking.Before.Pieces, same) {
		return lacking, nil
	}
	lacking.Before, lacking.Drafted = lacking.Before.Clone(), true
	lacking.Before.Put(after.Pieces[k])
	return lacking, nil
}

// unmatched is the last change of an edge that the edge sewn to it lacks. It
// has followed where it changed in the same version, or later by the same; what
// it changed by less then, it lacks. Of steps that are not known alteration by
// alteration those up to settled are left out.
func unmatched(steps, theirs []edgeStep, fits bool, settled int) *edgeStep {
	lacks, rest := unmatchedApart(steps, theirs, fits)
	mine, others := unknownOf(steps, theirs)
	mine, others = olderThan(mine, settled), olderThan(others, settled)
	if lacks != nil || len(mine) == 0 {
		return lacks
	}
	rest = slices.DeleteFunc(rest, func(t edgeStep) bool {
		return slices.ContainsFunc(others, func(o edgeStep) bool { return o.at == t.at })
	})
	return unmatchedOnWhole(mine, slices.Concat(rest, others), fits)
}
