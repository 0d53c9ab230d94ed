package explain

import "toile/geom"

// Spread is a part of the outline that moved as a whole: the piece was cut
// open, or folded, along a line, and the edges at both ends of it made to
// meet again.
type Spread struct {
	First, Last int // old edges that the line crosses; those between moved as one
	Motion      geom.Motion
	Line        [2]geom.Point
	Open        [2]float64 // mm
	Fit         float64
}

func (x *Explanation) spreadEdges() map[int]bool { return nil }

func (e *explainer) grouped(x *Explanation) *Explanation { return x }
