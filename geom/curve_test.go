package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSplittingKeepsLengthAndArea(t *testing.T) {
	r := seeded(t, 71)
	for range 300 {
		c := randomCubic(r, 300)
		u := r.Float64()
		a, b := c.Split(u)
		assert.InDelta(t, c.Length(), a.Length()+b.Length(), 2e-6)
		assert.InDelta(t, c.LengthBetween(0, u), a.Length(), 2e-6)
		assert.InDelta(t, c.Area(), a.Area()+b.Area(), 1e-9)
		assert.Equal(t, a.P3, b.P0)
		part := c.Part(u/3, u)
		assert.InDelta(t, 0, part.At(0.5).Dist(c.At(u*2/3)), 1e-10)
		assert.InDelta(t, 0, c.Part(-0.5, 1.5).At(0.5).Dist(c.At(0.5)), 1e-9, "beyond the ends too")
	}
}

func TestReversingAndMoving(t *testing.T) {
	r := seeded(t, 72)
	for range 300 {
		ring := Ring{randomCubic(r, 300)}
		ring = append(ring, Line(ring[0].P3, ring[0].P0))
		m := Motion{Mirror: r.IntN(2) == 0, Turn: r.Float64() * 7, Shift: randomPoint(r, 500)}
		moved := ring.Moved(m)
		assert.InDelta(t, -ring.Area(), ring.Reverse().Area(), 1e-8)
		sign := 1.0
		if m.Mirror {
			sign = -1
		}
		assert.InDelta(t, sign*ring.Area(), moved.Area(), 1e-7)
		assert.InDelta(t, ring.Length(), moved.Length(), 2e-6)
		q := randomPoint(r, 300)
		assert.InDelta(t, 0, m.Inverse().Apply(m.Apply(q)).Dist(q), 1e-9)
		n := Motion{Mirror: r.IntN(2) == 0, Turn: r.Float64(), Shift: randomPoint(r, 50)}
		assert.InDelta(t, 0, m.Then(n).Apply(q).Dist(n.Apply(m.Apply(q))), 1e-9)
	}
}

func TestLengthAgainstChords(t *testing.T) {
	// Slow and obvious: chords with Richardson's extrapolation.
	r := seeded(t, 73)
	chords := func(c Cubic, n int) float64 {
		sum := 0.0
		for i := range n {
			sum += c.At(float64(i) / float64(n)).Dist(c.At(float64(i+1) / float64(n)))
		}
		return sum
	}
	for range 100 {
		c := realisticCubic(r)
		fine, coarse := chords(c, 4000), chords(c, 2000)
		assert.InDelta(t, fine+(fine-coarse)/3, c.Length(), 1e-7)
	}
	// A symmetrical cusp, (0,0)(1,1)(0,1)(1,0) with speed |3(1−2t)|·√(…): by
	// its halves, which are regular.
	cusp := degenerateCubics["cusp"]
	a, b := cusp.Split(0.5)
	assert.InDelta(t, a.Length()+b.Length(), cusp.Length(), 1e-6)
	assert.InDelta(t, 2*a.Length(), cusp.Length(), 1e-6)
}

func TestParamAtAndPlaces(t *testing.T) {
	r := seeded(t, 74)
	for range 200 {
		c := randomCubic(r, 200)
		l := r.Float64() * c.Length()
		assert.InDelta(t, l, c.LengthBetween(0, c.ParamAt(l)), 1e-7)
	}
	c := Line(Pt(0, 0), Pt(10, 0))
	assert.Equal(t, 0.0, c.ParamAt(-1))
	assert.Equal(t, 1.0, c.ParamAt(11))
	p := Polyline(Pt(0, 0), Pt(10, 0), Pt(10, 10))
	assert.InDelta(t, 0, p.PointAt(14).Dist(Pt(10, 4)), 1e-9)
	assert.InDelta(t, 14, p.LengthTo(p.PlaceAt(14)), 1e-9)
	assert.InDelta(t, 5, p.BetweenLengths(7, 12).Length(), 1e-9)
	assert.InDelta(t, 0, p.BetweenLengths(7, 7).Length(), 1e-9)
	assert.Equal(t, Pt(0, 1), p.TangentAt(14))
	arc := ArcIn(Pt(0, 0), 80, 0, -3, 9)
	assert.InDelta(t, -1./80, arc.CurvatureAt(arc.Length()*0.3), 1e-6, "anticlockwise as seen")
	for _, l := range []float64{-1, 0, 4, 10, 14, 20, 21} {
		before, after := p.Split(l)
		assert.InDelta(t, math.Min(20, math.Max(0, l)), before.Length(), 1e-9)
		assert.InDelta(t, 20, before.Length()+after.Length(), 1e-9)
		assert.Equal(t, before.End(), after.Start())
		assert.Equal(t, p.Start(), before.Start())
		assert.Equal(t, p.End(), after.End())
	}
}

