package album

import (
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// noteSpot is where a note lies: on a track's sheet. nil is no place, where a note
// is of the whole piece.
type noteSpot struct {
	track int // −1 where it is of no piece
	at    *geom.Point
	side  pattern.WearerSide // of the wearer that the note speaks of
}

// notePlace is a note with where it lies in each version: after a split on the part
// that holds its place, after a join on the piece that both are then.
type notePlace struct {
	sewn  *pattern.Piece // as it was sewn, nil where that is not known
	first noteSpot       // on the version that was sewn
	in    []noteSpot     // by version
}

// there is where the note lies in a version.
func (p *notePlace) there(version int) noteSpot {
	if version < 0 || version >= len(p.in) {
		return p.first
	}
	return p.in[version]
}

// moved reports whether the note lies on another piece in a version than in the one
// before it, or on the other half of one drawn whole.
func (p *notePlace) moved(b *Book, version int) bool {
	before := p.first
	if parent := b.Versions[version].Parent; parent >= 0 {
		before = p.in[parent]
	}
	is := p.in[version]
	return is.track != before.track || is.at != nil && before.at != nil && is.at.Dist(*before.at) > 0.001
}

// placeNotes follows all notes, by fitting and as they stand there.
func (t *tracks) placeNotes() {
	t.notes = nil
	for _, f := range t.book.Fittings {
		var places []*notePlace
		for _, n := range f.Notes {
			places = append(places, t.placeNote(f, n))
		}
		t.notes = append(t.notes, places)
	}
}

// placeNote follows a note from the version that was sewn: back along its line, and
// from there on.
func (t *tracks) placeNote(f Fitting, n Note) *notePlace {
	p := &notePlace{first: noteSpot{track: slices.Index(t.names, n.Piece), side: pattern.WearerSide(n.Side)}, in: make([]noteSpot, len(t.states))}
	h, ok := t.noted(f, n)
	if ok {
		p.first.track, p.sewn = h.track, t.outlines[h.outline]
		if n.At != nil {
			at := h.laid.Apply(*n.At)
			p.first.at = &at
		}
	}
	known := make([]bool, len(t.states))
	if ok {
		spot := p.first
		for i := t.sewn(f, n); i >= 0; i = t.book.Versions[i].Parent {
			p.in[i], known[i] = spot, true
			spot = t.before(i, spot)
		}
	}
	for i := range t.states {
		parent := t.book.Versions[i].Parent
		switch {
		case known[i]:
		case parent < 0:
			p.in[i] = p.first
		default:
			p.in[i] = t.after(i, p.in[parent])
		}
	}
	return p
}

// after is where a place lies after a version did its steps.
func (t *tracks) after(version int, was noteSpot) noteSpot {
	moves := t.moves[version]
	i := slices.IndexFunc(moves, func(m move) bool { return m.step.Old != nil && m.before.track == was.track })
	if i < 0 || was.track < 0 {
		return was
	}
	of := moves[i]
	k, there := change.Follow(diffsOf(moves), storedIn(moves, newOf), of.step.Old.Slug, onSheet(was.at, of.before.laid.Inverse()), was.side)
	if k < 0 || moves[k].after.track == was.track && moves[k].step.Diff.Drawn == "" {
		return was
	}
	return noteSpot{moves[k].after.track, onSheet(there, moves[k].after.laid), was.side}
}

// before is where a place lay before a version did its steps.
func (t *tracks) before(version int, is noteSpot) noteSpot {
	moves := t.moves[version]
	i := slices.IndexFunc(moves, func(m move) bool { return m.step.New != nil && m.after.track == is.track })
	parent := t.book.Versions[version].Parent
	if i < 0 || parent < 0 {
		return is
	}
	now := moves[i]
	of, there := change.Trace(diffsOf(moves), storedIn(moves, oldOf), now.step.New.Slug, onSheet(is.at, now.after.laid.Inverse()))
	if of == nil {
		return is
	}
	h, ok := t.states[parent][of.Slug]
	if !ok || h.track == is.track {
		return is
	}
	return noteSpot{h.track, onSheet(there, h.laid), is.side}
}

// nameIn is what the piece of a track is called in a version; empty where it is not
// there.
func (t *tracks) nameIn(version, track int) string {
	if version < 0 || version >= len(t.states) {
		return ""
	}
	for _, h := range t.states[version] {
		if h.track == track {
			return t.outlines[h.outline].Name
		}
	}
	return ""
}

// onSheet takes a place from one sheet to another; nil stays nil.
func onSheet(at *geom.Point, m geom.Motion) *geom.Point {
	if at == nil {
		return nil
	}
	there := m.Apply(*at)
	return &there
}

func oldOf(s *Step) *pattern.Piece { return s.Old }
func newOf(s *Step) *pattern.Piece { return s.New }

func diffsOf(moves []move) []change.PieceDiff {
	var pieces []change.PieceDiff
	for _, m := range moves {
		pieces = append(pieces, m.step.Diff)
	}
	return pieces
}

// storedIn finds the pieces of one side of the moves by their slugs.
func storedIn(moves []move, side func(*Step) *pattern.Piece) func(slug string) *pattern.Piece {
	return func(slug string) *pattern.Piece {
		for _, m := range moves {
			if p := side(m.step); p != nil && p.Slug == slug {
				return p
			}
		}
		return nil
	}
}

// notesAt are the notes that a version answered, by track, with their places.
func (t *tracks) notesAt(version int) map[int][]spot {
	out := map[int][]spot{}
	for i, f := range t.book.Fittings {
		for k, n := range f.Notes {
			if there := t.notes[i][k].there(version); there.at != nil && there.track >= 0 && slices.Contains(n.By, version) {
				out[there.track] = append(out[there.track], spot{text: plain(n.Key), at: *there.at, note: true})
			}
		}
	}
	return out
}
