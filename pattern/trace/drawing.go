package trace

import "toile/geom"

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
	At   geom.Point // on the outline
	Name string     // empty when it has none
}

// Line is a line drawn inside an outline: a placement line, a grain line.
type Line struct {
	Name string // empty when it has none
	Path geom.Path
}

// Dot is a small circle inside an outline.
type Dot struct {
	Name   string // empty when it has none
	At     geom.Point
	Radius float64 // mm; 0 from a points file
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
}

// PointsOptions says how a points file is read.
type PointsOptions struct {
	// Unit is the length in mm of a bare number where the file names no unit;
	// 0 means centimetres.
	Unit float64
}
