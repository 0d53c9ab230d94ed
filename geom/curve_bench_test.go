package geom

import (
	"math/rand/v2"
	"testing"
)

// benchCurves are 64 curves of a kind, so that no benchmark sees one alone.
func benchCurves(seed uint64, kind func(r *rand.Rand) Cubic) []Cubic {
	r := rand.New(rand.NewPCG(seed, 1))
	curves := make([]Cubic, 64)
	for i := range curves {
		curves[i] = kind(r)
	}
	return curves
}

// benchKinds are the curves of the benchmarks of one curve.
var benchKinds = []struct {
	name string
	make func(r *rand.Rand) Cubic
}{
	{"regular", realisticCubic},
	{"random", func(r *rand.Rand) Cubic { return randomCubic(r, 300) }},
	{"near-cusp", nearCusp},
	{"no-handle", func(r *rand.Rand) Cubic { c := realisticCubic(r); c.P1 = c.P0; return c }},
	{"line", func(r *rand.Rand) Cubic { return Line(randomPoint(r, 300), randomPoint(r, 300)) }},
}

func BenchmarkLength(b *testing.B) {
	for _, kind := range benchKinds {
		curves := benchCurves(83, kind.make)
		b.Run(kind.name, func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				curves[i%64].Length()
			}
		})
		b.Run("place-at-a-length/"+kind.name, func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				curves[i%64].ParamAt(70)
			}
		})
	}
}

func BenchmarkNearest(b *testing.B) {
	for _, kind := range benchKinds {
		curves := benchCurves(84, kind.make)
		b.Run(kind.name, func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				curves[i%64].Nearest(curves[(i+1)%64].P1)
			}
		})
	}
}
