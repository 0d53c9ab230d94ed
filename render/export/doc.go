// Package export writes pieces in forms that other programs read: SVG at true
// size, DXF after ASTM D6673, and JSON.
//
// All three show the same: Pieces gathers sewing line, cutting line, notches,
// grain and marks of a piece once, in mm on its sheet (x to the right, y down),
// and the writers put them down. What a line, point or sign is stands beside it
// as a pattern.Label, so that pattern/trace can read it back.
//
// Every file bears a stamp with a digest of itself (Untouched), by
// which an export that nobody has changed since can be told from other files.
package export
