package album

import (
	"maps"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/render"
)

// held is a piece in one version: its track, its state, and the motion that
// takes the state from its own sheet to that of the track.
type held struct {
	track, outline int
	laid           geom.Motion
}

// tracks follows pieces through the versions. A track is one piece for its
// whole life, whatever it is called.
type tracks struct {
	book     *Book
	outlines []*pattern.Piece
	known    map[*pattern.Piece]int
	names    []string          // of each track, the latest
	ids      map[string]int    // track by id and slug, for pieces that come back
	states   []map[string]held // by version: what lies there, by slug
	moves    [][]move          // by version: what it did
	notes    [][]*notePlace    // by fitting, as its notes stand there
}

// move is a step with the piece before and after, as held; a track of −1 says
// that there is none.
type move struct {
	before, after held
	step          *Step
}

// track is that of the piece before or after.
func (m move) track() int { return max(m.before.track, m.after.track) }

var none = held{track: -1, outline: -1}

// follow walks through the versions, the earlier ones first.
func follow(b *Book) *tracks {
	t := &tracks{book: b, known: map[*pattern.Piece]int{}, ids: map[string]int{}}
	for i := range b.Versions {
		v := &b.Versions[i]
		state := map[string]held{}
		if v.Parent >= 0 {
			for slug, h := range t.states[v.Parent] {
				state[slug] = h
			}
		}
		var moves []move
		for k := range v.Steps {
			moves = append(moves, t.take(state, &v.Steps[k]))
		}
		for _, m := range moves { // after all were read: a slug may pass from one to another
			if m.step.Old != nil {
				delete(state, m.step.Old.Slug)
			}
		}
		for _, m := range moves {
			if m.step.New != nil {
				state[m.step.New.Slug] = m.after
			}
		}
		t.states, t.moves = append(t.states, state), append(t.moves, moves)
	}
	t.placeNotes()
	return t
}

// take reads one step against the state before it.
func (t *tracks) take(state map[string]held, s *Step) move {
	m := move{before: none, after: none, step: s}
	if s.Old != nil {
		if h, ok := state[s.Old.Slug]; ok {
			m.before = h
		} else {
			m.before = held{track: t.track(s.Old), outline: t.outline(s.Old)}
		}
	}
	if s.New == nil {
		return m
	}
	m.after = held{outline: t.outline(s.New)}
	if s.Old != nil {
		m.after.track, m.after.laid = m.before.track, s.Laid.Then(m.before.laid)
	} else {
		m.after.track = t.track(s.New)
	}
	t.names[m.after.track] = s.New.Name
	return m
}

// outline is the number of a state.
func (t *tracks) outline(p *pattern.Piece) int {
	if n, ok := t.known[p]; ok {
		return n
	}
	t.outlines = append(t.outlines, p)
	t.known[p] = len(t.outlines) - 1
	return len(t.outlines) - 1
}

// track is the number of a piece that comes, or comes back.
func (t *tracks) track(p *pattern.Piece) int {
	key := p.ID + "/" + p.Slug
	if n, ok := t.ids[key]; ok {
		return n
	}
	t.names = append(t.names, p.Name)
	t.ids[key] = len(t.names) - 1
	return len(t.names) - 1
}

// noted finds the piece of a note as it was sewn: by its id, whatever it was
// called then, else by its name.
func (t *tracks) noted(f Fitting, n Note) (held, bool) {
	sewn := t.sewn(f, n)
	if sewn < 0 || sewn >= len(t.states) {
		return none, false
	}
	state := t.states[sewn]
	named, later := none, none
	for _, slug := range slices.Sorted(maps.Keys(state)) {
		h := state[slug]
		switch p := t.outlines[h.outline]; {
		case n.PieceID != "" && p.ID == n.PieceID:
			return h, true
		case p.Name == n.Piece:
			named = h
		case t.names[h.track] == n.Piece:
			later = h
		}
	}
	if named.track >= 0 {
		return named, true
	}
	return later, later.track >= 0
}

// sewn is the version on whose sheets a note lies: the one that was sewn, or where
// that is not known the first that has the note.
func (t *tracks) sewn(f Fitting, n Note) int {
	if f.Sewn >= 0 {
		return f.Sewn
	}
	return n.Since
}

// where says where a note was pinned: the edge, the place, whether on paper or
// on the mock-up, and the wearer's side.
func (t *tracks) where(i, k int) string {
	n, place := t.book.Fittings[i].Notes[k], t.notes[i][k]
	var words []string
	switch place := render.PlaceWords(place.sewn, n.Place); {
	case n.Place != "" && n.OnToile:
		words = append(words, place+", measured on the mock-up")
	case n.Place != "":
		words = append(words, place)
	case n.Edge != "":
		words = append(words, "along the "+n.Edge)
	}
	switch n.Side {
	case "left", "right":
		words = append(words, "on the wearer's "+n.Side)
	case "both":
		words = append(words, "on both sides")
	}
	if now := t.nameIn(t.book.Here, place.there(t.book.Here).track); now != "" && now != n.Piece && n.Piece != "" {
		words = append(words, "on “"+now+"” now")
	}
	return lengths{t.book.Unit}.place(plain(strings.Join(words, "; ")))
}
