package diff

import (
	"toile/pattern"
	"toile/pattern/change"
)

// Notes lists the notes that b answers and a does not, and those that are open
// in b, in order of their numbers. What a merge numbered anew in between is the
// same: fittings are told by their ids.
func Notes(a, b *pattern.Pattern) []change.Note {
	all := []change.Note{}
	then := &pattern.Pattern{Fittings: a.FittingsNumberedAs(b)}
	for _, f := range b.Fittings {
		for _, n := range f.Notes {
			var was *pattern.Note
			if old := then.FittingByID(f.ID); old != nil {
				was = old.Note(n.Number)
			}
			known := was != nil
			if !n.Open() && known && was.Answered == n.Answered {
				continue
			}
			c := change.Note{Note: f.Key(n), Piece: n.Piece, Edge: n.Edge, Place: n.Place, Side: string(n.Side), Seen: n.Seen, ToDo: n.ToDo,
				State: change.NoteOpen, Answered: n.Answered, Again: n.Open() && len(n.Again) > 0 && (!known || len(n.Again) > len(was.Again))}
			if n.At != nil {
				c.At = change.At(*n.At)
			}
			if !n.Open() {
				c.State = change.NoteAnswered
			}
			all = append(all, c)
		}
	}
	return all
}
