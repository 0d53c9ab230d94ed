package main

import (
	"errors"
	"fmt"

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
		return nil, fmt.Errorf("version %d: %w", v.Number, err)
	}
	p, err := pattern.Decode(files)
	if err != nil {
		return nil, fmt.Errorf("version %d: %w", v.Number, err)
	}
	return p, nil
}

// side names a version as one side of a diff.
func side(v repo.Version) change.Version {
	return change.Version{Number: v.Number, ID: v.ID, Text: v.Text}
}

// versionWords names one side of a diff in a sentence.
func versionWords(v change.Version) string {
	if v.Working {
		return "the working pattern"
	}
	return fmt.Sprintf("version %d", v.Number)
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
