package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCarrierOfACircle(t *testing.T) {
	quarter := Arc(Pt(0, 0), 200, 0, math.Pi/2)
	c := Carrier(quarter, 150)
	require.Len(t, c, 3)
	// A cubic quarter circle ends with κ = 2(1−k)/(3k²r), k = 4/3(√2−1): a
	// radius of 204.4, so that after 150 mm the carrier is
	// ½·150²·(1/200 − 1/204.4) = 1.2 mm outside the circle.
	k := ArcHandle(math.Pi / 2)
	assert.InDelta(t, 2*(1-k)/(3*k*k*200), c[2].Curvature(0), 1e-5)
	assert.InDelta(t, 201.2, c.Start().Len(), 0.1)
	assert.InDelta(t, 201.2, c.End().Len(), 0.1)
	assert.InDelta(t, 150, Path{c[0]}.Length(), 0.1)
	assert.Equal(t, quarter.Start(), c[0].P3)
	assert.Equal(t, quarter.End(), c[2].P0)
	assert.InDelta(t, 0, c[0].Tangent(1).Dist(quarter.StartTangent()), 1e-12)
	assert.InDelta(t, quarter[0].Curvature(1), c[2].Curvature(0), 1e-5)
}

func TestCarrierStraightAndBounded(t *testing.T) {
	c := Carrier(Path{Line(Pt(0, 0), Pt(10, 0))}, 150)
	require.Len(t, c, 3)
	assert.Equal(t, Pt(-150, 0), c.Start())
	assert.Equal(t, Pt(160, 0), c.End())
	_, tight := CarrierEnds(Arc(Pt(0, 0), 5, 0, 1), 150)
	assert.InDelta(t, 5*carrierTurn, tight.Length(), 0.2, "270° of a radius of 5")
	before, after := CarrierEnds(Path{Line(Pt(1, 1), Pt(1, 1))}, 150)
	assert.Empty(t, before)
	assert.Empty(t, after)
	assert.Empty(t, Carrier(nil, 150))
	_, straight := CarrierEnds(Path{{Pt(0, 0), Pt(10, 20), Pt(30, 0), Pt(30, 0)}}, 150)
	require.Len(t, straight, 1)
	assert.True(t, straight[0].evenlyStraight(), "no end curvature without a handle")
}

func TestEased(t *testing.T) {
	// Handles chord/(3·cos²(φ/4)): a straight line at even speed for φ = 0; the
	// circle's cubic (4/3·tan(φ/4)) between tangents of one circle; two thirds of
	// the chord for φ = 180°. Derived.
	line := Eased(Pt(0, 0), Pt(1, 0), Pt(9, 0), Pt(1, 0))
	assert.True(t, line.evenlyStraight())
	for _, sweep := range []float64{0.3, -1, 2, -3} {
		arc := ArcIn(Pt(3, 4), 50, 0.7, sweep, 1)[0]
		assert.InDelta(t, 0, cubicDistance(arc, Eased(arc.P0, arc.Tangent(0), arc.P3, arc.Tangent(1))), 1e-12)
	}
	back := Eased(Pt(0, 0), Pt(0, -1), Pt(60, 0), Pt(0, 1))
	assert.InDelta(t, 40, back.P0.Dist(back.P1), 1e-12)
	assert.InDelta(t, 40, back.P2.Dist(back.P3), 1e-12)
	// A hem swung with its side seam by 4.776031° (300×800 mm, pivot 200 below
	// the waist): tangent to the old hem, at the old 90° to the seam. Derived.
	end, turn := Pt(349.9566, 797.9167), Degrees(-4.776031)
	hem := Eased(Pt(300, 800), Pt(1, 0), end, Pt(1, 0).Turn(turn))
	assert.InDelta(t, 0, hem.Tangent(0).Dist(Pt(1, 0)), 1e-12)
	assert.InDelta(t, 0, hem.Tangent(1).Dot(end.Sub(Pt(300, 200)).Unit()), 1e-7, "square to the swung seam")
	assert.InDelta(t, 50.0145, hem.Length(), 1e-4, "the arc of radius 600")
	point := Eased(Pt(5, 5), Pt(1, 0), Pt(5, 5), Pt(0, 1))
	assert.Equal(t, Line(Pt(5, 5), Pt(5, 5)), point)
	assert.True(t, Eased(Pt(0, 0), Point{}, Pt(9, 0), Point{}).Finite())
}
