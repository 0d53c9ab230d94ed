package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// realisticCubic is a curve as pattern edges have them, of four kinds: long
// and flat as a side seam or hem, an S of small turn, a stretch of an armhole
// or sleeve head, a quarter of a neckline.
func realisticCubic(r *rand.Rand) Cubic {
	switch k := r.IntN(20); {
	case k < 8:
		return bentCubic(r, 100, 600, 25)
	case k < 11:
		c := bentCubic(r, 80, 500, 30)
		c.P2 = c.P3.Sub(c.P3.Sub(c.P0).Mul(0.6).Sub(c.P2.Sub(c.P0).Mul(0.4)))
		return c
	case k < 17:
		return bentCubic(r, 50, 200, 60)
	}
	return bentCubic(r, 40, 120, 100)
}

// harshCubic is a curve that turns by up to 120° at any length.
func harshCubic(r *rand.Rand) Cubic { return bentCubic(r, 20, 600, 120) }

// bentCubic is a curve with a chord of shortest to longest mm that turns by up
// to the given degrees, to either side and with uneven handles.
func bentCubic(r *rand.Rand, shortest, longest, degrees float64) Cubic {
	l := shortest * math.Pow(longest/shortest, r.Float64())
	dir := Pt(1, 0).Turn(r.Float64() * 2 * math.Pi)
	a := (r.Float64()*2 - 1) * degrees / 2 * math.Pi / 180
	b := a * (0.5 + 0.5*r.Float64())
	h, k := l*(0.28+0.12*r.Float64()), l*(0.28+0.12*r.Float64())
	p := randomPoint(r, 300)
	q := p.Add(dir.Mul(l))
	return Cubic{p, p.Add(dir.Turn(a).Mul(h)), q.Sub(dir.Turn(-b).Mul(k)), q}
}

// realisticDistance is an allowance or facing that the curve can take on
// either side.
func realisticDistance(r *rand.Rand, c Cubic) float64 {
	for {
		d := []float64{6, 10, 10, 15, 15, 20, 40}[r.IntN(7)]
		if r.IntN(2) == 0 {
			d = -d
		}
		least := math.Inf(1)
		for i := range 65 {
			least = math.Min(least, 1+d*c.Curvature(float64(i)/64))
		}
		if least > 0.1 {
			return d
		}
		if r.IntN(20) == 0 {
			return math.Copysign(1, d)
		}
	}
}

func TestOffsetCubicsPerCurve(t *testing.T) {
	n := 2000
	if testing.Short() {
		n = 200
	}
	for _, k := range offsetKinds[:2] {
		s := k.survey(seeded(t, 41), n, 10)
		t.Logf("%s: %.3f cubics per curve, deviation at most %.4f mm", k.name, s.perCurve(), s.worst)
		assert.LessOrEqual(t, s.perCurve(), k.most, k.name)
		assert.LessOrEqual(t, s.worst, 0.01, k.name)
		assert.Zero(t, s.failed, k.name)
	}
}

func TestOffsetEndsAreExact(t *testing.T) {
	r := seeded(t, 43)
	for i := range 500 {
		k := offsetKinds[i%len(offsetKinds)]
		c := k.curve(r)
		d := k.by(r, c)
		o, err := c.Offset(d, 0.01)
		require.NoError(t, err)
		assert.InDelta(t, 0, o.Start().Dist(c.P0.Add(c.Tangent(0).Left().Mul(d))), 1e-9)
		assert.InDelta(t, 0, o.End().Dist(c.P3.Add(c.Tangent(1).Left().Mul(d))), 1e-9)
		assert.InDelta(t, 0, o[0].Tangent(0).Cross(c.Tangent(0)), 1e-6)
		assert.InDelta(t, 0, o[len(o)-1].Tangent(1).Cross(c.Tangent(1)), 1e-6)
	}
}

func TestOffsetOfCircle(t *testing.T) {
	// The parallel of a circle is a circle: length 2π(r + d).
	circle := Path(Circle(Pt(10, 20), 100))
	for _, d := range []float64{15, -15, -60} {
		o, err := circle.Offset(d, 0.01)
		require.NoError(t, err)
		assert.LessOrEqual(t, len(o), 8)
		assert.InDelta(t, 2*math.Pi*(100+d), o.Length(), 0.2, "the cubic circle itself is 0.03 mm off")
		assert.InDelta(t, math.Pi*(100+d)*(100+d), Ring(o).Area(), 0.06*2*math.Pi*(100+d))
	}
}

