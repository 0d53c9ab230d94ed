// Package diff says what changed between two pieces or two patterns: which
// edges were moved, swung, run on or redrawn, which corners rounded, notches
// and marks moved, allowances changed, and the exact regions added and
// removed.
//
// It looks at the two states alone and needs no record of what was done.
// Lengths are millimetres; outward, longer and opening are positive; figures
// are in FROM's frame.
package diff
