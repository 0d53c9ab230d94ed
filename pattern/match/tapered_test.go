package match

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
)

// TestTaperedKeepsABend tapers the orchard smock's side panel seam, two straight
// stretches with a slight bend, by 10 mm at the hem: what comes out is two
// straight stretches again, the bend where both moved lines meet.
func TestTaperedKeepsABend(t *testing.T) {
	p := geom.Polyline(geom.Pt(-39.916, 397.752), geom.Pt(-2.499, 99.969), geom.Pt(0, 0))
	for _, by := range []float64{10, -10} {
		slope := -by / p.Length()
		out := Tapered(p, by, slope)
		require.Len(t, out, 2)
		for _, c := range out {
			require.True(t, c.IsStraight(1e-9))
		}
		require.InDelta(t, math.Abs(by), out.Start().Dist(p.Start()), 1e-9)
		require.InDelta(t, 0, out.End().Dist(p.End()), 1e-9)
		// The bend lies on both moved lines, each displaced square to its own.
		at := p[0].Length()
		for k, c := range p {
			left := c.Tangent(0).Left().Mul(by + slope*at)
			moved := [2]geom.Point{p.Start().Add(p[0].Tangent(0).Left().Mul(by)), p[0].P3.Add(left)}
			if k == 1 {
				moved = [2]geom.Point{p[1].P0.Add(left), p.End()}
			}
			u := moved[1].Sub(moved[0]).Unit()
			require.InDelta(t, 0, out[0].P3.Sub(moved[0]).Cross(u), 1e-9)
		}
		require.Equal(t, out[0].P3, out[1].P0)
	}
}
