package main

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
)

// A straight side of 40 cm moved out from nothing at its start to 3 cm at its end is
// straight again and √(40² + 3²) cm long; one that is an arc of R 50 cm, moved out evenly
// by 2 cm, an arc of 52 cm.
func TestRanOnTapered(t *testing.T) {
	side := geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(0, 400))}
	along := geom.Pt(30, 400).Unit()
	if side.TangentAt(0).Left().X < 0 {
		along.X = -along.X
	}
	full := math.Hypot(30, 400)
	for _, by := range []float64{20, 0, -50} {
		path := geom.Path{geom.Line(geom.Pt(0, 0), along.Mul(full+by))}
		got := ranOnTapered(side, path, [2]float64{0, 30})
		require.InDelta(t, 0, got[0], 0.01, "%g at the end", by)
		require.InDelta(t, by, got[1], 0.01)
		got = ranOnTapered(side.Reverse(), path.Reverse(), [2]float64{-30, 0})
		require.InDelta(t, by, got[0], 0.01, "%g at the start", by)
		require.InDelta(t, 0, got[1], 0.01)
	}
	arc := func(r, from, to float64) geom.Path { return geom.Arc(geom.Pt(0, 0), r, from, to-from) }
	old, sign := arc(500, 0, 1), 1.0
	if old.TangentAt(0).Left().X < 0 {
		sign = -1
	}
	for _, turn := range []float64{0.05, -0.05} {
		got := ranOnTapered(old, arc(520, -turn, 1+turn), [2]float64{sign * 20, sign * 20})
		require.InDelta(t, 520*turn, got[0], 0.2)
		require.InDelta(t, 520*turn, got[1], 0.2)
	}
}
