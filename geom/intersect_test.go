package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// seeded returns a random source and prints its seed.
func seeded(t testing.TB, seed uint64) *rand.Rand {
	t.Helper()
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, 1))
}

func randomPoint(r *rand.Rand, size float64) Point {
	return Pt(size*(2*r.Float64()-1), size*(2*r.Float64()-1))
}

func randomCubic(r *rand.Rand, size float64) Cubic {
	return Cubic{randomPoint(r, size), randomPoint(r, size), randomPoint(r, size), randomPoint(r, size)}
}

func TestMeetLineParabola(t *testing.T) {
	// y = x² over [−1, 1] at y = 1/4: x = ±1/2, so t = (1 ± ½)/2.
	parabola := Quadratic(Pt(-1, 1), Pt(0, -1), Pt(1, 1))
	got := parabola.MeetLine(Pt(0, 0.25), Pt(5, 0.25))
	assert.InDeltaSlice(t, []float64{0.25, 0.75}, got, 1e-14)
	assert.InDeltaSlice(t, []float64{0.5}, parabola.MeetLine(Pt(0, 0), Pt(1, 0)), 1e-7, "a touch is given once")
	assert.Empty(t, parabola.MeetLine(Pt(0, -0.1), Pt(1, -0.1)))
	assert.Empty(t, parabola.MeetLine(Pt(3, 3), Pt(3, 3)), "no direction")
	assert.Empty(t, Line(Pt(0, 0), Pt(9, 0)).MeetLine(Pt(1, 0), Pt(2, 0)), "on the line")
}

func TestMeetLineChebyshev(t *testing.T) {
	// The Chebyshev polynomial T₃ on [−1, 1] has Bernstein coefficients
	// −1, 5, −5, 1 and the roots cos((2k−1)π/6).
	c := Cubic{Pt(-1, -1), Pt(-1./3, 5), Pt(1./3, -5), Pt(1, 1)}
	var x []float64
	for _, u := range c.MeetLine(Pt(0, 0), Pt(1, 0)) {
		x = append(x, c.At(u).X)
	}
	assert.InDeltaSlice(t, []float64{-math.Sqrt(3) / 2, 0, math.Sqrt(3) / 2}, x, 1e-14)
}

func TestMeetNineTimes(t *testing.T) {
	// Two cubics that share all nine points Bézout's theorem allows: the curve
	// y = T₃(x) and the same with x and y exchanged.
	a := Cubic{Pt(-1, -1), Pt(-1./3, 5), Pt(1./3, -5), Pt(1, 1)}
	b := Cubic{Pt(-1, -1), Pt(5, -1./3), Pt(-5, 1./3), Pt(1, 1)}
	got := Meet(a, b)
	require.Len(t, got, 9)
	for _, m := range got {
		x := m.At.X
		assert.InDelta(t, 4*x*x*x-3*x, m.At.Y, 1e-12)
		y := m.At.Y
		assert.InDelta(t, 4*y*y*y-3*y, x, 1e-9)
	}
}

func TestMeetLines(t *testing.T) {
	got := Meet(Line(Pt(0, 0), Pt(10, 0)), Line(Pt(2, -3), Pt(2, 3)))
	require.Len(t, got, 1)
	assert.InDelta(t, 0.2, got[0].T, 1e-15)
	assert.InDelta(t, 0.5, got[0].U, 1e-15)
	assert.Empty(t, Meet(Line(Pt(0, 0), Pt(10, 0)), Line(Pt(0, 1), Pt(10, 1))))
	touch := Meet(Line(Pt(0, 0), Pt(10, 0)), Line(Pt(10, 0), Pt(12, 3)))
	assert.Equal(t, []Meeting{{1, 0, Pt(10, 0)}}, touch)
}

