package main

import (
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
func (l *lookingBack) followedInPart(listed []change.NotFollowed) (all []change.NotFollowed) {
	stages := l.stages(-1)
	if len(stages) < 3 { // of one alteration nothing is left behind unseen
		return nil
	}
	altered := func(name string) bool {
		q, err := l.now.Piece(name)
		if err != nil {
			return false
		}
		then := pieceAsIn(stages[0], q)
		return then != nil && !sameLines(then, q)
	}
	for _, q := range l.now.Pieces {
		if !altered(q.Name) {
			continue
		}
		for i := range q.Edges {
			for _, f := range alter.Followers(l.now, q.Name, q.Edges[i].Name) {
				if f.Why != alter.Sewn || !altered(f.Piece) {
					continue
				}
				n, ok := l.inPart(q, q.Edges[i].Name, f)
				if ok && !slices.ContainsFunc(listed, func(m change.NotFollowed) bool { return m.Piece == n.Piece && m.Edge == n.Edge && m.Of == n.Of }) {
					all = append(all, n)
				}
			}
		}
	}
	return all
}

// inPart tells which whole alteration of an edge, made since the last version, one
// that changed as well lacks.
func (l *lookingBack) inPart(q *pattern.Piece, edge string, f alter.Follower) (n change.NotFollowed, ok bool) {
	steps, err := l.steps(q, edge)
	if err != nil || !apartNow(steps) || !f.Fits(l.now) {
		return n, false
	}
	lacking, err := l.lackOnSide(q, edge, steps, f)
	if err != nil || len(lacking) != 1 || lacking[0].Older {
		return n, false
	}
	var says []string
	for _, ch := range lacking[0].Changes {
		whole := slices.ContainsFunc(steps[0].own, func(own change.Change) bool { return alike([]change.Change{own}, []change.Change{ch}) })
		if whole && ch.Kind != change.EdgeRun && ch.Says != "" {
			says = append(says, ch.Says)
		}
	}
	if len(says) == 0 {
		return n, false
	}
	return change.NotFollowed{Piece: f.Piece, Edge: f.Edge, Of: q.Name + "/" + edge, Why: string(alter.Sewn),
		Says: fmt.Sprintf("%s, %q, is sewn to %s, %q, and has not followed all of it: %s; they still fit in length", f.Piece, f.Edge, q.Name, edge, strings.Join(says, "; "))}, true
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
