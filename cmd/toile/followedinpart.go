package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
)

// followedInPart lists what has followed some of the alterations of an edge since
// the last version and lacks another one: as long as both edges changed, a
// comparison of before and after takes them to have followed each other.
func (l *lookingBack) followedInPart(listed []change.NotFollowed) (all []change.NotFollowed, err error) {
	stages, err := l.stages(-1)
	if err != nil || len(stages) < 2 {
		return nil, err
	}
	add := func(n *change.NotFollowed) {
		same := func(m change.NotFollowed) bool {
			of, _, _ := strings.Cut(m.Of, "/")
			its, _, _ := strings.Cut(n.Of, "/")
			return m.Piece == n.Piece && m.Edge == n.Edge && (m.Of == n.Of || n.Edge == "" && of == its)
		}
		if n != nil && !slices.ContainsFunc(listed, same) && !slices.ContainsFunc(all, same) {
			all = append(all, *n)
		}
	}
	for _, q := range l.now.Pieces {
		if altered, err := l.alteredSince(stages[0], q); err != nil {
			return nil, err
		} else if !altered {
			continue
		}
		for i := range q.Edges {
			for _, f := range alter.Followers(l.now, q.Name, q.Edges[i].Name) {
				n, err := l.behind(stages[0], q, q.Edges[i].Name, f)
				if err != nil {
					return nil, err
				}
				if n != nil && n.Mismatch { // an edge that nothing was done to is told of once
					if n, err = l.notAtAll(n, listed); err != nil {
						return nil, err
					}
				}
				add(n)
			}
		}
	}
	return all, nil
}

// notAtAll tells of an edge whose seam is out and that no alteration did anything to
// that it has not followed; nil where that is listed already, of another edge that it is
// sewn to.
func (l *lookingBack) notAtAll(n *change.NotFollowed, listed []change.NotFollowed) (*change.NotFollowed, error) {
	untouched, err := l.untouched(n.Piece, n.Edge)
	if err != nil || !untouched {
		return n, err
	}
	if slices.ContainsFunc(listed, func(m change.NotFollowed) bool { return m.Piece == n.Piece && m.Edge == n.Edge }) {
		return nil, nil
	}
	n.Says = strings.Replace(n.Says, partOnly, "it has not", 1)
	return n, nil
}

// alteredSince reports whether a piece is not as it was in an earlier state, or was
// split off since.
func (l *lookingBack) alteredSince(before *pattern.Pattern, q *pattern.Piece) (bool, error) {
	i, splitOff := continued(before, q)
	switch {
	case i < 0:
		return false, nil
	case !splitOff:
		return !sameLines(before.Pieces[i], q), nil
	}
	d, err := l.sinceLast(before, before.Pieces[i], q)
	return d.State == change.Split, err
}

// behind tells how far a follower of an edge, of a piece that is not as it was before
// the alterations since the last version, has not followed these; nil where it has, or
// a comparison tells.
func (l *lookingBack) behind(before *pattern.Pattern, q *pattern.Piece, edge string, f alter.Follower) (*change.NotFollowed, error) {
	if f.Why == alter.Banded || f.Why == alter.Placed {
		return nil, nil
	}
	follower, err := l.now.Piece(f.Piece)
	if err != nil {
		return nil, err
	}
	unseen, errU := l.unseen(q, edge)
	altered, errA := l.alteredSince(before, follower)
	both := unseen || altered
	switch {
	case errU != nil || errA != nil:
		return nil, errors.Join(errU, errA)
	case f.Why == alter.Layered && !both && pieceAsIn(before, q) != nil: // told by diff
		return nil, nil
	case f.Why == alter.Layered:
		return l.layerBehind(q, edge, f)
	case both:
		return l.inPart(q, edge, f)
	}
	return l.caughtUpInPart(q, edge, f)
}

// placesOff lists the lines on linings at which a facing is sewn on that do not lie
// where its edge does.
func placesOff(p *pattern.Pattern) (all []change.NotFollowed) {
	for _, o := range alter.PlacesOff(p) {
		all = append(all, change.NotFollowed{Piece: o.Piece, Of: o.Facing + "/" + o.Edge, Why: string(alter.Placed), By: change.Figure(o.By),
			Says: fmt.Sprintf("%s, placement line %q, lies up to %s from where %q of %s comes to lie on it", o.Piece, o.Mark, p.Unit.Format(o.By), o.Edge, o.Facing)})
	}
	return all
}

