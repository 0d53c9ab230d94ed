package main

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"toile/pattern"
	"toile/render/album"
	"toile/repo"
)

// boundFitting is a fitting as the first branch has it that has it, that of the
// folder before the others, with the notes of all branches.
type boundFitting struct {
	*pattern.Fitting
	tip   *albumTip
	since int // the first version that has it
	notes []boundNote
}

// boundNote is a note as the first branch says it that has it, with what became
// of it on all of them.
type boundNote struct {
	pattern.Note
	since int    // the first version that has it, −1 before that is known
	piece string // its id
	by    []int  // the versions that answered it
	again []album.Again
}

// albumTip is the last version of a branch.
type albumTip struct {
	repo.Version
	fittings []*pattern.Fitting
	behind   map[int]bool // the versions that it builds on, and itself
}

// readFittings reads the fittings of all branches, that of the folder first.
func (b *binder) readFittings(tips []repo.Version) error {
	var all []*albumTip
	for _, tip := range tips {
		then, err := b.fittingsThen(tip)
		if err != nil {
			return err
		}
		t := &albumTip{Version: tip, fittings: then.Fittings}
		if len(t.fittings) > 0 {
			t.behind = b.behind(tip)
		}
		all = append(all, t)
		b.uniteFittings(t)
	}
	slices.SortStableFunc(b.fittings, func(f, g *boundFitting) int { return cmp.Compare(f.Number, g.Number) })
	if err := b.findFirst(); err != nil {
		return err
	}
	for _, t := range all {
		b.findAnswers(t)
	}
	for _, f := range b.fittings {
		for _, n := range f.notes {
			slices.Sort(n.by)
		}
	}
	return nil
}

// behind are the versions that one builds on, and itself.
func (b *binder) behind(tip repo.Version) map[int]bool {
	seen := map[int]bool{}
	queue := []int{b.at[tip.ID]}
	for len(queue) > 0 {
		i := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if seen[i] {
			continue
		}
		seen[i] = true
		for _, id := range b.versions[i].Parents {
			queue = append(queue, b.at[id])
		}
	}
	return seen
}

// idIn is the id of the piece that a note names in the version that has the
// note first: whatever came to bear that name since is another piece. Empty
// where there is none.
func (b *binder) idIn(version int, piece string) (string, error) {
	if piece == "" {
		return "", nil
	}
	p, err := b.patternOf(b.versions[version])
	if err != nil {
		return "", err
	}
	if q, err := p.Piece(piece); err == nil {
		return q.ID, nil
	}
	return "", nil
}

// uniteFittings adds the fittings and notes of a branch that those before have
// not.
func (b *binder) uniteFittings(t *albumTip) {
	for _, f := range t.fittings {
		bound := b.boundByID(f.ID)
		if bound == nil {
			bound = &boundFitting{Fitting: f, tip: t, since: b.at[t.ID]}
			b.fittings = append(b.fittings, bound)
		}
		for _, n := range f.Notes {
			if bound.find(n) == nil {
				bound.notes = append(bound.notes, boundNote{Note: n, since: -1})
			}
		}
		slices.SortStableFunc(bound.notes, func(n, m boundNote) int { return cmp.Compare(n.Number, m.Number) })
	}
}

func (b *binder) boundByID(id string) *boundFitting {
	if i := slices.IndexFunc(b.fittings, func(f *boundFitting) bool { return f.ID == id }); i >= 0 {
		return b.fittings[i]
	}
	return nil
}

// find finds what another state of the fitting calls n: a note of that number
// that speaks of the same piece or says the same, else one that does both.
func (f *boundFitting) find(n pattern.Note) *boundNote {
	for i := range f.notes {
		if m := &f.notes[i]; m.Number == n.Number && (m.Piece == n.Piece || m.Seen == n.Seen) {
			return m
		}
	}
	for i := range f.notes {
		if m := &f.notes[i]; m.Piece == n.Piece && m.Seen == n.Seen {
			return m
		}
	}
	return nil
}

// findFirst finds the first version that has each fitting and each note.
func (b *binder) findFirst() error {
	for i, v := range b.versions {
		altered, added, _, err := b.repo.Changed(v)
		if err != nil {
			return err
		}
		for _, name := range append(added, altered...) {
			if !strings.HasPrefix(name, repo.FittingsFolder+"/") {
				continue
			}
			text, _, err := b.repo.ReadFile(v, name)
			if err != nil {
				return err
			}
			f, err := pattern.DecodeFitting(name, text)
			if err != nil {
				return fmt.Errorf("version %d: %w", v.Number, err)
			}
			if err := b.findFirstIn(f, i); err != nil {
				return err
			}
		}
	}
	return nil
}