func TestMeetOverlap(t *testing.T) {
	c := Cubic{Pt(0, 0), Pt(100, 300), Pt(300, 300), Pt(400, 0)}
	for _, other := range []Cubic{c.Part(0.2, 0.7), c.Part(0.2, 0.7).Reverse()} {
		got := Meet(c, other)
		require.Len(t, got, 2)
		assert.InDelta(t, 0.2, got[0].T, 1e-12)
		assert.InDelta(t, 0.7, got[1].T, 1e-12)
	}
	got := Meet(c.Part(0, 0.6), c.Part(0.4, 1))
	require.Len(t, got, 2)
	assert.InDelta(t, 0.4/0.6, got[0].T, 1e-12)
	lines := Meet(Line(Pt(0, 0), Pt(10, 0)), Line(Pt(7, 0), Pt(3, 0)))
	require.Len(t, lines, 2)
	assert.InDelta(t, 0.3, lines[0].T, 1e-15)
}

func TestMeetTouchesAndNearMisses(t *testing.T) {
	a := Quadratic(Pt(-100, 100), Pt(0, -100), Pt(100, 100))
	b := Quadratic(Pt(-100, -100), Pt(0, 100), Pt(100, -100)).Moved(Motion{Shift: Pt(3, 0)})
	gap := 1e-6
	// y = x²/100 and y = −(x−3)²/100 touch after b is lowered by the least sum
	// of heights, 2·1.5²/100, and are then tangent at x = 1.5.
	touching := b.Moved(Motion{Shift: Pt(0, 2*1.5*1.5/100)})
	got := Meet(a, touching)
	require.Len(t, got, 1)
	assert.InDelta(t, 1.5, got[0].At.X, 1e-3)
	assert.Empty(t, Meet(a, touching.Moved(Motion{Shift: Pt(0, -gap)})))
	assert.Len(t, Meet(a, touching.Moved(Motion{Shift: Pt(0, gap)})), 2)
}

func TestMeetEnds(t *testing.T) {
	r := seeded(t, 11)
	for range 500 {
		c := randomCubic(r, 300)
		for name, d := range map[string]Cubic{
			"itself": c, "point": Line(c.P0, c.P0), "near": c.Moved(Motion{Shift: Pt(1e-7, 1e-7)}),
			"turned": c.Moved(Motion{Turn: 1e-9}), "no handles": {c.P0, c.P0, c.P3, c.P3}, "overshoot": {c.P0, c.P3, c.P0, c.P3},
		} {
			for _, m := range Meet(c, d) {
				assert.LessOrEqual(t, c.At(m.T).Dist(d.At(m.U)), 2e-9, name)
			}
		}
	}
	assert.Empty(t, Meet(Cubic{P1: Pt(math.NaN(), 0)}, Line(Pt(0, 0), Pt(1, 1))))
}

// crossingsByFlattening counts the crossings of two fine polylines: slow and
// obvious.
func crossingsByFlattening(a, b Cubic, n int) int {
	count := 0
	for i := range n {
		p, q := a.At(float64(i)/float64(n)), a.At(float64(i+1)/float64(n))
		for j := range n {
			u, v := b.At(float64(j)/float64(n)), b.At(float64(j+1)/float64(n))
			d, e := q.Sub(p), v.Sub(u)
			if (d.Cross(u.Sub(p)) < 0) != (d.Cross(v.Sub(p)) < 0) && (e.Cross(p.Sub(u)) < 0) != (e.Cross(q.Sub(u)) < 0) {
				count++
			}
		}
	}
	return count
}

func TestMeetAgainstFlattening(t *testing.T) {
	r := seeded(t, 12)
	differ, total := 0, 0
	for range 400 {
		a, b := randomCubic(r, 100), randomCubic(r, 100)
		got := Meet(a, b)
		for _, m := range got {
			assert.LessOrEqual(t, a.At(m.T).Dist(b.At(m.U)), 1e-9)
		}
		want := crossingsByFlattening(a, b, 300)
		if total += want; len(got) != want {
			differ++
			assert.Zero(t, (len(got)-want)%2, "an odd difference is a missed crossing, not a near touch: %v %v", a, b)
		}
	}
	assert.LessOrEqual(t, differ, 2, "of %d crossings", total)
	t.Logf("%d crossings, %d pairs differ from the flattening by a near touch", total, differ)
}

