package match_test

import (
	"testing"

	"toile/geom"
	"toile/pattern/match"
)

// BenchmarkFitOver lays outlines over each other: half a back of six edges,
// exact within 0.01 mm and traced within 0.9 mm, and combs of many corners.
func BenchmarkFitOver(b *testing.B) {
	const drawn = 3 * traceSigma
	rng := seeded(b, 10)
	m := geom.Motion{Turn: 0.8, Shift: pt(300, -120)}
	points := tracedPoints(rng, back(-60), independent)
	fitted, _, _ := geom.FitOutline(points, geom.FitOptions{})
	for _, c := range []struct {
		name     string
		old, new geom.Ring
		tol      float64
	}{
		{"same", back(0), redivided(rng, back(0)), tol},
		{"moved", back(0), redivided(rng, back(0)).Moved(m), tol},
		{"altered", back(0), redivided(rng, back(-60)).Moved(m), tol},
		{"noisy", back(0), geom.Polygon(points...).Moved(m), drawn},
		{"noisy fitted", back(0), fitted.Moved(m), drawn},
		{"98 corners", comb(), startAt(comb(), 20).Moved(m), tol},
		{"2000 corners", toothed(2000, 1, 10), startAt(toothed(2000, 1, 10), 600).Moved(m), tol},
		{"8000 corners", toothed(8000, 1, 10), startAt(toothed(8000, 1, 10), 600).Moved(m), tol},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, _, err := match.LayOver(c.old, c.new, c.tol, match.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// comb has 98 corners, many of them alike.
func comb() geom.Ring {
	var teeth []geom.Point
	for i := range 24 {
		x := float64(i) * 20
		teeth = append(teeth, pt(x, 0), pt(x+10, 0), pt(x+10, 30), pt(x+20, 30))
	}
	return geom.Polygon(append(teeth, pt(480, 400), pt(0, 400))...)
}
