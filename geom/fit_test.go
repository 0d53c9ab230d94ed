package geom

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// traced returns points every spacing mm along a ring, off by normal noise of
// deviation sigma in both directions.
func traced(r *rand.Rand, ring Ring, spacing, sigma float64) []Point {
	var points []Point
	n := int(ring.Length() / spacing)
	for i := range n {
		q := Path(ring).PointAt(ring.Length() * (float64(i) + 0.3) / float64(n))
		points = append(points, q.Add(Pt(r.NormFloat64(), r.NormFloat64()).Mul(sigma)))
	}
	return points
}

func TestFitExactCubic(t *testing.T) {
	r := seeded(t, 61)
	worst := 0.0
	for range 200 {
		c := realisticCubic(r)
		var points []Point
		for i := range 41 {
			points = append(points, c.At(float64(i)/40))
		}
		p := Fit(points, nil, nil, 0.01)
		from, to := c.Tangent(0), c.Tangent(1)
		q := Fit(points, &from, &to, 0.01)
		for _, fit := range []Path{p, q} {
			assert.Equal(t, c.P0, fit.Start())
			assert.Equal(t, c.P3, fit.End())
			for _, x := range points {
				_, d := fit.Nearest(x)
				worst = math.Max(worst, d)
			}
		}
		assert.Len(t, p, 1)
		assert.Len(t, q, 1)
		assert.InDelta(t, 1, q.StartTangent().Dot(from), 1e-12)
	}
	t.Logf("worst distance of a point %.2g mm", worst)
	assert.LessOrEqual(t, worst, 0.01)
}

func TestFitLongCurve(t *testing.T) {
	// Two turns of a spiral, far more than one cubic holds.
	var points []Point
	for i := range 400 {
		a := 4 * math.Pi * float64(i) / 399
		points = append(points, Pt(math.Cos(a), math.Sin(a)).Mul(50+10*a))
	}
	p := Fit(points, nil, nil, 0.05)
	for _, q := range points {
		_, d := p.Nearest(q)
		assert.LessOrEqual(t, d, 0.05)
	}
	assert.Less(t, len(p), 30)
	for i := 1; i < len(p); i++ {
		assert.Equal(t, p[i-1].P3, p[i].P0)
		assert.InDelta(t, 1, p[i-1].Tangent(1).Dot(p[i].Tangent(0)), 1e-9, "smooth at the nodes")
	}
	t.Logf("%d cubics", len(p))
}

func TestFitDegenerate(t *testing.T) {
	assert.Nil(t, Fit(nil, nil, nil, 0.1))
	assert.Nil(t, Fit([]Point{Pt(1, 1), Pt(1, 1)}, nil, nil, 0.1))
	assert.Equal(t, Path{Line(Pt(0, 0), Pt(3, 4))}, Fit([]Point{Pt(0, 0), Pt(3, 4)}, nil, nil, 0.1))
	straight := []Point{Pt(0, 0), Pt(1, 0), Pt(1, 0), Pt(2, 0), Pt(math.NaN(), 0), Pt(9, 0)}
	assert.Equal(t, Path{Line(Pt(0, 0), Pt(9, 0))}, Fit(straight, nil, nil, 0.1))
	back := []Point{Pt(0, 0), Pt(10, 0), Pt(20, 0), Pt(10, 0), Pt(0, 0), Pt(-10, 0), Pt(0, 0), Pt(5, 5)}
	for _, c := range Fit(back, nil, nil, 0.001) {
		assert.True(t, c.Finite())
	}
	ring, corners, _ := FitOutline([]Point{Pt(0, 0), Pt(1, 0), Pt(0, 1)}, FitOptions{})
	assert.Nil(t, ring)
	assert.Nil(t, corners)
	r := seeded(t, 62)
	for range 50 {
		var points []Point
		for range 8 + r.IntN(60) {
			points = append(points, randomPoint(r, 100))
		}
		ring, _, noise := FitOutline(points, FitOptions{})
		for i, c := range ring {
			assert.True(t, c.Finite())
			assert.Equal(t, c.P3, ring[(i+1)%len(ring)].P0)
		}
		assert.False(t, math.IsNaN(noise))
	}
}

