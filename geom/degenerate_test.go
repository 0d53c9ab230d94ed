package geom

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// hostileCubics are degenerate curves beside degenerateCubics: rest, overshoot,
// coincidence and rounding in every place.
var hostileCubics = map[string]Cubic{
	"at the origin":          {},
	"a gap of 1e-12":         Line(Pt(3, 4), Pt(3+1e-12, 4)),
	"a gap of 1e-9":          Line(Pt(3, 4), Pt(3, 4+1e-9)),
	"hull at the least size": {Pt(0, 0), Pt(3e-10, 0), Pt(6e-10, 1e-10), Pt(1.01e-9, 0)},
	"denormal":               {Pt(0, 0), Pt(5e-324, 0), Pt(0, 5e-324), Pt(5e-324, 5e-324)},
	"denormal handles":       {Pt(0, 0), Pt(5e-324, 0), Pt(0, 5e-324), Pt(94, -16)},
	"all but one together":   {Pt(0, 0), Pt(0, 0), Pt(0, 0), Pt(100, 50)},
	"one apart at the start": {Pt(100, 50), Pt(0, 0), Pt(0, 0), Pt(0, 0)},
	"both handles crossed":   {Pt(0, 0), Pt(100, 0), Pt(0, 0), Pt(100, 0)},
	"overshoot at the end":   {Pt(0, 0), Pt(30, 0), Pt(160, 0), Pt(100, 0)},
	"overshoot at the start": {Pt(0, 0), Pt(-60, 0), Pt(70, 0), Pt(100, 0)},
	"overshoot, slanted":     {Pt(0.1, 0.2), Pt(15.1, 30.2), Pt(-4.9, -9.8), Pt(10.1, 20.2)},
	"overshoot by rounding":  {Pt(0, 0), Pt(50, 1e-13), Pt(100+1e-12, 0), Pt(100, 0)},
	"closed without handles": {Pt(7, 7), Pt(7, 7), Pt(7, 7), Pt(7, 7+1e-7)},
	"handles of 1e-12":       {Pt(0, 0), Pt(1e-12, 1e-12), Pt(100, 50-1e-12), Pt(100, 50)},
	"cusp at a third":        {Pt(0, 0), Pt(90, 60), Pt(0, 60), Pt(67.5, -15)},
	"cusp by rounding":       {Pt(0.1, 0.3), Pt(100.1, 100.3), Pt(0.1+1e-13, 100.3), Pt(100.1, 0.3)},
	"tiny loop":              {Pt(0, 0), Pt(100, 100), Pt(-1e-3, 100), Pt(100, 0)},
	"loop on its end":        {Pt(0, 0), Pt(300, 200), Pt(-200, 200), Pt(0, 0)},
	"two turns on a line":    {Pt(0, 0), Pt(300, 0), Pt(-200, 0), Pt(100, 0)},
	"far and small":          {Pt(1e5, -1e5), Pt(1e5+1e-3, -1e5), Pt(1e5+2e-3, -1e5+1e-3), Pt(1e5+3e-3, -1e5)},
	"large":                  {Pt(-1e5, -1e5), Pt(1e5, 1e5), Pt(-1e5, 1e5), Pt(1e5, -1e5)},
	"quadratic":              Quadratic(Pt(0, 0), Pt(50, 80), Pt(100, 0)),
}

// allDegenerate lists the degenerate curves of the package's tests, by name.
func allDegenerate() map[string]Cubic {
	all := map[string]Cubic{}
	for _, curves := range []map[string]Cubic{degenerateCubics, hostileCubics} {
		for name, c := range curves {
			all[name] = c
			all[name+", reversed"] = c.Reverse()
		}
	}
	return all
}

func finite(t *testing.T, name string, values ...float64) {
	t.Helper()
	for i, v := range values {
		assert.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%s: value %d is %v", name, i, v)
	}
}

