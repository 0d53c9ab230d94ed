package alter

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// Readings of both sides are told before the sides are made alike, and stay as
// they were read; those of other pieces, answered ones and single amounts are
// not told.
func TestAverageSidesTellsReadings(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(250, 0), geom.Pt(350, 600), geom.Pt(0, 600))
	p.Pieces[0].Cut = pattern.CutPair
	p = made(t, p, "separate", "panel", "drawn", "left").Pattern
	p = made(t, p, "let-out", "left panel", "edge", "side seam", "by", "6").Pattern
	mm := func(v float64) *float64 { return &v }
	note := func(k int, piece string, answered int) pattern.Note {
		return pattern.Note{Number: k, Piece: piece, Seen: "wide", Left: mm(16), Right: mm(20), Side: pattern.WearerBoth, Answered: answered}
	}
	p.Fittings = []*pattern.Fitting{{Number: 2, Notes: []pattern.Note{note(1, "left panel", 0), note(2, "left panel", 3), note(3, "back", 0),
		{Number: 4, Piece: "right panel", Seen: "wide", Pinned: 5}, note(5, "right panel", 0)}}}
	res := made(t, p, "average-sides", "left panel", "with", "right panel")
	told := strings.Join(res.Says, "\n")
	require.True(t, strings.HasPrefix(told, "note 2.1 of left panel was read 16 mm on the wearer's left and 20 mm on the right, 4 mm apart"), told)
	require.Equal(t, 2, strings.Count(told, "was read"))
	require.Contains(t, told, "note 2.5 of right panel")
	require.Equal(t, p.Fittings, res.Pattern.Fittings)
}
