package main

import (
	"errors"
	"fmt"
	"time"

	"toile/diff"
	"toile/pattern"
	"toile/repo"
)

// keepUnsaved keeps what is in no version yet as a version of its own, before a
// command would put other files in its place, and says so. Without anything
// unsaved it does nothing. The command must hold the lock.
func (o *opened) keepUnsaved(text string) error {
	files, err := o.repo.Working()
	if err != nil {
		return err
	}
	dirty, err := o.repo.Dirty(files)
	if err != nil || len(dirty) == 0 {
		return err
	}
	if err := o.decodeWorking(); err != nil {
		return fmt.Errorf("%w; what is in no version yet cannot be kept like that; correct it and run the command again", err)
	}
	last, err := o.repo.Last()
	if err != nil {
		return err
	}
	before, err := o.patternBefore(last)
	if err != nil {
		return err
	}
	if files, err = o.encode(); err != nil {
		return err
	}
	if err := o.withRecipes(files, before); err != nil {
		return err
	}
	v, err := o.keepAs(files, text, o.repo.DefaultAuthor(""), o.now())
	switch {
	case errors.Is(err, repo.ErrNothingChanged): // only written otherwise
		return o.repo.WriteWorking(files, nil)
	case err != nil:
		return err
	}
	return o.sayKept(v, before, dirty)
}

// sayKept says what of the unsaved work a version holds.
func (o *opened) sayKept(v repo.Version, before *pattern.Pattern, dirty []string) error {
	changed, added, removed, err := o.repo.Changed(v)
	if err != nil {
		return err
	}
	what := o.piecesIn(append(append(changed, added...), removed...))
	what = append(what, diff.SettingsNamed(before, o.Pattern)...)
	if len(what) == 0 {
		what = dirty
	}
	o.say("kept first as version %d of %s, because it was in no version yet: %s", v.Number, v.Branch, list(what))
	return nil
}

// keepAs makes a version and forgets the pending recipes, which it holds.
func (o *opened) keepAs(files repo.Files, text string, who repo.Author, at time.Time) (repo.Version, error) {
	v, err := o.repo.Commit(files, repo.CommitOptions{Text: text, Author: who, Time: at})
	if err != nil {
		return v, err
	}
	if err := o.repo.SetPending(nil); err != nil {
		o.advise("The recipes are kept with the version; that they are could not be noted (%v).", err)
	}
	return v, nil
}