func TestDegenerateCurvesOneByOne(t *testing.T) {
	for name, c := range allDegenerate() {
		l := c.Length()
		finite(t, name, l, c.Area(), c.Curvature(0), c.Curvature(0.5), c.Curvature(1))
		assert.GreaterOrEqual(t, l, c.P0.Dist(c.P3)-1e-9, name)
		assert.LessOrEqual(t, l, c.hull()+1e-9, name)
		assert.InDelta(t, referenceLength(c, 0, 1), l, 1e-8, name)
		box := c.Box().Grow(1e-10)
		for i := range 41 {
			u := float64(i) / 40
			tangent := c.Tangent(u)
			if c.hull() <= pointSize {
				assert.Equal(t, Point{}, tangent, "%s: a point has no direction", name)
			} else {
				assert.InDelta(t, 1, tangent.Len(), 1e-12, "%s at %v", name, u)
			}
			at := c.ParamAt(l * u)
			assert.InDelta(t, l*u, c.LengthBetween(0, at), 1e-8, "%s at %v", name, u)
			a, b := c.Split(u)
			assert.Equal(t, a.P3, b.P0, name)
			assert.InDelta(t, l, a.Length()+b.Length(), 1e-8, "%s at %v", name, u)
			assert.True(t, c.Part(u/2, u).Finite(), name)
			assert.True(t, box.Holds(c.At(u)), "%s at %v", name, u)
			_, d := c.Nearest(c.At(u))
			assert.LessOrEqual(t, d, 1e-10, "%s at %v", name, u)
			q := Pt(40*math.Cos(7*u), 40*math.Sin(7*u))
			if _, d = c.Nearest(q); i%8 == 0 {
				assert.InDelta(t, referenceNearest(c, q), d, 1e-10, "%s from %v", name, q)
			}
			for _, r := range c.MeetLine(q, q.Add(Pt(1, 3*u))) {
				finite(t, name, r)
			}
		}
	}
}

func TestTangentAtRest(t *testing.T) {
	// Beside an end without a handle and on both sides of a cusp the direction
	// is that of travel, not the second derivative's.
	c := Cubic{Pt(0, 0), Pt(50, 40), Pt(100, 0), Pt(100, 0)}
	for _, u := range []float64{1 - 1e-6, 1 - 1e-9, 1 - 1e-12, 1} {
		assert.InDelta(t, 0, c.Tangent(u).Dist(Pt(50, -40).Unit()), 1e-5, "at %v", u)
		assert.InDelta(t, 0, c.Reverse().Tangent(1-u).Dist(Pt(-50, 40).Unit()), 1e-5, "at %v", 1-u)
	}
	triple := Cubic{Pt(0, 0), Pt(100, 0), Pt(100, 0), Pt(100, 0)}
	assert.InDelta(t, 0, triple.Tangent(1-1e-8).Dist(Pt(1, 0)), 1e-9)
	cusp := degenerateCubics["cusp"] // comes from below, goes up again
	assert.InDelta(t, 0, cusp.Tangent(0.5-1e-12).Dist(Pt(0, 1)), 1e-6)
	assert.InDelta(t, 0, cusp.Tangent(0.5+1e-12).Dist(Pt(0, -1)), 1e-6)
	assert.InDelta(t, 0, cusp.Tangent(0.5).Dist(Pt(0, -1)), 1e-6, "at the cusp, as the curve leaves it")
	assert.Equal(t, Point{}, Line(Pt(3, 4), Pt(3+1e-12, 4)).Tangent(0.5))
	assert.Equal(t, Pt(1, 0), Path{Line(Pt(0, 0), Pt(0, 1e-12)), Line(Pt(0, 1e-12), Pt(5, 1e-12))}.StartTangent())
}

func TestDegeneratePairsMeet(t *testing.T) {
	all := allDegenerate()
	for name, c := range all {
		for other, d := range all {
			m := meeter{a: c, b: d, left: meetBudget}
			m.run()
			pair := fmt.Sprintf("%s and %s", name, other)
			assert.GreaterOrEqual(t, m.left, 0, "%s: not settled", pair)
			last := 0.0
			for _, f := range Meet(c, d) {
				finite(t, pair, f.T, f.U)
				assert.LessOrEqual(t, c.At(f.T).Dist(d.At(f.U)), meetTolerance, pair)
				assert.GreaterOrEqual(t, f.T, last, pair)
				last = f.T
			}
		}
	}
}

