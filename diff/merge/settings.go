package merge

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/change"
)

// settings merges what pattern.yaml says besides seams and layers.
func (m *merging) settings() *pattern.Pattern {
	s, h, t := m.shared, m.sides[Here], m.sides[There]
	about := func(where, format string, args ...any) func() change.Conflict {
		return func() change.Conflict {
			return change.Conflict{Where: where, Says: "the pattern's " + fmt.Sprintf(format, args...)}
		}
	}
	out := pattern.New(s.Name, s.Unit)
	out.Name = plain(m, s.Name, h.Name, t.Name, about("pattern name", "name is %q here and %q there", h.Name, t.Name))
	out.Unit = plain(m, s.Unit, h.Unit, t.Unit, about("unit", "unit is %s here and %s there", h.Unit, t.Unit))
	out.Tolerances.Section = plain(m, s.Tolerances.Section, h.Tolerances.Section, t.Tolerances.Section,
		about("section tolerance", "tolerance of a seam's sections is %g mm here and %g mm there", h.Tolerances.Section, t.Tolerances.Section))
	out.Tolerances.Corner = plain(m, s.Tolerances.Corner, h.Tolerances.Corner, t.Tolerances.Corner,
		about("corner tolerance", "turn from which a node is a corner was changed by both"))
	out.Sets = sets(s.Sets, h.Sets, t.Sets)
	return out
}

// sets merges the names of allowance sets: those of the shared version that
// neither side took away, then new ones by name. Where one side alone changed
// them, or both alike, it is that side's list.
func sets(shared, here, there []string) []string {
	switch {
	case slices.Equal(there, shared), slices.Equal(here, there):
		return slices.Clone(here)
	case slices.Equal(here, shared):
		return slices.Clone(there)
	}
	var out, fresh []string
	for _, s := range shared {
		if slices.Contains(here, s) && slices.Contains(there, s) {
			out = append(out, s)
		}
	}
	for _, s := range slices.Concat(here, there) {
		if !slices.Contains(shared, s) && !slices.Contains(fresh, s) {
			fresh = append(fresh, s)
		}
	}
	slices.Sort(fresh)
	return append(out, fresh...)
}

// seams merges the seams by their names: what is sewn, where its sections
// end, what is left open and how it is finished, each by itself.
func (m *merging) seams(out *pattern.Pattern) {
	find := func(p *pattern.Pattern, name string) *pattern.Seam {
		for i := range p.Seams {
			if p.Seams[i].Name == name {
				return &p.Seams[i]
			}
		}
		return nil
	}
	names := func(p *pattern.Pattern) (all []string) {
		for _, s := range p.Seams {
			all = append(all, s.Name)
		}
		return all
	}
	for _, name := range order(names(m.shared), names(m.sides[Here]), names(m.sides[There])) {
		if s := m.seam(name, find(m.shared, name), find(m.sides[Here], name), find(m.sides[There], name)); s != nil {
			if s = m.possible(out, s, find); s != nil {
				out.Seams = append(out.Seams, *s)
			}
		}
	}
}

// possible is a seam that goes with the pieces: where an answer kept the whole
// piece of one side, that side's seam takes the place of one that does not. A
// seam of which nothing is left is told and left out.
func (m *merging) possible(out *pattern.Pattern, s *pattern.Seam, find func(*pattern.Pattern, string) *pattern.Seam) *pattern.Seam {
	err := out.ValidateSeam(s)
	if err == nil || len(m.wholes) == 0 {
		return s
	}
	for _, side := range m.wholes {
		if other := find(m.sides[side], s.Name); other != nil && out.ValidateSeam(other) == nil {
			return other
		}
	}
	m.says = append(m.says, fmt.Sprintf("left out, for it does not go with what was kept: %v", err))
	return nil
}

// order lists names as one side alone has them, or as shared with the new ones
// behind, by name.
func order(shared, here, there []string) []string {
	switch {
	case slices.Equal(shared, there):
		return union(here, shared)
	case slices.Equal(shared, here):
		return union(there, shared)
	}
	fresh := union(here, there)
	slices.Sort(fresh)
	return union(shared, fresh)
}

