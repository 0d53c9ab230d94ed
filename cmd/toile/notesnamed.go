package main

import "toile/pattern"

// nameNotes has notes whose piece an alteration took the name from name it as the
// last version does: what they were pinned to is looked for in versions by name,
// and a name that a piece bore in between is in none of them.
func (o *opened) nameNotes(before, after *pattern.Pattern) error {
	var kept *pattern.Pattern
	for _, f := range after.Fittings {
		for k := range f.Notes {
			n := &f.Notes[k]
			if _, err := after.Piece(n.Piece); err == nil || n.Piece == "" {
				continue
			}
			if kept == nil {
				last, err := o.repo.Last()
				if err != nil || last == nil {
					return err
				}
				if kept, err = o.patternOf(*last); err != nil {
					return err
				}
			}
			if _, err := kept.Piece(n.Piece); err != nil {
				n.Piece = keptName(before, kept, f, *n)
			}
		}
	}
	return nil
}

// keptName is the name of a note's piece in the last version: that of the piece
// which bore the note's name before the alteration, else the one that the note has
// there. It is the note's own where neither is known.
func keptName(before, kept *pattern.Pattern, f *pattern.Fitting, n pattern.Note) string {
	if q, err := before.Piece(n.Piece); err == nil && q.ID != "" {
		for _, was := range kept.Pieces {
			if was.ID == q.ID {
				return was.Name
			}
		}
	}
	if g := kept.FittingByID(f.ID); g != nil {
		if was := g.Note(n.Number); was != nil && was.Seen == n.Seen && oneSpot(was.At, n.At) {
			return was.Piece
		}
	}
	return n.Piece
}

// placeThen is where a note lies on the version that was sewn, where its piece is in
// no version that has the note: one that was divided before the note was kept, by
// its name as it was sewn, and a part that came since the last version, by what it
// came of.
func (t *noteTrail) placeThen(n pattern.Note, sewn int) (pieceSpot, bool) {
	if sewn < 0 || n.Piece == "" {
		return pieceSpot{}, false
	}
	if slug, found := t.slugOf(sewn, n.Piece); found {
		return pieceSpot{slug: slug, at: n.At}, true
	}
	if t.Pattern == nil {
		return pieceSpot{}, false
	}
	now, err := t.Piece(n.Piece)
	if err != nil || t.since == nil && t.readSince() != nil {
		return pieceSpot{}, false
	}
	before, came := behind(t.since, pieceSpot{slug: now.Slug})
	if came != nil {
		return pieceSpot{}, false
	}
	p, ok := t.walk(t.tip, sewn, before)
	p.at = n.At
	return p, ok
}
