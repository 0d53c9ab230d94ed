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
	Checked  string // the version that was checked, in words
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
	On                          string // the branch, where it has to be said
	Sewn                        int    // place of the version that was sewn, −1 if not known
	Since                       int    // place of the version that has it first
	Notes                       []Note
}

// Note is one thing seen at a fitting.
type Note struct {
	Key, Piece, Place, Seen, Pinned, ToDo string
	On                                    string      // the branch, where it has to be said
	At                                    *geom.Point // on the piece's sheet in the version that was sewn
	Named                                 []Named     // whose piece it is; where that changed, the later one last
	Since                                 int         // place of the version that has it first
	Answers                               []int       // places of the versions that answered it, ascending
	Again                                 []Again     // by Since
	Open                                  []string    // branches on which it is open
	OpenAll                               bool        // it is open on all that have it
}

// Named is a piece by the name that it has in a version.
type Named struct {
	Version int // place in Book.Versions
	Piece   string
}

// Again says that a note was seen again after a version had answered it.
type Again struct {
	Fitting int    // place in Book.Fittings of the one at which it was seen, −1 if not known
	Since   int    // place of the version that has it first
	Seen    string // what was seen then, where that is another thing
}