func TestDegenerateRings(t *testing.T) {
	for name, c := range allDegenerate() {
		ring := Ring{c, Line(c.P3, c.P3.Add(Pt(20, 300))), Line(c.P3.Add(Pt(20, 300)), c.P0)}
		finite(t, name, ring.Area(), ring.Length())
		at, _, _, found := ring.SelfCrossing()
		assert.True(t, at.Finite() || !found, name)
		for i := range 20 {
			ring.Winding(c.At(float64(i) / 19))
		}
		for _, p := range []Path{Carrier(Path{c}, 150), Carrier(Path{c}, 1e-12), Carrier(Path{c, c.Reverse()}, 150)} {
			for _, x := range p {
				assert.True(t, x.Finite(), name)
			}
		}
		after := Path{Line(c.P3, c.P3.Add(Pt(-70, 31)))}
		for _, r := range []float64{1e-9, 1, 40, 1e6} {
			arc, x, y, err := RoundCorner(Path{c}, after, r)
			finite(t, name, x, y)
			assert.True(t, err != nil || len(arc) > 0, name)
			for _, a := range arc {
				assert.True(t, a.Finite(), name)
			}
		}
	}
}

func TestGapsLetNoRayThrough(t *testing.T) {
	// Two curves that fail to meet by 1e-12 in y, and a ray between them.
	gap := 1e-12
	ring := Polygon(Pt(0, 0), Pt(10, 0), Pt(10, 5), Pt(10, 10), Pt(0, 10))
	ring[2].P0 = Pt(10, 5+gap)
	for _, y := range []float64{5, 5 + gap/2, 5 + gap} {
		assert.Equal(t, 1, ring.Winding(Pt(5, y)))
		assert.Equal(t, 0, ring.Winding(Pt(-5, y)))
	}
}

func TestNumbersThatAreNone(t *testing.T) {
	good := Cubic{Pt(0, 0), Pt(10, 30), Pt(30, 30), Pt(40, 0)}
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		for i := range 8 {
			v := [8]float64{0, 0, 10, 30, 30, 30, 40, 0}
			v[i] = bad
			c := Cubic{Pt(v[0], v[1]), Pt(v[2], v[3]), Pt(v[4], v[5]), Pt(v[6], v[7])}
			assert.False(t, c.Finite())
			assert.Empty(t, Meet(c, good))
			assert.Empty(t, Meet(good, c))
			assert.Empty(t, Carrier(Path{c}, 150)[1:])
			l := c.Length()
			assert.True(t, math.IsNaN(l) || math.IsInf(l, 1))
			_, _, _, err := RoundCorner(Path{c}, Path{Line(c.P3, Pt(99, 99))}, 5)
			assert.Error(t, err)
			// These pass through: they end, whatever they say.
			c.ParamAt(3)
			c.Nearest(Pt(1, 1))
			c.Tangent(0.3)
			c.Curvature(0.3)
			c.Box()
			c.IsStraight(0.1)
			c.MeetLine(Pt(0, 0), Pt(1, 1))
			ring := Ring{c, Line(c.P3, c.P0)}
			ring.SelfCrossing()
			ring.Winding(Pt(1, 1))
			MeetPaths(Path(ring), Path{good})
		}
		good.Nearest(Pt(bad, 0))
		assert.True(t, math.IsNaN(good.ParamAt(math.NaN())))
		assert.Empty(t, good.MeetLine(Pt(bad, 0), Pt(1, 1)))
		assert.False(t, Ring{good, Line(good.P3, good.P0)}.Holds(Pt(bad, 1)))
		assert.Len(t, Arc(Pt(0, 0), 10, 0, math.NaN()), 1)
		assert.LessOrEqual(t, len(Arc(Pt(0, 0), 10, 0, bad)), mostArcParts)
		assert.NotEmpty(t, EllipticalArc(Pt(0, 0), Pt(9, bad), 5, 6, 1, true, true, 0.01))
		assert.NotEmpty(t, EllipticalArc(Pt(0, 0), Pt(9, 1), 5, bad, 1, true, true, 0.01))
		FitMotion([]Point{{1, bad}}, []Point{{1, 1}}, true)
	}
	assert.Equal(t, 1.0, good.ParamAt(math.Inf(1)))
	assert.Equal(t, 0.0, good.ParamAt(math.Inf(-1)))
	require.Len(t, Arc(Pt(0, 0), 10, 0, 0), 1)
}

