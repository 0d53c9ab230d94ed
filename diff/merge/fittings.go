package merge

import (
	"cmp"
	"fmt"
	"maps"
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
	m.numberFittings()
	for _, was := range m.shared.Fittings {
		if f := m.fitting(was, m.sides[Here].FittingByID(was.ID), m.sides[There].FittingByID(was.ID)); f != nil {
			out.Fittings = append(out.Fittings, f)
		}
	}
	for side, p := range m.sides {
		for _, f := range p.Fittings {
			other := m.sides[1-side].FittingByID(f.ID)
			switch {
			case m.shared.FittingByID(f.ID) != nil || (other != nil && side == int(There)):
			case other != nil:
				m.sayJoined(f, other)
				out.Fittings = append(out.Fittings, m.fitting(&pattern.Fitting{Number: f.Number, ID: f.ID}, f, other))
			default:
				out.Fittings = append(out.Fittings, f)
			}
		}
	}
	slices.SortFunc(out.Fittings, func(a, b *pattern.Fitting) int { return cmp.Compare(a.Number, b.Number) })
}

// oneEach refuses a side on which two fittings bear one id: by it they are known.
func (m *merging) oneEach() error {
	for _, p := range []*pattern.Pattern{m.shared, m.sides[Here], m.sides[There]} {
		files := map[string]*pattern.Fitting{}
		for _, f := range p.Fittings {
			if other := files[f.ID]; other != nil {
				return fmt.Errorf("fittings %d and %d bear one id, %s, so that a merge cannot tell them apart; leave the id line out of %s, commit, and merge again", other.Number, f.Number, f.ID, f.FileName())
			}
			files[f.ID] = f
		}
	}
	return nil
}

// numberFittings gives each fitting one number on all sides: the one that a merge
// gave it on one of them, and where both sides numbered one alike, the next free
// one to that of the later date.
func (m *merging) numberFittings() {
	last := 0
	for _, p := range m.sides {
		for _, f := range p.Fittings {
			last = max(last, f.Number)
		}
	}
	final, taken := map[string]int{}, map[int]bool{}
	give := func(f *pattern.Fitting, number int) {
		if taken[number] {
			last++
			m.sayRenumbered(f, last)
			number = last
		}
		final[f.ID], taken[number] = number, true
	}
	for _, was := range m.shared.Fittings {
		number := was.Number
		for _, p := range m.sides {
			if f := p.FittingByID(was.ID); f != nil && f.Number != was.Number {
				number = f.Number
			}
		}
		give(was, number)
	}
	for _, f := range m.freshFittings() {
		give(f, f.Number)
	}
	for _, p := range []*pattern.Pattern{m.shared, m.sides[Here], m.sides[There]} {
		p.RenumberFittings(final)
	}
}

// freshFittings are those that the shared version lacks, each once.
func (m *merging) freshFittings() (fresh []*pattern.Fitting) {
	for side, p := range m.sides {
		for _, f := range p.Fittings {
			if m.shared.FittingByID(f.ID) == nil && (side == int(Here) || m.sides[Here].FittingByID(f.ID) == nil) {
				fresh = append(fresh, f)
			}
		}
	}
	slices.SortFunc(fresh, func(a, b *pattern.Fitting) int {
		return cmp.Or(cmp.Compare(a.Number, b.Number), cmp.Compare(a.Date, b.Date), cmp.Compare(a.ID, b.ID))
	})
	return fresh
}

// sayRenumbered says that a fitting gets another number.
func (m *merging) sayRenumbered(f *pattern.Fitting, number int) {
	says := fmt.Sprintf("both sides had a fitting %d: the one of %s, %s, is fitting %d now", f.Number, cmp.Or(f.Date, "no date"), cmp.Or(f.Cloth, "no cloth said"), number)
	m.says = append(m.says, says)
	m.renumbered = append(m.renumbered, says)
}

// sayJoined says that a fitting which the shared version lacks is taken for the same
// on both sides, as two tried on at one day in one cloth were whose ids were made
// without chance.
func (m *merging) sayJoined(here, there *pattern.Fitting) {
	if !reflect.DeepEqual(here, there) {
		m.says = append(m.says, fmt.Sprintf("fitting %d, %s, %s, came on both sides with the id %s, so that it was taken for one: the notes of both are in it",
			here.Number, cmp.Or(here.Date, "no date"), cmp.Or(here.Cloth, "no cloth said"), here.ID))
	}
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
	f.Wearer = plain(m, was.Wearer, here.Wearer, there.Wearer, about("both changed who wore it"))
	f.Measures = three(m, maps.Equal, was.Measures, here.Measures, there.Measures, about("both changed the wearer's measures"))
	m.notes(f, was, here, there)
	return f
}

