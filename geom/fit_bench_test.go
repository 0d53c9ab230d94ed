package geom

import (
	"math/rand/v2"
	"testing"
)

// BenchmarkFit fits exact points of a curve in several bends, the same with
// noise, and whole outlines: as the points are traced, and points at random,
// which no garment part looks like.
func BenchmarkFit(b *testing.B) {
	r := rand.New(rand.NewPCG(85, 1))
	bends := Path{
		{Pt(0, 0), Pt(60, -80), Pt(120, -80), Pt(180, 0)}, {Pt(180, 0), Pt(240, 80), Pt(330, 60), Pt(340, -40)},
		{Pt(340, -40), Pt(345, -90), Pt(420, -120), Pt(500, -60)},
	}
	along := func(n int, sigma float64) []Point {
		points, length := make([]Point, n), bends.Length()
		for i := range points {
			points[i] = bends.PointAt(length * float64(i) / float64(n-1)).Add(Pt(r.NormFloat64(), r.NormFloat64()).Mul(sigma))
		}
		return points
	}
	for _, c := range []struct {
		name   string
		points []Point
		tol    float64
	}{{"clean", along(200, 0), 0.01}, {"noisy", along(1000, 0.2), 1}} {
		b.Run(c.name, func(b *testing.B) {
			cubics := 0
			for b.Loop() {
				cubics = len(Fit(c.points, nil, nil, c.tol))
			}
			b.ReportMetric(float64(cubics), "cubics")
		})
	}
	back := garmentOutline(r, "back").ring
	random := make([]Point, 700)
	for i := range random {
		random[i] = randomPoint(r, 200)
	}
	for _, c := range []struct {
		name   string
		points []Point
	}{
		{"outline", scatter{spacing: 2.5, alone: 0.2}.tracing(r, back)},
		{"outline-clean", scatter{spacing: 2.5}.tracing(r, back)},
		{"outline-random", random},
	} {
		b.Run(c.name, func(b *testing.B) {
			cubics := 0
			for b.Loop() {
				ring, _, _ := FitOutline(c.points, FitOptions{})
				cubics = len(ring)
			}
			b.ReportMetric(float64(cubics), "cubics")
		})
	}
}
