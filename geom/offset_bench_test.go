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

// One operation is the offset of one edge of many nodes. The figure per node
// stays where it is when the nodes are many times as many.
func BenchmarkOffsetPath(b *testing.B) {
	for _, kind := range []struct {
		name string
		make func(n int) Path
		by   float64
	}{
		{"smooth", func(n int) Path { return Path(wavyRing(rand.New(rand.NewPCG(83, 1)), n, 0.1)) }, 3},
		{"teeth", func(n int) Path { return Path(comb(n)) }, -3},
		{"there and back", thereAndBack, 3},
	} {
		for _, n := range []int{1000, 4000, 16000} {
			b.Run(fmt.Sprintf("%s/%d", kind.name, n), func(b *testing.B) {
				p := kind.make(n)
				for b.Loop() {
					p.Offset(kind.by, 0.01)
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/node")
			})
		}
	}
}

// thereAndBack is a path of long lines that each turn by almost 180°.
func thereAndBack(n int) Path {
	points := make([]Point, n)
	for i := range points {
		points[i] = Pt(float64(i%2)*100, 0.02*float64(i))
	}
	return Polyline(points...)
}

// One operation is the cutting line of one piece, in turn: of plain ones; of
// those whose lines cross, so that the union decides; of an outline of 400
// curves, an edge each.
func BenchmarkOffsetRing(b *testing.B) {
	r := rand.New(rand.NewPCG(82, 1))
	type piece struct {
		edges   []OffsetEdge
		corners []OffsetCorner
	}
	plain, crossing, large := make([]piece, 64), make([]piece, 0, 64), piece{}
	for i := range plain {
		plain[i].edges, plain[i].corners = allowancePiece(r)
	}
	for len(crossing) < 64 {
		edges, corners := variedPiece(r, false)
		if _, _, err := OffsetRing(edges, corners, 0.01); err != nil {
			continue
		}
		if _, _, _, found := rawOffset(b, edges, corners).SelfCrossing(); found {
			crossing = append(crossing, piece{edges, corners})
		}
	}
	for _, c := range wavyRing(r, 400, 0.1) {
		large.edges = append(large.edges, OffsetEdge{Path{c}, 3})
	}
	for _, kind := range []struct {
		name   string
		pieces []piece
	}{{"piece", plain}, {"crossing", crossing}, {"400 edges", []piece{large}}} {
		b.Run(kind.name, func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				p := kind.pieces[i%len(kind.pieces)]
				OffsetRing(p.edges, p.corners, 0.01)
			}
		})
	}
}
