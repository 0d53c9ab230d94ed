package alter

import (
	"slices"

	"toile/pattern"
)

// joinLayers puts the whole in the place of both pieces in every layer.
func (m *making) joinLayers(q, other, whole *pattern.Piece) {
	p := m.pattern
	for l := range p.Layers {
		layer := &p.Layers[l]
		m.joinDifferences(layer, q, other, whole)
		if layer.Outer == other.Name || layer.Outer == q.Name {
			layer.Outer = whole.Name
		}
		for k := range layer.Inner {
			if layer.Inner[k] == other.Name || layer.Inner[k] == q.Name {
				layer.Inner[k] = whole.Name
			}
		}
		layer.Inner = eachOnce(layer.Inner, layer.Outer)
	}
	p.Layers = slices.DeleteFunc(p.Layers, func(l pattern.Layer) bool { return len(l.Inner) == 0 }) // one that was joined to its own outer
}

// eachOnce lists the inner pieces of a layer, each where it is named first, without
// the outer itself.
func eachOnce(inner []string, outer string) []string {
	var kept []string
	for _, name := range inner {
		if name != outer && !slices.Contains(kept, name) {
			kept = append(kept, name)
		}
	}
	return kept
}

// laysOfOne makes one layer of two of a piece that was joined, where an inner
// piece lies in both, as one that lay across the seam between, or is sewn to one
// of the other: they lie side by side on the whole. What is declared twice is
// declared once.
func (m *making) laysOfOne(outer string) {
	var kept []pattern.Layer
	for _, l := range m.pattern.Layers {
		k := slices.IndexFunc(kept, func(o pattern.Layer) bool {
			return o.Outer == outer && l.Outer == outer && o.Band == l.Band && m.besides(o, l)
		})
		if k < 0 {
			kept = append(kept, l)
			continue
		}
		into := &kept[k]
		into.Inner, into.Differences = slices.Clone(into.Inner), slices.Clone(into.Differences)
		for _, name := range l.Inner {
			if !slices.Contains(into.Inner, name) {
				into.Inner = append(into.Inner, name)
			}
		}
		for _, d := range l.Differences {
			if !slices.Contains(into.Differences, d) {
				into.Differences = append(into.Differences, d)
			}
		}
	}
	m.pattern.Layers = kept
}

// besides reports whether an inner piece of one layer lies in the other too, or
// is sewn to one there.
func (m *making) besides(a, b pattern.Layer) bool {
	return slices.ContainsFunc(b.Inner, func(name string) bool {
		if slices.Contains(a.Inner, name) {
			return true
		}
		q, err := m.pattern.Piece(name)
		return err == nil && slices.ContainsFunc(a.Inner, func(o string) bool {
			r, err := m.pattern.Piece(o)
			return err == nil && m.sewnTo(q, r)
		})
	})
}

// renameDifferences has what is declared at edges of an outer piece speak of
// their new names.
func (m *making) renameDifferences(outer string, now map[string]string) {
	for l := range m.pattern.Layers {
		if m.pattern.Layers[l].Outer != outer {
			continue
		}
		for k := range m.pattern.Layers[l].Differences {
			d := &m.pattern.Layers[l].Differences[k]
			if name, ok := now[d.Edge]; ok {
				d.Edge = name
			}
		}
	}
}
