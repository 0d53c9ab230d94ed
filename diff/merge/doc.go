// Package merge brings two states of a pattern together that both go back to
// a third, the shared one, and takes a version's changes back out of a later
// state, which is the same thing with other sides.
//
// It works by units: the line of each edge, what is said of each corner, each
// notch, mark and line, each seam and layer, each setting. A unit takes the
// side that changed it. What only followed, where an edge was cut or run on to
// meet a changed neighbour, is made again by the rules of running on. What both
// sides changed differently is a conflict, and nothing is decided for anybody.
//
// Lengths are millimetres. x runs to the right and y down; outlines run
// clockwise.
package merge
