package album

import (
	"time"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// Book is what an album is made from.
type Book struct {
	Name     string
	Unit     units.Unit
	Made     string    // the day, as 2026-05-14; "" to leave it out
	Versions []Version // each after those it builds on
	Here     int       // the last version of the branch that the folder is on
	Fittings []Fitting // by number
	Findings []change.Finding
	Checked  bool   // the last version was
	Walked   string // what the check went through, in words
}

// Version is one version, and what it changed against the one before it on its
// branch's own line.
type Version struct {
	Number  int
	Branch  string
	Parent  int   // place in Book.Versions, −1 for a first version
	Merged  []int // the others that it builds on
	Time    time.Time
	Who     string // "" where persons are left out
	Text    string
	Called  []string // names given to it
	Fitting int      // place in Book.Fittings of the one it was made for, −1 for none
	Steps   []Step
	Says    []string // what it changed besides pieces
}

// Step is what a version did to one piece. Old and New are the states as
// stored; each distinct state is one pointer, and nil where there is none.
type Step struct {
	Old, New *pattern.Piece
	Diff     change.PieceDiff
	Laid     geom.Motion // takes New onto Old's sheet
	Says     []string    // sentences of what is no change with a place: new, removed, split off
}

// Fitting is a fitting with its notes.
type Fitting struct {
	Number                      int
	Date, Cloth, Worn, Closures string
	Wearer                      string // "" where not shared, or left out
	Sewn                        int    // place of the version that was sewn, −1 if not known
	Since                       int    // place of the version that has it first
	Notes                       []Note
}

// Note is one thing seen at a fitting.
type Note struct {
	Key, Piece, Place, Seen, Pinned, ToDo string
	PieceID                               string      // of the piece, whatever it was called when it was sewn; may be empty
	Edge                                  string      // that it speaks of
	Side                                  string      // of the wearer: left, right, both, or not said
	OnToile                               bool        // the place was measured on the sewn mock-up
	At                                    *geom.Point // on the piece's sheet in the version that was sewn
	By                                    []int       // places of the versions that answered it, ascending
	Open                                  []string    // branches on which it is open
	Everywhere                            bool        // it is open on every branch that has it
	Since                                 int         // place of the version that has it first
	Again                                 []Again     // each undoes one answer
}

// Again says that a note that was answered was seen again.
type Again struct {
	Number  int // of the fitting
	Fitting int // its place in Book.Fittings, −1 if not known
	Seen    string
	Since   int // place of the version that says so first
}
