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

// boundFitting is a fitting as the last version that has it says it.
type boundFitting struct {
	*pattern.Fitting
	tip   repo.Version   // the branch's last version in which it was found
	since int            // the first version that has it
	notes map[string]int // the first version that has each note
}

// readFittings reads the fittings of all branches, that of the folder first: a
// fitting that several have is told as the first of them has it.
func (b *binder) readFittings(tips []repo.Version) error {
	known := map[string]bool{}
	for _, tip := range tips {
		files, err := b.repo.ReadFolder(tip, repo.FittingsFolder)
		if err != nil {
			return err
		}
		for _, name := range slices.Sorted(maps.Keys(files)) {
			f, err := pattern.DecodeFitting(name, files[name])
			if err != nil {
				return fmt.Errorf("version %d: %w", tip.Number, err)
			}
			if known[f.ID] {
				continue
			}
			known[f.ID] = true
			b.fittings = append(b.fittings, boundFitting{Fitting: f, tip: tip, since: b.at[tip.ID], notes: map[string]int{}})
		}
	}
	slices.SortStableFunc(b.fittings, func(f, g boundFitting) int { return cmp.Compare(f.Number, g.Number) })
	return b.findFirst()
}

// findFirst finds the first version that has each fitting and each note.
func (b *binder) findFirst() error {
	of := map[string]*boundFitting{}
	for i := range b.fittings {
		of[b.fittings[i].ID] = &b.fittings[i]
	}
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
			if bound := of[f.ID]; bound != nil {
				bound.since = min(bound.since, i)
				for _, was := range f.Notes {
					n := bound.NoteNow(was)
					if n == nil {
						continue
					}
					if _, seen := bound.notes[bound.Key(*n)]; !seen {
						bound.notes[bound.Key(*n)] = i
					}
				}
			}
		}
	}
	return nil
}

// fittingMade is the place of the fitting that a version was made for, −1 for
// none.
func (b *binder) fittingMade(v repo.Version) int {
	if v.Fitting == 0 {
		return -1
	}
	if then, err := b.fittingsThen(v); err == nil {
		if was, err := then.Fitting(v.Fitting); err == nil {
			if i := slices.IndexFunc(b.fittings, func(f boundFitting) bool { return f.ID == was.ID }); i >= 0 {
				return i
			}
		}
	}
	return slices.IndexFunc(b.fittings, func(f boundFitting) bool { return f.Number == v.Fitting })
}

// putFittings adds the fittings with their notes.
func (b *binder) putFittings(book *album.Book, opt albumOptions) {
	for _, f := range b.fittings {
		out := album.Fitting{Number: f.Number, Date: f.Date, Cloth: f.Cloth, Worn: f.Worn, Closures: f.Closures,
			Sewn: b.numbered(f.Version, f.tip), Since: f.since}
		if !opt.noPersons {
			out.Wearer = f.Wearer
		}
		for _, n := range f.Notes {
			out.Notes = append(out.Notes, b.noteOf(f, n, book))
		}
		book.Fittings = append(book.Fittings, out)
	}
}

func (b *binder) noteOf(f boundFitting, n pattern.Note, book *album.Book) album.Note {
	since, ok := f.notes[f.Key(n)]
	if !ok {
		since = f.since
	}
	out := album.Note{Key: f.Key(n), Piece: n.Piece, Place: n.Place, Seen: n.Seen, Pinned: pinnedWords(n, book.Unit), ToDo: n.ToDo, At: n.At, By: -1, Since: since}
	if !n.Open() {
		out.By = b.answeredBy(f, n)
	}
	if len(n.Again) > 0 {
		last := n.Again[len(n.Again)-1]
		out.Again = fmt.Sprintf("seen again at fitting %d", last.Fitting)
		if last.Seen != "" {
			out.Again += ": " + last.Seen
		}
	}
	return out
}

// answeredBy is the place of the version that answered a note: one that says
// so, else the one of that number.
func (b *binder) answeredBy(f boundFitting, n pattern.Note) int {
	for i, v := range b.versions {
		if v.Number != n.Answered || len(v.Answers) == 0 {
			continue
		}
		then, err := b.fittingsThen(v)
		if err != nil {
			continue
		}
		now := &pattern.Pattern{Fittings: []*pattern.Fitting{f.Fitting}}
		for _, key := range v.Answers {
			if was := noteOfThen(then, key); was.Fitting == f.ID && was.now(now) == f.Key(n) {
				return i
			}
		}
	}
	return b.numbered(n.Answered, f.tip)
}

// numbered finds the version of a number that another builds on, that on its
// own line first; −1 for none.
func (b *binder) numbered(number int, tip repo.Version) int {
	if number == 0 {
		return -1
	}
	seen := map[string]bool{}
	queue := []string{tip.ID}
	for len(queue) > 0 {
		i := b.at[queue[0]]
		queue = queue[1:]
		v := b.versions[i]
		if v.Number == number {
			return i
		}
		for _, id := range v.Parents {
			if !seen[id] {
				seen[id] = true
				queue = append(queue, id)
			}
		}
	}
	return -1
}
