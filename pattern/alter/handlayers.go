package alter

import (
	"slices"

	"toile/geom"
	"toile/pattern"
)

// leastOverlap is the area in mm² on which an inner piece has to lie on a part
// of its outer to belong to it: below, it only touches it at the new seam.
const leastOverlap = 100

// handLayers gives the layers of a piece that was split to its parts. An inner
// piece goes on with the part that it lies on, or with both where it lies
// across the new seam; one that follows in length alone with those it is sewn
// to. whole is the outline before.
func (m *making) handLayers(whole, main, other *pattern.Piece) {
	var added []pattern.Layer
	for l := range m.pattern.Layers {
		layer := &m.pattern.Layers[l]
		m.handInner(layer, whole.Name, main, other)
		if layer.Outer != whole.Name {
			continue
		}
		side := pattern.Layer{Outer: other.Name, Band: layer.Band, Differences: notAtNew(layer.Differences, other)}
		layer.Outer, layer.Differences = main.Name, notAtNew(layer.Differences, main)
		var stay []string
		for _, name := range layer.Inner {
			onMain, onOther := m.liesOnParts(whole, name, layer.Band, main, other)
			if onMain || !onOther {
				stay = append(stay, name)
			}
			if onOther || !onMain {
				side.Inner = append(side.Inner, name)
			}
		}
		layer.Inner = stay
		if len(side.Inner) > 0 {
			added = append(added, side)
		}
	}
	m.pattern.Layers = slices.DeleteFunc(append(m.pattern.Layers, added...), func(l pattern.Layer) bool { return len(l.Inner) == 0 })
}

// handInner puts both parts in the place of the piece that was split among the
// inner pieces of a layer.
func (m *making) handInner(layer *pattern.Layer, was string, main, other *pattern.Piece) {
	k := slices.Index(layer.Inner, was)
	if k < 0 {
		return
	}
	layer.Inner[k] = main.Name
	layer.Inner = slices.Insert(layer.Inner, k+1, other.Name)
	for k := range layer.Differences {
		if layer.Differences[k].Piece == was {
			layer.Differences[k].Piece = main.Name
		}
	}
	saidOfBoth(layer, main.Name, other.Name)
}

// liesOnParts reports on which parts an inner piece lies; on neither where that
// cannot be told.
func (m *making) liesOnParts(whole *pattern.Piece, name string, band bool, main, other *pattern.Piece) (onMain, onOther bool) {
	inner, err := m.pattern.Piece(name)
	switch {
	case err != nil:
		return false, false
	case band:
		return m.sewnTo(inner, main), m.sewnTo(inner, other)
	}
	laid, err := layAsDeclared(m.pattern, inner, whole)
	if err != nil {
		return m.sewnTo(inner, main), m.sewnTo(inner, other)
	}
	ring, _ := inner.Moved(laid).SharpRing()
	return overlaps(main, ring), overlaps(other, ring)
}

// overlaps reports whether an outline covers more than leastOverlap of a piece.
func overlaps(q *pattern.Piece, ring geom.Ring) bool {
	own, _ := q.SharpRing()
	o, err := geom.Compare(own, ring, sameWithin)
	return err == nil && o.KeptArea > leastOverlap
}

// sewnTo reports whether a seam sews one piece to the other.
func (m *making) sewnTo(a, b *pattern.Piece) bool {
	has := func(c pattern.Chain, q *pattern.Piece) bool {
		return slices.ContainsFunc(c, func(st pattern.Stretch) bool { return st.Piece == q.Name })
	}
	return slices.ContainsFunc(m.pattern.Seams, func(s pattern.Seam) bool {
		return has(s.First, a) && has(s.Second, b) || has(s.First, b) && has(s.Second, a)
	})
}
