package main

import (
	"fmt"

	"toile/pattern"
	"toile/pattern/change"
	"toile/repo"
)

// diffSide is one side of a comparison: a version, or the working pattern.
type diffSide struct {
	*pattern.Pattern
	name   change.Version
	kept   *repo.Version // nil for the working pattern
	branch string        // of a version that lies on another branch
}

// words names the side in a sentence.
func (s diffSide) words() string { return versionWords(s.name, s.branch) }

// workingSide reads the working pattern.
func (o *opened) workingSide() (diffSide, error) {
	if err := o.decodeWorking(); err != nil {
		return diffSide{}, err
	}
	return diffSide{Pattern: o.Pattern, name: change.Version{Working: true}}, nil
}

// versionSide reads a version.
func (o *opened) versionSide(v repo.Version) (s diffSide, err error) {
	s.kept, s.name = &v, side(v)
	if s.branch, err = o.otherBranch(v); err != nil {
		return s, err
	}
	s.Pattern, err = o.patternOf(v)
	return s, err
}

// typedSide reads a version that somebody typed.
func (o *opened) typedSide(text string) (diffSide, error) {
	v, err := o.repo.Resolve(text)
	if err != nil {
		return diffSide{}, err
	}
	return o.versionSide(v)
}

// toSide reads TO: what was typed second, else the working pattern. The first
// branch has a name that could be taken for it.
func (o *opened) toSide(args []string) (diffSide, error) {
	if len(args) < 2 {
		return o.workingSide()
	}
	if args[1] == repo.FirstBranch {
		o.advise("%q means the last version of that branch; leave TO out for the working pattern.", repo.FirstBranch)
	}
	return o.typedSide(args[1])
}

// fromSide reads FROM: what was typed first, else the last version.
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
