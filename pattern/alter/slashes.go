package alter

import (
	"slices"

	"toile/geom"
	"toile/pattern"
)

// Slash is a line along which a piece was opened or folded out, on its sheet as it
// lay just before, and the motion of the part that lies to the left of it on the
// way from From to To.
type Slash struct {
	From, To geom.Point
	Motion   geom.Motion

	piece string // its id, else its name
}

// slashOf is a piece opened between two crossings; moves says that the part between
// them moves.
func slashOf(q *pattern.Piece, first, second crossing, moves bool, motion geom.Motion) Slash {
	if !moves {
		first, second = second, first
	}
	return Slash{From: first.at, To: second.at, Motion: motion, piece: stands(q)}
}

// stands is what a piece is known by from one state to the next.
func stands(q *pattern.Piece) string {
	if q.ID != "" {
		return q.ID
	}
	return q.Name
}

// moves reports whether a place lies on the part that moves.
func (s Slash) moves(p geom.Point) bool { return s.To.Sub(s.From).Cross(p.Sub(s.From)) < 0 }

// asideOf is a place beside the line on the part that moves.
func (s Slash) asideOf() geom.Point {
	return s.From.Lerp(s.To, 0.5).Add(s.To.Sub(s.From).Unit().Left().Mul(10))
}

// SlashesOf finds the lines along which a piece was opened or folded out between two
// states of a pattern, in their order, from the alterations that led from one to
// the other. These are made again; there are none where the piece does not come out
// of that as it is.
func SlashesOf(before, after *pattern.Pattern, made []Recipe, q *pattern.Piece) []Slash {
	was, is := samePiece(before, q), samePiece(after, q)
	if was == nil || is == nil || !slices.ContainsFunc(made, opens) {
		return nil
	}
	var found []Slash
	p := before
	for _, r := range made {
		result, err := Make(p, r)
		if err != nil {
			continue // one that is carried, or of a piece that was changed by other means
		}
		p = result.Pattern
		for _, s := range result.slashes {
			if s.piece == stands(was) {
				found = append(found, s)
			}
		}
	}
	again := samePiece(p, q)
	if again == nil || !sameOutline(again, is) {
		return nil
	}
	return found
}

// opens reports whether an alteration opens a piece or folds it out.
func opens(r Recipe) bool {
	return r.Kind == "spread" || r.Kind == "close" || r.Values["inside"] != ""
}

// sameOutline reports whether two states of a piece have the same edges as they are
// stored.
func sameOutline(a, b *pattern.Piece) bool {
	if len(a.Edges) != len(b.Edges) {
		return false
	}
	for i := range a.Edges {
		if !samePath(a.EdgePath(i), b.EdgePath(i)) {
			return false
		}
	}
	return true
}

// samePath reports whether two paths have the same nodes and handles within what is
// stored, 0.001 mm.
func samePath(a, b geom.Path) bool {
	const stored = 0.0015
	return slices.EqualFunc(a, b, func(x, y geom.Cubic) bool {
		return x.P0.Dist(y.P0) < stored && x.P1.Dist(y.P1) < stored && x.P2.Dist(y.P2) < stored && x.P3.Dist(y.P3) < stored
	})
}
