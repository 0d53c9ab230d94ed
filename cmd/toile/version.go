package main

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"toile/pattern"
	"toile/pattern/change"
	"toile/repo"
)

// lastVersion is the last version of the branch; that there is none yet is an
// error.
func (o *opened) lastVersion() (repo.Version, error) {
	last, err := o.repo.Last()
	if err != nil {
		return repo.Version{}, err
	}
	if last == nil {
		return repo.Version{}, errors.New("there is no version yet; make the first with `toile commit TEXT`")
	}
	return *last, nil
}

// patternOf reads the pattern of a version.
func (o *opened) patternOf(v repo.Version) (*pattern.Pattern, error) {
	files, err := o.repo.Read(v)
	if err != nil {
		return nil, err // it names the version
	}
	if _, holds := files[repo.PatternFile]; !holds {
		return nil, fmt.Errorf("version %d has no %s, as another program kept it, so it is no pattern that can be read; take an earlier one, or keep the folder as it lies with `toile commit`", v.Number, repo.PatternFile)
	}
	p, err := o.reader.DecodeKept(files)
	if err != nil {
		return nil, fmt.Errorf("version %d: %w", v.Number, err)
	}
	return p, nil
}

// patternBefore is the pattern of the version before a new one: an empty one
// where there is none, or where a git program took the pattern's files out of it.
func (o *opened) patternBefore(last *repo.Version) (*pattern.Pattern, error) {
	if last == nil {
		return pattern.New(o.Name, o.Unit), nil
	}
	files, err := o.repo.Read(*last)
	if _, holds := files[repo.PatternFile]; err == nil && !holds {
		return pattern.New(o.Name, o.Unit), nil
	}
	return o.patternOf(*last)
}

// side names a version as one side of a diff.
func side(v repo.Version) change.Version {
	return change.Version{Number: v.Number, ID: v.ID, Text: v.Text}
}

// versionWords names one side of a diff in a sentence; branch is that of a
// version which lies on another branch, else empty.
func versionWords(v change.Version, branch string) string {
	if v.Working {
		return "the working pattern"
	}
	words := fmt.Sprintf("version %d", v.Number)
	if branch != "" {
		words += " of " + branch
	}
	return words
}

// otherBranch names the branch of a version that the present branch does not
// build on; empty for one that it does.
func (o *opened) otherBranch(v repo.Version) (string, error) {
	current, err := o.repo.Branch()
	if err != nil || v.Branch == current || v.Branch == "" {
		return "", err
	}
	history, err := o.repo.History()
	if err != nil || slices.ContainsFunc(history, func(w repo.Version) bool { return w.ID == v.ID }) {
		return "", err
	}
	return v.Branch, nil
}

// datedWords names a version with its day and its given names, as drawings show
// it.
func (o *opened) datedWords(v repo.Version) (string, error) {
	branch, err := o.otherBranch(v)
	if err != nil {
		return "", err
	}
	names, err := o.repo.Names()
	if err != nil {
		return "", err
	}
	words := versionWords(side(v), branch) + ", " + v.Time.Format(time.DateOnly)
	if called := namesOf(v, names); len(called) > 0 {
		words += ", called " + list(called)
	}
	return words, nil
}

// namesOf lists the given names of a version.
func namesOf(v repo.Version, names map[string]string) []string {
	var called []string
	for name, id := range names {
		if id == v.ID {
			called = append(called, name)
		}
	}
	slices.Sort(called)
	return called
}

// workingWords says which version the working pattern is, or which one it was
// changed since.
func (o *opened) workingWords() (string, error) {
	last, err := o.repo.Last()
	if err != nil {
		return "", err
	}
	if last == nil {
		return "working pattern, no version yet", nil
	}
	files, err := o.encode()
	if err != nil {
		return "", err
	}
	changed, err := o.repo.Dirty(files)
	if err != nil {
		return "", err
	}
	if len(changed) == 0 {
		return o.datedWords(*last)
	}
	return fmt.Sprintf("working pattern, changed since version %d", last.Number), nil
}

// fittingWords names a fitting with its date, as drawings show it; empty for
// none.
func fittingWords(p *pattern.Pattern, number int) string {
	if number == 0 {
		return ""
	}
	text := fmt.Sprintf("fitting %d", number)
	if f, err := p.Fitting(number); err == nil && f.Date != "" {
		text += ", " + f.Date
	}
	return text
}
