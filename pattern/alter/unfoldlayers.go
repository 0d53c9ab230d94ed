package alter

import (
	"slices"

	"toile/pattern"
)

// layersOfWhole has what is declared at edges of an outer piece that is drawn
// whole now said of both halves. What was declared at its fold, by which each half
// departs there, is twice as much across the whole, and no edge is there any more.
func (m *making) layersOfWhole(u *unfolding, fold string) {
	for l := range m.pattern.Layers {
		layer := &m.pattern.Layers[l]
		if layer.Outer != u.whole.Name || layer.Band {
			continue
		}
		var both []pattern.Difference
		for _, d := range layer.Differences {
			image := u.names[d.Edge]
			if d.Edge == fold {
				m.say("%q, declared as %s at %q, is %s across the whole now", d.What, m.pattern.Unit.FormatSigned(d.By), fold, m.pattern.Unit.FormatSigned(2*d.By))
				d.Edge, d.By = "", 2*d.By
			}
			both = append(both, d)
			if image != "" && image != d.Edge {
				d.Edge = image
				both = append(both, d)
			}
		}
		layer.Differences = both
	}
}

// recordPleats has what is declared of an inner piece at a fold, and laid as a pleat at
// its seam to another, be ease-in of that seam where one of the two or their outer is
// drawn whole: the seam ends at no fold any more.
func (m *making) recordPleats(q *pattern.Piece) {
	ofOuter := func(piece string) bool {
		return slices.ContainsFunc(m.pattern.Layers, func(l pattern.Layer) bool {
			return !l.Band && l.Outer == q.Name && slices.Contains(l.Inner, piece)
		})
	}
	for s := range m.pattern.Seams {
		seam := &m.pattern.Seams[s]
		if !slices.ContainsFunc(slices.Concat(seam.First, seam.Second), func(st pattern.Stretch) bool { return st.Piece == q.Name || ofOuter(st.Piece) }) {
			continue
		}
		ends := m.pattern.PleatEase(seam)
		if ends == [2]float64{} {
			continue
		}
		if len(seam.Sections) == 0 {
			seam.Sections = []pattern.Section{{}}
		}
		seam.Sections[0].Ease += ends[0]
		seam.Sections[len(seam.Sections)-1].Ease += ends[1]
		m.say("the pleat that is laid in the seam %q is recorded as ease-in of it now, %s", seam.Name, m.pattern.Unit.FormatSigned(ends[0]+ends[1]))
	}
}
