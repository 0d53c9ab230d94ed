package main

import (
	"math"
	"strings"
)

// adviseAlong tells how long the edges are themselves from which a level of 0
// counts, all round, where they leave the level: a hem that curves up at the side is
// longer than the straight line across it.
func (o *opened) adviseAlong(sum roundJSON, from []string) {
	along := 0.0
	for _, p := range sum.Pieces {
		q, err := o.Piece(p.Piece)
		if err != nil {
			return
		}
		found := -1
		for _, text := range from {
			name := text
			if piece, edge, ok := strings.Cut(text, "/"); ok {
				if named, err := o.Piece(strings.TrimSpace(piece)); err != nil || named != q {
					continue
				}
				name = edge
			}
			if i, ok := edgeNamed(q, name); ok {
				found = i
			}
		}
		if found < 0 {
			return
		}
		along += q.EdgePath(found).Length() * float64(p.Times)
	}
	const told = 1 // mm
	if math.Abs(along-sum.Round) > told {
		o.advise("Along these edges themselves it is %s round: they leave the level.", o.length(along))
	}
}
