package pattern

import "toile/geom"

// Of reports whether a difference is one of an inner piece: it names that, or no
// piece and so all of its layer.
func (d Difference) Of(inner string) bool { return d.Piece == "" || d.Piece == inner }

// At reports whether a difference is declared for an inner piece at an edge of its
// outer. With no edge it reports whether it is declared for the whole.
func (d Difference) At(inner, edge string) bool { return d.Edge == edge && d.Of(inner) }

// Follows reports whether a difference counts for a band that follows an edge of its
// outer in length: one declared there, or for the whole.
func (d Difference) Follows(band, edge string) bool { return d.At(band, edge) || d.At(band, "") }

// Asides are the shifts in mm by which the halves of an inner piece may lie apart on an
// outer when both are drawn whole: square to the grain, either way, by each difference
// that is declared for the whole of it, as a back pleat is.
func (l Layer) Asides(inner, outer *Piece) []geom.Point {
	if inner.Cut != CutOne || outer.Cut != CutOne {
		return nil
	}
	var shifts []geom.Point
	square := outer.GrainDirection().Left()
	for _, d := range l.Differences {
		if d.At(inner.Name, "") && d.By != 0 {
			shifts = append(shifts, square.Mul(d.By), square.Mul(-d.By))
		}
	}
	return shifts
}

// Declared is the sum in mm of what is declared for an inner piece at an edge of the
// outer, positive when the inner piece is larger. any is false where nothing is.
func (l Layer) Declared(inner, edge string) (by float64, any bool) {
	for _, d := range l.Differences {
		if d.At(inner, edge) {
			by, any = by+d.By, true
		}
	}
	return by, any
}
