package geom

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEdgesThatArePointsAreSkipped(t *testing.T) {
	// As curves of a path that are points are: the others are joined as if it
	// were not there, and keep their numbers.
	plain := straightEdges([]float64{15, 10, 20, 5}, rectangle(300, 200)...)
	styles := []OffsetCorner{{}, {SquaredFirst}, {SquaredSecond}, {}}
	want, wantFrom, err := OffsetRing(plain, styles, 0.01)
	require.NoError(t, err)
	for at := range 5 {
		for _, by := range []float64{0, 15, -40} {
			corner := Pt(0, 0)
			if at < 4 {
				corner = plain[at].Path.Start()
			}
			spike := Line(corner, corner.Add(Pt(3, 4)))
			for _, p := range []Path{{Line(corner, corner)}, {}, {Line(corner, corner), Line(corner, corner)}, {Cubic{corner, spike.P3, spike.P3, corner}}} {
				edges := slices.Insert(slices.Clone(plain), at, OffsetEdge{p, by})
				ring, from, err := OffsetRing(edges, slices.Insert(slices.Clone(styles), at, OffsetCorner{}), 0.01)
				require.NoError(t, err)
				assert.Equal(t, want, ring)
				for i, k := range from {
					if k > at {
						k--
					}
					assert.Equal(t, wantFrom[i], k)
				}
			}
		}
	}
	circle := Path(Circle(Pt(0, 0), 50))
	ring, from, err := OffsetRing([]OffsetEdge{{Path{Line(circle.Start(), circle.Start())}, 3}, {circle, 10}}, nil, 0.01)
	require.NoError(t, err)
	assert.InDelta(t, math.Pi*60*60, ring.Area(), 10)
	for _, k := range from {
		assert.Equal(t, 1, k)
	}
}

func TestOpenRingIsRefused(t *testing.T) {
	points := rectangle(300, 200)
	for _, by := range []float64{15, 0, -15} {
		edges := straightEdges([]float64{by}, points...)
		edges[2].Path = Path{Line(points[2], Pt(50, 200))}
		var open *RingOpen
		_, _, err := OffsetRing(edges, nil, 0.01)
		require.ErrorAs(t, err, &open)
		assert.Equal(t, RingOpen{2, 3, Pt(50, 200), 50}, *open)
		assert.EqualError(t, err, "the outline is open: edge 2 ends at (50.00, 200.00), 50 mm from where edge 3 starts")

		_, _, err = OffsetRing(edges[:2], nil, 0.01) // the last end and the first start
		require.ErrorAs(t, err, &open)
		assert.Equal(t, [2]int{1, 0}, [2]int{open.EdgeA, open.EdgeB})
		assert.InDelta(t, math.Hypot(300, 200), open.Gap, 1e-9)

		inside := Path{Line(points[0], Pt(100, 0)), Line(Pt(100, 0.5), points[1])}
		edges = straightEdges([]float64{by}, points...)
		edges[0].Path = inside
		_, _, err = OffsetRing(edges, nil, 0.01)
		assert.EqualError(t, err, "edge 0 leaves a gap of 0.5 mm at (100.00, 0.00)")
		_, _, err = OffsetRing([]OffsetEdge{{inside, by}}, nil, 0.01)
		require.ErrorAs(t, err, &open)
		assert.Equal(t, [2]int{0, 0}, [2]int{open.EdgeA, open.EdgeB})

		// What rounding leaves open is no gap.
		edges = straightEdges([]float64{by}, points...)
		edges[3].Path = Path{Line(points[3].Add(Pt(3e-10, 0)), points[0].Sub(Pt(0, 3e-10)))}
		_, _, err = OffsetRing(edges, nil, 0.01)
		assert.NoError(t, err)
	}
}
