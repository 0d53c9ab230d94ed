package main

import "toile/pattern"

// notesNow names, by notes' numbers, the pieces that they lie on now where those go
// by another name than the note says: parts of a piece that was split.
func (o *opened) notesNow() (map[string]string, error) {
	now := map[string]string{}
	trail, err := o.noteTrail(diffSide{Pattern: o.Pattern})
	if err != nil || trail == nil {
		return now, err
	}
	for _, f := range o.Fittings {
		for _, n := range f.Notes {
			if n.Piece == "" {
				continue
			}
			if spot, ok := trail.place(f, n, working, working); ok {
				if q := pieceBySlug(o.Pattern, spot.slug); q != nil && q.Name != n.Piece {
					now[f.Key(n)] = q.Name
				}
			}
		}
	}
	return now, nil
}

// moved reports whether notes are of pieces that are not there, or of one that is
// asked for: whether it has to be known where they lie now.
func (o *opened) moved(opt fittingListOptions) bool {
	for _, f := range o.Fittings {
		for _, n := range f.Notes {
			q, err := o.Piece(n.Piece)
			apart := err == nil && q.Side != "" && n.Side != pattern.WearerBoth && string(n.Side) != q.Side
			if n.Piece != "" && (err != nil || opt.piece != "" || apart && n.Side != "") {
				return true
			}
		}
	}
	return false
}

// ofPiece reports whether a note is of the piece that is asked for, by its name now
// or by what the note calls it where no piece is called so any more.
func (opt fittingListOptions) ofPiece(f *pattern.Fitting, n pattern.Note) bool {
	if is, moved := opt.now[f.Key(n)]; moved && (opt.there || is == opt.piece) {
		return is == opt.piece
	}
	return n.Piece == opt.piece
}

// findNoted finds the piece that is asked for, and where notes lie now.
func (o *opened) findNoted(opt *fittingListOptions) error {
	if opt.piece != "" {
		name, err := o.notedPiece(opt.piece)
		if err != nil {
			return err
		}
		opt.piece = name
		_, missing := o.Piece(name)
		opt.there = missing == nil
	}
	if !o.moved(*opt) {
		return nil
	}
	var err error
	opt.now, err = o.notesNow()
	return err
}
