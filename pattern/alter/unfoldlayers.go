package alter

import "toile/pattern"

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
