package album

import (
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// noteSpot is where a note lies: on a track's sheet, from a version on. After a
// split that is the part that holds the place.
type noteSpot struct {
	track int         // −1 where it is of no piece
	from  int         // the version that split the piece before it, −1 for the first
	at    *geom.Point // nil where it is of the whole piece
}

// notePlace is a note with the places that it had, the latest last.
type notePlace struct {
	spots []noteSpot
	sewn  *pattern.Piece // as it was sewn, nil where that is not known
	at    []int          // by version: which of the spots it has there
}

// there is where the note lies in a version.
func (p *notePlace) there(version int) noteSpot {
	if version < 0 || version >= len(p.at) {
		return p.spots[0]
	}
	return p.spots[p.at[version]]
}

// placeNote follows a note's place from the version that was sewn.
func (t *tracks) placeNote(f Fitting, n Note) *notePlace {
	p := &notePlace{spots: []noteSpot{{track: t.noted(f, n), from: -1}}, at: make([]int, len(t.states))}
	sewn := f.Sewn
	if sewn < 0 {
		sewn = n.Since
	}
	first := &p.spots[0]
	h, ok := t.held(sewn, first.track)
	if !ok {
		return p
	}
	p.sewn = t.outlines[h.outline]
	if n.At == nil {
		return p
	}
	at := h.laid.Apply(*n.At)
	first.at = &at
	for i := range t.states {
		v := &t.book.Versions[i]
		for _, before := range append([]int{v.Parent}, v.Merged...) {
			if before >= 0 {
				p.at[i] = max(p.at[i], p.at[before])
			}
		}
		if v.Parent < 0 {
			continue
		}
		if spot, ok := t.parted(i, p.spots[p.at[v.Parent]]); ok {
			p.spots = append(p.spots, spot)
			p.at[i] = len(p.spots) - 1
		}
	}
	return p
}

// parted is where a place lies that a version gave to a part of its piece.
func (t *tracks) parted(version int, was noteSpot) (noteSpot, bool) {
	moves := t.moves[version]
	before := t.states[t.book.Versions[version].Parent]
	i := slices.IndexFunc(moves, func(m move) bool {
		return m.step.Diff.Of != nil && before[m.step.Diff.Of.Slug].track == was.track && m.step.Old == nil
	})
	if i < 0 || was.at == nil {
		return was, false
	}
	slug := moves[i].step.Diff.Of.Slug
	pieces, stored := []change.PieceDiff{}, map[string]*pattern.Piece{}
	for _, m := range moves {
		pieces = append(pieces, m.step.Diff)
		if m.step.New != nil {
			stored[m.step.New.Slug] = m.step.New
		}
	}
	h, ok := before[slug]
	if !ok {
		return was, false
	}
	on := h.laid.Inverse().Apply(*was.at)
	k, there := change.Follow(pieces, func(slug string) *pattern.Piece { return stored[slug] }, slug, &on)
	if k < 0 || moves[k].after.track == was.track {
		return was, false
	}
	at := moves[k].after.laid.Apply(*there)
	return noteSpot{moves[k].after.track, version, &at}, true
}

// noted is the track of the piece that a note is of, −1 for none.
func (t *tracks) noted(f Fitting, n Note) int {
	for _, named := range slices.Backward(n.Named) {
		if h, ok := t.of(named.Version, named.Piece); ok {
			return h.track
		}
	}
	for _, version := range []int{f.Sewn, n.Since} {
		if h, ok := t.of(version, n.Piece); ok {
			return h.track
		}
	}
	return slices.Index(t.names, n.Piece)
}

// of finds the piece that bears a name in a version.
func (t *tracks) of(version int, name string) (held, bool) {
	if version < 0 || version >= len(t.states) {
		return none, false
	}
	for _, h := range t.states[version] {
		if t.outlines[h.outline].Name == name {
			return h, true
		}
	}
	return none, false
}

// held finds the piece of a track in a version.
func (t *tracks) held(version, track int) (held, bool) {
	if version < 0 || version >= len(t.states) || track < 0 {
		return none, false
	}
	best, found := none, false
	for slug, h := range t.states[version] { // in whichever order: the first slug of several
		if h.track == track && (!found || slug < t.outlines[best.outline].Slug) {
			best, found = h, true
		}
	}
	return best, found
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

// notesAt are the notes that a version answered, by track, with their places.
func (t *tracks) notesAt(version int) map[int][]spot {
	out := map[int][]spot{}
	for i, f := range t.book.Fittings {
		for k, n := range f.Notes {
			if there := t.notes[i][k].there(version); there.at != nil && slices.Contains(n.Answers, version) {
				out[there.track] = append(out[there.track], spot{text: plain(n.Key), at: *there.at, note: true})
			}
		}
	}
	return out
}
