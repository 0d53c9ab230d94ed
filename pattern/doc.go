// Package pattern is the model of a sewing pattern: its pieces with corners,
// edges, notches and marks, the seams that join them, the layers that finish
// to the same size, the fittings and their notes, and the canonical plain
// text files that hold all of it.
//
// Lengths are millimetres, angles radians, x to the right and y down the
// sheet. A piece's outline is its sewing line and runs clockwise as seen; the
// cutting line is computed from it.
package pattern
