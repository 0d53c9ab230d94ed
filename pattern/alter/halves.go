package alter

import (
	"slices"

	"toile/geom"
)

// halves are both parts of a piece that is cut along a straight line: the one
// clockwise from the first crossing to the second, and the rest.
type halves struct {
	first, second crossing
	between, rest geom.Ring
}

// halvesAt cuts the outline at both crossings.
func (m *making) halvesAt(first, second crossing) halves {
	ring, from := m.piece.SharpRing()
	path := geom.Path(ring)
	place := func(c crossing) geom.Place {
		at := m.piece.EdgePath(c.edge).PlaceAt(c.along)
		return geom.Place{Curve: slices.Index(from, c.edge) + at.Curve, T: at.T}
	}
	a, b := place(first), place(second)
	end := geom.Place{Curve: len(path) - 1, T: 1}
	rest := append(append(path.Between(b, end), path.Between(geom.Place{}, a)...), geom.Line(first.at, second.at))
	return halves{first, second, geom.Ring(append(path.Between(a, b), geom.Line(second.at, first.at))), geom.Ring(rest)}
}

// onBetween reports whether a place lies on the part between the crossings, or
// off the piece nearer to that part. A place as near to both, as one on the cut,
// lies on the side of the line on which it is.
func (h halves) onBetween(p geom.Point) bool {
	off := func(r geom.Ring) float64 {
		if r.Holds(p) {
			return 0
		}
		_, d := geom.Path(r).Nearest(p)
		return d
	}
	const alike = 1e-6
	switch a, b := off(h.between), off(h.rest); {
	case a < b-alike:
		return true
	case b < a-alike:
		return false
	}
	return h.second.at.Sub(h.first.at).Cross(p.Sub(h.first.at)) < 0
}
