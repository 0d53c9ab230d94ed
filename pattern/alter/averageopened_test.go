package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// A straight strip opened out at its fold and taken in on one side alone is alike
// about a line beside its middle, and not about the fold: both sides get half of what
// the one was taken in by.
func TestAverageSidesOfAStripTakenInOnOneSide(t *testing.T) {
	for _, by := range []float64{4, 20, 35} {
		panel := drawPiece("panel", "outer", pattern.CutOnFold, lineTo("waist", 0, 0, 220, 0), lineTo("side seam", 220, 0, 240, 600), lineTo("hemline", 240, 600, 0, 600), lineTo("centre back", 0, 600, 0, 0))
		p := pattern.New("strip", units.Millimetre)
		panel.Slug = p.NewSlug("panel")
		p.Put(panel)
		p.GiveIDs(panel)
		p = made(t, p, "unfold", "panel", "drawn", "left").Pattern
		p = made(t, p, "take-in", "panel", "edge", "side seam", "by", units.Number(by, 3)).Pattern
		res := made(t, p, "average-sides", "panel")
		require.Contains(t, res.Says[0], `laid together along the reference line "centre back"`)
		q := pieceOf(t, res.Pattern, "panel")
		want := pieceOf(t, made(t, p, "average-sides", "panel", "axis", "centre back").Pattern, "panel")
		for i, c := range q.Corners {
			require.InDelta(t, 0, c.At.Dist(want.Corners[i].At), 1e-9)
		}
		for _, name := range []string{"side seam", "other side seam"} {
			_, off := edgePathOf(t, q, name).Nearest(geom.Pt(map[bool]float64{true: 230, false: -230}[name == "side seam"], 300))
			require.InDelta(t, by/2, off, 0.01, name)
		}
	}
}
