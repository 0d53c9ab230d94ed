package match_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/match"
)

// panel is a smock panel: straight top and hem, a curved side.
func panel() []geom.Path {
	return []geom.Path{
		{geom.Line(geom.Pt(0, 0), geom.Pt(240, 0))},
		{{P0: geom.Pt(240, 0), P1: geom.Pt(230, 150), P2: geom.Pt(262, 400), P3: geom.Pt(280, 600)}},
		{geom.Line(geom.Pt(280, 600), geom.Pt(0, 600))},
		{geom.Line(geom.Pt(0, 600), geom.Pt(0, 0))},
	}
}

// settled draws an outline with a point every 3 mm, each off by the deviation,
// lays curves through them and settles them over the panel.
func settled(t *testing.T, rng *rand.Rand, drawn geom.Ring, sigma float64) []match.Settled {
	t.Helper()
	length := drawn.Length()
	var points []geom.Point
	for s := 1.0; s < length; s += 3 {
		off := geom.Pt(rng.NormFloat64(), rng.NormFloat64()).Mul(sigma)
		points = append(points, geom.Path(drawn).PointAt(s).Add(off))
	}
	ring, corners, _ := geom.FitOutline(points, geom.FitOptions{})
	require.Len(t, corners, 4)
	first := 0 // the ring starts at the corner nearest to its first point
	if ring[0].P0.Dist(drawn[0].P0) > 5 {
		first = 1
	}
	of := []int{first, first + 1, first + 2, (first + 3) % 4}
	r := match.Retraced{Old: panel(), Round: make([]float64, 4), Folds: []bool{false, false, false, true}, Hem: 2,
		Down: geom.Pt(0, 1), Ring: ring, Corners: corners, Of: of, Points: points, Sigma: sigma}
	out := r.Settle()
	slices.SortFunc(out, func(a, b match.Settled) int { return a.Old - b.Old })
	return out
}

func panelRing(paths []geom.Path) geom.Ring {
	var r geom.Ring
	for _, p := range paths {
		r = append(r, p...)
	}
	return r
}

// A panel traced again as it was is the stored one to the bit.
func TestSettleKeeps(t *testing.T) {
	rng := rand.New(rand.NewPCG(71, 1))
	t.Log("seed 71, 1")
	for range 10 {
		for k, s := range settled(t, rng, panelRing(panel()), 0.3) {
			assert.True(t, s.Made)
			assert.Equal(t, panel()[k], s.Path)
		}
	}
}

// A hem taken up by 42 mm: least squares over its 90 points have a deviation of
// 0.3/√90 = 0.03 mm, and the sides end where they meet it.
func TestSettleMovesHem(t *testing.T) {
	rng := rand.New(rand.NewPCG(71, 2))
	t.Log("seed 71, 2")
	for range 10 {
		drawn := panel()
		side := drawn[1][0]
		at := side.MeetLine(geom.Pt(0, 558), geom.Pt(1, 558))[0]
		drawn[1] = geom.Path{side.Part(0, at)}
		drawn[2] = geom.Path{geom.Line(side.At(at), geom.Pt(0, 558))}
		drawn[3] = geom.Path{geom.Line(geom.Pt(0, 558), geom.Pt(0, 0))}
		out := settled(t, rng, panelRing(drawn), 0.3)
		require.Len(t, out, 4)
		hem := out[2].Path
		assert.InDelta(t, 558, hem.Start().Y, 0.13)
		assert.InDelta(t, hem.Start().Y, hem.End().Y, 1e-9, "parallel to where it was")
		assert.Equal(t, panel()[0], out[0].Path)
		_, off := panel()[1].Nearest(out[1].Path.End())
		assert.Less(t, off, 1e-9, "the side keeps its line")
		assert.InDelta(t, 0, out[3].Path.Start().X, 1e-9)
		for k := range out {
			assert.Equal(t, out[k].Path.End(), out[(k+1)%4].Path.Start())
		}
	}
}

// A hem drawn as a scoop 20 mm deep is none of the motions and stays as drawn,
// within what the points allow.
func TestSettleLeavesRedrawn(t *testing.T) {
	rng := rand.New(rand.NewPCG(71, 3))
	t.Log("seed 71, 3")
	drawn := panel()
	drawn[2] = geom.Path{{P0: geom.Pt(280, 600), P1: geom.Pt(190, 573.333), P2: geom.Pt(90, 573.333), P3: geom.Pt(0, 600)}}
	out := settled(t, rng, panelRing(drawn), 0.3)
	require.Len(t, out, 4)
	assert.False(t, out[2].Made)
	assert.Equal(t, panel()[1], out[1].Path)
	for k := range 21 {
		_, d := out[2].Path.Nearest(drawn[2].PointAt(drawn[2].Length() * float64(k) / 20))
		assert.Less(t, d, 0.4)
	}
}

// Edges that do not follow each other as the stored ones do are left alone, and
// numbers that make no sense end without panic or NaN.
func TestSettleOddInput(t *testing.T) {
	ring := panelRing(panel())
	points := geom.Path(ring).Flatten(1)
	r := match.Retraced{Old: panel(), Round: make([]float64, 4), Folds: make([]bool, 4), Hem: -1, Down: geom.Pt(0, 1),
		Ring: ring, Corners: []int{0, 1, 2, 3}, Points: points, Sigma: 0.3}
	for _, of := range [][]int{{0, 2, 1, 3}, {-1, -1, -1, -1}, {0, 0, 0, 0}, {3, 2, 1, 0}} {
		r.Of = of
		assert.Nil(t, r.Settle(), "%v", of)
	}
	r.Of = []int{0, 1, 2, 3}
	for _, odd := range [][]geom.Point{nil, points[:1], make([]geom.Point, 5)} {
		r.Points = odd
		for _, s := range r.Settle() {
			require.NotEmpty(t, s.Path)
			for _, c := range s.Path {
				assert.True(t, c.Finite())
			}
		}
	}
	r.Points = nil
	for s := 1.0; s < ring.Length(); s += 3 {
		r.Points = append(r.Points, geom.Path(ring).PointAt(s))
	}
	out := r.Settle()
	require.Len(t, out, 4)
	for k, s := range out {
		assert.Equal(t, panel()[k], s.Path, "points on the very line")
	}
}
