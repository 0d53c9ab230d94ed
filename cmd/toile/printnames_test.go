package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/pattern"
	"toile/pattern/change"
)

// Two names of which no letter can be printed are told apart by their numbers, the
// others stay; a piece that changed has one name, and so have its strips.
func TestNamesThatCannotBePrinted(t *testing.T) {
	p := &pattern.Pattern{Pieces: []*pattern.Piece{{Name: "前片", Slug: "piece"}, {Name: "后片", Slug: "piece-2"}, {Name: "коњ Šč", Slug: "kon"}}}
	s := diffSide{Pattern: p}
	for i, want := range []string{"piece 1 (前片)", "piece 2 (后片)", "коњ Šč"} {
		q, says, err := s.legible(p.Pieces[i])
		require.NoError(t, err)
		assert.Equal(t, want, q.Name)
		assert.Equal(t, i < 2, says != "", says)
	}
	now := &pattern.Pattern{Pieces: p.Pieces[1:]}
	c := &comparison{from: s, to: diffSide{Pattern: now}}
	d := change.PieceDiff{Piece: "后片", Old: p.Pieces[1].Clone(), New: p.Pieces[1]}
	require.NoError(t, c.legible(&d))
	assert.Equal(t, []string{"piece 1 (后片)", "piece 1 (后片)", "piece 1 (后片)"}, []string{d.Piece, d.Old.Name, d.New.Name})
	gone := change.PieceDiff{Piece: "前片", Old: p.Pieces[0]}
	require.NoError(t, c.legible(&gone))
	assert.Equal(t, "piece 1 (前片)", gone.Piece)
}
