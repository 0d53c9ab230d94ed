package change

import (
	"math"

	"toile/geom"
	"toile/pattern"
)

// State says what became of a piece.
type State string

// The states of a piece.
const (
	Same    State = "same"
	Altered State = "altered"
	Added   State = "added"
	Removed State = "removed"
	Renamed State = "renamed"
	Split   State = "split"
	Joined  State = "joined"
)

// Kind is the kind of a change.
type Kind string

// The kinds of changes.
const (
	EdgeMoved        Kind = "edge-moved"
	EdgeSwung        Kind = "edge-swung"
	EdgeRun          Kind = "edge-run"
	EdgeRedrawn      Kind = "edge-redrawn"
	Spread           Kind = "spread"
	CornerRounded    Kind = "corner-rounded"
	CornerRestored   Kind = "corner-restored"
	PieceSplit       Kind = "piece-split"
	PieceJoined      Kind = "piece-joined"
	PieceMirrored    Kind = "piece-mirrored"
	PieceUnfolded    Kind = "piece-unfolded"
	NotchMoved       Kind = "notch-moved"
	NotchAdded       Kind = "notch-added"
	NotchRemoved     Kind = "notch-removed"
	MarkMoved        Kind = "mark-moved"
	MarkAdded        Kind = "mark-added"
	MarkRemoved      Kind = "mark-removed"
	MarkChanged      Kind = "mark-changed"
	AllowanceChanged Kind = "allowance-changed"
	GrainTurned      Kind = "grain-turned"
	CuttingChanged   Kind = "cutting-changed"
	NameChanged      Kind = "renamed"
)

// XY is a point on the sheet as it is printed in JSON, rounded to 1e-6 mm.
type XY [2]float64

// At converts a point.
func At(p geom.Point) *XY { return &XY{Figure(p.X), Figure(p.Y)} }

// Point converts back.
func (p XY) Point() geom.Point { return geom.Pt(p[0], p[1]) }

// Figure rounds a figure to 1e-6, free of a negative zero.
func Figure(v float64) float64 { return math.Round(v*1e6)/1e6 + 0 }

// Amount is a figure that may be missing.
func Amount(v float64) *float64 {
	f := Figure(v)
	return &f
}

// Version names one side of a comparison.
type Version struct {
	Number  int    `json:"number,omitempty"`
	ID      string `json:"id,omitempty"`
	Text    string `json:"text,omitempty"`
	Working bool   `json:"working,omitempty"`
}

// Diff is what changed between two patterns. Every piece of either is listed.
type Diff struct {
	From   Version     `json:"from"`
	To     Version     `json:"to"`
	Pieces []PieceDiff `json:"pieces"`
	Seams  []SeamDiff  `json:"seams"`
	// NotFollowed lists edges and pieces that have to follow a change and did
	// not.
	NotFollowed []NotFollowed `json:"not_followed"`
	// Settings says in sentences what differs besides pieces, fits and texts:
	// seams, layers, allowance sets, unit, tolerances.
	Settings []string   `json:"settings"`
	Texts    []TextDiff `json:"texts"`
	// Notes lists the notes of fittings that were answered, and those that are
	// open in TO.
	Notes []Note `json:"notes"`
}

// Placement takes TO onto FROM: a turn about the sheet's origin, clockwise
// positive, after a mirror in the y axis, and then a shift.
type Placement struct {
	DX       float64 `json:"dx_mm"`
	DY       float64 `json:"dy_mm"`
	Turn     float64 `json:"turn_deg"`
	Mirrored bool    `json:"mirrored"`
}

// EdgeLength is an edge's length before and after; 0 where it is not there.
type EdgeLength struct {
	Edge   string     `json:"edge"`
	Length [2]float64 `json:"length_mm"`
}

