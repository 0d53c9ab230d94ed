package pattern

import (
	"testing"

	"toile/geom"
)

// Closed forms: the middle half of a rectangle's length, and of slim and bent
// outlines a line that lies inside.
func TestUsualGrainLiesInside(t *testing.T) {
	cases := map[string]struct {
		ring     geom.Ring
		from, to geom.Point
	}{
		"rectangle":      {geom.Polygon(geom.Pt(0, 0), geom.Pt(200, 0), geom.Pt(200, 400), geom.Pt(0, 400)), geom.Pt(100, 100), geom.Pt(100, 300)},
		"right triangle": {geom.Polygon(geom.Pt(0, 0), geom.Pt(200, 100), geom.Pt(0, 100)), geom.Pt(100, 55), geom.Pt(100, 95)},
	}
	for name, c := range cases {
		g := (&Piece{}).UsualGrain(c.ring)
		if g.From.Dist(c.from) > 1e-6 || g.To.Dist(c.to) > 1e-6 {
			t.Errorf("%s: the usual grain runs from %v to %v, not from %v to %v", name, g.From, g.To, c.from, c.to)
		}
	}
	bent := geom.Polygon(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 300), geom.Pt(280, 300), geom.Pt(280, 20), geom.Pt(20, 20), geom.Pt(20, 300), geom.Pt(0, 300))
	g := (&Piece{}).UsualGrain(bent)
	for _, at := range []float64{0, 0.25, 0.5, 0.75, 1} {
		if q := g.From.Lerp(g.To, at); !bent.Holds(q) {
			t.Errorf("%v of the usual grain lies outside of a bent piece", q)
		}
	}
}
