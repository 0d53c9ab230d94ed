package pattern

// Of reports whether a difference is one of an inner piece: it names that, or no
// piece and so all of its layer.
func (d Difference) Of(inner string) bool { return d.Piece == "" || d.Piece == inner }

// At reports whether a difference is declared for an inner piece at an edge of its
// outer. With no edge it reports whether it is declared for the whole.
func (d Difference) At(inner, edge string) bool { return d.Edge == edge && d.Of(inner) }

// Follows reports whether a difference counts for a band that follows an edge of its
// outer in length: one declared there, or for the whole.
func (d Difference) Follows(band, edge string) bool { return d.At(band, edge) || d.At(band, "") }

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
