package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// Input of a mended bug. Of a curved edge that was divided neither part can be let out by
// itself, which says how the two become one edge, also where their lines cross.
func TestPartOfCurveLetOut(t *testing.T) {
	side := geom.Cubic{P0: geom.Pt(200, 0), P1: geom.Pt(120, 200), P2: geom.Pt(160, 400), P3: geom.Pt(230, 600)}
	a, b := side.Split(0.4)
	curve := func(name string, c geom.Cubic) edgeDrawn { return edgeDrawn{name, geom.Path{c}} }
	front := drawPiece("front", "outer", pattern.CutPair, lineTo("waist", 0, 0, 200, 0), curve("side seam", a), curve("edge 3", b), lineTo("hemline", 230, 600, 0, 600), lineTo("centre", 0, 600, 0, 0))
	back := drawPiece("back", "outer", pattern.CutPair, lineTo("waist", 300, 0, 500, 0), lineTo("side seam", 500, 0, 500, 600), lineTo("hemline", 500, 600, 300, 600), lineTo("centre", 300, 600, 300, 0))
	p := patternOf(front, back)
	sewAs(t, p, "side", "back/side seam", "front/side seam+front/edge 3", true)
	for _, edge := range []string{"side seam", "edge 3"} {
		for _, kind := range []string{"let-out", "take-in"} {
			_, err := Make(p, recipe(kind, "front", "edge", edge, "by", "10"))
			require.ErrorContains(t, err, "`toile edge \"front\" \"side seam\" --with \"edge 3\"`")
		}
	}
}
