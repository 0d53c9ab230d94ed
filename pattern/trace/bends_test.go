package trace

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern"
	"toile/pattern/units"
)

// A back whose hem corner is drawn round: with the arc tangent to both sides,
// tangent to neither, by another curve, and with hem or side seam moved too.
// Every edge keeps its name, the hem its allowance.
func TestCornerDrawnRoundKeepsItsEdges(t *testing.T) {
	const back = `M 20,30 C 50,30 75,25 90,10 L 205,45 C 195,90 190,130 205,180 C 215,210 235,225 265,225 L %s L 20,%s Z`
	for name, ends := range map[string][2]string{
		"tangent":               {"269.6622,574.6667 A 25,25 0 0 1 244.6644,600", "600"},
		"0.3 mm off":            {"269.6622,574.6667 A 25,25 0 0 1 244.9644,600", "600"},
		"other curve, let out":  {"283.67,575 Q 285,600 260,600", "600"},
		"hem down, let out":     {"271.2434,599.5834 A 25,25 0 0 1 246.2468,625", "625"},
		"hem down, other curve": {"272,600 Q 272,625 246,625", "625"},
	} {
		for _, within := range []float64{0, 0.1, 0.5} {
			t.Run(fmt.Sprintf("%s, drawn within %g", name, within), func(t *testing.T) {
				p := pattern.New("smock", units.Centimetre)
				first := drawnSVG(t, fmt.Sprintf(back, "270,600", "600"))
				res, err := ToPiece(p, first, Request{})
				require.NoError(t, err)
				names := []string{"neckline", "shoulder", "armhole", "side seam", "hem", "centre back"}
				for i := range res.Piece.Edges {
					res.Piece.Edges[i].Name = names[i]
				}
				res.Piece.Edges[4].Hem, res.Piece.Edges[4].Allowance = true, map[string]float64{pattern.ClothSet: 40}
				p.Put(res.Piece)
				again, err := ToPiece(p, drawnSVG(t, fmt.Sprintf(back, ends[0], ends[1])), Request{DrawnWithin: within})
				require.NoError(t, err)
				require.Equal(t, names, again.Piece.EdgeNames())
				require.True(t, again.Piece.Edges[4].Hem)
				require.Equal(t, 40.0, again.Piece.Edges[4].AllowanceFor(pattern.ClothSet))
				require.NotContains(t, strings.Join(again.Says, " "), "gone")
			})
		}
	}
}

func drawnSVG(t *testing.T, d string) Outline {
	t.Helper()
	text := `<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="800mm" viewBox="0 0 900 800"><path id="back" d="` + d + `"/></svg>`
	drawing, err := ReadSVG("back.svg", strings.NewReader(text), Options{})
	require.NoError(t, err)
	require.Len(t, drawing.Outlines, 1)
	return drawing.Outlines[0]
}
