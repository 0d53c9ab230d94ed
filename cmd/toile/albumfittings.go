package main

import (
	"cmp"
	"maps"
	"slices"

	"toile/render/album"
	"toile/repo"
)

// boundTip is the last version of a branch.
type boundTip struct {
	at     int
	branch string
}

// boundFitting is a fitting with the notes of all branches, as the first of them
// has it.
type boundFitting struct {
	there *fittingThere
	since int // the first version that has it
	notes []*boundNote
}

// boundNote is a note of one or several branches.
type boundNote struct {
	key   string // as the first of the branches calls it
	there []noteOnTip
}

type noteOnTip struct {
	*noteThere
	tip boundTip
}

// readFittings reads the fittings of all branches, that of the folder first. names
// are the branches'.
func (b *binder) readFittings(tips []repo.Version, names []string) error {
	if err := b.followFittings(); err != nil {
		return err
	}
	of := map[string]*boundFitting{}
	var ids []string
	for i, tip := range tips {
		t := boundTip{at: b.at[tip.ID], branch: names[i]}
		for _, id := range slices.Sorted(maps.Keys(b.there[t.at])) {
			if of[id] == nil {
				of[id] = &boundFitting{there: b.there[t.at][id], since: b.firstWithFitting(id)}
				ids = append(ids, id)
			}
			of[id].unite(b.there[t.at][id], t)
		}
	}
	b.built = map[int]map[int]bool{}
	for i, tip := range tips {
		b.tips = append(b.tips, boundTip{at: b.at[tip.ID], branch: names[i]})
		b.built[b.at[tip.ID]] = b.buildsOn(b.at[tip.ID])
	}
	base := b.built[b.at[tips[0].ID]]
	for _, id := range ids {
		of[id].leaveOutTakenAway(b.there[b.at[tips[0].ID]][id], base)
		b.fittings = append(b.fittings, *of[id])
	}
	slices.SortStableFunc(b.fittings, func(f, g boundFitting) int { return cmp.Compare(f.there.Number, g.there.Number) })
	return nil
}

// firstWithFitting is the first version that has a fitting.
func (b *binder) firstWithFitting(id string) int {
	return slices.IndexFunc(b.there, func(there map[string]*fittingThere) bool { return there[id] != nil })
}

// unite adds what a branch has of the fitting.
func (f *boundFitting) unite(there *fittingThere, tip boundTip) {
	for _, number := range slices.Sorted(maps.Keys(there.notes)) {
		n := there.notes[number]
		i := slices.IndexFunc(f.notes, func(m *boundNote) bool { return m.there[0].line == n.line })
		if i < 0 {
			i = len(f.notes)
			f.notes = append(f.notes, &boundNote{key: f.there.Key(n.Note)})
		}
		f.notes[i].there = append(f.notes[i].there, noteOnTip{n, tip})
	}
	slices.SortStableFunc(f.notes, func(m, n *boundNote) int { return cmp.Compare(m.there[0].Number, n.there[0].Number) })
}

// leaveOutTakenAway leaves out the notes that were taken away on the folder's own
// branch as pinned by mistake, unless another branch did something about them.
func (f *boundFitting) leaveOutTakenAway(here *fittingThere, base map[int]bool) {
	if here == nil {
		return
	}
	f.notes = slices.DeleteFunc(f.notes, func(n *boundNote) bool {
		gone := base[n.there[0].line.first]
		for _, t := range n.there {
			gone = gone && t.Open() && len(t.Again) == 0
		}
		for _, mine := range here.notes {
			gone = gone && mine.line != n.there[0].line
		}
		return gone
	})
}

// fittingMade is the place of the fitting that a version was made for, −1 for
// none.
func (b *binder) fittingMade(i int) int {
	for id, there := range b.there[i] {
		if there.Number == b.versions[i].Fitting {
			return b.fittingAtID(id)
		}
	}
	return -1
}

