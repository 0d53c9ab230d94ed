package geom

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// cornerOf returns two straight edges with the inner angle θ between them.
func cornerOf(theta float64, concave bool) (before, after Path) {
	turn := math.Pi - theta
	if concave {
		turn = -turn
	}
	v := Pt(100, 50)
	in := Pt(1, 0).Turn(0.3)
	return Path{Line(v.Sub(in.Mul(80)), v)}, Path{Line(v, v.Add(in.Turn(turn).Mul(90)))}
}

func TestRoundStraightCorner(t *testing.T) {
	// FACTS: tangent r·tan(φ/2), removed r²(tan(φ/2) − φ/2), φ = π − θ; derived.
	for _, c := range []struct{ degrees, tangent, removed float64 }{
		{60, 8.660254, 17.121331}, {90, 5, 5.365046}, {120, 2.886751, 1.343787},
	} {
		for _, concave := range []bool{false, true} {
			before, after := cornerOf(c.degrees*math.Pi/180, concave)
			arc, x, y, err := RoundCorner(before, after, 5)
			require.NoError(t, err)
			assert.InDelta(t, c.tangent, x, 1e-6)
			assert.InDelta(t, c.tangent, y, 1e-6)
			phi := (180 - c.degrees) * math.Pi / 180
			assert.Len(t, arc, int(math.Ceil(phi/(math.Pi/2)-1e-9)))
			// What is cut off: the ring along the edges and back along the arc.
			v := before.End()
			off := append(Ring{Line(arc.Start(), v), Line(v, arc.End())}, arc.Reverse()...)
			// A cubic arc bulges by at most 2.73e-4 of its radius, so its segment
			// is too large by less than that times r·φ·r.
			assert.InDelta(t, c.removed, math.Abs(off.Area()), 2.73e-4*25*phi)
			assert.InDelta(t, 1, arc.StartTangent().Dot(before.EndTangent()), 1e-12)
			assert.InDelta(t, 1, arc.EndTangent().Dot(after.StartTangent()), 1e-12)
		}
	}
}

func TestRoundCurvedCorner(t *testing.T) {
	before := Path{{Pt(0, 0), Pt(40, -30), Pt(90, -30), Pt(120, 0)}}
	after := Path{{Pt(120, 0), Pt(110, 40), Pt(90, 60), Pt(100, 100)}, Line(Pt(100, 100), Pt(100, 200))}
	for _, r := range []float64{1, 5, 12, 20} {
		arc, x, y, err := RoundCorner(before, after, r)
		require.NoError(t, err)
		kept := before.BetweenLengths(0, before.Length()-x)
		rest := after.BetweenLengths(y, after.Length())
		assert.InDelta(t, 0, kept.End().Dist(arc.Start()), 1e-7)
		assert.InDelta(t, 0, rest.Start().Dist(arc.End()), 1e-7)
		assert.InDelta(t, 1, kept.EndTangent().Dot(arc.StartTangent()), 1e-9)
		assert.InDelta(t, 1, rest.StartTangent().Dot(arc.EndTangent()), 1e-9)
		centre := arc.Start().Add(arc.StartTangent().Right().Mul(r))
		for _, p := range []Path{kept, rest} {
			_, d := p.Nearest(centre)
			assert.InDelta(t, r, d, 1e-8, "the circle touches both edges")
		}
	}
}

func TestRoundCornerRefusals(t *testing.T) {
	before, after := cornerOf(math.Pi/2, false)
	_, _, _, err := RoundCorner(before, after, 85)
	var large *RadiusTooLarge
	require.ErrorAs(t, err, &large)
	assert.InDelta(t, 80, large.Largest, 0.9, "the shorter edge is 80 long, and tan 45° is 1")
	_, _, _, err = RoundCorner(before, after, 79.9)
	assert.NoError(t, err)
	var none *NotACorner
	_, _, _, err = RoundCorner(before, Path{Line(before.End(), before.End().Add(before.EndTangent()))}, 5)
	require.ErrorAs(t, err, &none)
	for _, r := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		_, _, _, err = RoundCorner(before, after, r)
		assert.Error(t, err)
	}
	back := Path{Line(before.End(), before.Start())}
	_, _, _, err = RoundCorner(before, back, 5)
	require.ErrorAs(t, err, &large)
	assert.Zero(t, large.Largest)
}

func TestRadiusNamedFits(t *testing.T) {
	// The radius an error prints is one that fits, however sharp the corner: for
	// straight edges of length l, the turn φ between them, up to l/tan(φ/2).
	for _, degrees := range []float64{10, 90, 150, 179, 179.9, 179.99} {
		v := Pt(100, 0)
		before, after := Path{Line(Pt(0, 0), v)}, Path{Line(v, v.Add(Pt(100, 0).Turn(Degrees(degrees))))}
		_, _, _, err := RoundCorner(before, after, 2000)
		var large *RadiusTooLarge
		require.ErrorAs(t, err, &large)
		var asked, named float64
		_, scanErr := fmt.Sscanf(err.Error(), "a radius of %f mm does not fit the corner; about %f mm does", &asked, &named)
		require.NoError(t, scanErr, err.Error())
		most := 100 / math.Tan(Degrees(degrees)/2)
		assert.LessOrEqual(t, named, most)
		assert.Greater(t, named, 0.9*most)
		_, _, _, err = RoundCorner(before, after, named)
		assert.NoError(t, err, "%v°: %v", degrees, named)
	}
	assert.Equal(t, "a radius of 0.09 mm does not fit the corner; about 0.087 mm does", (&RadiusTooLarge{0.09, 0.08726}).Error())
	assert.Equal(t, "a radius of 85.00 mm does not fit the corner; about 79.99 mm does", (&RadiusTooLarge{85, 79.999}).Error())
	assert.Equal(t, "a radius of 0.004 mm does not fit the corner, nor does a smaller one", (&RadiusTooLarge{0.004, 0}).Error())
}

func TestRoundRandomCorners(t *testing.T) {
	r := seeded(t, 31)
	fits := 0
	for range 400 {
		v := randomPoint(r, 100)
		before := Path{{randomPoint(r, 200), randomPoint(r, 200), randomPoint(r, 200), v}}
		after := Path{{v, randomPoint(r, 200), randomPoint(r, 200), randomPoint(r, 200)}}
		arc, x, y, err := RoundCorner(before, after, 2)
		if err != nil {
			continue
		}
		fits++
		assert.True(t, x >= 0 && y >= 0 && Path(arc).Length() > 0)
		assert.InDelta(t, 0, arc.Start().Dist(before.PointAt(before.Length()-x)), 1e-6)
		assert.InDelta(t, 0, arc.End().Dist(after.PointAt(y)), 1e-6)
		assert.InDelta(t, 1, arc.StartTangent().Dot(before.TangentAt(before.Length()-x)), 1e-6)
	}
	assert.Greater(t, fits, 300)
	t.Logf("%d of 400 corners take a radius of 2 mm", fits)
}