func TestOffsetThroughACusp(t *testing.T) {
	// A parabola y = x²/2p has its smallest radius of curvature p at the
	// vertex; the parallel at d > p on the inside has two cusps, where the
	// radius of curvature is d: p(1 + (x/p)²)^(3/2) = d.
	const p, d = 10.0, 20.0 // d to the right, where the centre of curvature is
	c := Quadratic(Pt(-30, 45), Pt(0, -45), Pt(30, 45))
	require.InDelta(t, 1/p, c.Curvature(0.5), 1e-12)
	x := p * math.Sqrt(math.Pow(d/p, 2./3)-1)
	o, err := c.Offset(-d, 0.01)
	require.NoError(t, err)
	normal := Pt(-x/p, 1).Unit()
	cusp := Pt(x, x*x/(2*p)).Add(normal.Mul(d))
	_, dist := o.Nearest(cusp)
	assert.LessOrEqual(t, dist, 0.01)
	nodes := 0
	for i := 1; i < len(o); i++ {
		if o[i-1].Tangent(1).Dot(o[i].Tangent(0)) < -0.9 {
			nodes++
		}
	}
	assert.Equal(t, 2, nodes, "the tangent reverses at each cusp")
	for _, f := range o {
		for i := range 11 {
			q := f.At(float64(i) / 10)
			best := math.Inf(1)
			for k := range 4001 {
				u := float64(k) / 4000
				best = math.Min(best, q.Dist(c.At(u).Add(c.Tangent(u).Right().Mul(d))))
			}
			assert.LessOrEqual(t, best, 0.03)
		}
	}
}

// degenerateCubics are curves that have hung or spoiled other kernels.
var degenerateCubics = map[string]Cubic{
	"point":                 {Pt(5, 5), Pt(5, 5), Pt(5, 5), Pt(5, 5)},
	"no first handle":       {Pt(0, 0), Pt(0, 0), Pt(50, 40), Pt(100, 0)},
	"no last handle":        {Pt(0, 0), Pt(50, 40), Pt(100, 0), Pt(100, 0)},
	"no handles":            {Pt(0, 0), Pt(0, 0), Pt(100, 0), Pt(100, 0)},
	"overshoot":             {Pt(0, 0), Pt(150, 0), Pt(-50, 0), Pt(100, 0)},
	"there and back":        {Pt(0, 0), Pt(100, 0), Pt(100, 0), Pt(0, 0)},
	"cusp":                  {Pt(0, 0), Pt(100, 100), Pt(0, 100), Pt(100, 0)},
	"loop":                  {Pt(0, 0), Pt(200, 100), Pt(-100, 100), Pt(100, 0)},
	"closed":                {Pt(0, 0), Pt(100, 100), Pt(-100, 100), Pt(0, 0)},
	"gap":                   {Pt(0, 0), Pt(1e-12, 0), Pt(50, 1e-12), Pt(100, 0)},
	"tiny":                  {Pt(0, 0), Pt(1e-7, 1e-7), Pt(2e-7, 0), Pt(3e-7, 0)},
	"far":                   {Pt(1e5, 1e5), Pt(1e5+10, 1e5), Pt(1e5+20, 1e5+9), Pt(1e5+30, 1e5)},
	"near cusp":             {Pt(0, 0), Pt(100, 100), Pt(1e-6, 100), Pt(100, 0)},
	"ends meet by a corner": {Pt(0, 0), Pt(100, 0), Pt(100, 0), Pt(100, 100)},
}

func TestOffsetDegenerate(t *testing.T) {
	for name, c := range degenerateCubics {
		for _, d := range []float64{0, 10, -10, 300, 1e-9} {
			o, err := c.Offset(d, 0.01)
			if name == "point" || (name == "there and back" && d != 0) {
				assert.ErrorIs(t, err, ErrNoDirection, name)
				continue
			}
			require.NoError(t, err, "%s by %v", name, d)
			for i, f := range o {
				assert.True(t, f.Finite(), name)
				if i > 0 {
					assert.Equal(t, o[i-1].P3, f.P0, "%s is connected", name)
				}
			}
			assert.Less(t, len(o), 200, name)
		}
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1)} {
		_, err := Line(Pt(0, 0), Pt(1, 0)).Offset(bad, 0.01)
		assert.Error(t, err)
	}
	_, err := Line(Pt(0, 0), Pt(1, 0)).Offset(1, 0)
	assert.Error(t, err)
}