// fittingAtID is the place of a fitting in the album.
func (b *binder) fittingAtID(id string) int {
	return slices.IndexFunc(b.fittings, func(f boundFitting) bool { return f.there.ID == id })
}

// putFittings adds the fittings with their notes.
func (b *binder) putFittings(book *album.Book, opt albumOptions) {
	for _, f := range b.fittings {
		out := album.Fitting{Number: f.there.Number, Date: f.there.Date, Cloth: f.there.Cloth, Worn: f.there.Worn, Closures: f.there.Closures,
			Sewn: f.there.sewn, Since: f.since}
		if !opt.noPersons {
			out.Wearer = f.there.Wearer
		}
		for _, n := range f.notes {
			out.Notes = append(out.Notes, b.noteOf(f, n, book))
		}
		book.Fittings = append(book.Fittings, out)
	}
}

// noteOf puts together what all branches have of a note. Where two of the fitting
// bear one number, that has its branch with it.
func (b *binder) noteOf(f boundFitting, n *boundNote, book *album.Book) album.Note {
	first := n.there[0]
	out := album.Note{Key: n.key, Piece: first.Piece, PieceID: b.pieceNoted(first.named), Place: first.Place, Edge: first.Edge, OnToile: first.OnToile, Seen: first.Seen,
		Pinned: pinnedWords(first.Note, book.Unit), ToDo: first.ToDo, At: first.At, Since: first.line.first, Side: string(first.Side)}
	if slices.ContainsFunc(f.notes, func(m *boundNote) bool { return m != n && m.key == n.key }) {
		out.Key += " on " + first.tip.branch
	}
	last := slices.DeleteFunc(slices.Clone(n.there), func(t noteOnTip) bool { return b.goesOn(t.tip) })
	for _, t := range last {
		if t.Open() {
			out.Open = append(out.Open, t.tip.branch)
		}
	}
	out.Everywhere = len(out.Open) == len(last)
	for _, t := range n.there {
		b.addAnswers(&out, t)
	}
	slices.Sort(out.By)
	out.By = slices.Compact(out.By)
	slices.SortStableFunc(out.Again, func(s, t album.Again) int { return cmp.Compare(s.Since, t.Since) })
	return out
}

// goesOn reports whether another branch builds on the last version of one, so that
// what is open there says nothing more.
func (b *binder) goesOn(tip boundTip) bool {
	return slices.ContainsFunc(b.tips, func(t boundTip) bool {
		return t.at != tip.at && b.built[t.at][tip.at] || t.at == tip.at && t.branch != tip.branch && t.at == b.here && tip.branch != b.tips[0].branch
	})
}

// pieceNoted is the id of the piece that a note is of, found by its name in the
// version that names it; empty where there is none.
func (b *binder) pieceNoted(named []namedPiece) string {
	for _, n := range slices.Backward(named) {
		p, err := b.patternOf(b.versions[n.version])
		if err != nil {
			continue
		}
		if q, err := p.Piece(n.name); err == nil {
			return q.ID
		}
	}
	return ""
}

// addAnswers adds what answered a note on one branch, and when it was seen again.
func (b *binder) addAnswers(out *album.Note, t noteOnTip) {
	for _, at := range append(slices.Clone(t.after), t.by) {
		if at >= 0 {
			out.By = append(out.By, at)
		}
	}
	for k, s := range t.Again {
		again := album.Again{Number: s.Fitting, Fitting: -1, Since: t.since[k], Seen: s.Seen}
		for id, f := range b.there[t.tip.at] {
			if f.Number == s.Fitting {
				again.Fitting = b.fittingAtID(id)
			}
		}
		same := func(a album.Again) bool {
			return a.Fitting == again.Fitting && a.Since == again.Since && a.Seen == again.Seen
		}
		if !slices.ContainsFunc(out.Again, same) {
			out.Again = append(out.Again, again)
		}
	}
}
