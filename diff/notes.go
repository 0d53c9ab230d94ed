package diff

import (
	"toile/pattern"
	"toile/pattern/change"
)

// Notes lists the notes that b answers and a does not, and those that are open
// in b, in order of their numbers.
func Notes(a, b *pattern.Pattern) []change.Note {
	all := []change.Note{}
	for _, f := range b.Fittings {
		for _, n := range f.Notes {
			_, was, err := a.FindNote(f.Key(n))
			known := err == nil
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
