package check

import (
	"slices"

	"toile/pattern"
)

// unseen reports whether a declared difference cannot show as the pieces are
// drawn: where of the inner piece one half is drawn and of the outer the whole, or
// the other way round, nothing tells how the two lie across the grain, and nothing
// lies at an edge of the half that is not drawn.
func (v *layering) unseen(d pattern.Difference, gaps []gap) bool {
	for _, l := range v.lie {
		if d.Piece != "" && d.Piece != l.piece.Name {
			continue
		}
		if l.side != 0 {
			return false // its fold lies on the centre line
		}
		half, whole := l.piece.Cut, v.outer.Cut
		if half == pattern.CutOne {
			half, whole = whole, half
		}
		if half == pattern.CutOne || whole != pattern.CutOne {
			return false
		}
	}
	if d.Edge == "" {
		return wayOf(d) != along
	}
	return !slices.ContainsFunc(gaps, func(g gap) bool {
		return g.other < 0 && v.outer.Edges[g.against].Name == d.Edge && v.ofPieces(g, d.Piece) && v.wayOf(g) == along
	})
}
