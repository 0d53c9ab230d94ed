package main

import (
	"fmt"
	"slices"

	"toile/pattern"
	"toile/repo"
)

// answersSaidLater adds to what versions say of notes those that they answer without
// saying so themselves: `fitting answer --by` said it of them afterwards. now has
// the notes as they are called now.
func (o *opened) answersSaidLater(versions []repo.Version, said map[string]notesSaid, now *pattern.Pattern) error {
	var trail *noteTrail
	for _, f := range now.Fittings {
		for _, n := range f.Notes {
			for k, by := range append(afters(n), n.Answered) {
				alike := slices.DeleteFunc(slices.Clone(versions), func(v repo.Version) bool { return v.Number != by || by == 0 })
				says := func(v repo.Version) bool { return slices.Contains(answersNow(said[v.ID], now), f.Key(n)) }
				if len(alike) == 0 || slices.ContainsFunc(alike, says) {
					continue
				}
				v := &alike[0]
				if len(alike) > 1 {
					var err error
					if trail == nil {
						if trail, err = o.noteTrail(diffSide{Pattern: now}); err != nil || trail == nil {
							return err
						}
					}
					if v = trail.answering(f, n, k); v == nil {
						continue
					}
				}
				notes := said[v.ID]
				notes.Answers = append(slices.Clip(notes.Answers), answeredThen{noteThen{f.ID, f.Number, n.Number, n.Piece, n.Seen}, noteLine(n.Piece, n.Seen)})
				said[v.ID] = notes
			}
		}
	}
	return nil
}

// afters are the versions that had answered a note when it was seen again.
func afters(n pattern.Note) (all []int) {
	for _, s := range n.Again {
		all = append(all, s.After)
	}
	return all
}

// answeredBeforeWords names the version that had answered a note when it was seen
// again for the k-th time from 0, with its text where several bear the number.
func (o *opened) answeredBeforeWords(f *pattern.Fitting, n pattern.Note, k int) string {
	words := fmt.Sprintf("version %d", n.Again[k].After)
	found, err := o.numberedVersions(n.Again[k].After)
	if err != nil || len(found) < 2 {
		return words
	}
	trail, err := o.noteTrail(diffSide{Pattern: o.Pattern})
	if err != nil || trail == nil {
		return words
	}
	if v := trail.answering(f, n, k); v != nil {
		words += " (" + oneLine(*v) + ")"
	}
	return words
}

// answering is the version that answered a note, as the version meant that had it so
// first: before it was seen again for the k-th time from 0, or since; nil where no
// version has it so.
func (t *noteTrail) answering(f *pattern.Fitting, n pattern.Note, k int) *repo.Version {
	fitting := t.there[t.tip][f.ID]
	if fitting == nil || fitting.notes[n.Number] == nil {
		return nil
	}
	there, at := fitting.notes[n.Number], -1
	switch {
	case k < len(n.Again) && k < len(there.Again) && n.Again[k] == there.Again[k]:
		at = there.after[k]
	case k == len(n.Again) && there.Answered == n.Answered:
		at = there.by
	}
	if at < 0 {
		return nil
	}
	return &t.versions[at]
}
