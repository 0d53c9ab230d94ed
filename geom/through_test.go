package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// offCircle is the greatest distance of a path from a circle.
func offCircle(p Path, centre Point, radius float64) float64 {
	most := 0.0
	for _, c := range p {
		for i := range 51 {
			most = math.Max(most, math.Abs(c.At(float64(i)/50).Dist(centre)-radius))
		}
	}
	return most
}

func onCircle(radius, from, to float64, n int) []Point {
	var p []Point
	for i := range n {
		s, c := math.Sincos(from + (to-from)*float64(i)/float64(n-1))
		p = append(p, Pt(radius*c, radius*s))
	}
	return p
}

// A quarter circle measured every 2 cm, as through.go promises.
func TestThroughQuarterCircle(t *testing.T) {
	worst := 0.0
	for radius := 100.0; radius <= 200; radius += 5 {
		n := int(math.Round(radius*math.Pi/2/20)) + 1
		e := offCircle(Through(onCircle(radius, 0, math.Pi/2, n)), Point{}, radius)
		worst = math.Max(worst, e)
	}
	assert.Less(t, worst, 0.01)
	t.Logf("farthest from the quarter circle: %.4f mm", worst)
}

// Three points lie on a circle; the curve keeps to it.
func TestThroughThreePoints(t *testing.T) {
	for _, turn := range []float64{math.Pi / 8, -math.Pi / 8, math.Pi / 4} {
		assert.Less(t, offCircle(Through(onCircle(150, 0, turn, 3)), Point{}, 150), 0.02, "%g", turn)
	}
	straight := Through([]Point{Pt(0, 0), Pt(30, 40), Pt(90, 120)})
	for _, c := range straight {
		assert.True(t, c.IsStraight(1e-9))
	}
	for _, back := range [][]Point{
		{Pt(0, 0), Pt(50, 0), Pt(10, 0)}, {Pt(0, 0), Pt(50, 0), Pt(0, 0)},
	} {
		for _, c := range Through(back) {
			assert.True(t, c.Finite())
		}
	}
}

// A spline gives back a cubic polynomial run at even speed exactly: points on
// a line at uneven steps stay a line, and through any points the curve is
// smooth in direction and curvature.
func TestThroughIsSmooth(t *testing.T) {
	const seed = 21
	rng := rand.New(rand.NewPCG(seed, 1))
	for n := 3; n < 30; n++ {
		var p []Point
		at := Pt(0, 0)
		for range n {
			at = at.Add(Pt(10+rng.Float64()*20, (rng.Float64()-0.5)*20))
			p = append(p, at)
		}
		path := Through(p)
		require.Len(t, path, n-1)
		for i := range path {
			require.Equal(t, p[i], path[i].P0)
			require.Equal(t, p[i+1], path[i].P3)
			if i > 0 {
				assert.InDelta(t, 0, path[i-1].Tangent(1).Dist(path[i].Tangent(0)), 1e-9, "seed %d", seed)
				assert.InDelta(t, path[i-1].Curvature(1), path[i].Curvature(0), 1e-9, "seed %d", seed)
			}
		}
	}
}

// Round the whole circle there is no end to be seen.
func TestClosedSpline(t *testing.T) {
	for _, n := range []int{5, 12, 30, 100} {
		p := onCircle(120, 0, 2*math.Pi*float64(n-1)/float64(n), n)
		path := ThroughClosed(p)
		require.Len(t, path, n)
		step := 2 * math.Pi / float64(n)
		want := 120 * math.Pow(step, 4) / 100 // fourth order
		assert.Less(t, offCircle(path, Point{}, 120), want+1e-9, "%d points", n)
		assert.InDelta(t, 0, path[n-1].Tangent(1).Dist(path[0].Tangent(0)), 1e-9)
		assert.InDelta(t, path[n-1].Curvature(1), path[0].Curvature(0), 1e-9)
		assert.Equal(t, path[n-1].P3, path[0].P0)
	}
}

// Errors of measuring are passed on less than doubled.
func TestThroughAndNoise(t *testing.T) {
	const seed = 22
	rng := rand.New(rand.NewPCG(seed, 1))
	worst := 0.0
	for range 300 {
		p := onCircle(150, 0, math.Pi/2, 13)
		for i := range p {
			p[i] = p[i].Mul(1 + (rng.Float64()-0.5)/150) // up to 0.5 mm in or out
		}
		worst = math.Max(worst, offCircle(Through(p), Point{}, 150))
	}
	assert.Less(t, worst, 1.0, "seed %d", seed)
	t.Logf("0.5 mm at the points became at most %.3f mm between", worst)
}
