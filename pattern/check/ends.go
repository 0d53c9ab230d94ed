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
	by         float64 // mm that the first side ran on there more than the second; less than 0 was cut
}

// altered finds where an edge of a section was cut or run on since the last
// version on one side more than on the other, by at least half of what the section is
// out; ok where that is one place alone.
func (c *checker) altered(w walk, s section) (where alteredAt, ok bool) {
	if c.options.Before == nil {
		return where, false
	}
	all := c.endsAlteredOf(w, s)
	all = slices.DeleteFunc(all, func(a alteredAt) bool { return math.Abs(a.by) < max(math.Abs(s.left())/2, 0.01) })
	if len(all) != 1 {
		return where, false
	}
	return all[0], true
}

// endsAlteredOf are the places along a section at which an edge was cut or run on since
// the last version.
func (c *checker) endsAlteredOf(w walk, s section) []alteredAt {
	var all []alteredAt
	sign := 1.0
	add := func(a alteredAt, by float64) {
		if a.by = sign * by; by == 0 {
			return
		}
		for k := range all { // what both sides have there takes nothing from the fit
			if math.Abs(all[k].along-a.along) <= 1 {
				all[k].by += a.by
				return
			}
		}
		all = append(all, a)
	}
	for side := range w.sides {
		for _, part := range w.sides[side].Parts {
			if part.Offset+part.Length() < s.start[side]+0.01 || part.Offset > s.end(side)-0.01 {
				continue
			}
			start, end := c.edgeAltered(part)
			if part.Backwards {
				start, end = end, start
			}
			if part.Offset >= s.start[side]-0.01 {
				add(placeAltered(s, side, part, true), start)
			}
			if part.Offset+part.Length() <= s.end(side)+0.01 {
				add(placeAltered(s, side, part, false), end)
			}
		}
		sign = -1
	}
	return all
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

// edgeAltered is by how many mm an edge ran on at its start and at its end since the
// last version, less than 0 where it was cut: nothing at one from which it still runs
// as it did. Of a straight one that changed at both ends, on a piece that lies on the
// sheet as it did, the ends tell it; of a curved one nothing is told.
func (c *checker) edgeAltered(part pattern.WalkedPart) (atStart, atEnd float64) {
	old, i := c.edgeBefore(part.Piece, part.Edge)
	if old == nil {
		return 0, 0
	}
	was, is := old.EdgePath(i), part.Piece.EdgePath(part.Edge)
	by := is.Length() - was.Length()
	switch start, end := endsAltered(was, is); {
	case start:
		return by, 0
	case end:
		return 0, by
	case !liesAsBefore(old, part.Piece):
		return 0, 0
	}
	way := was.StartTangent()
	atStart, atEnd = was.Start().Sub(is.Start()).Dot(way), is.End().Sub(was.End()).Dot(way)
	if alike(was, is) < min(was.Length(), is.Length()) || math.Abs(was.End().Sub(was.Start()).Dot(way)-was.Length()) > sameShape || math.Abs(atStart+atEnd-by) > sameShape {
		return 0, 0
	}
	return atStart, atEnd
}

// liesAsBefore reports whether a piece lies on the sheet where it did: its grain line
// tells, or a corner that stayed.
func liesAsBefore(old, now *pattern.Piece) bool {
	if old.Grain != nil && now.Grain != nil && *old.Grain == *now.Grain {
		return true
	}
	return slices.ContainsFunc(now.Corners, func(a pattern.Corner) bool {
		return slices.ContainsFunc(old.Corners, func(b pattern.Corner) bool { return a.At.Dist(b.At) < 0.01 })
	})
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