func TestMeetPathsAtNode(t *testing.T) {
	p := Polyline(Pt(0, 0), Pt(10, 0), Pt(20, 0))
	q := Polyline(Pt(10, -5), Pt(10, 0), Pt(10, 5))
	got := MeetPaths(p, q)
	require.Len(t, got, 1, "one meeting though four curves share the node")
	assert.Equal(t, Pt(10, 0), got[0].At)
	assert.InDelta(t, 10, p.LengthTo(got[0].P), 1e-12)
	assert.InDelta(t, 5, q.LengthTo(got[0].Q), 1e-12)
}

func TestSelfCrossing(t *testing.T) {
	loop := Cubic{Pt(0, 0), Pt(300, 200), Pt(-200, 200), Pt(100, 0)}
	rings := map[string]struct {
		ring Ring
		want bool
	}{
		"square":               {Polygon(Pt(0, 0), Pt(10, 0), Pt(10, 10), Pt(0, 10)), false},
		"circle":               {Circle(Pt(5, 5), 100), false},
		"bow tie":              {Polygon(Pt(0, 0), Pt(10, 10), Pt(10, 0), Pt(0, 10)), true},
		"touches at a corner":  {Polygon(Pt(0, 0), Pt(10, 0), Pt(10, 10), Pt(5, 0), Pt(0, 10)), true},
		"spike":                {Polygon(Pt(0, 0), Pt(10, 0), Pt(20, 0), Pt(10, 0), Pt(10, 10), Pt(0, 10)), true},
		"half spike":           {Polygon(Pt(0, 0), Pt(20, 0), Pt(10, 0), Pt(10, 10), Pt(0, 10)), true},
		"looped cubic":         {Ring{loop, Line(Pt(100, 0), Pt(100, -50)), Line(Pt(100, -50), Pt(0, 0))}, true},
		"drop of one curve":    {Ring{{Pt(0, 0), Pt(100, 100), Pt(-100, 100), Pt(0, 0)}}, false},
		"two curves":           {Ring{{Pt(0, 0), Pt(10, -30), Pt(30, -30), Pt(40, 0)}, {Pt(40, 0), Pt(30, 30), Pt(10, 30), Pt(0, 0)}}, false},
		"there and back":       {Ring{{Pt(0, 0), Pt(10, -30), Pt(30, -30), Pt(40, 0)}, {Pt(40, 0), Pt(30, -30), Pt(10, -30), Pt(0, 0)}}, true},
		"overshooting line":    {Ring{{Pt(0, 0), Pt(30, 0), Pt(30, 0), Pt(10, 0)}, Line(Pt(10, 0), Pt(10, 10)), Line(Pt(10, 10), Pt(0, 0))}, true},
		"a gap of 1e-12":       {Ring{Line(Pt(0, 0), Pt(10, 0)), Line(Pt(10+1e-12, 0), Pt(10, 10)), Line(Pt(10, 10), Pt(0, 0))}, false},
		"a point curve":        {Ring{Line(Pt(0, 0), Pt(10, 0)), Line(Pt(10, 0), Pt(10, 0)), Line(Pt(10, 0), Pt(10, 10)), Line(Pt(10, 10), Pt(0, 0))}, false},
		"sharp but not folded": {Polygon(Pt(0, 0), Pt(500, 0.01), Pt(0, 0.02)), false},
	}
	for name, c := range rings {
		at, i, j, found := c.ring.SelfCrossing()
		assert.Equal(t, c.want, found, "%s: curves %d and %d at %v", name, i, j, at)
	}
}

