package main

import (
	"cmp"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/render"
)

// notePlacer says where a note of a pattern lies in a drawing, if it does.
type notePlacer func(f *pattern.Fitting, n pattern.Note) (at geom.Point, drawn bool)

// notes are those pinned to the piece that the diff tells of, on FROM's sheet;
// all of them where two pieces are compared with each other.
// A note that FROM has already lies there; a later one is laid over with the
// piece.
func (c *comparison) notes(p change.PieceDiff) []render.PinnedNote {
	told, known := map[string]bool{}, map[string]bool{}
	for _, n := range c.Notes {
		told[n.Note] = true
	}
	var pinned []render.PinnedNote
	for _, n := range pinnedNotes(c.from.Pattern, c.to.Pattern, c.placedFrom(p)) {
		if known[n.Key] = true; told[n.Key] || p.Against {
			pinned = append(pinned, n)
		}
	}
	later := func(*pattern.Fitting, pattern.Note) (at geom.Point, drawn bool) { return at, false }
	if p.New != nil {
		later = c.trail.onPiece(c.to, p.New, placed(p.Placement))
	}
	for _, n := range pinnedNotes(c.to.Pattern, c.to.Pattern, later) {
		if !known[n.Key] && (told[n.Key] || p.Against) {
			pinned = append(pinned, n)
		}
	}
	return pinned
}

// placedFrom places notes of FROM in the drawing of a piece. Those of a piece that
// was split are drawn on the part that holds them.
func (c *comparison) placedFrom(p change.PieceDiff) notePlacer {
	if c.trail == nil {
		return func(*pattern.Fitting, pattern.Note) (at geom.Point, drawn bool) { return at, false }
	}
	stored := func(slug string) *pattern.Piece { return pieceBySlug(c.to.Pattern, slug) }
	return func(f *pattern.Fitting, n pattern.Note) (at geom.Point, drawn bool) {
		has := c.trail.version(c.from.kept)
		spot, ok := c.trail.place(f, n, has, has)
		if !ok || spot.at == nil {
			return at, false
		}
		k, there := change.Follow(c.all, stored, spot.slug, spot.at, n.Side)
		switch {
		case k < 0:
			return *spot.at, p.New == nil && p.Old != nil && p.Old.Slug == spot.slug
		case c.all[k].New != p.New:
			return at, false
		case p.Old == nil || p.Old.Slug != spot.slug:
			return placed(p.Placement).Apply(*there), true
		}
		return p.OnHalf(*spot.at, n.Side), true
	}
}

// onPiece places notes that a side has on one of its pieces, laid as the drawing
// has it. Without a trail they are found by the piece's name.
func (t *noteTrail) onPiece(s diffSide, q *pattern.Piece, laid geom.Motion) notePlacer {
	return func(f *pattern.Fitting, n pattern.Note) (at geom.Point, drawn bool) {
		if t == nil {
			return laid.Apply(*n.At), n.Piece == q.Name
		}
		has := t.version(s.kept)
		spot, ok := t.place(f, n, has, has)
		if !ok || spot.at == nil {
			return at, false
		}
		return laid.Apply(*spot.at), spot.slug == q.Slug
	}
}

// pinnedNotes are the notes of p that a drawing shows, with what became of them in
// `now` and the numbers that they have there.
func pinnedNotes(p, now *pattern.Pattern, where notePlacer) []render.PinnedNote {
	type numbered struct {
		fitting, note int
		render.PinnedNote
	}
	var all []numbered
	for _, f := range p.Fittings {
		is := now.FittingByID(f.ID)
		for _, n := range f.Notes {
			if n.At == nil || n.Piece == "" {
				continue
			}
			at, drawn := where(f, n)
			if !drawn {
				continue
			}
			of := f
			if is != nil {
				of = is
				if later := is.NoteNow(n); later != nil {
					n = *later
				}
			}
			all = append(all, numbered{of.Number, n.Number, render.PinnedNote{Key: of.Key(n), Text: pinnedText(n, p), At: at, Open: n.Open(), Answered: n.Answered}})
		}
	}
	slices.SortStableFunc(all, func(a, b numbered) int { return cmp.Or(cmp.Compare(a.fitting, b.fitting), cmp.Compare(a.note, b.note)) })
	var pinned []render.PinnedNote
	for _, n := range all {
		pinned = append(pinned, n.PinnedNote)
	}
	return pinned
}

// pinnedText says what was seen, what was pinned and what is to be done.
func pinnedText(n pattern.Note, p *pattern.Pattern) string {
	text := n.Seen
	if words := pinnedWords(n, p.Unit); words != "" {
		text += "; pinned: " + words
	}
	if n.ToDo != "" {
		text += "; to do: " + n.ToDo
	}
	return text
}