// PieceDiff is what changed in one piece. kept + removed = before,
// kept + added + matched = after.
type PieceDiff struct {
	Piece     string    `json:"piece"`
	Before    string    `json:"before,omitempty"` // the old name of a renamed piece
	State     State     `json:"state"`
	Placement Placement `json:"placement"`
	// OtherPlacements lie as well as Placement: what changed could as well be
	// told from there.
	OtherPlacements []Placement `json:"other_placements,omitempty"`

	NetArea [2]float64   `json:"net_area_mm2"`
	CutArea [2]*float64  `json:"cut_area_mm2"` // by diff.CutAreas; nil where there is no cutting line
	Added   float64      `json:"added_mm2"`
	Removed float64      `json:"removed_mm2"`
	Kept    float64      `json:"kept_mm2"`
	Matched float64      `json:"matched_mm2"`
	Edges   []EdgeLength `json:"edges"`
	Changes []Change     `json:"changes"`

	// Against says that the two sides are different pieces, Before and Piece,
	// which were compared with each other.
	Against bool `json:"-"`

	// Origin says of a piece that is new where it comes from: split off from
	// another, or the other half of a pair. Empty where it is nobody's.
	Origin string `json:"-"`

	// For drawing: the piece in both versions, TO's laid onto FROM's sheet, and
	// the regions between their outlines.
	Old, New *pattern.Piece `json:"-"`
	// Of is the piece of FROM that a part was split off: the one that Continues
	// and Became are said of where Old is nil.
	Of *pattern.Piece `json:"-"`
	// OfLaid takes the part, as stored, onto the sheet of Of.
	OfLaid geom.Motion `json:"-"`
	// HalfOf is the pair of FROM of which a new piece is one half, that of one of
	// the wearer's sides; HalfLaid takes it, as stored, onto the pair's sheet.
	HalfOf   *pattern.Piece `json:"-"`
	HalfLaid geom.Motion    `json:"-"`
	// Drawn is the wearer's side that a half opened out at its fold showed; empty
	// where that was not said. The outlines do not tell it.
	Drawn pattern.WearerSide `json:"-"`
	// Into is the piece of TO, as stored, that one was joined to which has no
	// counterpart of its own; IntoLaid takes that one, as stored, onto its sheet.
	Into     *pattern.Piece `json:"-"`
	IntoLaid geom.Motion    `json:"-"`
	// Continues says for each edge of New which edge of Old it continues, alone
	// or as a part; −1 for one that is new. Became says for each edge of Old
	// which edge of New is the main one to continue it, or which it is now part
	// of; −1 for one that is gone.
	Continues, Became []int `json:"-"`

	Overlap geom.Overlap `json:"-"`
}

