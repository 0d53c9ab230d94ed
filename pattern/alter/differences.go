package alter

import (
	"slices"

	"toile/pattern"
)

// saidOfBoth declares of a new inner piece what is declared of the one that it
// came from.
func saidOfBoth(layer *pattern.Layer, of, too string) {
	for _, d := range layer.Differences {
		if d.Piece == of {
			d.Piece = too
			layer.Differences = append(layer.Differences, d)
		}
	}
}

// notAtNew is what is declared of an outer's edges without what names an edge
// that a part of it has only by the new seam, its last: that was said of an edge
// of the same name that lies on the other part.
func notAtNew(all []pattern.Difference, part *pattern.Piece) []pattern.Difference {
	name := part.Edges[len(part.Edges)-1].Name
	return slices.DeleteFunc(slices.Clone(all), func(d pattern.Difference) bool { return d.Edge == name })
}

// saidOnce lets go of what is declared of the second of two inner pieces that
// are joined where it is declared of the first already: the whole departs from
// its outer once. Where the two amounts differ it says which one is kept.
func (m *making) saidOnce(l *pattern.Layer, q, other *pattern.Piece) {
	l.Differences = slices.DeleteFunc(slices.Clone(l.Differences), func(d pattern.Difference) bool {
		if d.Piece != other.Name {
			return false
		}
		k := slices.IndexFunc(l.Differences, func(o pattern.Difference) bool {
			return o.Piece == q.Name && o.What == d.What && o.Edge == d.Edge
		})
		if k < 0 {
			return false
		}
		if by := l.Differences[k].By; by != d.By {
			m.say("%q was declared as %s of %s and as %s of %s; the whole keeps the first, so declare it anew with `toile layers` where that is not meant",
				d.What, m.pattern.Unit.FormatSigned(by), q.Name, m.pattern.Unit.FormatSigned(d.By), other.Name)
		}
		return true
	})
}
