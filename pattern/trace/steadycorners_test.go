package trace

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// panelAgain stores a panel 300 mm wide and 800 mm long, and traces the ring in
// its place.
func panelAgain(t *testing.T, drawn geom.Ring, r Request) (old *pattern.Piece, res Result) {
	t.Helper()
	p := pattern.New("smock", units.Centimetre)
	first, err := ToPiece(p, Outline{Name: "panel", Ring: geom.Polygon(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))}, Request{})
	require.NoError(t, err)
	first.Piece.Edges[2].Hem = true
	p.Put(first.Piece)
	res, err = ToPiece(p, Outline{Name: "panel", Ring: drawn}, r)
	require.NoError(t, err)
	return first.Piece, res
}

// A side drawn out to a point, with turns of 30°, 60° and 30°: through wavering
// points it has the corners and edges that an exact tracing has, and what was
// left alone keeps its stored figures.
func TestWaveringKeepsNewCorners(t *testing.T) {
	out := 100 * math.Tan(math.Pi/6) // 100 mm down, 30° out
	for name, from := range map[string]float64{"middle": 280, "high": 120, "low": 480} {
		pointed := geom.Polygon(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, from), geom.Pt(300+out, from+100),
			geom.Pt(300, from+200), geom.Pt(300, 800), geom.Pt(0, 800))
		_, exact := panelAgain(t, pointed, Request{})
		require.Len(t, exact.Piece.Edges, 7)
		for seed := range uint64(6) {
			t.Run(fmt.Sprintf("%s, seed 84, %d", name, seed), func(t *testing.T) {
				old, again := panelAgain(t, wavering(rand.New(rand.NewPCG(84, seed)), pointed), Request{})
				require.Equal(t, exact.Piece.EdgeNames(), again.Piece.EdgeNames())
				for i, c := range again.Piece.Corners {
					assert.Less(t, c.At.Dist(exact.Piece.Corners[i].At), 1.0, "corner %d", i)
				}
				for _, c := range old.Corners {
					assert.Contains(t, again.Piece.Corners, c)
				}
				for i := range again.Piece.Edges {
					assert.Len(t, again.Piece.EdgePath(i), 1, "edge %d", i)
				}
				assert.InDelta(t, 300, again.Piece.Corners[2].At.X, 1e-9, "the upper part of the side keeps its line")
				assert.InDelta(t, 300, again.Piece.Corners[4].At.X, 1e-9, "and so does the lower one")
			})
		}
	}
}

// The cutting line of a panel, drawn by a wavering hand with the hem 40 mm up:
// the sewing line's hem goes up by that, level, and all else keeps its figures.
func TestWaveringCuttingLineIsSettled(t *testing.T) {
	for seed := range uint64(5) {
		t.Run(fmt.Sprintf("seed 86, %d", seed), func(t *testing.T) {
			p := pattern.New("smock", units.Centimetre)
			first, err := ToPiece(p, Outline{Name: "panel", Ring: geom.Polygon(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))}, Request{})
			require.NoError(t, err)
			for i, by := range []float64{10, 15, 40, 10} {
				first.Piece.Edges[i].Allowance = map[string]float64{pattern.ClothSet: by}
			}
			p.Put(first.Piece)
			cut := geom.Polygon(geom.Pt(-10, -10), geom.Pt(315, -10), geom.Pt(315, 800), geom.Pt(-10, 800))
			again, err := ToPiece(p, Outline{Name: "panel", Ring: wavering(rand.New(rand.NewPCG(86, seed)), cut)}, Request{Drawn: DrawnCutting})
			require.NoError(t, err)
			require.Equal(t, first.Piece.Edges, again.Piece.Edges)
			c := again.Piece.Corners
			require.Equal(t, first.Piece.Corners[:2], c[:2])
			assert.Equal(t, 300.0, c[2].At.X)
			assert.Equal(t, 0.0, c[3].At.X)
			assert.InDelta(t, 760, c[2].At.Y, 0.1)
			assert.InDelta(t, c[2].At.Y, c[3].At.Y, 0.002)
		})
	}
}
