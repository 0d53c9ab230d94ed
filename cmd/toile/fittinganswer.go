package main

import (
	"encoding/json"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"toile/pattern"
)

func newFittingAnswer(a *app) *cobra.Command {
	var by string
	var takeBack bool
	cmd := &cobra.Command{
		Use:   "answer NOTE…",
		Short: "Mark notes as answered, by a version or by the next one",
		Long: `Says that the next version answers the notes: the next ` + "`toile commit`" + ` marks them
so. ` + "`toile alter … --answers NOTE`" + ` says the same of an alteration, as long as it
is not taken back, and ` + "`toile commit … --answers NOTE`" + ` of that version. --by V says
that a version which is there already answered them; it has to be newer than the
one that was sewn. --take-back opens notes again that were marked by mistake.

` + exitCodes,
		Example: `  toile fitting answer 1.2 1.3
  toile fitting answer 1.2 --by 4
  toile fitting answer 1.2 --take-back`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if by != "" && takeBack {
				return usagef("--by says which version answered, and --take-back that none did; give one")
			}
			return a.change(func(o *opened) error {
				args = once(args)
				switch {
				case takeBack:
					return o.takeBackAnswers(args)
				case by != "":
					return o.answeredBy(args, by)
				}
				return o.answerNext(args)
			})
		},
		ValidArgsFunction: a.openNotes(),
	}
	cmd.Flags().StringVar(&by, "by", "", "the version `V` that answered them")
	cmd.Flags().BoolVar(&takeBack, "take-back", false, "they were not answered after all")
	completeFlagWith(cmd, "by", a.versions())
	return cmd
}

// openNote finds a note that no version has answered yet.
func (o *opened) openNote(key string) (*pattern.Fitting, *pattern.Note, error) {
	f, n, err := o.note(key)
	if err != nil {
		return nil, nil, err
	}
	if !n.Open() {
		return nil, nil, fmt.Errorf("note %s was answered by version %d already; leave it out, or if it was seen again: toile fitting again %s", key, n.Answered, key)
	}
	return f, n, nil
}

// answeredBy marks notes as answered by a version that is there.
func (o *opened) answeredBy(keys []string, by string) error {
	v, err := o.repo.Resolve(by)
	if err != nil {
		return err
	}
	for _, key := range keys {
		f, n, err := o.openNote(key)
		if err != nil {
			return err
		}
		if v.Number <= f.Version {
			return fmt.Errorf("note %s was seen on version %d, so that version %d cannot have answered it; give a newer one", key, f.Version, v.Number)
		}
		n.Answered = v.Number
		o.sayNote(f, *n, false)
	}
	return o.forgetAnswers(keys)
}

// answerNext notes that the next version answers the notes.
func (o *opened) answerNext(keys []string) error {
	for _, key := range keys {
		f, n, err := o.openNote(key)
		if err != nil {
			return err
		}
		o.sayNote(f, *n, true)
	}
	return o.changePending(func(p *pendingRecipes) { p.Answers = once(append(p.Answers, keys...)) })
}

// takeBackAnswers opens notes again.
func (o *opened) takeBackAnswers(keys []string) error {
	next, err := o.pendingAnswers()
	if err != nil {
		return err
	}
	for _, key := range keys {
		f, n, err := o.note(key)
		if err != nil {
			return err
		}
		if n.Open() && !slices.Contains(next, key) {
			return fmt.Errorf("note %s is open and the next version was not to answer it; leave it out", key)
		}
		n.Answered = 0
		o.sayNote(f, *n, false)
	}
	return o.forgetAnswers(keys)
}

// forgetAnswers no longer has the next version answer the notes.
func (o *opened) forgetAnswers(keys []string) error {
	without := func(all []string) []string {
		return slices.DeleteFunc(all, func(key string) bool { return slices.Contains(keys, key) })
	}
	return o.changePending(func(p *pendingRecipes) {
		p.Answers = without(p.Answers)
		for i := range p.Made {
			p.Made[i].Answers = without(p.Made[i].Answers)
		}
	})
}

// changePending changes what is to be said with the next version.
func (o *opened) changePending(do func(*pendingRecipes)) error {
	now, err := o.digest(o.Pattern)
	if err != nil {
		return err
	}
	p, err := o.pending(now)
	if err != nil {
		return err
	}
	do(&p)
	text, err := json.Marshal(p)
	if err != nil {
		return err
	}
	return o.repo.SetPending(text)
}

func newFittingAgain(a *app) *cobra.Command {
	var number int
	var seen string
	cmd := &cobra.Command{
		Use:   "again NOTE",
		Short: "Say that an answered note was seen again at a later fitting",
		Long: `Opens an answered note again, because it was seen at a later fitting: the last one,
or --fitting N. Which version had answered it stays on record. --seen says what was
seen this time, where that is another thing.

` + exitCodes,
		Example: `  toile fitting again 1.2
  toile fitting again 1.2 --fitting 3 --seen "less than before, but it still pulls"`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := checkNumberFlag(cmd, number); err != nil {
				return err
			}
			return a.change(func(o *opened) error { return o.seenAgain(args[0], number, seen) })
		},
		ValidArgsFunction: inOrder(a.noteKeys(func(n pattern.Note) bool { return !n.Open() }), nothing),
	}
	cmd.Flags().IntVar(&number, "fitting", 0, "the number `N` of the later fitting; the last unless said")
	cmd.Flags().StringVar(&seen, "seen", "", "what was seen this time, a `TEXT`")
	completeFlagWith(cmd, "fitting", a.fittingNumbers())
	completeFlagWith(cmd, "seen", nothing)
	return cmd
}

func (o *opened) seenAgain(key string, number int, seen string) error {
	f, n, err := o.note(key)
	if err != nil {
		return err
	}
	later, err := o.lastFitting(number)
	if err != nil {
		return err
	}
	switch {
	case n.Open():
		return fmt.Errorf("note %s is open; nothing has to be said again", key)
	case later.Number <= f.Number:
		return fmt.Errorf("note %s is of fitting %d; it can be seen again at a later one only: open it with `toile fitting open`", key, f.Number)
	case later.Version != 0 && later.Version < n.Answered:
		return fmt.Errorf("note %s was answered by version %d, and fitting %d was of version %d, before that; name a later fitting with --fitting", key, n.Answered, later.Number, later.Version)
	}
	if seen, err = fittingText("--seen", seen); err != nil {
		return err
	}
	n.Again = append(n.Again, pattern.SeenAgain{Fitting: later.Number, After: n.Answered, Seen: seen})
	n.Answered = 0
	o.sayNote(f, *n, false)
	return nil
}
