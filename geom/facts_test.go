package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The checks of this file hold the package against closed forms. More of them
// stand beside what they check: corners in round_test.go, cutting lines in
// offsetring_test.go.

// radialError returns the least and greatest distance of a curve from a
// circle of radius 1 about the origin.
func radialError(c Cubic) (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for i := range 20001 {
		e := c.At(float64(i)/20000).Len() - 1
		least, most = math.Min(least, e), math.Max(most, e)
	}
	return least, most
}

func TestQuarterCircle(t *testing.T) {
	// κ = 4/3(√2 − 1): Riškus, Information Technology and Control 35 (2006);
	// Goldapp 1991 (from memory). Values derived.
	assert.InDelta(t, 0.5522847498, ArcHandle(math.Pi/2), 1e-10)
	c := Arc(Pt(0, 0), 1, 0, math.Pi/2)[0]
	least, most := radialError(c)
	assert.InDelta(t, 0, least, 1e-12, "never inside the circle")
	assert.InDelta(t, 2.72530e-4, most, 1e-9)
	sector := Ring{Line(Pt(0, 0), c.P0), c, Line(c.P3, Pt(0, 0))}
	assert.InDelta(t, 0.7856180832, sector.Area(), 1e-10)
	assert.InDelta(t, 1.5710166981, c.Length(), 1e-10)
}

func TestArcByOneCubic(t *testing.T) {
	// k = 4/3·tan(φ/4); derived.
	for _, c := range []struct{ degrees, k, off float64 }{{45, 0.26521649, 4.2455e-6}, {60, 0.35726559, 2.3864e-5}} {
		phi := c.degrees * math.Pi / 180
		assert.InDelta(t, c.k, ArcHandle(phi), 5e-9)
		_, most := radialError(Arc(Pt(0, 0), 1, 0.3, phi)[0])
		assert.InDelta(t, c.off, most, 1e-9)
	}
}

func TestAreaUnderCubic(t *testing.T) {
	// ½∮ = (6P0×P1 + 3P0×P2 + P0×P3 + 3P1×P2 + 3P1×P3 + 6P2×P3)/20: Green's
	// theorem; derived.
	c := Cubic{Pt(0, 0), Pt(10, 30), Pt(30, 30), Pt(40, 0)}
	assert.InDelta(t, -630, Ring{c, Line(c.P3, c.P0)}.Area(), 1e-11)
	assert.InDelta(t, 630, Ring{c, Line(c.P3, c.P0)}.Reverse().Area(), 1e-11)
	assert.InDelta(t, 63.9097607738, c.Length(), 1e-10)
}

func TestEllipsePerimeter(t *testing.T) {
	// 4aE(m), m = 1 − b²/a²: DLMF ch. 19 (from memory); derived. The cubics
	// stay within 1e-9 of the ellipse.
	for _, c := range []struct{ a, b, length float64 }{{5, 3, 25.5269988634}, {20, 10, 96.8844822055}} {
		half := EllipticalArc(Pt(-c.a, 0), Pt(c.a, 0), c.a, c.b, 0, false, true, 1e-9)
		assert.InDelta(t, c.length/2, half.Length(), 1e-6)
	}
}

func TestParabola(t *testing.T) {
	// ½√(w² + 16h²) + (w²/8h)·asinh(4h/w), from memory; derived. Area ⅔wh.
	c := Quadratic(Pt(0, 0), Pt(20, 20), Pt(40, 0))
	assert.InDelta(t, 45.9117429879, c.Length(), 1e-10)
	assert.InDelta(t, 266.666667, math.Abs(Ring{c, Line(c.P3, c.P0)}.Area()), 1e-6)
	// y = x² from 0 to 1.
	assert.InDelta(t, 1.4789428575, Quadratic(Pt(0, 0), Pt(0.5, 0), Pt(1, 1)).Length(), 1e-10)
}

// parallelRound is a polygon's parallel at distance r with round corners.
func parallelRound(r float64, points ...Point) Ring {
	var ring Ring
	n := len(points)
	for i, p := range points {
		in, on := p.Sub(points[(i+n-1)%n]).Unit(), points[(i+1)%n].Sub(p).Unit()
		start := in.Left()
		arc := ArcIn(p, r, start.Angle(), AngleBetween(in, on), 8)
		if len(ring) > 0 {
			ring = append(ring, Line(ring[len(ring)-1].P3, arc[0].P0))
		}
		ring = append(ring, arc...)
	}
	return append(ring, Line(ring[len(ring)-1].P3, ring[0].P0))
}

