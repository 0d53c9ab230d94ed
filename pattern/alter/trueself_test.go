package alter

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
)

// A sleeve whose underarm is a seam of the piece with itself: wrist and head come
// to a half turn at both ends. Each end moves as far as a chord moves that turns by
// half the angle (Euclid, Elements III 32), over the third that is drawn anew.
func TestTrueBothEndsOfOwnSeam(t *testing.T) {
	head := geom.Path{{P0: geom.Pt(0, 150), P1: geom.Pt(70, 150), P2: geom.Pt(80, 0), P3: geom.Pt(200, 0)}, {P0: geom.Pt(200, 0), P1: geom.Pt(320, 0), P2: geom.Pt(330, 150), P3: geom.Pt(400, 150)}}
	p := build([]string{"head", "front underarm", "wrist", "back underarm"}, head,
		geom.Polyline(geom.Pt(400, 150), geom.Pt(370, 550)), geom.Polyline(geom.Pt(370, 550), geom.Pt(30, 550)), geom.Polyline(geom.Pt(30, 550), geom.Pt(0, 150)))
	sewAs(t, p, "underarm", "panel/front underarm", "panel/back underarm", false)
	for _, edge := range []string{"wrist", "head"} {
		q := made(t, p, "true", "panel", "edge", edge, "across", "back underarm").Pattern.Pieces[0]
		front, back, line := edgePathOf(t, q, "front underarm"), edgePathOf(t, q, "back underarm"), edgePathOf(t, q, edge)
		sum := math.Abs(geom.AngleBetween(line.StartTangent(), back.EndTangent().Mul(-1))) + math.Abs(geom.AngleBetween(line.EndTangent().Mul(-1), front.StartTangent()))
		if edge == "wrist" {
			sum = math.Abs(geom.AngleBetween(line.StartTangent(), front.EndTangent().Mul(-1))) + math.Abs(geom.AngleBetween(line.EndTangent().Mul(-1), back.StartTangent()))
		}
		require.InDelta(t, 180, geom.InDegrees(sum), 0.02, edge)
		old := math.Hypot(30, 400)
		require.InDelta(t, front.Length(), back.Length(), 0.01, edge)
		require.InDelta(t, 0, math.Abs(front.Length()-old), 10, edge)
		require.Greater(t, math.Abs(front.Length()-old), 1.0, edge)
	}
}