func TestNearestAgainstSampling(t *testing.T) {
	r := seeded(t, 75)
	for range 400 {
		c, q := randomCubic(r, 200), randomPoint(r, 300)
		u, d := c.Nearest(q)
		assert.InDelta(t, c.At(u).Dist(q), d, 1e-12)
		best := math.Inf(1)
		for i := range 2001 {
			best = math.Min(best, c.At(float64(i)/2000).Dist(q))
		}
		assert.LessOrEqual(t, d, best+1e-9, "%v from %v", c, q)
	}
	// The nearest point of a circle: along the radius.
	circle := Path(Circle(Pt(0, 0), 100))
	at, d := circle.Nearest(Pt(30, 40))
	assert.InDelta(t, 50, d, 0.03)
	assert.InDelta(t, 0, circle.At(at).Unit().Dist(Pt(0.6, 0.8)), 1e-3)
}

func TestDegenerateCurves(t *testing.T) {
	for name, c := range degenerateCubics {
		require.True(t, c.Finite())
		values := []float64{c.Length(), c.Area(), c.Curvature(0), c.Curvature(0.5), c.Curvature(1), c.ParamAt(1)}
		u, d := c.Nearest(Pt(7, 9))
		values = append(values, u, d, c.Tangent(0).Len(), c.Tangent(0.5).Len(), c.Tangent(1).Len())
		for i, v := range values {
			assert.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%s: value %d is %v", name, i, v)
		}
		if name != "point" {
			assert.InDelta(t, 1, c.Tangent(0).Len(), 1e-9, name)
			assert.InDelta(t, 1, c.Tangent(1).Len(), 1e-9, name)
		}
		box := c.Box()
		for i := range 101 {
			assert.True(t, box.Grow(1e-9).Holds(c.At(float64(i)/100)), name)
		}
	}
	assert.InDelta(t, 100, degenerateCubics["no handles"].Length(), 1e-6)
	assert.InDelta(t, 150, Cubic{Pt(0, 0), Pt(100, 0), Pt(100, 0), Pt(0, 0)}.Length(), 1e-6, "75 out and 75 back")
}

func TestWindingAndHolds(t *testing.T) {
	circle := Circle(Pt(0, 0), 100)
	r := seeded(t, 76)
	for range 2000 {
		q := randomPoint(r, 120)
		if math.Abs(q.Len()-100) < 0.05 {
			continue
		}
		assert.Equal(t, q.Len() < 100, circle.Holds(q), "%v", q)
	}
	assert.Equal(t, 1, circle.Winding(Pt(0, 0)))
	assert.Equal(t, -1, circle.Reverse().Winding(Pt(0, 0)))
	assert.Equal(t, 1, circle.Winding(Pt(0, 100-1e-6)))
	square := Polygon(rectangle(10, 10)...)
	assert.False(t, square.Holds(Pt(-1, 0)), "the ray runs along an edge")
	assert.False(t, square.Holds(Pt(-1, 10)))
	assert.True(t, square.Holds(Pt(5, 5)))
	holed := Region{Rings: []Ring{circle, Circle(Pt(20, 0), 30).Reverse()}}
	for _, c := range []struct {
		q    Point
		want bool
	}{{Pt(0, 80), true}, {Pt(20, 0), false}, {Pt(-9, 0), false}, {Pt(-11, 0), true}, {Pt(51, 0), true}, {Pt(101, 0), false}} {
		assert.Equal(t, c.want, holed.Holds(c.q), "%v", c.q)
	}
}

func TestEllipticalArcs(t *testing.T) {
	// SVG 1.1, 8.3.8: the same two ends give four arcs by the two flags.
	for _, large := range []bool{false, true} {
		for _, clockwise := range []bool{false, true} {
			p := EllipticalArc(Pt(0, 0), Pt(50, 20), 60, 30, 0.4, large, clockwise, 1e-6)
			assert.Equal(t, Pt(0, 0), p.Start())
			assert.Equal(t, Pt(50, 20), p.End())
			side := p.PointAt(p.Length() / 2).Sub(Pt(0, 0))
			assert.Equal(t, clockwise, Pt(50, 20).Cross(side) < 0, "a clockwise arc bulges to the left")
			other := EllipticalArc(Pt(0, 0), Pt(50, 20), 60, 30, 0.4, !large, clockwise, 1e-6)
			assert.Equal(t, large, p.Length() > other.Length())
		}
	}
	assert.Empty(t, EllipticalArc(Pt(1, 1), Pt(1, 1), 5, 5, 0, true, true, 0.01))
	assert.Len(t, EllipticalArc(Pt(0, 0), Pt(9, 0), 0, 5, 0, true, true, 0.01), 1)
	scaled := EllipticalArc(Pt(0, 0), Pt(100, 0), 1, 1, 0, false, true, 1e-6)
	assert.InDelta(t, 50*math.Pi, scaled.Length(), 1e-4, "radii too small are scaled up")
}

func TestFitMotion(t *testing.T) {
	r := seeded(t, 77)
	for range 100 {
		m := Motion{Mirror: r.IntN(2) == 0, Turn: (r.Float64() - 0.5) * 6, Shift: randomPoint(r, 300)}
		var from, to []Point
		for range 6 {
			q := randomPoint(r, 200)
			from, to = append(from, q), append(to, m.Apply(q))
		}
		got := FitMotion(from, to, m.Mirror)
		for i := range from {
			assert.InDelta(t, 0, got.Apply(from[i]).Dist(to[i]), 1e-9)
		}
	}
}
