package main

import (
	"fmt"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/change"
)

// ofPart has what finishes to a part of a piece that was split since the last version
// follow the edges that alterations did something to since, whatever the outlines before
// and after look like: ok is false where there are none. Of another piece, or where that
// is not known, it is as the outlines tell.
func (l *lookingBack) ofPart(n change.NotFollowed) (of change.NotFollowed, ok bool, err error) {
	name, _, _ := strings.Cut(n.Of, "/")
	q, err := l.now.Piece(name)
	if err != nil || l.last == nil {
		return n, true, nil // named otherwise then
	}
	before, err := l.state(0)
	if err != nil || !l.splitSince(before, q) {
		return n, true, err
	}
	var touched, words []string
	for _, e := range q.Edges {
		own, _, known, err := l.stagedChanges(-1, q, e.Name)
		if err != nil || !known {
			return n, true, err
		}
		if !onlyRuns(own) {
			touched, words = append(touched, e.Name), append(words, fmt.Sprintf("%q", e.Name))
			if len(touched) == 1 {
				n.Of = name + "/" + e.Name
			}
		}
	}
	n.Changed = touched
	n.Says = fmt.Sprintf("%s finishes to %s, of which %s changed; it has not", n.Piece, name, strings.Join(words, ", "))
	return n, len(touched) > 0, nil
}

// splitSince reports whether a piece is a part of one that was split since a state of
// the pattern.
func (l *lookingBack) splitSince(before *pattern.Pattern, q *pattern.Piece) bool {
	return slices.ContainsFunc(l.now.Pieces, func(o *pattern.Piece) bool {
		return o.Was != "" && (o.Was == q.ID || o.Was == q.Was) && pieceAsIn(before, o) == nil
	})
}
