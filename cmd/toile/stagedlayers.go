package main

import (
	"toile/pattern"
	"toile/pattern/alter"
)

// stagedLayerLack is layerLack for one step, whose alterations are looked at one by
// one: an inner piece may have been drafted among them, or have followed an older one.
// known is false where that piece lay along the edge, as it is meant to, at none of
// these stages; drafted says that it came to be here.
func (l *lookingBack) stagedLayerLack(at int, q *pattern.Piece, edge string, f alter.Follower) (found []alter.Lacking, known, drafted bool, err error) {
	stages, err := l.stages(at)
	if err != nil || len(stages) < 2 {
		return nil, false, false, err
	}
	inner, err := l.now.Piece(f.Piece)
	if err != nil {
		return nil, false, false, err
	}
	first, last := pieceAsIn(stages[0], inner), pieceAsIn(stages[len(stages)-1], inner)
	if first != nil && last != nil && sameLines(first, last) && pieceAsIn(stages[0], q) != nil {
		return nil, false, false, nil // it followed none of them
	}
	for k := len(stages) - 1; k > 0; k-- {
		then := pieceAsIn(stages[k-1], q)
		if then == nil || pieceAsIn(stages[k-1], inner) == nil {
			return nil, true, true, nil // from the outer as it was here
		}
		lacking := alter.Lacking{Follower: f, Before: stages[k-1], Drafted: true}
		lacks, along := lacking.InLayer(l.now, q.Name, edge)
		if known = known || along && !lacks; !lacks {
			continue
		}
		if lacks, _ := lacking.InLayer(stages[k], q.Name, edge); !lacks {
			continue
		}
		between := &lookingBack{opened: l.opened, now: l.now}
		d, err := between.sinceLast(stages[k-1], then, q)
		if err != nil {
			return nil, false, false, err
		}
		_, called := edgeCalled(d, edge)
		if lacking.Changes = changesOf(d, called); len(lacking.Changes) > 0 {
			return []alter.Lacking{lacking}, true, false, nil
		}
	}
	return nil, known, false, nil
}
