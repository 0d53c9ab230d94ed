package merge

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/change"
)

// fittings merges fittings by their ids, field by field, and their notes by
// number. When changes are taken back, fittings stay as they are.
func (m *merging) fittings(out *pattern.Pattern) {
	if m.revert {
		out.Fittings = m.sides[Here].Fittings
		return
	}
	var fresh []*pattern.Fitting
	for _, was := range m.shared.Fittings {
		if f := m.fitting(was, fittingByID(m.sides[Here], was.ID), fittingByID(m.sides[There], was.ID)); f != nil {
			out.Fittings = append(out.Fittings, f)
		}
	}
	for side, p := range m.sides {
		for _, f := range p.Fittings {
			other := fittingByID(m.sides[1-side], f.ID)
			switch {
			case fittingByID(m.shared, f.ID) != nil || (other != nil && side == int(There)):
			case other != nil:
				fresh = append(fresh, m.fitting(&pattern.Fitting{Number: f.Number, ID: f.ID}, f, other))
			default:
				fresh = append(fresh, f)
			}
		}
	}
	slices.SortFunc(fresh, func(a, b *pattern.Fitting) int {
		return cmp.Or(cmp.Compare(a.Number, b.Number), cmp.Compare(a.Date, b.Date), cmp.Compare(a.ID, b.ID))
	})
	for _, f := range fresh {
		out.Fittings = append(out.Fittings, m.numbered(out, f))
	}
	slices.SortFunc(out.Fittings, func(a, b *pattern.Fitting) int { return cmp.Compare(a.Number, b.Number) })
}

func fittingByID(p *pattern.Pattern, id string) *pattern.Fitting {
	for _, f := range p.Fittings {
		if f.ID == id {
			return f
		}
	}
	return nil
}

// numbered gives a fitting the next free number where both sides numbered one
// alike.
func (m *merging) numbered(out *pattern.Pattern, f *pattern.Fitting) *pattern.Fitting {
	if !slices.ContainsFunc(out.Fittings, func(o *pattern.Fitting) bool { return o.Number == f.Number }) {
		return f
	}
	c, last := *f, 0
	for _, p := range []*pattern.Pattern{out, m.sides[Here], m.sides[There]} {
		for _, o := range p.Fittings {
			last = max(last, o.Number)
		}
	}
	c.Number = last + 1
	says := fmt.Sprintf("both sides had a fitting %d: the one of %s, %s, is fitting %d now", f.Number, cmp.Or(f.Date, "no date"), cmp.Or(f.Cloth, "no cloth said"), c.Number)
	m.says = append(m.says, says)
	m.renumbered = append(m.renumbered, fmt.Sprintf("%s; its versions before this one say fitting %d, and notes %d.1 and on, which are %d.1 and on now",
		says, f.Number, f.Number, c.Number))
	return &c
}

// fitting merges one fitting.
func (m *merging) fitting(was, here, there *pattern.Fitting) *pattern.Fitting {
	about := func(what string) func() change.Conflict {
		return func() change.Conflict {
			return change.Conflict{Where: fmt.Sprintf("fitting %d", was.Number), Says: fmt.Sprintf("fitting %d: %s", was.Number, what)}
		}
	}
	if here == nil || there == nil || reflect.DeepEqual(was, here) || reflect.DeepEqual(was, there) {
		return three(m, func(a, b *pattern.Fitting) bool { return reflect.DeepEqual(a, b) }, was, here, there, about("one side took it away and the other changed it"))
	}
	f := &pattern.Fitting{ID: was.ID}
	f.Number = plain(m, was.Number, here.Number, there.Number, about("both changed its number"))
	f.Date = plain(m, was.Date, here.Date, there.Date, about("both changed its date"))
	f.Cloth = plain(m, was.Cloth, here.Cloth, there.Cloth, about("both changed its cloth"))
	f.Worn = plain(m, was.Worn, here.Worn, there.Worn, about("both changed what was worn underneath"))
	f.Closures = plain(m, was.Closures, here.Closures, there.Closures, about("both changed which closures were pinned"))
	f.Version = plain(m, was.Version, here.Version, there.Version, about("both changed the version that was sewn"))
	m.notes(f, was, here, there)
	return f
}

