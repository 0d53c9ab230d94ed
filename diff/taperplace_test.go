package diff_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// polarArc is the curve r(θ) about a centre from one angle to another, y down,
// by Hermite cubics: its places and directions are exact at every cut.
func polarArc(centre geom.Point, r func(float64) (far, slope float64), from, to float64) geom.Path {
	const cuts = 16
	step := (to - from) / cuts
	at := func(angle float64) (geom.Point, geom.Point) {
		far, slope := r(angle)
		out, on := geom.Pt(math.Cos(angle), math.Sin(angle)), geom.Pt(-math.Sin(angle), math.Cos(angle))
		return centre.Add(out.Mul(far)), out.Mul(slope).Add(on.Mul(far)).Mul(step / 3)
	}
	var p geom.Path
	for k := range cuts {
		a, u := at(from + step*float64(k))
		b, v := at(from + step*float64(k+1))
		p = append(p, geom.Cubic{P0: a, P1: a.Add(u), P2: b.Sub(v), P3: b})
	}
	return p
}

// A side seam that is an arc of R 900 mm, moved from 150 mm below the waist on by
// a distance that grows in proportion to the length along it, is from there on
// the spiral r = R + k·R·(θ−θ₀) (Archimedes, On Spirals, def. 1); the hem is cut
// where the spiral crosses it.
func TestTaperFromAPlaceOnACurve(t *testing.T) {
	const radius, from, half = 900.0, 150.0, 360.0
	centre := geom.Pt(-600, half)
	top := -math.Asin(half / radius)
	place := top + from/radius
	length := -2 * top * radius
	for _, c := range []struct {
		by   float64
		says string
	}{
		{-15, `"side seam" is taken in 1.5 cm at "hemline", tapering to nothing 15 cm from "waist"`},
		{8, `"side seam" is let out 0.8 cm at "hemline", tapering to nothing 15 cm from "waist"`},
	} {
		grows := c.by / (length - from)
		spiral := func(angle float64) (float64, float64) {
			return radius + float64(grows*radius*(angle-place)), grows * radius
		}
		circle := func(float64) (float64, float64) { return radius, 0 }
		end := -top
		for range 50 {
			far, _ := spiral(end)
			end = math.Asin(half / far)
		}
		piece := func(side geom.Path) *pattern.Piece {
			p := straightPiece(panelEdges, geom.Pt(0, 0), side.Start(), side.End(), geom.Pt(0, 2*half))
			p.Edges[1].SetPath(side)
			return p
		}
		over := func(side geom.Path) *pattern.Piece {
			side = side.Moved(geom.Motion{Mirror: true}).Reverse()
			p := straightPiece([]string{"hemline", "side seam", "waist", "centre"}, geom.Pt(0, 2*half), side.Start(), side.End(), geom.Pt(0, 0))
			p.Edges[1].SetPath(side)
			return p
		}
		old := polarArc(centre, circle, top, -top)
		now := append(polarArc(centre, circle, top, place), polarArc(centre, spiral, place, end)...)
		for name, d := range map[string]change.PieceDiff{
			"as drawn":    told(t, piece(old), piece(now)),
			"turned over": told(t, over(old), over(now)),
		} {
			ch := only(t, d, change.EdgeRedrawn, "side seam")
			require.Equal(t, c.says, ch.Says, name)
			for _, ch := range d.Changes {
				assert.NotContains(t, ch.Says, "rounded", name)
			}
		}
	}
}
