package trace

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// smockSleeve is the sleeve of the orchard smock.
func smockSleeve() geom.Ring {
	return geom.Ring{
		{P0: geom.Pt(-190, 0), P1: geom.Pt(-105, -10), P2: geom.Pt(-95, -223.829), P3: geom.Pt(0, -223.829)},
		{P0: geom.Pt(0, -223.829), P1: geom.Pt(90, -223.829), P2: geom.Pt(95, -10), P3: geom.Pt(190, 0)},
		geom.Line(geom.Pt(190, 0), geom.Pt(120, 545)),
		geom.Line(geom.Pt(120, 545), geom.Pt(-120, 545)),
		geom.Line(geom.Pt(-120, 545), geom.Pt(-190, 0)),
	}
}

// unevenly puts n points anywhere along a ring, each off by at most so many mm
// either way.
func unevenly(rng *rand.Rand, r geom.Ring, n int, by float64) geom.Ring {
	length := r.Length()
	at := make([]float64, n)
	for i := range at {
		at[i] = length * rng.Float64()
	}
	slices.Sort(at)
	points := make([]geom.Point, n)
	for i, s := range at {
		points[i] = geom.Path(r).PointAt(s).Add(geom.Pt(2*rng.Float64()-1, 2*rng.Float64()-1).Mul(by))
	}
	return geom.Polygon(points...)
}

// A sleeve through points unevenly spaced, each off by up to 0.3 mm, is taken
// for the stored sleeve without a word about how well it was drawn.
func TestUnevenNoiseIsRecognised(t *testing.T) {
	p := pattern.New("smock", units.Centimetre)
	first, err := ToPiece(p, Outline{Name: "sleeve", Ring: smockSleeve()}, Request{})
	require.NoError(t, err)
	p.Put(first.Piece)
	for _, n := range []int{120, 200, 400} {
		for seed := range uint64(5) {
			t.Run(fmt.Sprintf("%d points, seed 85, %d", n, seed), func(t *testing.T) {
				rng := rand.New(rand.NewPCG(85, seed))
				res, err := ToPiece(p, Outline{Name: "sleeve", Ring: unevenly(rng, smockSleeve(), n, 0.3)}, Request{})
				require.NoError(t, err)
				assert.False(t, res.Changed)
			})
		}
	}
}

// Points on the very curve, even or not, and edges cut in teeth are no noise.
func TestExactPointsAreNoNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(85, 100))
	t.Log("seed 85, 100")
	for _, n := range []int{100, 150, 300, 1000} {
		for range 10 {
			assert.False(t, noisy(unevenly(rng, smockSleeve(), n, 0)), "%d points", n)
			assert.False(t, noisy(unevenly(rng, smockBack(600), n, 0.002)), "%d points", n)
		}
	}
	var teeth []geom.Point
	for k := range 100 {
		teeth = append(teeth, geom.Pt(4*float64(k), 5*float64(k%2)))
	}
	assert.False(t, noisy(geom.Polygon(append(teeth, geom.Pt(396, 100), geom.Pt(0, 100))...)), "a pinked edge")
	var twice []geom.Point
	for i, c := range unevenly(rng, smockSleeve(), 200, 0.3) {
		if twice = append(twice, c.P0); i%20 == 7 {
			twice = append(twice, c.P0)
		}
	}
	assert.True(t, noisy(geom.Polygon(twice...)), "some points are there twice")
}
