// Package render draws: the overlay that shows what changed in a piece, a
// sheet of all changed pieces, a single piece, and a plain index page. It
// decides nothing: the figures and the words come with the change.Diff and the
// pattern.Piece it is given, and it leaves both as they are.
//
// Every drawing is SVG in millimetres at true size: width and height are in mm
// and the viewBox is the same stretch of the sheet, so that one user unit is
// one millimetre and the coordinates of an overlay are those of FROM's sheet
// (x to the right, y down). Only the sheet of all changed pieces shifts each
// piece to its place, by a translation and nothing else. A fitting sheet alone
// is drawn small, on a page of paper, and says so.
//
// In reading order: canvas.go wraps the SVG writer so that hostile text and
// bad numbers cannot get through, text.go measures and wraps, page.go chooses
// the size of the letters and arranges drawing and words, labels.go places
// labels so that none overlaps another, outline.go, hatch.go, dimension.go and
// marks.go draw the parts. overlay.go lays a piece over what it was, with the
// words of overlaywords.go; changes.go draws each change its own way, with
// edgechanges.go, placechanges.go (corners, notches, marks, grain) and
// partchanges.go (opened, split, joined, unfolded). all.go, piece.go,
// fittingsheet.go with fittingleaders.go, and index.go are the other drawings.
//
// Text and drawing agree: a label says a figure to the same digit and in the
// same unit as the sentence beside it.
//
// Meaning is carried twice, by colour and by line or hatch. Colours: Okabe and
// Ito, Color Universal Design, 2002/2008. Line types follow ISO 128-2 (from
// memory): dashes of 12 line widths with gaps of 3, wide lines twice as wide
// as narrow ones.
package render
