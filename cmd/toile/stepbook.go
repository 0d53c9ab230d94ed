package main

import (
	"encoding/json"
	"slices"

	"toile/repo"
)

// stepBook keeps what is said of a piece at the versions that altered it, beside
// the pattern, as the historian keeps it of versions: it never changes, and is
// believed for as long as it is the same build of this program that says it.
type stepBook struct {
	repo  *repo.Repo
	stamp string
	kept  map[string]string
	fresh map[string]string
}

// stepSaid is what is kept of a step at which a piece stayed in its file and
// remained the same piece.
type stepSaid struct {
	Name  string   `json:"name"`  // of the piece in this version
	Piece string   `json:"piece"` // what the comparison calls it
	Says  []string `json:"says"`
}

func (o *opened) newStepBook() *stepBook {
	b := &stepBook{repo: o.repo, stamp: buildStamp(), fresh: map[string]string{}}
	if b.stamp == "" {
		return nil
	}
	b.kept = o.repo.Said(b.stamp)
	return b
}

func stepKey(v repo.Version, file string) string { return v.ID + " " + file }

// find looks a step up; nil where it is not in the book. Where a piece came or
// went, it is looked at each time.
func (b *stepBook) find(v repo.Version, file string, s repo.Step) *stepSaid {
	if b == nil || s.Came || s.Went {
		return nil
	}
	text, ok := b.kept[stepKey(v, file)]
	said := &stepSaid{}
	if !ok || json.Unmarshal([]byte(text), said) != nil || said.Name == "" {
		return nil
	}
	return said
}

// enter notes a step for the next time.
func (b *stepBook) enter(s *pieceStep) {
	if b == nil || s.before == nil || s.now == nil || s.before.FileName() != s.now.FileName() {
		return
	}
	text, err := json.Marshal(stepSaid{s.now.Name, s.said.Piece, pieceSaid(s.said)})
	if err == nil {
		b.fresh[stepKey(s.version, s.now.FileName())] = string(text)
	}
}

// keep keeps what was entered.
func (b *stepBook) keep() {
	if b != nil {
		b.repo.KeepSaid(b.stamp, b.fresh)
	}
}

// says is what is said of the piece at a step.
func (s *pieceStep) says() []string {
	if s.byHeart != nil {
		return slices.Clone(s.byHeart.Says)
	}
	return pieceSaid(s.said)
}

// piece is what the piece is called where the step is told.
func (s *pieceStep) piece() string {
	if s.byHeart != nil {
		return s.byHeart.Piece
	}
	return s.said.Piece
}

// nameNow is the piece's name after the step, that before it where it went.
func (s *pieceStep) nameNow() string {
	switch {
	case s.byHeart != nil:
		return s.byHeart.Name
	case s.now != nil:
		return s.now.Name
	}
	return s.before.Name
}