func noteOf(f *pattern.Fitting, number int) *pattern.Note {
	for i := range f.Notes {
		if f.Notes[i].Number == number {
			return &f.Notes[i]
		}
	}
	return nil
}

// notes merges the notes of a fitting. Two notes that both sides added under
// one number both stay: one gets the next free number.
func (m *merging) notes(f, was, here, there *pattern.Fitting) {
	last := 0
	for _, of := range []*pattern.Fitting{was, here, there} {
		for _, n := range of.Notes {
			last = max(last, n.Number)
		}
	}
	for number := 1; number <= last; number++ {
		s, h, t := noteOf(was, number), noteOf(here, number), noteOf(there, number)
		switch {
		case s == nil && h != nil && t != nil && !reflect.DeepEqual(h, t):
			if noteLess(t, h) {
				h, t = t, h
			}
			second := *t
			second.Number = max(last, len(f.Notes)+1) + 1
			for noteOf(f, second.Number) != nil {
				second.Number++
			}
			f.Notes = append(f.Notes, *h, second)
			m.says = append(m.says, fmt.Sprintf("both sides added a note %d.%d: %q is note %d.%d now", f.Number, number, second.Seen, f.Number, second.Number))
		default:
			if n := m.note(f.Number, s, h, t); n != nil {
				f.Notes = append(f.Notes, *n)
			}
		}
	}
	slices.SortFunc(f.Notes, func(a, b pattern.Note) int { return cmp.Compare(a.Number, b.Number) })
}

func noteLess(a, b *pattern.Note) bool {
	return fmt.Sprintf("%+v", noteText(a)) < fmt.Sprintf("%+v", noteText(b))
}

// noteText is a note without the place, which is a pointer.
func noteText(n *pattern.Note) pattern.Note {
	c := *n
	c.At = nil
	return c
}

// note merges one note. Of two versions that answered it the first counts.
func (m *merging) note(fitting int, was, here, there *pattern.Note) *pattern.Note {
	same := func(a, b *pattern.Note) bool { return reflect.DeepEqual(a, b) }
	if was == nil || here == nil || there == nil {
		return three(m, same, was, here, there, m.aboutNote(fitting, was, "one side took it away and the other changed it"))
	}
	about := func(what string) func() change.Conflict {
		return m.aboutNote(fitting, was, "both changed "+what)
	}
	n := *was
	n.Piece = plain(m, was.Piece, here.Piece, there.Piece, about("its piece"))
	n.Edge = plain(m, was.Edge, here.Edge, there.Edge, about("its edge"))
	n.At = three(m, alike, was.At, here.At, there.At, about("its place"))
	n.Seen = m.words(was.Seen, here.Seen, there.Seen, about(fmt.Sprintf("what was seen: %q here, %q there", here.Seen, there.Seen)))
	n.Pinned = plain(m, was.Pinned, here.Pinned, there.Pinned, about("how much was pinned"))
	n.Side = plain(m, was.Side, here.Side, there.Side, about("the wearer's side"))
	n.ToDo = m.words(was.ToDo, here.ToDo, there.ToDo, about(fmt.Sprintf("what to do: %q here, %q there", here.ToDo, there.ToDo)))
	if n.Answered = here.Answered; here.Answered == 0 || (there.Answered != 0 && there.Answered < here.Answered) {
		n.Answered = there.Answered
	}
	if was.Answered != 0 {
		n.Answered = plain(m, was.Answered, here.Answered, there.Answered, about("which version answered it"))
	}
	return &n
}

// words merges a text; what both sides did to different words is put together.
func (m *merging) words(was, here, there string, conflict func() change.Conflict) string {
	if was != here && was != there && here != there {
		if merged, ok := diff.MergeWords(was, here, there); ok {
			m.says = append(m.says, fmt.Sprintf("words of both put together: %q", merged))
			return merged
		}
	}
	return plain(m, was, here, there, conflict)
}

func (m *merging) aboutNote(fitting int, n *pattern.Note, what string) func() change.Conflict {
	return func() change.Conflict {
		key := fmt.Sprintf("%d.%d", fitting, n.Number)
		return change.Conflict{Where: "note " + key, Says: fmt.Sprintf("note %s: %s", key, what)}
	}
}
