package main

import (
	"fmt"

	"toile/pattern"
	"toile/pattern/change"
	"toile/repo"
)

// diffSide is one side of a comparison: a version, or the working pattern. Its
// pattern is nil until readSide has read it.
type diffSide struct {
	*pattern.Pattern
	name   change.Version
	kept   *repo.Version // nil for the working pattern
	branch string        // of a version that lies on another branch
	text   string        // of a version whose number another one bears too
}

// words names the side in a sentence.
func (s diffSide) words() string {
	words := versionWords(s.name, s.branch)
	if s.text != "" {
		words += " (" + s.text + ")"
	}
	return words
}

// workingSide is the working pattern as a side.
func workingSide() diffSide { return diffSide{name: change.Version{Working: true}} }

// readSide reads the pattern of a side.
func (o *opened) readSide(s *diffSide) (err error) {
	if s.kept != nil {
		s.Pattern, err = o.patternOf(*s.kept)
		return err
	}
	err = o.decodeWorking()
	s.Pattern = o.Pattern
	return err
}

// versionSide is a version as a side.
func (o *opened) versionSide(v repo.Version) (s diffSide, err error) {
	s.kept, s.name = &v, side(v)
	if s.branch, err = o.otherBranch(v); err != nil || s.branch != "" {
		return s, err
	}
	alone, err := o.repo.Alone(v)
	if err != nil || alone {
		return s, err
	}
	alike, err := o.numberedVersions(v.Number)
	if len(alike) > 1 {
		s.text = oneLine(v)
	}
	return s, err
}

// typedSide is a version that somebody typed.
func (o *opened) typedSide(text string) (diffSide, error) {
	v, err := o.repo.Resolve(text)
	if err != nil {
		return diffSide{}, err
	}
	return o.versionSide(v)
}

// toSide is TO: what was typed second, else the working pattern. The first
// branch has a name that could be taken for it.
func (o *opened) toSide(args []string) (diffSide, error) {
	if len(args) < 2 {
		return workingSide(), nil
	}
	if args[1] == repo.FirstBranch {
		o.advise("%q means the last version of that branch; leave TO out for the working pattern.", repo.FirstBranch)
	}
	return o.typedSide(args[1])
}

// fromSide is FROM: what was typed first, else the last version.
func (o *opened) fromSide(args []string) (diffSide, error) {
	if len(args) > 0 {
		return o.typedSide(args[0])
	}
	last, err := o.lastVersion()
	if err != nil {
		return diffSide{}, err
	}
	return o.versionSide(last)
}

// drawnWords names the side as drawings do, with its day.
func (o *opened) drawnWords(s diffSide) (string, error) {
	if s.kept == nil {
		return o.workingWords()
	}
	return o.datedWords(*s.kept)
}

// piece finds a piece on this side.
func (s diffSide) piece(name string) (*pattern.Piece, error) {
	q, err := s.Piece(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.words(), err)
	}
	return q, nil
}
