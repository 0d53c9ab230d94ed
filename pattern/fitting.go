package pattern

import (
	"fmt"

	"toile/geom"
)

// Fitting is one trying-on of a mock-up.
type Fitting struct {
	Number   int
	ID       string // 8 hex digits; the file is fittings/NN-xxxx.yaml with its first four
	Date     string // YYYY-MM-DD
	Cloth    string // what the mock-up was made of
	Worn     string // what was worn underneath
	Closures string // which closures were pinned
	Version  int    // the version that was sewn
	Notes    []Note
}

// WearerSide says which side of the wearer a note speaks of.
type WearerSide string

// The wearer's sides.
const (
	WearerLeft  WearerSide = "left"
	WearerRight WearerSide = "right"
	WearerBoth  WearerSide = "both"
)

// Note is one thing seen at a fitting.
type Note struct {
	Number   int
	Piece    string
	Edge     string
	At       *geom.Point // on the sheet of the piece
	Seen     string
	Pinned   float64 // mm that were pinned out; 0 when nothing was
	Side     WearerSide
	ToDo     string
	Answered int // the version that answered it; 0 while open
}

func (f *Fitting) clone() *Fitting {
	c := *f
	c.Notes = append([]Note(nil), f.Notes...)
	for i, n := range c.Notes {
		if n.At != nil {
			at := *n.At
			c.Notes[i].At = &at
		}
	}
	return &c
}

// Key is how a note is typed: FITTING.NOTE.
func (f *Fitting) Key(n Note) string { return fmt.Sprintf("%d.%d", f.Number, n.Number) }

// FindNote finds a note by its key, as in "2.1".
func (p *Pattern) FindNote(key string) (*Fitting, *Note, error) {
	var fitting, note int
	if n, err := fmt.Sscanf(key, "%d.%d", &fitting, &note); n != 2 || err != nil || fmt.Sprintf("%d.%d", fitting, note) != key {
		return nil, nil, fmt.Errorf("%q does not name a note; write FITTING.NOTE, as in 2.1", key)
	}
	f, err := p.Fitting(fitting)
	if err != nil {
		return nil, nil, err
	}
	for i := range f.Notes {
		if f.Notes[i].Number == note {
			return f, &f.Notes[i], nil
		}
	}
	return nil, nil, fmt.Errorf("fitting %d has no note %d; it has %d", fitting, note, len(f.Notes))
}
