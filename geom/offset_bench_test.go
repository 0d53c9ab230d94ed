package geom

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

func BenchmarkOffsetCubic(b *testing.B) {
	for _, tol := range []float64{0.1, 0.01, 0.001} {
		for _, kind := range []struct {
			name string
			make func(*rand.Rand) Cubic
		}{{"realistic", realisticCubic}, {"harsh", harshCubic}} {
			b.Run(fmt.Sprintf("%s/%v", kind.name, tol), func(b *testing.B) {
				r := rand.New(rand.NewPCG(81, 1))
				curves, by := make([]Cubic, 512), make([]float64, 512)
				for i := range curves {
					curves[i] = kind.make(r)
					by[i] = realisticDistance(r, curves[i])
				}
				cubics, n := 0, 0
				for b.Loop() {
					o, _ := curves[n%512].Offset(by[n%512], tol)
					cubics += len(o)
					n++
				}
				b.ReportMetric(float64(cubics)/float64(n), "cubics/curve")
			})
		}
	}
	b.Run("degenerate", func(b *testing.B) {
		for b.Loop() {
			degenerateCubics["cusp"].Offset(10, 0.01)
		}
	})
}

func BenchmarkOffsetRing(b *testing.B) {
	r := rand.New(rand.NewPCG(82, 1))
	edges, corners := allowancePiece(r)
	b.Run("piece", func(b *testing.B) {
		for b.Loop() {
			OffsetRing(edges, corners, 0.01)
		}
	})
	ring := wavyRing(r, 400, 0.1)
	large := make([]OffsetEdge, len(ring))
	for i, c := range ring {
		large[i] = OffsetEdge{Path{c}, 3}
	}
	b.Run("400 edges", func(b *testing.B) {
		for b.Loop() {
			OffsetRing(large, nil, 0.01)
		}
	})
}

func BenchmarkLength(b *testing.B) {
	r := rand.New(rand.NewPCG(83, 1))
	for name, c := range map[string]Cubic{"regular": realisticCubic(r), "cusp": degenerateCubics["cusp"], "line": Line(Pt(0, 0), Pt(9, 9))} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				c.Length()
			}
		})
	}
}

func BenchmarkNearest(b *testing.B) {
	r := rand.New(rand.NewPCG(84, 1))
	for name, c := range map[string]Cubic{"regular": realisticCubic(r), "cusp": degenerateCubics["cusp"], "line": Line(Pt(0, 0), Pt(9, 9))} {
		q := randomPoint(r, 300)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				c.Nearest(q)
			}
		})
	}
}

func BenchmarkFit(b *testing.B) {
	r := rand.New(rand.NewPCG(85, 1))
	edges, _ := allowancePiece(r)
	points := traced(r, outline(edges), 3, 0.3)
	b.Run("outline", func(b *testing.B) {
		for b.Loop() {
			FitOutline(points, FitOptions{})
		}
	})
	b.Run("curve", func(b *testing.B) {
		for b.Loop() {
			Fit(points[:40], nil, nil, 1)
		}
	})
}
