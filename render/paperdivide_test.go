package render

import (
	"math"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// box400 is a panel of 400 by 600 mm, each side moved out by so much.
func box400(left, down, right, up float64) *pattern.Piece {
	return polygonPiece("panel", []string{"upper edge", "right side", "hemline", "left side"},
		geom.Pt(-left, -up), geom.Pt(400+right, -up), geom.Pt(400+right, 600+down), geom.Pt(-left, 600+down))
}

// A change that goes round corners is printed in strips, not as the whole piece;
// pasted on, or with what is cut off taken away, they make the new piece. The
// union is that of a reference library for polygons.
func TestStripsRoundCorners(t *testing.T) {
	plain := box400(0, 0, 0, 0)
	for name, c := range map[string]struct {
		old, now *pattern.Piece
		strips   int
		todo     string
	}{
		"L out":      {plain, box400(20, 20, 0, 0), 2, "paste on"},
		"U out":      {plain, box400(20, 20, 20, 0), 3, "paste on"},
		"U in":       {box400(20, 20, 20, 0), plain, 3, "cut off"},
		"all round":  {plain, box400(20, 20, 20, 20), 4, "paste on"},
		"one side":   {plain, box400(20, 0, 0, 0), 1, "paste on"},
		"two of one": {plain, box400(20, 0, 20, 0), 2, "paste on"},
	} {
		t.Run(name, func(t *testing.T) {
			p := change.PieceDiff{Piece: "panel", State: change.Altered, Old: c.old, New: c.now}
			pr := NewPrint(fixtureSheet(), "cloth", paperJob(t, "A4"))
			changed, err := pr.Changed(p)
			require.NoError(t, err)
			require.Equal(t, c.strips, len(changed.Plots), "%v", changed.Says)
			for _, says := range changed.Says[:c.strips] {
				assert.Contains(t, says, c.todo)
			}
			for _, plot := range changed.Plots {
				size := plot.Box.Size()
				assert.Less(t, math.Min(size.X, size.Y), 100.0, "a strip is narrow")
			}

			oldCut, err := c.old.CuttingLine("cloth")
			require.NoError(t, err)
			newCut, err := c.now.CuttingLine("cloth")
			require.NoError(t, err)
			made := polygonOf(t, oldCut.Ring).AsGeometry()
			for _, strip := range stripsRead(t, changed.Plots, newCut.Ring) {
				for _, r := range strip.added {
					made, err = sf.Union(made, polygonOf(t, r).AsGeometry())
					require.NoError(t, err)
				}
				for _, r := range strip.removed {
					made, err = sf.Difference(made, polygonOf(t, r).AsGeometry())
					require.NoError(t, err)
				}
				strip.assertLines(t, oldCut.Ring, newCut.Ring)
			}
			off, err := sf.SymmetricDifference(made, polygonOf(t, newCut.Ring).AsGeometry())
			require.NoError(t, err)
			assert.Less(t, off.Area(), drawnTrue*newCut.Ring.Length())
		})
	}
}
