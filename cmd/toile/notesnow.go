package main

import (
	"slices"

	"toile/pattern"
)

// notesNow names, by notes' numbers, the pieces that they lie on now where those go
// by another name than the note says: parts of a piece that was split. too are other
// pieces that a note is of: both that a pair was made, where it is of no one side.
func (o *opened) notesNow() (now map[string]string, too map[string][]string, err error) {
	now, too = map[string]string{}, map[string][]string{}
	trail, err := o.noteTrail(diffSide{Pattern: o.Pattern})
	if err != nil || trail == nil {
		return now, too, err
	}
	for _, f := range o.Fittings {
		for _, n := range f.Notes {
			if n.Piece == "" {
				continue
			}
			for k, spot := range trail.places(f, n, working, working) {
				q := pieceBySlug(o.Pattern, spot.slug)
				switch {
				case q == nil:
				case k > 0:
					too[f.Key(n)] = append(too[f.Key(n)], q.Name)
				case q.Name != n.Piece:
					now[f.Key(n)] = q.Name
				}
			}
		}
	}
	return now, too, nil
}

// moved reports whether notes are of pieces that are not there, or of one that is
// asked for: whether it has to be known where they lie now.
func (o *opened) moved(opt fittingListOptions) bool {
	for _, f := range o.Fittings {
		for _, n := range f.Notes {
			q, err := o.Piece(n.Piece)
			if n.Piece != "" && (err != nil || opt.piece != "" || q.Side != "" && string(n.Side) != q.Side) {
				return true
			}
		}
	}
	return false
}

// ofPiece reports whether a note is of the piece that is asked for, by its name now
// or by what the note calls it where no piece is called so any more.
func (opt fittingListOptions) ofPiece(f *pattern.Fitting, n pattern.Note) bool {
	if slices.Contains(opt.too[f.Key(n)], opt.piece) {
		return true
	}
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
	opt.now, opt.too, err = o.notesNow()
	return err
}