func TestFitOutlineOfPieces(t *testing.T) {
	r := seeded(t, 63)
	const sigma, pieces = 0.3, 60
	var rms, noises, moved []float64
	curves, sources, missed, extra := 0, 0, 0, 0
	for range pieces {
		edges, _ := allowancePiece(r)
		truth := outline(edges)
		ring, corners, noise := FitOutline(traced(r, truth, 3, sigma), FitOptions{})
		for i, c := range ring {
			require.Equal(t, c.P3, ring[(i+1)%len(ring)].P0)
		}
		rms = append(rms, nearRMS(Path(ring), Path(truth)))
		noises = append(noises, noise)
		curves, sources = curves+len(ring), sources+len(edges)
		at := make([]Point, len(corners))
		for k, i := range corners {
			at[k] = ring[i].P0
		}
		m, x, off := compareCorners(edges, at)
		missed, extra, moved = missed+m, extra+x, append(moved, off...)
	}
	slices.Sort(rms)
	slices.Sort(noises)
	slices.Sort(moved)
	t.Logf("RMS from the truth: median %.3f, p90 %.3f, greatest %.3f mm", rms[pieces/2], rms[pieces*9/10], rms[pieces-1])
	t.Logf("noise found: %.3f to %.3f mm; corners off by %.2f median, %.2f p90 mm", noises[0], noises[pieces-1], moved[len(moved)/2], moved[len(moved)*9/10])
	t.Logf("%d curves for %d edges; %d corners missed, %d invented", curves, sources, missed, extra)
	assert.LessOrEqual(t, rms[pieces-1], 0.3)
	assert.InDelta(t, sigma, noises[pieces/2], 0.03)
	assert.LessOrEqual(t, missed+extra, sources/50)
}

// compareCorners counts the corners of more than 30° that were not found
// within 6 mm and the places found where there is no corner of at least 10°,
// and returns how far off the others are.
func compareCorners(edges []OffsetEdge, found []Point) (missed, extra int, off []float64) {
	nearest := func(q Point, among []Point) float64 {
		best := math.Inf(1)
		for _, p := range among {
			best = math.Min(best, p.Dist(q))
		}
		return best
	}
	var corners []Point
	for i, e := range edges {
		before := edges[(i+len(edges)-1)%len(edges)]
		turn := math.Abs(AngleBetween(before.Path.EndTangent(), e.Path.StartTangent())) * 180 / math.Pi
		d := nearest(e.Path.Start(), found)
		if turn >= 30 && d > 6 {
			missed++
		}
		if turn >= 30 && d <= 6 {
			off = append(off, d)
		}
		if turn >= 10 {
			corners = append(corners, e.Path.Start())
		}
	}
	for _, p := range found {
		if nearest(p, corners) > 6 {
			extra++
		}
	}
	return missed, extra, off
}

func TestFitOutlineClean(t *testing.T) {
	r := seeded(t, 64)
	points := traced(r, Polygon(rectangle(300, 200)...), 3, 0)
	ring, corners, noise := FitOutline(points, FitOptions{})
	assert.InDelta(t, 0, noise, 1e-9)
	require.Equal(t, []int{0, 1, 2, 3}, corners)
	assert.InDelta(t, 60000, ring.Area(), 1e-3, "four lines, corners exact though no point lies there")
	circle, corners, _ := FitOutline(traced(r, Circle(Pt(0, 0), 100), 3, 0.3), FitOptions{})
	assert.Empty(t, corners)
	assert.LessOrEqual(t, nearRMS(Path(circle), Path(Circle(Pt(0, 0), 100))), 0.3)
	assert.LessOrEqual(t, len(circle), 10)
}
