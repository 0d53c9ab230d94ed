package main

import (
	"toile/pattern"
	"toile/pattern/alter"
)

// onOneHalf reports whether what an edge of a piece that is not cut on the fold was
// given, and an edge sewn to it on a piece on the fold lacks, is lacked by the edge
// that is sewn to the other half of that one too.
func (l *lookingBack) onOneHalf(q *pattern.Piece, edge string, steps []edgeStep, f alter.Follower) (bool, error) {
	for _, other := range f.OtherHalves(l.now, q, edge) {
		piece, err := l.now.Piece(other[0])
		if err != nil {
			return false, err
		}
		theirs, err := l.steps(piece, other[1])
		if err != nil {
			return false, err
		}
		if unmatched(steps, sewnSteps(theirs), f.Fits(l.now), never) != nil {
			return true, nil
		}
	}
	return false, nil
}
