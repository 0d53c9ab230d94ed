package main

import (
	"toile/pattern"
	"toile/pattern/alter"
)

// stagedLayerLack is layerLack for an inner piece that was drafted since the last
// version, or whose outer was: the alterations since are looked at one by one, for
// there is no version that it lay along its outer in. known is false for any other.
func (l *lookingBack) stagedLayerLack(q *pattern.Piece, edge string, f alter.Follower) (found []alter.Lacking, known bool) {
	stages := l.stages(-1)
	inner, err := l.now.Piece(f.Piece)
	if err != nil || len(stages) < 2 || pieceAsIn(stages[0], inner) != nil {
		return nil, false
	}
	for k := len(stages) - 1; k > 0; k-- {
		then := pieceAsIn(stages[k-1], q)
		if then == nil || pieceAsIn(stages[k-1], inner) == nil {
			break // drafted from the outer as it was here
		}
		lacking := alter.Lacking{Follower: f, Before: stages[k-1], Drafted: true}
		if lacks, _ := lacking.InLayer(l.now, q.Name, edge); !lacks {
			continue
		}
		if lacks, _ := lacking.InLayer(stages[k], q.Name, edge); !lacks {
			continue
		}
		between := &lookingBack{opened: l.opened, now: l.now}
		d, err := between.sinceLast(stages[k-1], then, q)
		if err != nil {
			return nil, false
		}
		_, called := edgeCalled(d, edge)
		if lacking.Changes = changesOf(d, called); len(lacking.Changes) > 0 {
			return []alter.Lacking{lacking}, true
		}
	}
	return nil, true
}
