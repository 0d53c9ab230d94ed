package match_test

import (
	"testing"

	"toile/geom"
	"toile/pattern/match"
)

func BenchmarkLayOver(b *testing.B) {
	rng := seeded(b, 10)
	m := geom.Motion{Turn: 0.8, Shift: pt(300, -120)}
	comb := geom.Ring(nil)
	var teeth []geom.Point
	for i := range 24 { // 96 corners, many alike
		x := float64(i) * 20
		teeth = append(teeth, pt(x, 0), pt(x+10, 0), pt(x+10, 30), pt(x+20, 30))
	}
	teeth = append(teeth, pt(480, 400), pt(0, 400))
	comb = geom.Polygon(teeth...)
	for _, c := range []struct {
		name     string
		old, new geom.Ring
	}{
		{"same", back(0), redivided(rng, back(0))},
		{"moved", back(0), redivided(rng, back(0)).Moved(m)},
		{"altered", back(0), redivided(rng, back(-60)).Moved(m)},
		{"98 corners", comb, startAt(comb, 20).Moved(m)},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, _, err := match.LayOver(c.old, c.new, tol, match.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
