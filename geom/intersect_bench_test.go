package geom

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

func BenchmarkIntersect(b *testing.B) {
	random := func(r *rand.Rand) Cubic { return randomCubic(r, 100) }
	x, y, usual := benchCurves(21, random), benchCurves(22, random), benchCurves(23, realisticCubic)
	r := rand.New(rand.NewPCG(24, 1))
	b.Run("line-cubic", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			x[i%64].MeetLine(y[i%64].P0, y[i%64].P3)
		}
	})
	pairs := func(name string, second func(i int) Cubic, first []Cubic) {
		other := make([]Cubic, 64)
		for i := range other {
			other[i] = second(i)
		}
		b.Run(name, func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				Meet(first[i%64], other[i%64])
			}
		})
	}
	pairs("curve-curve", func(i int) Cubic { return y[i] }, x)
	pairs("overlapping", func(i int) Cubic { return x[i].Part(0.2, 0.8) }, x)
	for _, gap := range []float64{1e-9, 1e-6, 1e-3} {
		pairs(fmt.Sprintf("near-coincident/gap=%g", gap), func(i int) Cubic { return shaken(r, usual[i], gap) }, usual)
	}
	cusps := benchCurves(25, nearKinds[1])
	pairs("near-coincident/cusp", func(i int) Cubic { return shaken(r, cusps[i], 1e-7) }, cusps)
	for _, n := range []int{200, 5000} {
		ring := wavyRing(r, n, 0.25)
		b.Run(fmt.Sprintf("self/curves=%d", n), func(b *testing.B) {
			for b.Loop() {
				ring.SelfCrossing()
			}
		})
	}
}
