package alter

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// A head that winds both ways within the third that is drawn anew, trued across the
// underarm by 3.58° at each end: each place moves by no more than a Hermite cubic of that slope
// does, 4/27 of slope times length at two thirds, and the head keeps its nodes. Where the
// corner is held its length changes by what a line moved square to itself does, the sum
// of its moves times its turns. Input of a mended bug: one curve from end to end of the
// third left the shape by 5 mm and was 6 mm longer.
func TestTrueKeepsTheShapeOfACurve(t *testing.T) {
	head := geom.Path{
		{P0: geom.Pt(0, 150), P1: geom.Pt(40, 152), P2: geom.Pt(60, 120), P3: geom.Pt(75, 80)},
		{P0: geom.Pt(75, 80), P1: geom.Pt(95, 27), P2: geom.Pt(140, 0), P3: geom.Pt(200, 0)},
		{P0: geom.Pt(200, 0), P1: geom.Pt(260, 0), P2: geom.Pt(305, 27), P3: geom.Pt(325, 80)},
		{P0: geom.Pt(325, 80), P1: geom.Pt(340, 120), P2: geom.Pt(360, 152), P3: geom.Pt(400, 150)}}
	p := build([]string{"head", "front underarm", "wrist", "back underarm"}, head,
		geom.Polyline(geom.Pt(400, 150), geom.Pt(395, 550)), geom.Polyline(geom.Pt(395, 550), geom.Pt(5, 550)), geom.Polyline(geom.Pt(5, 550), geom.Pt(0, 150)))
	sewAs(t, p, "underarm", "panel/front underarm", "panel/back underarm", false)
	inside := func(q *pattern.Piece) (sum float64) {
		line, front, back := edgePathOf(t, q, "head"), edgePathOf(t, q, "front underarm"), edgePathOf(t, q, "back underarm")
		return math.Abs(geom.AngleBetween(line.StartTangent(), back.EndTangent().Mul(-1))) + math.Abs(geom.AngleBetween(line.EndTangent().Mul(-1), front.StartTangent()))
	}
	slope := math.Abs(math.Pi-inside(p.Pieces[0])) / 2
	require.InDelta(t, 3.58, deg(slope), 0.01)
	for hold, most := range map[string]float64{"side": slope * head.Length() / 3 * 4 / 27, "centre": slope * head.Length() / 3 / 2} {
		q := made(t, p, "true", "panel", "edge", "head", "across", "back underarm", "hold", hold).Pattern.Pieces[0]
		now := edgePathOf(t, q, "head")
		require.InDelta(t, 180, deg(inside(q)), 0.02, hold)
		require.LessOrEqual(t, farthest(head, now), most*1.1+0.01, hold)
		require.Greater(t, farthest(head, now), most*0.7, hold)
		require.LessOrEqual(t, len(now), len(head)+2, hold) // and where the thirds begin
		if hold == "side" {
			require.InDelta(t, longerBy(head, slope), math.Abs(now.Length()-head.Length()), 0.6, "to the first order")
		}
	}
}

// longerBy is by how many mm both thirds of a head get longer or shorter when they are
// moved square to themselves by slope·L·u²(1−u), u being the share of the third.
func longerBy(head geom.Path, slope float64) float64 {
	third := head.Length() / 3
	tail := head.BetweenLengths(2*third, head.Length())
	sum := 0.0
	const steps = 2000
	for k := range steps {
		u := (float64(k) + 0.5) / steps
		turn := geom.AngleBetween(tail.TangentAt(third*float64(k)/steps), tail.TangentAt(third*float64(k+1)/steps))
		sum += slope * third * u * u * (1 - u) * turn
	}
	return 2 * math.Abs(sum)
}
