package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
)

// sentencesOf makes alterations one after the other and returns what the diff says
// of a piece; each is a kind, a piece, and keys with their values.
func sentencesOf(t *testing.T, p *pattern.Pattern, piece string, steps ...[]string) []string {
	t.Helper()
	after := p
	for _, s := range steps {
		r := alter.Recipe{Kind: s[0], Piece: s[1], Values: map[string]string{}}
		for i := 2; i < len(s); i += 2 {
			r.Values[s[i]] = s[i+1]
		}
		res, err := alter.Make(after, r)
		require.NoError(t, err)
		after = res.Pattern
	}
	d, err := diff.Patterns(p, after, change.Version{Working: true}, change.Version{Working: true})
	require.NoError(t, err)
	var said []string
	for _, q := range d.Pieces {
		for _, ch := range q.Changes {
			if q.Piece == piece {
				said = append(said, ch.Says)
			}
		}
	}
	return said
}

// An edge that was renamed is called as it was, and once as it is now.
func TestDiffSaysTheNewNameOnce(t *testing.T) {
	said := sentencesOf(t, gown(t), "front", []string{"rename", "front", "to", "outer seam", "edge", "side seam"},
		[]string{"let-out", "front", "edge", "outer seam", "by", "10"})
	require.Contains(t, said[0], `"side seam" (now "outer seam") is let out 10 mm`)
	require.NotContains(t, said[1], "(now")
}

// A new mark is told with where it lies.
func TestDiffSaysWhereANewMarkLies(t *testing.T) {
	said := sentencesOf(t, gown(t), "front", []string{"mark", "front", "kind", "button", "at", "250, 700"})
	require.Len(t, said, 1)
	require.Contains(t, said[0], `is new, 40 mm from "front edge" and 80 mm from "hemline"`)
}

// A pleat on an edge that runs on over the fold is where it was.
func TestUnfoldingKeepsAPleat(t *testing.T) {
	p := gown(t)
	p.Pieces[0].Marks = []pattern.Mark{{Kind: pattern.MarkPleat, Name: "pleat", Edge: "hemline", From: 60, To: 90, Direction: "end"}}
	for _, says := range sentencesOf(t, p, "back", []string{"unfold", "back"}) {
		require.NotContains(t, says, "pleat")
	}
}

// What lies beyond the fold of a piece that was opened out is called as the piece
// calls it, and its notches are not told as gone and new.
func TestUnfoldedHalfIsCalledAsItIs(t *testing.T) {
	said := sentencesOf(t, gown(t), "back", []string{"unfold", "back"}, []string{"take-in", "back", "edge", "other side seam", "by", "10"})
	all := strings.Join(said, "\n")
	require.Contains(t, all, `"other side seam" is taken in 10 mm`)
	require.NotContains(t, all, "beyond the fold")
	require.NotContains(t, all, "notch")
}
