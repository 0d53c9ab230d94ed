package check

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// One lining, cut a pair, under a left front let out by 6 mm at the side and a right one
// that is as it was: its one drawing moved, the right side would be out. Under two
// fronts let out alike it is moved.
func TestPairUnderALeftAndARightPiece(t *testing.T) {
	piece := func(name string, wide float64) *pattern.Piece {
		return polygon(name, pattern.CutPair, 15, []string{"neckline", "shoulder", "side seam", "hemline", "front edge"},
			geom.Pt(0, 100), geom.Pt(100, 0), geom.Pt(wide, 0), geom.Pt(wide, 800), geom.Pt(0, 800))
	}
	front := func(name string, side pattern.WearerSide, wide float64) *pattern.Piece {
		q := piece(name, wide)
		if side == pattern.WearerRight {
			q = q.Moved(geom.MirrorIn(geom.Pt(400, 0), geom.Pt(400, 1)))
		}
		q.Side, q.Cut = string(side), pattern.CutOne
		return q
	}
	for _, right := range []float64{300, 306} {
		lining := piece("front lining", 300)
		lining.Cloth = "lining"
		p := sewn(t, nil, front("left front", pattern.WearerLeft, 306), front("right front", pattern.WearerRight, right), lining)
		for _, outer := range []string{"left front", "right front"} {
			p.Layers = append(p.Layers, pattern.Layer{Outer: outer, Inner: []string{"front lining"}})
		}
		var off []change.Finding
		for _, f := range run(t, p) {
			if f.Kind == change.LayerOff {
				off = append(off, f)
			}
		}
		require.NotEmpty(t, off)
		require.InDelta(t, -6, off[0].MM, 1e-6)
		if right == 300 {
			require.Len(t, off, 1)
			require.Contains(t, off[0].Do, "make two pieces of front lining with `toile alter separate \"front lining\" --drawn left`, for that under right front is to stay")
			continue
		}
		require.Len(t, off, 2)
		require.NotContains(t, off[0].Do, "separate")
		require.Contains(t, off[0].Do, `move "side seam" of front lining out by 6 mm`)
	}
}
