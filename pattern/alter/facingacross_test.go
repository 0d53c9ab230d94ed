package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern"
)

// yoked is a back on the fold and a pair of fronts, sewn first at the side, where they
// are not the same shape, and then at the shoulder, where they are.
func yoked(t *testing.T, sideFirst bool) *pattern.Pattern {
	back := drawPiece("back", "outer", pattern.CutOnFold, lineTo("neckline", 0, 30, 80, 0), lineTo("shoulder", 80, 0, 200, 50), lineTo("armhole", 200, 50, 220, 220),
		lineTo("side seam", 220, 220, 230, 600), lineTo("hemline", 230, 600, 0, 600), lineTo("fold", 0, 600, 0, 30))
	back.Edges[5].Fold, back.Edges[5].Allowance = true, nil
	front := drawPiece("front", "outer", pattern.CutPair, lineTo("shoulder", -200, 50, -80, 0), lineTo("neckline", -80, 0, 0, 90), lineTo("centre front", 0, 90, 0, 600),
		lineTo("hemline", 0, 600, -230, 600), curveTo("side seam", -230, 600, -190, 480, -190, 340, -220, 220), lineTo("armhole", -220, 220, -200, 50))
	p := patternOf(back, front)
	if sideFirst {
		sewAs(t, p, "side", "back/side seam", "front/side seam", false)
	}
	sewAs(t, p, "shoulder", "back/shoulder", "front/shoulder", false)
	return stored(t, p)
}

// Input of a mended bug. A facing along the neckline over the shoulder is laid there,
// whichever seam between both outers is the first, and cut on the fold of the one; its
// edges are as long as those it faces, and check finds nothing about it.
func TestFacingAcrossShoulder(t *testing.T) {
	for _, sideFirst := range []bool{false, true} {
		for piece, with := range map[string]string{"back": "front", "front": "back"} {
			for edge, cut := range map[string]pattern.Cut{"neckline": pattern.CutOnFold, "armhole": pattern.CutPair} {
				p := yoked(t, sideFirst)
				q := stored(t, made(t, p, "facing", piece, "edges", edge, "width", "30", "with", with, "as", "the facing").Pattern)
				facing := pieceOf(t, q, "the facing")
				require.Equal(t, cut, facing.Cut)
				length := 0.0
				for _, s := range q.Seams {
					if len(s.Second) == 1 && s.Second[0].Piece == facing.Name {
						length += edgePathOf(t, facing, s.Second[0].Edge).Length()
					}
				}
				want := edgePathOf(t, pieceOf(t, p, "back"), edge).Length() + edgePathOf(t, pieceOf(t, p, "front"), edge).Length()
				require.InDelta(t, want, length, 0.01)
				require.Len(t, q.Layers, 2)
				for _, says := range laySays(t, q) {
					require.NotContains(t, says, facing.Name)
				}
			}
		}
	}
}

// What cannot lie across the shoulder is refused with the true reason.
func TestFacingAcrossRefused(t *testing.T) {
	p := yoked(t, true)
	front := pieceOf(t, p, "front")
	i, err := front.EdgeIndex("centre front")
	require.NoError(t, err)
	front.Edges[i].Fold, front.Edges[i].Allowance, front.Cut = true, nil, pattern.CutOnFold
	_, err = Make(p, recipe("facing", "back", "edges", "neckline", "width", "40", "with", "front"))
	require.ErrorContains(t, err, `back and front are both cut on the fold, and what lies across "shoulder" would have two folds; draft one for each of them`)
	p = made(t, p, "unfold", "back").Pattern
	_, err = Make(p, recipe("facing", "front", "edges", "neckline", "width", "40", "with", "back"))
	require.ErrorContains(t, err, "back is drawn whole and front is cut on the fold")
	_, err = Make(yoked(t, true), recipe("facing", "back", "edges", "hemline", "width", "40", "with", "front"))
	require.ErrorContains(t, err, `back and front are laid together at "side seam" for this: `)
}
