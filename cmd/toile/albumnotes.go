package main

import (
	"maps"
	"slices"
	"strings"

	"toile/pattern"
	"toile/repo"
)

// A note is followed through the versions as pieces are: it is one note for its
// whole life, whatever number a merge gives it, and two that branches gave one
// number are two. What a version's files say of the note is read where they
// changed, and versions that are named by number there are looked for among those
// that it builds on.

// noteLife is one note through all versions.
type noteLife struct {
	fitting string // its id
	first   int    // the version that has it first
}

// namedPiece is a piece by the name that it has in a version.
type namedPiece struct {
	version int
	name    string
}

// noteThere is what a version has of a note.
type noteThere struct {
	pattern.Note
	line  *noteLife
	by    int   // the version that answered it, −1 while open
	after []int // for each of Again the version that had answered it
	since []int // for each of Again the version that has it first
	named []namedPiece
}

// fittingThere is what a version has of a fitting.
type fittingThere struct {
	*pattern.Fitting
	sewn  int // the version that was sewn, −1 where that is not known
	notes map[int]*noteThere
}

// followFittings reads what each version has of fittings, by their ids.
func (b *binder) followFittings() error {
	b.there = make([]map[string]*fittingThere, len(b.versions))
	for i, v := range b.versions {
		altered, added, removed, err := b.repo.Changed(v)
		if err != nil {
			return err
		}
		ofFittings := func(name string) bool { return strings.HasPrefix(name, repo.FittingsFolder+"/") }
		if len(v.Parents) > 0 && !slices.ContainsFunc(slices.Concat(altered, added, removed), ofFittings) {
			b.there[i] = b.there[b.at[v.Parents[0]]]
			continue
		}
		then, err := b.fittingsThen(v)
		if err != nil {
			return err
		}
		b.there[i] = map[string]*fittingThere{}
		for _, f := range then.Fittings {
			b.there[i][f.ID] = b.fittingAt(i, f)
		}
	}
	return nil
}

// fittingAt follows a fitting of a version from those that it builds on.
func (b *binder) fittingAt(i int, f *pattern.Fitting) *fittingThere {
	out := &fittingThere{Fitting: f, sewn: -1, notes: map[int]*noteThere{}}
	found := f.Version == 0
	for _, id := range b.versions[i].Parents {
		was := b.there[b.at[id]][f.ID]
		if was == nil {
			continue
		}
		if !found && was.Version == f.Version {
			found, out.sewn = true, was.sewn
		}
		for _, number := range slices.Sorted(maps.Keys(was.notes)) {
			b.takeOver(i, out, was, was.notes[number])
		}
	}
	if !found {
		out.sewn = b.numbered(f.Version, i)
	}
	for _, n := range f.Notes {
		there := out.notes[n.Number]
		if there == nil {
			there = &noteThere{Note: n, line: &noteLife{f.ID, i}, by: -1, named: []namedPiece{{i, n.Piece}}}
			out.notes[n.Number] = there
		}
		b.answerAt(i, f, there, nil)
	}
	return out
}

// takeOver follows one note of an earlier version into a fitting.
func (b *binder) takeOver(i int, to, from *fittingThere, was *noteThere) {
	n := to.NoteNow(was.Note)
	if n == nil {
		return
	}
	if other := from.notes[n.Number]; n.Number != was.Number && other != nil && other.Piece == n.Piece && other.Seen == n.Seen {
		return // that one is the other's
	}
	there := to.notes[n.Number]
	if there == nil {
		there = &noteThere{Note: *n, line: was.line, by: -1, named: namedNow(i, was, *n)}
		to.notes[n.Number] = there
	}
	if there.line == was.line {
		b.answerAt(i, to.Fitting, there, was)
	}
}

// namedNow says in which versions the note's piece is to be looked for by name: in
// the one that set its place, and where it is of a whole piece again where that
// got another name.
func namedNow(i int, was *noteThere, n pattern.Note) []namedPiece {
	switch {
	case !oneSpot(was.At, n.At):
		return []namedPiece{{i, n.Piece}}
	case n.At == nil && n.Piece != was.Piece:
		return append(slices.Clip(was.named), namedPiece{i, n.Piece})
	}
	return was.named
}

// answerAt finds the versions that answered a note as version i has it: the same as
// in an earlier one where that says so too, else by their numbers. With no earlier
// one, what is still missing is looked for.
func (b *binder) answerAt(i int, f *pattern.Fitting, n, was *noteThere) {
	for len(n.after) < len(n.Again) {
		n.after, n.since = append(n.after, -1), append(n.since, -1)
	}
	if was == nil {
		if !n.Open() && n.by < 0 {
			n.by = b.answering(i, f, n)
		}
		for k, s := range n.Again {
			if n.after[k] < 0 {
				n.after[k] = b.numbered(s.After, i)
			}
			if n.since[k] < 0 {
				n.since[k] = i
			}
		}
		return
	}
	bears := func(at, number int) bool { return at >= 0 && b.versions[at].Number == number }
	if !n.Open() && n.by < 0 && bears(was.by, n.Answered) {
		n.by = was.by
	}
	for k, s := range n.Again {
		for l, t := range was.Again {
			if s.After == t.After && s.Seen == t.Seen && n.since[k] < 0 {
				n.after[k], n.since[k] = was.after[l], was.since[l]
			}
		}
		if n.after[k] < 0 && bears(was.by, s.After) {
			n.after[k] = was.by
		}
	}
}

// answering is the version that answered a note as version i has it first: itself
// where it says so, else one of those before it.
func (b *binder) answering(i int, f *pattern.Fitting, n *noteThere) int {
	v := b.versions[i]
	if v.Number == n.Answered && len(v.Parents) > 0 && !slices.Contains(v.Answers, f.Key(n.Note)) {
		if at := b.numbered(n.Answered, b.at[v.Parents[0]]); at >= 0 {
			return at
		}
	}
	return b.numbered(n.Answered, i)
}

// numbered finds the version of a number that another builds on, or is: that on
// its own line first, then those that were merged. One of another branch is taken
// where there is no such, −1 where there is none at all.
func (b *binder) numbered(number, from int) int {
	if number == 0 {
		return -1
	}
	seen, queue := map[int]bool{}, []int{from}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for at >= 0 && !seen[at] {
			seen[at] = true
			v := b.versions[at]
			if v.Number == number {
				return at
			}
			at = -1
			for k, id := range v.Parents {
				if k == 0 {
					at = b.at[id]
				} else {
					queue = append(queue, b.at[id])
				}
			}
		}
	}
	return slices.IndexFunc(b.versions, func(v repo.Version) bool { return v.Number == number })
}

// buildsOn are the versions that one builds on, itself included.
func (b *binder) buildsOn(from int) map[int]bool {
	seen, queue := map[int]bool{}, []int{from}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		if seen[at] {
			continue
		}
		seen[at] = true
		for _, id := range b.versions[at].Parents {
			queue = append(queue, b.at[id])
		}
	}
	return seen
}
