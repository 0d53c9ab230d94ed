package main

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
)

// mostOff is how far outside a piece, in mm, a note may lie. Allowances and deep
// hems lie nearer to it; what lies further off is a slip.
const mostOff = 100.0

// offPiece refuses a place that lies far outside a piece, and tells one that lies a
// little outside it.
func (o *opened) offPiece(q *pattern.Piece, place string, at geom.Point) error {
	far, err := outside(q, at)
	if err != nil || far < 0.05 {
		return err
	}
	if far > mostOff {
		return fmt.Errorf("%s: %q lies %s outside the piece; no note goes further than %s from it, so see whether a figure or a unit is a slip", q.Name, place, o.length(far), o.length(mostOff))
	}
	o.advise("%q lies %s outside the sewing line of %s.", place, o.length(far), q.Name)
	return nil
}

// outside is how far in mm a place lies outside the sewing lines of a piece; 0
// within them.
func outside(q *pattern.Piece, at geom.Point) (float64, error) {
	outline, err := q.Outline()
	if err != nil {
		return 0, fmt.Errorf("%s: %w", q.Name, err)
	}
	if outline.Ring.Holds(at) {
		return 0, nil
	}
	far := math.Inf(1)
	for i := range q.Edges {
		_, d := q.EdgePath(i).Nearest(at)
		far = min(far, d)
	}
	return far, nil
}
