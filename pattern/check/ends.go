package check

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// endsOf says which ends of a seam are its start and its end; where both are called
// alike, with the pieces on which they lie, if these differ.
func (c *checker) endsOf(w walk) (start, end string) {
	start, end = c.endWords(w, true), c.endWords(w, false)
	if start != end {
		return start, end
	}
	a, b := w.sides[0].Parts[0].Piece.Name, w.sides[0].Parts[len(w.sides[0].Parts)-1].Piece.Name
	if a == b {
		return start, end
	}
	return start + " of " + a, end + " of " + b
}

// endWords says which end of a seam is its start or its end: by the edge that
// goes on from the corner there, on the first side else on the second.
func (c *checker) endWords(w walk, first bool) string {
	for side := range w.sides {
		e, ok := endingOf(w.sides[side], first)
		switch {
		case !ok:
		case c.isHem(e.piece, e.next):
			return "the hem end"
		case e.piece.Edges[e.next].Fold:
			return "the end at the fold"
		default:
			return fmt.Sprintf("the %q end", e.piece.Edges[e.next].Name)
		}
	}
	k := 0
	if !first {
		k = len(w.sides[0].Parts) - 1
	}
	part := w.sides[0].Parts[k]
	return map[bool]string{true: "the start", false: "the end"}[first] + fmt.Sprintf(" inside %q of %s", part.Piece.Edges[part.Edge].Name, part.Piece.Name)
}

// atHem reports whether a section starts, or else ends, at a hem.
func (c *checker) atHem(w walk, s section, first bool) bool {
	if first && s.start[0] > atEnd || !first && s.end(0) < w.sides[0].Length-atEnd {
		return false
	}
	for side := range w.sides {
		if e, ok := endingOf(w.sides[side], first); ok && c.isHem(e.piece, e.next) {
			return true
		}
	}
	return false
}

// alteredAt is a place along a section at which an edge of it was cut or run on
// since the last version: mm along the first chain, and, inside the section, the
// edge that goes on from the corner there.
type alteredAt struct {
	along      float64
	start, end bool // it is the section's start or end
	joint      string
}

// altered finds where an edge of a section was cut or run on since the last
// version, by at least half of what the section is out; ok where that is one
// place alone.
func (c *checker) altered(w walk, s section) (where alteredAt, ok bool) {
	if c.options.Before == nil {
		return where, false
	}
	var all []alteredAt
	for side := range w.sides {
		for _, part := range w.sides[side].Parts {
			if part.Offset+part.Length() < s.start[side]+0.01 || part.Offset > s.end(side)-0.01 {
				continue
			}
			start, end := c.edgeAltered(part, math.Abs(s.left())/2)
			if part.Backwards {
				start, end = end, start
			}
			if start && part.Offset >= s.start[side]-0.01 {
				all = append(all, placeAltered(s, side, part, true))
			}
			if end && part.Offset+part.Length() <= s.end(side)+0.01 {
				all = append(all, placeAltered(s, side, part, false))
			}
		}
	}
	if len(all) == 0 {
		return where, false
	}
	return all[0], !slices.ContainsFunc(all[1:], func(o alteredAt) bool { return math.Abs(o.along-all[0].along) > 1 })
}

// placeAltered is the first or the last end of a walked part as a place along a
// section.
func placeAltered(s section, side int, part pattern.WalkedPart, first bool) alteredAt {
	d := part.Offset
	if !first {
		d += part.Length()
	}
	from, to := s.start[side], s.end(side)
	a := alteredAt{start: d <= from+0.01, end: d >= to-0.01, along: s.start[0]}
	if to > from {
		a.along += (d - from) / (to - from) * s.First
	}
	if !a.start && !a.end {
		n := len(part.Piece.Edges)
		next := (part.Edge + 1) % n
		if first != part.Backwards {
			next = (part.Edge + n - 1) % n
		}
		a.joint = edgeWords(part.Piece, next)
	}
	return a
}

// edgeAltered says at which end an edge has become longer or shorter by more
// than least mm since the last version: not at the one from which it still
// runs as it did.
func (c *checker) edgeAltered(part pattern.WalkedPart, least float64) (atStart, atEnd bool) {
	old, i := c.edgeBefore(part.Piece, part.Edge)
	if old == nil {
		return false, false
	}
	was, is := old.EdgePath(i), part.Piece.EdgePath(part.Edge)
	if math.Abs(was.Length()-is.Length()) < least {
		return false, false
	}
	return endsAltered(was, is)
}

// edgeBefore is the edge of the last version with the id of an edge; nil where
// there is none.
func (c *checker) edgeBefore(q *pattern.Piece, edge int) (*pattern.Piece, int) {
	k := slices.IndexFunc(c.options.Before.Pieces, func(o *pattern.Piece) bool { return o.ID == q.ID && q.ID != "" })
	if k < 0 || q.Edges[edge].ID == "" {
		return nil, 0
	}
	old := c.options.Before.Pieces[k]
	if i := old.EdgeByID(q.Edges[edge].ID); i >= 0 {
		return old, i
	}
	return nil, 0
}

// endsAltered says at which end a line was cut or run on: not at the one from
// which it runs as it did. Straight lines tell by where their ends lie on the
// sheet.
func endsAltered(was, is geom.Path) (atStart, atEnd bool) {
	short := math.Min(was.Length(), is.Length())
	fromStart, fromEnd := alike(was, is) >= short, alike(was.Reverse(), is.Reverse()) >= short
	if fromStart == fromEnd {
		start, end := was.Start().Dist(is.Start()) > 0.01, was.End().Dist(is.End()) > 0.01
		return start && !end, end && !start
	}
	return fromEnd, fromStart
}