func TestSelfCrossingSmoothRings(t *testing.T) {
	r := seeded(t, 13)
	for range 60 {
		ring := wavyRing(r, 40+r.IntN(200), 0.25)
		at, i, j, found := ring.SelfCrossing()
		require.False(t, found, "a star-shaped ring: curves %d, %d at %v", i, j, at)
	}
}

// wavyRing is a smooth star-shaped ring of n cubics (Hermite, through points
// at wavy radii).
func wavyRing(r *rand.Rand, n int, wave float64) Ring {
	a, b, p := float64(2+r.IntN(4)), float64(5+r.IntN(6)), r.Float64()*6
	radius := func(f float64) Point {
		rad := 300 * (1 + wave*math.Sin(a*f+p)*0.6 + wave*0.4*math.Cos(b*f))
		return Pt(rad*math.Cos(f), rad*math.Sin(f))
	}
	slope := func(f float64) Point { return radius(f + 1e-6).Sub(radius(f - 1e-6)).Mul(0.5e6) }
	ring := make(Ring, n)
	for i := range ring {
		f, g := 2*math.Pi*float64(i)/float64(n), 2*math.Pi*float64(i+1)/float64(n)
		h := (g - f) / 3
		p, q := radius(f), radius(g)
		ring[i] = Cubic{p, p.Add(slope(f).Mul(h)), q.Sub(slope(g).Mul(h)), q}
		if i > 0 {
			ring[i].P0 = ring[i-1].P3
		}
	}
	ring[n-1].P3 = ring[0].P0
	return ring
}

// graph is the cubic over −100 ≤ x ≤ 100 whose y is a + b·x + c·x² + d·x³.
func graph(a, b, c, d float64) Cubic {
	const w = 100.
	// Bernstein coefficients of 1, x, x², x³ on [−w, w].
	y := func(one, x, x2, x3 float64) float64 { return a*one + b*w*x + c*w*w*x2 + d*w*w*w*x3 }
	return Cubic{
		Pt(-w, y(1, -1, 1, -1)), Pt(-w/3, y(1, -1./3, -1./3, 1)),
		Pt(w/3, y(1, 1./3, -1./3, -1)), Pt(w, y(1, 1, 1, 1)),
	}
}

func TestMeetSideBySide(t *testing.T) {
	// y = x²/100 and the same plus k·x·(x² − 60²), at most k·83,138 apart
	// within ±60, meet where x = −60, 0, 60, however small k is.
	a := graph(0, 0, 0.01, 0)
	for _, gap := range []float64{1, 1e-3, 1e-5, 1e-6, 1e-7} {
		k := gap / 83138
		b := graph(0, -3600*k, 0.01, k)
		for name, d := range map[string]Cubic{"whole": b, "reversed": b.Reverse(), "part": b.Part(0.1, 0.95)} {
			m := meeter{a: a, b: d, left: meetBudget}
			m.run()
			assert.Less(t, meetBudget-m.left, 200, "%s, %g apart: the work", name, gap)
			got := Meet(a, d)
			require.Len(t, got, 3, "%s, %g apart", name, gap)
			for i, x := range []float64{-60, 0, 60} {
				// The place is as uncertain as rounding of y over the angle there.
				assert.InDelta(t, x, got[i].At.X, 1e-12/k/3600, "%s, %g apart", name, gap)
				assert.LessOrEqual(t, a.At(got[i].T).Dist(d.At(got[i].U)), 1e-11)
			}
		}
		// Shifted up by a tenth more than the gap there is none but at the ends.
		for _, m := range Meet(a, b.Moved(Motion{Shift: Pt(0, -1.1*gap)})) {
			assert.Greater(t, math.Abs(m.At.X), 60.)
		}
	}
	assert.Empty(t, Meet(a, graph(1e-6, 0, 0.01, 0)), "parallel in y")
	assert.Empty(t, Meet(a, graph(1e-8, 0, 0.01, 0)))
}