// findFirstIn notes what the fitting of the version at i has first.
func (b *binder) findFirstIn(f *pattern.Fitting, i int) (err error) {
	bound := b.boundByID(f.ID)
	if bound == nil {
		return nil
	}
	bound.since = min(bound.since, i)
	for _, was := range f.Notes {
		n := bound.find(was)
		if n == nil {
			continue
		}
		if n.since < 0 {
			n.since = i
			if n.piece, err = b.idIn(i, was.Piece); err != nil {
				return err
			}
		}
		for _, a := range was.Again {
			if !slices.ContainsFunc(n.again, func(known album.Again) bool { return known.Number == a.Fitting && known.Seen == a.Seen }) {
				n.again = append(n.again, album.Again{Number: a.Fitting, Fitting: -1, Seen: a.Seen, Since: i})
			}
		}
	}
	return nil
}

// findAnswers finds the versions that answered the notes of a branch, and the
// fittings at which they were seen again.
func (b *binder) findAnswers(t *albumTip) {
	for _, f := range t.fittings {
		bound := b.boundByID(f.ID)
		for _, n := range f.Notes {
			one := bound.find(n)
			if one == nil {
				continue
			}
			numbers := []int{}
			for _, a := range n.Again {
				numbers = append(numbers, a.After)
				for k := range one.again {
					if one.again[k].Number == a.Fitting {
						one.again[k].Fitting = b.fittingAt(t, a.Fitting)
					}
				}
			}
			for _, number := range append(numbers, n.Answered) {
				if at := b.answeredBy(t, f, n, number); at >= 0 && !slices.Contains(one.by, at) {
					one.by = append(one.by, at)
				}
			}
		}
	}
}

// fittingAt is the place of the fitting that a branch numbers so, −1 for none.
func (b *binder) fittingAt(t *albumTip, number int) int {
	for _, f := range t.fittings {
		if f.Number == number {
			return slices.IndexFunc(b.fittings, func(g *boundFitting) bool { return g.ID == f.ID })
		}
	}
	return -1
}

// fittingMade is the place of the fitting that a version was made for, −1 for
// none.
func (b *binder) fittingMade(v repo.Version) int {
	if v.Fitting == 0 {
		return -1
	}
	if then, err := b.fittingsThen(v); err == nil {
		if was, err := then.Fitting(v.Fitting); err == nil {
			if i := slices.IndexFunc(b.fittings, func(f *boundFitting) bool { return f.ID == was.ID }); i >= 0 {
				return i
			}
		}
	}
	return slices.IndexFunc(b.fittings, func(f *boundFitting) bool { return f.Number == v.Fitting })
}

// putFittings adds the fittings with their notes.
func (b *binder) putFittings(book *album.Book, opt albumOptions) {
	for _, f := range b.fittings {
		out := album.Fitting{Number: f.Number, Date: f.Date, Cloth: f.Cloth, Worn: f.Worn, Closures: f.Closures,
			Sewn: b.numbered(f.Version, f.tip), Since: f.since}
		if !opt.noPersons {
			out.Wearer = f.Wearer
		}
		for _, n := range f.notes {
			out.Notes = append(out.Notes, b.noteOf(f, n, book))
		}
		book.Fittings = append(book.Fittings, out)
	}
}

func (b *binder) noteOf(f *boundFitting, n boundNote, book *album.Book) album.Note {
	since := n.since
	if since < 0 {
		since = f.since
	}
	out := album.Note{Key: f.Key(n.Note), Piece: n.Piece, PieceID: n.piece, Place: n.Place, Edge: n.Edge, OnToile: n.OnToile,
		Seen: n.Seen, Pinned: pinnedWords(n.Note, book.Unit), ToDo: n.ToDo, At: n.At, By: n.by, Since: since, Again: n.again}
	if n.Side == pattern.WearerLeft || n.Side == pattern.WearerRight || n.Side == pattern.WearerBoth {
		out.Side = string(n.Side)
	}
	return out
}

// answeredBy is the place of the version of that number that answered a note: of
// those that the branch builds on one that says so, else the one of that number;
// −1 for none.
func (b *binder) answeredBy(t *albumTip, f *pattern.Fitting, n pattern.Note, number int) int {
	if number == 0 {
		return -1
	}
	now := &pattern.Pattern{Fittings: []*pattern.Fitting{f}}
	for _, i := range slices.Sorted(maps.Keys(t.behind)) {
		v := b.versions[i]
		if v.Number != number || len(v.Answers) == 0 {
			continue
		}
		then, err := b.fittingsThen(v)
		if err != nil {
			continue
		}
		for _, key := range v.Answers {
			if was := noteOfThen(then, key); was.Fitting == f.ID && was.now(now) == f.Key(n) {
				return i
			}
		}
	}
	return b.numbered(number, t)
}

// numbered finds the version of a number that a branch builds on: that on its
// own line, else the first other one; −1 for none.
func (b *binder) numbered(number int, t *albumTip) int {
	if number == 0 {
		return -1
	}
	for at, ok := b.at[t.ID], true; ok; {
		v := b.versions[at]
		if v.Number == number {
			return at
		}
		if ok = len(v.Parents) > 0; ok {
			at = b.at[v.Parents[0]]
		}
	}
	for _, i := range slices.Sorted(maps.Keys(t.behind)) {
		if b.versions[i].Number == number {
			return i
		}
	}
	return -1
}
