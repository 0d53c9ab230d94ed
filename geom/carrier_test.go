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
