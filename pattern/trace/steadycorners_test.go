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
