package geom

import (
	"math/rand/v2"
	"testing"
)

func BenchmarkIntersect(b *testing.B) {
	r := rand.New(rand.NewPCG(21, 1))
	x, y := make([]Cubic, 64), make([]Cubic, 64)
	for i := range x {
		x[i], y[i] = randomCubic(r, 100), randomCubic(r, 100)
	}
	b.Run("pair", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			Meet(x[i%64], y[i%64])
		}
	})
	b.Run("line", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			x[i%64].MeetLine(y[i%64].P0, y[i%64].P3)
		}
	})
	b.Run("overlapping", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			Meet(x[i%64], x[i%64].Part(0.2, 0.8))
		}
	})
	b.Run("nearly coincident", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			Meet(x[i%64], x[i%64].Moved(Motion{Shift: Pt(1e-7, 2e-7)}))
		}
	})
	for _, n := range []int{200, 5000} {
		ring := wavyRing(r, n, 0.25)
		b.Run(map[int]string{200: "self 200", 5000: "self 5000"}[n], func(b *testing.B) {
			for b.Loop() {
				ring.SelfCrossing()
			}
		})
	}
}