// FuzzCurves holds what must be true of any two cubics.
func FuzzCurves(f *testing.F) {
	all := allDegenerate()
	for _, c := range all {
		d := degenerateCubics["loop"]
		f.Add(c.P0.X, c.P0.Y, c.P1.X, c.P1.Y, c.P2.X, c.P2.Y, c.P3.X, c.P3.Y,
			d.P0.X, d.P0.Y, d.P1.X, d.P1.Y, d.P2.X, d.P2.Y, d.P3.X, d.P3.Y, 0.3)
		f.Add(c.P0.X, c.P0.Y, c.P1.X, c.P1.Y, c.P2.X, c.P2.Y, c.P3.X, c.P3.Y,
			c.P0.X, c.P0.Y, c.P1.X+1e-7, c.P1.Y, c.P2.X, c.P2.Y-1e-8, c.P3.X, c.P3.Y, 0.5)
	}
	f.Fuzz(func(t *testing.T, ax, ay, bx, by, cx, cy, dx, dy, ex, ey, fx, fy, gx, gy, hx, hy, u float64) {
		c := Cubic{Pt(ax, ay), Pt(bx, by), Pt(cx, cy), Pt(dx, dy)}
		d := Cubic{Pt(ex, ey), Pt(fx, fy), Pt(gx, gy), Pt(hx, hy)}
		ring := Ring{c, Line(c.P3, d.P0), d, Line(d.P3, c.P0)}
		at, _, _, found := ring.SelfCrossing()
		meetings := Meet(c, d)
		size := 0.0
		for _, v := range []float64{ax, ay, bx, by, cx, cy, dx, dy, ex, ey, fx, fy, gx, gy, hx, hy} {
			size = math.Max(size, math.Abs(v))
		}
		if !(size <= 1e5) || !(u >= 0 && u <= 1) {
			return // off the sheet: enough that it ends
		}
		if found && !at.Finite() {
			t.Fatal("a crossing that is nowhere")
		}
		for _, m := range meetings {
			if gap := c.At(m.T).Dist(d.At(m.U)); !(gap <= meetTolerance) {
				t.Fatalf("a meeting %g apart", gap)
			}
		}
		fuzzLength(t, c, u)
		fuzzNearest(t, c, d.P1)
		for _, v := range []Point{c.Tangent(u), c.Tangent(0), c.Tangent(1), c.Box().Size()} {
			if !v.Finite() {
				t.Fatal("not a number")
			}
		}
	})
}

func fuzzLength(t *testing.T, c Cubic, u float64) {
	l := c.Length()
	if !(l >= c.P0.Dist(c.P3)-1e-8 && l <= c.hull()+1e-8) {
		t.Fatalf("length %v, chord %v, hull %v", l, c.P0.Dist(c.P3), c.hull())
	}
	a, b := c.Split(u)
	if sum := a.Length() + b.Length(); math.Abs(sum-l) > 1e-6 {
		t.Fatalf("parts are %v, the whole %v", sum, l)
	}
	if got := c.LengthBetween(0, c.ParamAt(l*u)); math.Abs(got-l*u) > 1e-6 {
		t.Fatalf("the place at %v is at %v", l*u, got)
	}
}

func fuzzNearest(t *testing.T, c Cubic, q Point) {
	at, dist := c.Nearest(q)
	if !(at >= 0 && at <= 1) || c.At(at).Dist(q) != dist {
		t.Fatalf("nearest at %v, %v away", at, dist)
	}
	for i := range 101 {
		if d := c.At(float64(i) / 100).Dist(q); d < dist-1e-9 {
			t.Fatalf("nearest %v away, another %v", dist, d)
		}
	}
}
