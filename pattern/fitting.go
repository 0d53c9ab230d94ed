package pattern

import (
	"fmt"
	"maps"
	"slices"

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
	Notes    []Note // by number; those taken away are missing

	// Wearer and Measures are there only where they are shared on purpose; else
	// they stay on the machine that took them.
	Wearer   string
	Measures map[string]float64 // mm by name: bust, waist, back length…

	TakenAway []int // numbers of notes that a version has and that were taken away since, ascending
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
	Number  int
	Piece   string
	Edge    string
	Place   string      // where it is, as it was typed
	OnToile bool        // the place was measured on the sewn mock-up, else on paper
	At      *geom.Point // on the sheet of the piece, as sewn
	Seen    string

	// Pinned is what was pinned out, in mm, on each side that Side says; let out
	// when negative, 0 when nothing was. Left and Right are the readings of the
	// wearer's two sides, as measured, where both were taken: Pinned is then 0
	// until somebody decides on one amount. Pinch says that the pins were read as
	// the depth of a pinch, which is half of what it takes out; of two readings
	// PinchSide is the one that was read so, where the other was not.
	Pinned      float64
	Left, Right *float64
	Pinch       bool
	PinchSide   WearerSide

	Side     WearerSide
	ToDo     string
	Answered int         // the version that answered it; 0 while open
	Again    []SeenAgain // answered before, and seen again since, the latest last
}

// SeenAgain is a note that a version had answered and that was seen again at
// a later fitting.
type SeenAgain struct {
	Fitting int    // at which it was seen again
	After   int    // the version that had answered it
	Seen    string // what was seen then, where that is another thing
}

// Open reports whether no version has answered the note, or it was seen again
// since.
func (n Note) Open() bool { return n.Answered == 0 }

// ReadAsPinch reports whether what was pinned on one of the wearer's sides was read
// as the depth of a pinch.
func (n Note) ReadAsPinch(side WearerSide) bool {
	return n.Pinch && (n.PinchSide == "" || n.PinchSide == side)
}

// Apart is by how many mm the two readings differ, right less left; 0 where
// there is one amount.
func (n Note) Apart() float64 {
	if n.Left == nil || n.Right == nil {
		return 0
	}
	return *n.Right - *n.Left
}

func (f *Fitting) clone() *Fitting {
	c := *f
	c.Notes = append([]Note(nil), f.Notes...)
	for i, n := range c.Notes {
		c.Notes[i].At, c.Notes[i].Left, c.Notes[i].Right = copied(n.At), copied(n.Left), copied(n.Right)
		c.Notes[i].Again = append([]SeenAgain(nil), n.Again...)
	}
	c.Measures = maps.Clone(f.Measures)
	c.TakenAway = append([]int(nil), f.TakenAway...)
	return &c
}

// copied is a pointer to a copy.
func copied[T any](v *T) *T {
	if v == nil {
		return nil
	}
	c := *v
	return &c
}

// NextNote is the number of the next note: no number is given twice.
func (f *Fitting) NextNote() int {
	next := 1
	for _, n := range f.Notes {
		next = max(next, n.Number+1)
	}
	for _, k := range f.TakenAway {
		next = max(next, k+1)
	}
	return next
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
	if slices.Contains(f.TakenAway, note) {
		return nil, nil, fmt.Errorf("note %d.%d was taken away; earlier versions still have it", fitting, note)
	}
	last := ""
	if k := len(f.Notes); k > 0 && f.Notes[k-1].Number != k {
		last = ", the last of them " + f.Key(f.Notes[k-1])
	}
	return nil, nil, fmt.Errorf("fitting %d has no note %d; it has %d%s", fitting, note, len(f.Notes), last)
}

// RenameInNotes has the notes of one piece name it otherwise.
func (p *Pattern) RenameInNotes(was, to string) {
	for _, f := range p.Fittings {
		for k := range f.Notes {
			if f.Notes[k].Piece == was {
				f.Notes[k].Piece = to
			}
		}
	}
}

// EdgeThrough is the name of the edge on which a place of the sheet lies, to
// 0.01 mm and more than that away from its corners; "" where it lies on none
// or on a corner.
func (p *Piece) EdgeThrough(at geom.Point) string {
	const within = 0.01
	for i := range p.Edges {
		path := p.EdgePath(i)
		if at.Dist(path.Start()) < within || at.Dist(path.End()) < within {
			return ""
		}
	}
	for i := range p.Edges {
		if _, d := p.EdgePath(i).Nearest(at); d < within {
			return p.Edges[i].Name
		}
	}
	return ""
}

// Unprintable finds the first character that no text of a pattern may hold: a
// control character other than a line break and a tab, or what is no
// character.
func Unprintable(s string) (rune, bool) { return unprintable(s) }