// union lists the first names, then those of the second that are not among
// them.
func union(a, b []string) []string {
	out := slices.Clone(a)
	for _, s := range b {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

func alike[T any](a, b T) bool {
	x, y := reflect.ValueOf(a), reflect.ValueOf(b)
	if x.Kind() == reflect.Slice && x.Len() == 0 && y.Len() == 0 {
		return true
	}
	return reflect.DeepEqual(a, b)
}

func (m *merging) seam(name string, was, here, there *pattern.Seam) *pattern.Seam {
	about := func(what string) func() change.Conflict {
		return func() change.Conflict {
			return change.Conflict{Where: "seam " + name, Says: fmt.Sprintf("seam %q: %s", name, what)}
		}
	}
	if was == nil || here == nil || there == nil || alike(*was, *here) || alike(*was, *there) {
		what := "both made it, and not the same" + apart(seamSaid(here), seamSaid(there))
		if was != nil {
			what = "one side took it away and the other changed it"
		}
		return three(m, alike[*pattern.Seam], was, here, there, about(what))
	}
	s := pattern.Seam{Name: name}
	type sewn struct {
		first, second pattern.Chain
		sameWay       bool
	}
	chains := func(s *pattern.Seam) sewn { return sewn{s.First, s.Second, s.SameWay} }
	c := three(m, alike[sewn], chains(was), chains(here), chains(there), about("both changed what it sews"+apart(seamSaid(here), seamSaid(there))))
	s.First, s.Second, s.SameWay = c.first, c.second, c.sameWay
	s.Sections = three(m, alike[[]pattern.Section], was.Sections, here.Sections, there.Sections, about("both changed its sections or their ease-in"))
	s.Openings = three(m, alike[[]pattern.Opening], was.Openings, here.Openings, there.Openings, about("both changed its openings"))
	s.Finish = plain(m, was.Finish, here.Finish, there.Finish, about(fmt.Sprintf("both changed its finish: %q here, %q there", here.Finish, there.Finish)))
	return &s
}

// seamSaid says what a seam sews.
func seamSaid(s *pattern.Seam) string {
	if s == nil {
		return "none"
	}
	return s.First.String() + " to " + s.Second.String()
}

// layersThatGo leaves out of layers, where an answer kept the whole piece of one
// side, the pieces that are not there.
func (m *merging) layersThatGo(out *pattern.Pattern) {
	if len(m.wholes) == 0 {
		return
	}
	missing := func(name string) bool { return !slices.Contains(out.PieceNames(), name) }
	for i := range out.Layers {
		l := &out.Layers[i]
		l.Inner = slices.DeleteFunc(slices.Clone(l.Inner), missing)
	}
	out.Layers = slices.DeleteFunc(out.Layers, func(l pattern.Layer) bool {
		gone := missing(l.Outer) || len(l.Inner) == 0
		if gone {
			m.says = append(m.says, fmt.Sprintf("left out, for it does not go with what was kept: the layers of %s", l.Outer))
		}
		return gone
	})
}

// layers merges what is said of layers. A side's layer is the shared one with
// the same outer piece and an inner piece in common.
func (m *merging) layers(out *pattern.Pattern) {
	defer m.layersThatGo(out)
	s, h, t := m.shared.Layers, m.sides[Here].Layers, m.sides[There].Layers
	switch {
	case alike(s, t), alike(h, t):
		out.Layers = h
		return
	case alike(s, h):
		out.Layers = t
		return
	}
	usedHere, usedThere := map[int]bool{}, map[int]bool{}
	for i := range s {
		m.layer(out, &s[i], pickLayer(h, s[i], usedHere), pickLayer(t, s[i], usedThere))
	}
	var fresh [][2]*pattern.Layer
	for i := range h {
		if !usedHere[i] {
			fresh = append(fresh, [2]*pattern.Layer{&h[i], pickLayer(t, h[i], usedThere)})
		}
	}
	for i := range t {
		if !usedThere[i] {
			fresh = append(fresh, [2]*pattern.Layer{nil, &t[i]})
		}
	}
	slices.SortStableFunc(fresh, func(a, b [2]*pattern.Layer) int {
		return cmp.Compare(layerKey(outerLayer(a[0], a[1])), layerKey(outerLayer(b[0], b[1])))
	})
	for _, f := range fresh {
		m.layer(out, nil, f[0], f[1])
	}
}

// pickLayer takes from a list the first layer not used that continues another.
func pickLayer(list []pattern.Layer, of pattern.Layer, used map[int]bool) *pattern.Layer {
	for i := range list {
		if !used[i] && continues(list[i], of) {
			used[i] = true
			return &list[i]
		}
	}
	return nil
}

// layer merges one layer into out.
func (m *merging) layer(out *pattern.Pattern, was, here, there *pattern.Layer) {
	outer := outerOf(was, here, there)
	l := three(m, alike[*pattern.Layer], was, here, there, func() change.Conflict {
		return change.Conflict{Where: "layers " + outer, Says: fmt.Sprintf("layers of %s: both changed what lies on it, or how it differs", outer)}
	})
	if l != nil {
		out.Layers = append(out.Layers, *l)
	}
}

func continues(a, b pattern.Layer) bool {
	return a.Outer == b.Outer && a.Band == b.Band && slices.ContainsFunc(a.Inner, func(n string) bool { return slices.Contains(b.Inner, n) })
}

func outerLayer(layers ...*pattern.Layer) *pattern.Layer {
	for _, l := range layers {
		if l != nil {
			return l
		}
	}
	return nil
}

func outerOf(layers ...*pattern.Layer) string { return outerLayer(layers...).Outer }

func layerKey(l *pattern.Layer) string { return l.Outer + "\x00" + strings.Join(l.Inner, "\x00") }
