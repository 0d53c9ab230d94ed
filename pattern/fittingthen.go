package pattern

import (
	"cmp"
	"slices"
)

// FittingByID finds a fitting by its id, which it keeps when a merge gives it
// another number; nil where there is none.
func (p *Pattern) FittingByID(id string) *Fitting {
	for _, f := range p.Fittings {
		if f.ID == id {
			return f
		}
	}
	return nil
}

// Note finds a note by its number; nil where there is none.
func (f *Fitting) Note(number int) *Note {
	for i := range f.Notes {
		if f.Notes[i].Number == number {
			return &f.Notes[i]
		}
	}
	return nil
}

// NoteNow finds what became of a note of an earlier state of the same fitting:
// the one of that number, unless it says something else and a single later one,
// numbered anew by a merge, says the same; nil where it was taken away.
func (f *Fitting) NoteNow(was Note) *Note {
	says := func(n Note) bool { return n.Piece == was.Piece && n.Seen == was.Seen }
	same := f.Note(was.Number)
	if same != nil && says(*same) {
		return same
	}
	var moved *Note
	for i := range f.Notes {
		if n := &f.Notes[i]; n.Number > was.Number && says(*n) {
			if moved != nil {
				return same
			}
			moved = n
		}
	}
	if moved != nil {
		return moved
	}
	return same
}

// FittingsNumberedAs returns the fittings of p, an earlier state, as copies under
// the numbers that they and their notes have now. What is not there any more keeps
// its number.
func (p *Pattern) FittingsNumberedAs(now *Pattern) []*Fitting {
	numbers := map[int]int{}
	var all []*Fitting
	for _, was := range p.Fittings {
		f := was.clone()
		if is := now.FittingByID(f.ID); is != nil {
			numbers[f.Number], f.Number = is.Number, is.Number
			for i := range f.Notes {
				if n := is.NoteNow(f.Notes[i]); n != nil {
					f.Notes[i].Number = n.Number
				}
			}
			slices.SortStableFunc(f.Notes, func(a, b Note) int { return cmp.Compare(a.Number, b.Number) })
		}
		all = append(all, f)
	}
	for _, f := range all {
		f.renumberAgain(numbers)
	}
	slices.SortStableFunc(all, func(a, b *Fitting) int { return cmp.Compare(a.Number, b.Number) })
	return all
}

// renumberAgain brings what notes say of later fittings to other numbers.
func (f *Fitting) renumberAgain(numbers map[int]int) {
	for i := range f.Notes {
		for k, s := range f.Notes[i].Again {
			if to, ok := numbers[s.Fitting]; ok {
				f.Notes[i].Again[k].Fitting = to
			}
		}
	}
}

// RenumberFittings gives fittings other numbers, by their ids, with all that names
// them by number.
func (p *Pattern) RenumberFittings(to map[string]int) {
	numbers := map[int]int{}
	for _, f := range p.Fittings {
		if n, ok := to[f.ID]; ok {
			numbers[f.Number], f.Number = n, n
		}
	}
	for _, f := range p.Fittings {
		f.renumberAgain(numbers)
	}
	slices.SortStableFunc(p.Fittings, func(a, b *Fitting) int { return cmp.Compare(a.Number, b.Number) })
}