// inPart tells which whole alteration of an edge, made since the last version, one
// that changed as well lacks.
func (l *lookingBack) inPart(q *pattern.Piece, edge string, f alter.Follower) (*change.NotFollowed, error) {
	steps, err := l.steps(q, edge)
	if err != nil || !apartNow(steps) {
		return nil, err
	}
	lacking, err := l.lackOnSide(q, edge, steps, f)
	if err != nil || len(lacking) != 1 || lacking[0].Older {
		return nil, err
	}
	left := lacking[0].Changes
	if f.Fits(l.now) { // what a slash gave in length it has got in another way
		left = slices.DeleteFunc(slices.Clone(left), func(ch change.Change) bool { return ch.Kind == change.Spread })
	}
	var says []string
	for _, ch := range left {
		whole := slices.ContainsFunc(steps[0].own, func(own change.Change) bool { return alike([]change.Change{own}, []change.Change{ch}) })
		if whole && ch.Kind != change.EdgeRun && ch.Says != "" {
			says = append(says, ch.Says)
		}
	}
	switch apart := f.Apart(l.now); {
	case apart > 0:
		n := sewnBehind(f.Piece, f.Edge, q.Name, edge, fmt.Sprintf("%s, and they are %s apart in length", partOnly, l.now.Unit.Format(apart)))
		n.By, n.Mismatch = change.Figure(apart), true
		return n, nil
	case len(says) > 0:
		return sewnBehind(f.Piece, f.Edge, q.Name, edge, "it has not followed in this: "+strings.Join(says, "; ")+stillFit), nil
	case !onlyRuns(left):
		return sewnBehind(f.Piece, f.Edge, q.Name, edge, partOnly+stillFit), nil
	}
	return nil, nil
}

// caughtUpInPart tells where an edge that was altered since the last version has
// followed a part only of what the edge sewn to it was altered by before.
func (l *lookingBack) caughtUpInPart(q *pattern.Piece, edge string, f alter.Follower) (*change.NotFollowed, error) {
	mine, err := l.steps(q, edge)
	if err != nil || !apartNow(mine) || len(mine[0].own) == 0 {
		return nil, err
	}
	of, err := l.now.Piece(f.Piece)
	if err != nil {
		return nil, err
	}
	theirs, err := l.steps(of, f.Edge)
	if err != nil || len(theirs) == 0 {
		return nil, err
	}
	lacks := unmatched(sewnSteps(theirs), sewnSteps(mine), true, never)
	if lacks == nil || lacks.at < 0 || !lacks.part {
		return nil, nil
	}
	return sewnBehind(q.Name, edge, f.Piece, f.Edge, partOnly+stillFit), nil
}

// unseen reports whether alterations of an edge made up for those of others, so that
// the piece lies elsewhere on its sheet and its outline tells of none.
func (l *lookingBack) unseen(q *pattern.Piece, edge string) (bool, error) {
	steps, err := l.steps(q, edge)
	return apartNow(steps) && len(steps[0].changes) == 0, err
}

// layerBehind tells of an inner piece that lacks an alteration of its outer made since
// the last version, whatever else it was given: a comparison of before and after takes
// an edge of it that changed to have followed.
func (l *lookingBack) layerBehind(q *pattern.Piece, edge string, f alter.Follower) (*change.NotFollowed, error) {
	steps, err := l.steps(q, edge)
	if err != nil || !apartNow(steps) || onlyRuns(steps[0].own) {
		return nil, err
	}
	lacking, err := l.layerLack(q, edge, steps[:1], f)
	if err != nil || len(lacking) == 0 {
		return nil, err
	}
	return &change.NotFollowed{Piece: f.Piece, Of: q.Name + "/" + edge, Why: string(alter.Layered),
		Says: fmt.Sprintf("%s finishes to %s, of which %q changed; it has not", f.Piece, q.Name, edge)}, nil
}

// What is said of an edge that has followed in part, and of one whose seam fits.
const (
	partOnly = "it has followed a part only"
	stillFit = "; they still fit in length"
)

// sewnBehind tells how far an edge has followed another that it is sewn to.
func sewnBehind(piece, edge, of, its, how string) *change.NotFollowed {
	return &change.NotFollowed{Piece: piece, Edge: edge, Of: of + "/" + its, Why: string(alter.Sewn),
		Says: fmt.Sprintf("%s, %q, is sewn to %s, %q, which changed; %s", piece, edge, of, its, how)}
}

// apartNow reports whether the latest of an edge's steps is since the last version,
// and known alteration by alteration.
func apartNow(steps []edgeStep) bool {
	return len(steps) > 0 && steps[0].at == -1 && steps[0].apart
}

// sameLines reports whether two pieces have the same corners and edges.
func sameLines(a, b *pattern.Piece) bool {
	if len(a.Edges) != len(b.Edges) {
		return false
	}
	for i := range a.Edges {
		if !slices.Equal(a.EdgePath(i), b.EdgePath(i)) {
			return false
		}
	}
	return true
}