// notes merges the notes of a fitting. Two notes that both sides added under
// one number both stay: one gets the next free number.
func (m *merging) notes(f, was, here, there *pattern.Fitting) {
	last := 0
	for _, of := range []*pattern.Fitting{was, here, there} {
		last = max(last, of.NextNote()-1)
	}
	for number := 1; number <= last; number++ {
		s, h, t := was.Note(number), here.Note(number), there.Note(number)
		switch {
		case s == nil && h != nil && t != nil && !reflect.DeepEqual(h, t):
			if noteLess(t, h) {
				h, t = t, h
			}
			second := *t
			second.Number = max(last, len(f.Notes)+1) + 1
			for f.Note(second.Number) != nil {
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
	for number := 1; number <= last; number++ {
		if f.Note(number) == nil {
			f.TakenAway = append(f.TakenAway, number)
		}
	}
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
	if same(was, here) || same(was, there) {
		return three(m, same, was, here, there, nil)
	}
	about := func(what string) func() change.Conflict {
		return m.aboutNote(fitting, was, "both changed "+what)
	}
	n := *was
	n.Piece = plain(m, was.Piece, here.Piece, there.Piece, about("its piece"))
	n.Edge = plain(m, was.Edge, here.Edge, there.Edge, about("its edge"))
	n.At = three(m, alike, was.At, here.At, there.At, about("its place"))
	n.Place = plain(m, was.Place, here.Place, there.Place, about("its place"))
	n.OnToile = plain(m, was.OnToile, here.OnToile, there.OnToile, about("its place"))
	n.Seen = m.words(was.Seen, here.Seen, there.Seen, about(fmt.Sprintf("what was seen: %q here, %q there", here.Seen, there.Seen)))
	n.Pinned = plain(m, was.Pinned, here.Pinned, there.Pinned, about("how much was pinned"))
	n.Left = three(m, alike, was.Left, here.Left, there.Left, about("how much was pinned"))
	n.Right = three(m, alike, was.Right, here.Right, there.Right, about("how much was pinned"))
	n.Pinch = plain(m, was.Pinch, here.Pinch, there.Pinch, about("how much was pinned"))
	n.PinchSide = plain(m, was.PinchSide, here.PinchSide, there.PinchSide, about("how much was pinned"))
	n.Again = m.again(was.Again, here.Again, there.Again)
	n.Side = plain(m, was.Side, here.Side, there.Side, about("the wearer's side"))
	n.ToDo = m.words(was.ToDo, here.ToDo, there.ToDo, about(fmt.Sprintf("what to do: %q here, %q there", here.ToDo, there.ToDo)))
	if n.Answered = here.Answered; here.Answered == 0 || (there.Answered != 0 && there.Answered < here.Answered) {
		n.Answered = there.Answered
	}
	switch {
	case was.Answered != 0:
		n.Answered = plain(m, was.Answered, here.Answered, there.Answered, about("which version answered it"))
	case reopened(was, here) && there.Answered != 0 || reopened(was, there) && here.Answered != 0:
		n.Answered = plain(m, -1, here.Answered, there.Answered, m.aboutNote(fitting, was, "one side saw it again and has it open, the other answered it"))
	}
	return &n
}

// reopened reports whether a side answered a note and saw it again since.
func reopened(was, is *pattern.Note) bool {
	return is.Answered == 0 && len(is.Again) > len(was.Again)
}

// again puts together when a note was seen again; what both sides added both stays.
func (m *merging) again(was, here, there []pattern.SeenAgain) []pattern.SeenAgain {
	if slices.Equal(was, here) || slices.Equal(was, there) {
		return three(m, slices.Equal, was, here, there, nil)
	}
	all := slices.Clone(here)
	for _, s := range there {
		if !slices.Contains(all, s) {
			all = append(all, s)
		}
	}
	slices.SortFunc(all, func(a, b pattern.SeenAgain) int {
		return cmp.Or(cmp.Compare(a.Fitting, b.Fitting), cmp.Compare(a.After, b.After), cmp.Compare(a.Seen, b.Seen))
	})
	return all
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