// Change is one thing that was done to a piece. Which figures are there
// depends on the kind.
type Change struct {
	Kind     Kind        `json:"kind"`
	Edges    []string    `json:"edges"` // FROM's names
	Says     string      `json:"says"`
	Fit      float64     `json:"fit_mm"` // greatest distance from what the change explains to what is there
	CausedBy string      `json:"caused_by,omitempty"`
	By       *float64    `json:"by_mm,omitempty"`
	How      string      `json:"how,omitempty"`
	Ends     *[2]float64 `json:"ends_mm,omitempty"`
	Pivot    *XY         `json:"pivot,omitempty"`
	Turn     *float64    `json:"turn_deg,omitempty"`
	Area     *float64    `json:"area_mm2,omitempty"`
	Garment  *float64    `json:"garment_mm,omitempty"` // by all round the garment, with the edges sewn to it
	Max      *float64    `json:"max_mm,omitempty"`
	At       *XY         `json:"at,omitempty"`
	Radius   *[2]float64 `json:"radius_mm,omitempty"`
	Lines    [][2]XY     `json:"lines,omitempty"`   // along which a piece was spread
	Open     *[2]float64 `json:"open_mm,omitempty"` // at the lines' ends, closing negative
	Moved    []string    `json:"moved,omitempty"`   // the edges of the part that moved
	Into     []string    `json:"into,omitempty"`    // pieces
	Of       []string    `json:"of,omitempty"`
	Line     []XY        `json:"line,omitempty"` // along which a piece was split or joined, or the fold it was opened at

	Allowance *float64 `json:"allowance_mm,omitempty"` // at that line

	Notch    string `json:"notch,omitempty"`
	Mark     string `json:"mark,omitempty"`
	ByVector *XY    `json:"by,omitempty"`
	Before   string `json:"before,omitempty"`
	After    string `json:"after,omitempty"`

	// For drawing, on FROM's sheet: the edge or mark before and after.
	OldPath, NewPath geom.Path `json:"-"`
	// For drawing: the edges a new mark is measured from; for each end of a
	// spread's line how far along its edge it lies from the corner that stayed,
	// which is told by the neighbour there.
	From []EdgeDistance `json:"-"`
	// For drawing: the allowances in mm of both parts of a piece that was split
	// or joined, that of the first to the left of NewPath or OldPath.
	PartAllowances [2]float64 `json:"-"`
	// Smoothed is the length in mm of the curve that smooths the bend at the pivot of
	// Taper is there where what is told as swung or drawn anew tapers to nothing at a
	// place.
	Taper *Taper `json:"-"`
	// a swing, 0 where it is left.
	Smoothed float64 `json:"-"`
	// PartArea is the net area in mm² of the part that was split off, or joined to
	// the first one.
	PartArea float64 `json:"-"`
}

// Taper is an edge that tapers from a place within it: what lies before that place was
// kept.
type Taper struct {
	Far   int     // the end, 0 or 1, at which it is widest
	By    float64 // mm there, of the edge as it was; outward positive
	Start float64 // mm from the other end to the place
}

// EdgeDistance is how far a place lies from an edge of TO, in mm, and the place
// on the edge nearest to it, on FROM's sheet.
type EdgeDistance struct {
	Edge string
	At   geom.Point
	Far  float64
}

// How an edge moved, and how one was run.
const (
	HowShifted  = "shifted"
	HowParallel = "parallel"
	HowTapered  = "tapered"
	HowAlong    = "along"
	HowEased    = "eased"
	HowDrawn    = "drawn"
)

// SeamDiff is a seam section whose fit changed: second chain less first
// chain, before and after.
type SeamDiff struct {
	Seam       string     `json:"seam"`
	Section    string     `json:"section"`
	Difference [2]float64 `json:"difference_mm"`
	Ease       float64    `json:"ease_mm"`
}

// NotFollowed is an edge, or with Edge empty a piece, that has to follow a
// change of another and did not.
type NotFollowed struct {
	Piece    string  `json:"piece"`
	Edge     string  `json:"edge,omitempty"`
	Of       string  `json:"of"`               // the PIECE/EDGE that changed
	Corner   string  `json:"corner,omitempty"` // of the outer, that was rounded or made sharp; empty where an edge changed
	Why      string  `json:"why"`              // sewn to, finishes to, or LiesAcross
	By       float64 `json:"by_mm"`            // by which the worst section of the seam no longer fits; 0 when all do
	Mismatch bool    `json:"mismatch"`         // a section beyond the tolerance; else a reminder
	Says     string  `json:"says"`
	// Changed are the edges of the outer that changed, of which Of names the first, where
	// an inner piece has to follow several.
	Changed []string `json:"-"`
}

// LiesAcross is why an inner piece has to follow that lies across the seam of two
// outers which came to lie otherwise to each other there.
const LiesAcross = "lies across"

// TextDiff is a text that changed: a note, a name, what a mark says. Says
// shows it word by word.
type TextDiff struct {
	What   string     `json:"what"`
	Before string     `json:"before"`
	After  string     `json:"after"`
	Parts  []TextPart `json:"parts"`
}

// TextPart is a run of words that stayed, came or went.
type TextPart struct {
	State State  `json:"state"` // same, added or removed
	Text  string `json:"text"`
}
