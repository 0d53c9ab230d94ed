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

func TestFitKeepsTangents(t *testing.T) {
	// Quarter of a circle of radius 100, its end tangents given: one cubic, of
	// radial error at most 2.7253e-4 (Riškus, Information Technology and Control
	// 35, 2006), with handles near 0.5523 of the radius.
	points := arcPoints(100, 90, 101)
	from, to := Pt(0, 7), Pt(-1e-3, 0)
	p := Fit(points, &from, &to, 2.8e-2)
	require.Len(t, p, 1)
	assert.InDelta(t, 0, p[0].P1.X-100, 1e-9, "straight down from the start")
	assert.InDelta(t, 0, p[0].P2.Y-100, 1e-9)
	assert.InDelta(t, 55.23, p[0].P1.Y, 0.2)
	none := Pt(0, 0)
	assert.Equal(t, Fit(points, nil, nil, 0.01), Fit(points, &none, nil, 0.01), "a vector without a direction says nothing")
}

func TestFitFindsStraightStretches(t *testing.T) {
	// A pocket: straight sides, two corners rounded by 15 mm, exact points. The
	// lines come back, and one arc between two of them.
	ring := Ring{
		Line(Pt(0, 0), Pt(140, 0)), Line(Pt(140, 0), Pt(140, 105)),
	}
	ring = append(ring, ArcIn(Pt(125, 105), 15, 0, math.Pi/2, 1)...)
	ring = append(ring, Line(Pt(125, 120), Pt(15, 120)))
	ring = append(ring, ArcIn(Pt(15, 105), 15, math.Pi/2, math.Pi/2, 1)...)
	ring = append(ring, Line(Pt(0, 105), Pt(0, 0)))
	got, corners, _ := FitOutline(traced(seeded(t, 65), ring, 2, 0), FitOptions{})
	assert.Len(t, corners, 2)
	lines := 0
	for _, c := range got {
		if c.IsStraight(1e-9) {
			lines++
		}
	}
	assert.Equal(t, 4, lines)
	assert.LessOrEqual(t, len(got), 8)
	assert.InDelta(t, ring.Area(), got.Area(), 1)
}

// degeneratePoints are runs that no smooth curve fits.
func degeneratePoints() map[string][]Point {
	line := func(n int, step float64) (p []Point) {
		for i := range n {
			p = append(p, Pt(float64(i)*step, 0))
		}
		return p
	}
	back := line(20, 3)
	for i := 18; i > 0; i-- {
		back = append(back, back[i])
	}
	spike := line(40, 2)
	spike[20] = Pt(40, 500)
	square := func(at, size float64) (p []Point) {
		for i := range 40 {
			p = append(p, Pt(at+size*min(max(math.Abs(float64(i-20))-5, 0), 10), at+size*min(max(math.Abs(float64((i+30)%40-20))-5, 0), 10)))
		}
		return p
	}
	close := make([]Point, 60)
	for i := range close {
		close[i] = Pt(float64(i/2)*4, float64(i%2)*1e-12)
	}
	return map[string][]Point{
		"none":                nil,
		"one":                 {Pt(1, 1)},
		"two":                 {Pt(0, 0), Pt(3, 4)},
		"all equal":           slices.Repeat([]Point{Pt(5, 5)}, 30),
		"repeated":            slices.Concat(line(12, 5), line(12, 5), line(12, 5)),
		"in a line":           line(40, 2),
		"there and back":      back,
		"a spike":             spike,
		"gaps of 1e-12":       close,
		"not numbers":         append(line(30, 3), Pt(math.NaN(), 1), Pt(math.Inf(1), 0), Pt(0, math.Inf(-1))),
		"huge":                square(1e11, 1e10),
		"beyond reckoning":    square(0, 1e300),
		"tiny":                square(0, 1e-7),
		"far from the origin": square(1e8, 5),
		"a square":            square(0, 5),
	}
}

// checkFit holds what every fit must be: finite, joined, from the first point
// to the last.
func checkFit(t *testing.T, name string, points []Point, p Path) {
	t.Helper()
	d := distinct(points)
	if len(d) < 2 {
		assert.Nil(t, p, name)
		return
	}
	require.NotEmpty(t, p, name)
	assert.Equal(t, d[0], p.Start(), name)
	assert.Equal(t, d[len(d)-1], p.End(), name)
	for i, c := range p {
		require.True(t, c.Finite(), name)
		if i > 0 {
			assert.Equal(t, p[i-1].P3, c.P0, name)
		}
	}
}

// checkFittedRing holds what every fitted outline must be: finite, closed, corners
// rising.
func checkFittedRing(t *testing.T, name string, ring Ring, corners []int, noise float64) {
	t.Helper()
	for i, c := range ring {
		require.True(t, c.Finite(), name)
		require.Equal(t, c.P3, ring[(i+1)%len(ring)].P0, name)
	}
	for i, k := range corners {
		require.True(t, k >= 0 && k < len(ring) && (i == 0 || k > corners[i-1]), name)
	}
	require.True(t, noise >= 0 && !math.IsInf(noise, 0), name)
}

func TestFitDegenerate(t *testing.T) {
	straight := []Point{Pt(0, 0), Pt(1, 0), Pt(1, 0), Pt(2, 0), Pt(math.NaN(), 0), Pt(9, 0)}
	assert.Equal(t, Path{Line(Pt(0, 0), Pt(9, 0))}, Fit(straight, nil, nil, 0.1))
	for name, points := range degeneratePoints() {
		for _, tol := range []float64{0.1, 1e-9, 0, -1, math.NaN(), math.Inf(1)} {
			checkFit(t, name, points, Fit(points, nil, nil, tol))
		}
		ring, corners, noise := FitOutline(points, FitOptions{})
		checkFittedRing(t, name, ring, corners, noise)
		if len(distinct(points)) < outlineLeast {
			assert.Nil(t, ring, name)
		}
	}
	ring, corners, _ := FitOutline(degeneratePoints()["a square"], FitOptions{})
	assert.Len(t, corners, 4)
	assert.InDelta(t, 2500, math.Abs(ring.Area()), 1)
	r := seeded(t, 62)
	for range 50 {
		var points []Point
		for range 8 + r.IntN(60) {
			points = append(points, randomPoint(r, 100))
		}
		checkFit(t, "at random", points, Fit(points, nil, nil, 0.5))
		ring, corners, noise := FitOutline(points, FitOptions{})
		checkFittedRing(t, "at random", ring, corners, noise)
	}
}

// FuzzFit reads points of two bytes each, a tolerance and a tangent.
func FuzzFit(f *testing.F) {
	f.Add([]byte{0, 0, 10, 0, 20, 3, 30, 9, 40, 20, 40, 40, 20, 45, 0, 40, 0, 20}, 0.1, 1.0, 0.0)
	f.Add([]byte{0, 0, 0, 0, 9, 9, 0, 0, 9, 9, 200, 1, 3, 3, 3, 3, 5, 250}, 1e-6, 0.0, -1.0)
	f.Fuzz(func(t *testing.T, data []byte, tol, x, y float64) {
		var points []Point
		for i := 0; i+1 < len(data) && i < 200; i += 2 {
			points = append(points, Pt(float64(int8(data[i])), float64(int8(data[i+1]))))
		}
		dir := Pt(x, y)
		checkFit(t, "open", points, Fit(points, &dir, nil, tol))
		ring, corners, noise := FitOutline(points, FitOptions{CornerTurn: x, Tolerance: tol})
		checkFittedRing(t, "closed", ring, corners, noise)
	})
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