func TestHandlesOfNextToNoLength(t *testing.T) {
	// A curve whose handle is a hair long is the curve without it, to less than
	// that hair, and so is its parallel, whatever direction the hair has.
	cases := []struct {
		c Cubic
		d float64
	}{
		{Cubic{Pt(51, 6), Pt(51.000000000001, 6), Pt(8, 45), Pt(41, 96)}, 10},
		{Cubic{
			Pt(15.640119261251037, 2.126342050403049), Pt(15.640119275943643, 2.126342028506937),
			Pt(0.5702870054503217, 23.202503552981618), Pt(5.596017613845941, 12.213825422018147),
		}, 15},
	}
	r := seeded(t, 44)
	for i := range 400 {
		c := randomCubic(r, 200)
		hair := Pt(math.Pow(10, -13+7*r.Float64()), 0).Turn(7 * r.Float64())
		if i%4 != 1 {
			c.P1 = c.P0.Add(hair)
		}
		if i%4 != 2 {
			c.P2 = c.P3.Add(hair.Turn(7 * r.Float64()))
		}
		if i%4 == 3 {
			c.P1 = randomPoint(r, 200)
		}
		cases = append(cases, struct {
			c Cubic
			d float64
		}{c, anyDistance(r, c)})
	}
	for _, x := range cases {
		o, err := x.c.Offset(x.d, 0.01)
		require.NoError(t, err, "%v by %v", x.c, x.d)
		bare := x.c
		if bare.P1.Dist(bare.P0) < 1e-6 {
			bare.P1 = bare.P0
		}
		if bare.P2.Dist(bare.P3) < 1e-6 {
			bare.P2 = bare.P3
		}
		if bare.P1 == bare.P0 && bare.P2 == bare.P3 { // a line
			u := bare.P3.Sub(bare.P0).Unit().Left().Mul(x.d)
			assert.InDelta(t, 0, o.Start().Dist(bare.P0.Add(u)), 1e-5)
			assert.InDelta(t, 0, o.End().Dist(bare.P3.Add(u)), 1e-5)
			continue
		}
		assert.LessOrEqual(t, newTrueParallel(bare, x.d, 0.1).deviation(o, 20), 0.0105, "%v by %v", x.c, x.d)
	}
}

func TestShortHandlesThatCount(t *testing.T) {
	// From where they are long enough to turn the parallel, they do.
	r := seeded(t, 45)
	for range 800 {
		c := randomCubic(r, 100)
		c.P1 = c.P0.Add(Pt(1e-5*math.Pow(10, 4*r.Float64()), 0).Turn(7 * r.Float64()))
		d := anyDistance(r, c)
		o, err := c.Offset(d, 0.01)
		require.NoError(t, err, "%v by %v", c, d)
		assert.InDelta(t, 0, o.Start().Dist(c.P0.Add(c.Tangent(0).Left().Mul(d))), 1e-9)
		for i := range 100 {
			u := (float64(i) + 0.5) / 100
			_, off := o.Nearest(c.At(u).Add(c.Tangent(u).Left().Mul(d)))
			assert.LessOrEqual(t, off, 0.01, "%v by %v", c, d)
		}
	}
}

func TestRingWithHandlesOfNextToNoLength(t *testing.T) {
	// The corners are those of the curve without the hair.
	for _, hair := range []Point{{}, Pt(1e-12, 0), Pt(-1e-9, 1e-8), Pt(0, -1e-7)} {
		edges := closedBy(Cubic{Pt(0, 0), hair, Pt(60, -20), Pt(100, 0)}, [3]float64{10, 10, 10})
		ring, from, err := OffsetRing(edges, nil, 0.01)
		require.NoError(t, err)
		bare, _, err := OffsetRing(closedBy(Cubic{Pt(0, 0), Pt(0, 0), Pt(60, -20), Pt(100, 0)}, [3]float64{10, 10, 10}), nil, 0.01)
		require.NoError(t, err)
		require.Len(t, ring, len(bare), "%v", hair)
		require.Len(t, from, len(ring))
		assert.InDelta(t, bare.Area(), ring.Area(), 1e-3, "%v", hair)
	}
}

