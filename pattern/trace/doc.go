// Package trace brings outlines in from drawings and point lists, and turns
// them into the pieces of a pattern.
//
// The readers know files and millimetres and nothing of pieces: ReadSVG takes
// an SVG drawing, ReadPoints a list of points measured off paper with a
// ruler. Both give a Drawing: closed outlines with what lies on and in them.
//
// # Millimetres
//
// Everything handed out is in millimetres on the sheet, x to the right and y
// down, and every outline runs clockwise as seen, so that its area is
// positive. A drawing whose width and height are missing has no size on
// paper; it is refused with ErrNoScale, never guessed at.
//
// # What is read from an SVG drawing
//
// All shapes and the whole path grammar; groups, links, switches, nested
// drawings, symbols and use; every transform; viewBox with
// preserveAspectRatio. What is not displayed or not visible is not read, by
// attribute, style or style sheet, and so hidden layers are left out. What
// stands inside defs, symbol, clipPath, mask, marker or pattern is read only
// where a use element shows it. An element that is clipped is taken whole.
//
// The name of a shape is its label (as general vector drawing programs store
// it), else its data-name, else its title, else its id, taken literally.
// aria-label is left aside, because drawing programs set it by themselves on
// lettering turned into paths. A name that is an element's name with digits,
// such as path1234 or rect12-5, was given by a program and counts as none.
//
// # Limits
//
// Input is read up to MaxBytes, packed files up to as much unpacked; elements,
// nesting, copies by use, curves and text are bounded. Beyond a limit there is
// one error and no drawing.
package trace