func TestSteinerRound(t *testing.T) {
	// A + P·r + π·r²: Steiner's formula for parallel sets. Eight cubics per
	// corner keep the arcs within 3e-9 of the circle.
	ring := parallelRound(1.5, rectangle(40, 60)...)
	assert.InDelta(t, 2707.068583, ring.Area(), 1e-6)
	assert.InDelta(t, 209.424778, ring.Length(), 1e-6)
	triangle := []Point{Pt(0, 0), Pt(10, 0), Pt(5, 5*math.Sqrt(3))}
	assert.InDelta(t, 43.301270, Polygon(triangle...).Area(), 1e-6)
	assert.InDelta(t, 76.442863, parallelRound(1, triangle...).Area(), 1e-6)
}

func TestSwungEdge(t *testing.T) {
	// An edge of 60 swung by 5°: arc Rθ, chord 2R·sin(θ/2), wedge ½R²θ; and
	// back from a chord of 5. Derived.
	theta := 5 * math.Pi / 180
	arc := ArcIn(Pt(0, 0), 60, 0, theta, 1)
	assert.InDelta(t, 5.235988, arc.Length(), 1e-6)
	assert.InDelta(t, 5.234326, arc.Start().Dist(arc.End()), 1e-6)
	wedge := Ring{Line(Pt(0, 0), arc.Start()), arc[0], Line(arc.End(), Pt(0, 0))}
	assert.InDelta(t, 157.0796, wedge.Area(), 1e-4)
	assert.InDelta(t, 4.776031, 2*math.Asin(5./2/60)*180/math.Pi, 1e-6)
	// The same as a motion: the end of an edge of 600 mm swung about the point
	// 200 below the waist of 300×800 lands at (349.9566, 797.9167).
	swing := 2 * math.Asin(50./2/600)
	pivot := Pt(300, 200)
	to := Pt(300, 800).Sub(pivot).Turn(-swing).Add(pivot)
	assert.InDelta(t, 349.9566, to.X, 1e-4)
	assert.InDelta(t, 797.9167, to.Y, 1e-4)
	assert.InDelta(t, 50, to.Dist(Pt(300, 800)), 1e-9)
	hem := ArcIn(pivot, 600, math.Pi/2, -swing, 1)
	assert.InDelta(t, 50.0145, hem.Length(), 1e-4)
	wedge = Ring{Line(pivot, hem.End()), hem.Reverse()[0], Line(hem.Start(), pivot)}
	assert.InDelta(t, 15004.34, wedge.Area(), 0.01)
}

func TestConcaveOffsetLength(t *testing.T) {
	// Concave sewing line of radius 8: cut to sewn length (8 − a)/8. Derived.
	arc := ArcIn(Pt(0, 0), 8, 0, -math.Pi, 8)
	for _, c := range []struct{ by, ratio float64 }{{0.6, 0.925}, {1, 0.875}, {1.5, 0.8125}} {
		o, err := arc.Offset(c.by, 1e-4)
		require.NoError(t, err)
		assert.InDelta(t, c.ratio, o.Length()/arc.Length(), 1e-4)
	}
	// Flat full-circle hem turned up by 2: 4π·2... a ring of circumference
	// 2πR + 2π·2 is turned onto one of 2πR − 2π·2.
	outer, err := Path(Circle(Pt(0, 0), 600)).Offset(2, 1e-4)
	require.NoError(t, err)
	inner, err := Path(Circle(Pt(0, 0), 600)).Offset(-2, 1e-4)
	require.NoError(t, err)
	assert.InDelta(t, 25.1327, outer.Length()-inner.Length(), 1e-3)
}

func TestSplitPanelAllowances(t *testing.T) {
	// 40×60 split across the 40 with 1.5 at each new edge: 2400 → 2520 in all
	// when the cut runs along the 40. Derived.
	total := 0.0
	for _, y := range []float64{0, 30} {
		points := []Point{Pt(0, y), Pt(40, y), Pt(40, y+30), Pt(0, y+30)}
		by := []float64{0, 0, 1.5, 0}
		if y > 0 {
			by = []float64{1.5, 0, 0, 0}
		}
		ring, _, err := OffsetRing(straightEdges(by, points...), nil, 0.01)
		require.NoError(t, err)
		total += ring.Area()
	}
	assert.InDelta(t, 2520, total, 1e-9)
}
