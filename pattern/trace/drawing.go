package trace

import (
	"toile/geom"
	"toile/pattern"
)

// Drawing is what one file holds: outlines in millimetres on the sheet.
type Drawing struct {
	File     string
	Outlines []Outline // in the order of the file

	// Ignored lists in sentences what bears a name, or lies in an outline, and
	// was not taken: nothing is dropped unsaid that somebody named.
	Ignored []string
}

// Outline is one closed outline with what lies on it and in it.
type Outline struct {
	// Name is the label of the drawing or the name in the points file,
	// literally.
	Name string

	// Ring is the outline in mm, from its own start, turned where needed so
	// that it runs clockwise as seen (positive area).
	Ring geom.Ring

	// EdgeNames says, for a points file, which edge starts at which curve of
	// Ring. An empty name marks an edge that starts at a smooth point and has
	// no name. Nil for a drawing.
	EdgeNames map[int]string

	// Corners holds, for a points file, the curves of Ring that start at a
	// declared corner. Nil for a drawing: corners are then found by angle.
	Corners map[int]bool

	// Told says, for a file of toile's own, which edge starts at which curve of
	// Ring and what is to be known of it. It counts for a piece that is not there
	// yet; one that is knows its edges. Nil for any other file.
	Told map[int]ToldEdge

	// Fold is the line on which the piece lies on the fold, nil where none is
	// drawn. Cloth, Cut and Side say what and how it is cut, "" where nothing
	// does. Like Told they count for a new piece alone.
	// Boundary is the cutting line, where a file shows it beside the sewing line:
	// it tells how wide the allowances are. Nil where it does not.
	Fold      geom.Path
	Boundary  geom.Ring
	Cloth     string
	Cut, Side string

	// Set is the allowance set that the file says Boundary is drawn with, "" where it
	// says none.
	Set string

	// Around is the smallest closed line without a name that goes round the
	// outline, as the cutting line in a drawing of toile's own does; nil where
	// there is none. It may be a frame as well.
	Around geom.Ring

	Notches []Notch
	Lines   []Line
	Dots    []Dot
	Texts   []Text

	// Where tells the place in the file, for messages:
	// `smock.svg:12: path "back"`.
	Where string
}

// Notch is a notch on an outline.
type Notch struct {
	At    geom.Point // on the outline
	Name  string     // empty when it has none
	Count int        // 2 for a double one; 0 where nothing says it
}

// ToldEdge is what a file says of an edge besides its line.
type ToldEdge struct {
	Name      string
	Allowance float64 // mm
	Fold, Hem bool
}

// Line is a line drawn inside an outline: a placement line, a grain line.
type Line struct {
	Name string // empty when it has none
	Path geom.Path

	// Label is what the drawing says that the line is (pattern.Label); its Kind
	// is empty where only the name tells.
	Label pattern.Label
}

// Dot is a small circle inside an outline.
type Dot struct {
	Name   string // empty when it has none
	At     geom.Point
	Radius float64 // mm; 0 from a points file
	Label  pattern.Label
}

// Text is writing inside an outline; At is where its first line starts.
type Text struct {
	Text string
	At   geom.Point
}

// Options says how a drawing is read.
type Options struct {
	// Scale is the length in mm of one user unit of the outermost drawing,
	// that is one unit of its viewBox. It overrides what the file says of its
	// size; 0 means that the file has to say it.
	Scale float64

	// All takes closed paths with automatic ids as outlines too.
	All bool

	// Drawn counts for DXF alone. DrawnCutting takes the boundary of pieces after
	// ASTM D6673, the line to cut along, where there is a sewing line too; else
	// that is taken. A piece without a sewing line is told of unless Drawn says
	// which line it is.
	Drawn string
}

// PointsOptions says how a points file is read.
type PointsOptions struct {
	// Unit is the length in mm of a bare number where the file names no unit;
	// 0 means centimetres.
	Unit float64
}
