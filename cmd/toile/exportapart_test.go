package main

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

func outlineOf(t *testing.T, q *pattern.Piece) geom.Ring {
	t.Helper()
	o, err := q.Outline()
	require.NoError(t, err)
	return o.Ring
}

func cuttingOf(t *testing.T, q *pattern.Piece) geom.Ring {
	t.Helper()
	line, err := q.CuttingLine("cloth")
	require.NoError(t, err)
	return line.Ring
}

// bearingLength is the length of the drawn outline that bears edge i's
// allowance: of an arc between unequal ones all or nothing.
func bearingLength(t *testing.T, q *pattern.Piece, i int) (sum float64) {
	t.Helper()
	o, err := q.Outline()
	require.NoError(t, err)
	for k, edge := range q.AllowanceEdges(o, "cloth") {
		if edge == i {
			sum += o.Ring[k].Length()
		}
	}
	return sum
}

// apartAtMost is how far two rings lie apart.
func apartAtMost(t *testing.T, a, b geom.Ring) float64 {
	t.Helper()
	most := 0.0
	for _, pair := range [][2]geom.Ring{{a, b}, {b, a}} {
		for _, c := range pair[0] {
			for i := range 17 {
				_, d := geom.Path(pair[1]).Nearest(c.At(float64(i) / 16))
				most = math.Max(most, d)
			}
		}
	}
	return most
}