func TestOffsetPathJoins(t *testing.T) {
	r := seeded(t, 42)
	for range 100 {
		c := realisticCubic(r)
		d := realisticDistance(r, c)
		a, b := c.Split(0.2 + 0.6*r.Float64())
		o, err := Path{a, b}.Offset(d, 0.01)
		require.NoError(t, err)
		assert.LessOrEqual(t, newTrueParallel(c, d, 0.5).deviation(o, 40), 0.0105, "dividing a curve changes nothing")
	}
	bend := Polyline(Pt(0, 0), Pt(100, 0), Pt(200, 10))
	out, err := bend.Offset(10, 0.01)
	require.NoError(t, err)
	assert.Len(t, out, 2, "outside: run on to the meeting, no new nodes")
	in, err := bend.Offset(-10, 0.01)
	require.NoError(t, err)
	assert.Len(t, in, 2)
	tan := math.Tan(math.Atan2(10, 100) / 2)
	assert.InDelta(t, bend.Length()+20*tan, out.Length(), 1e-9)
	assert.InDelta(t, bend.Length()-20*tan, in.Length(), 1e-9)
	_, err = Path{}.Offset(10, 0.01)
	assert.ErrorIs(t, err, ErrNoDirection)
}

func TestOffsetRingDegenerate(t *testing.T) {
	for name, c := range degenerateCubics {
		for style := range 6 {
			for _, by := range [][3]float64{{10, 10, 10}, {-3, -3, -3}, {0, 15, 6}, {25, 0, 40}, {300, 1, 1e-9}} {
				checkRing(t, name, closedBy(c, by), OffsetCorner{CornerStyle(style)})
			}
		}
	}
}

// closedBy is a ring of a curve and two lines back to its start, with a
// distance for each.
func closedBy(c Cubic, by [3]float64) []OffsetEdge {
	q := c.P0.Lerp(c.P3, 0.5).Add(c.P3.Sub(c.P0).Right()).Add(Pt(0, 30))
	return []OffsetEdge{{Path{c}, by[0]}, {Path{Line(c.P3, q)}, by[1]}, {Path{Line(q, c.P0)}, by[2]}}
}

// checkRing makes a ring's offset and checks that what comes is a simple ring
// or an error.
func checkRing(t *testing.T, name string, edges []OffsetEdge, corner OffsetCorner) {
	ring, from, err := OffsetRing(edges, []OffsetCorner{corner, corner, corner}, 0.01)
	if err != nil {
		if ring != nil || from != nil {
			t.Fatalf("%s: a ring and an error", name)
		}
		return
	}
	if why := notSimple(ring, from, len(edges)); why != "" {
		t.Fatalf("%s, %v: %s", name, edges, why)
	}
}

func FuzzOffset(f *testing.F) {
	for _, c := range degenerateCubics {
		for _, d := range []float64{10, -3, 0, 300} {
			f.Add(c.P0.X, c.P0.Y, c.P1.X, c.P1.Y, c.P2.X, c.P2.Y, c.P3.X, c.P3.Y, d, 15.0, uint8(0))
			f.Add(c.P0.X, c.P0.Y, c.P1.X, c.P1.Y, c.P2.X, c.P2.Y, c.P3.X, c.P3.Y, d, 0.0, uint8(3))
		}
	}
	f.Fuzz(func(t *testing.T, x0, y0, x1, y1, x2, y2, x3, y3, d, e float64, style uint8) {
		c := Cubic{Pt(x0, y0), Pt(x1, y1), Pt(x2, y2), Pt(x3, y3)}
		for _, v := range []float64{x0, y0, x1, y1, x2, y2, x3, y3, d, e} {
			if math.Abs(v) > 2e5 {
				t.Skip("outside the sheet")
			}
		}
		checkRing(t, "ring", closedBy(c, [3]float64{d, e, d}), OffsetCorner{CornerStyle(style % 6)})
		o, err := c.Offset(d, 0.01)
		if err != nil {
			return
		}
		for i, g := range o {
			if !g.Finite() {
				t.Fatalf("%v by %v: not finite", c, d)
			}
			if i > 0 && o[i-1].P3 != g.P0 {
				t.Fatalf("%v by %v: not connected at %d", c, d, i)
			}
		}
	})
}
