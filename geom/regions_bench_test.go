package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
)

// benchChord is the distance in mm of the reference's chords from the curves,
// by which the vertices of a pair are counted: the distance within which
// stored outlines count as the same.
const benchChord = 0.01

// nearPairs are outlines, each with the same one altered in one curve and
// divided elsewhere: left as it is otherwise, jittered by up to so many mm, or
// turned by a hair's breadth. The flattenings of each pair have about the
// given number of vertices together.
func nearPairs(vertices int) [][2]Ring {
	var pairs [][2]Ring
	for i, jitter := range []float64{0, 1e-9, 1e-6, 1e-3, 5e-3, 0.02} {
		pairs = append(pairs, nearPair(vertices, uint64(i), jitter, Motion{}))
	}
	for i, turn := range []float64{1e-7, 1e-5} {
		pairs = append(pairs, nearPair(vertices, uint64(6+i), 0, Motion{Turn: turn}))
	}
	return pairs
}

func nearPair(vertices int, seed uint64, jitter float64, m Motion) [2]Ring {
	rng := rand.New(rand.NewPCG(seed, 11))
	for curves := 4; ; curves += max(1, curves/16) {
		a := bulgedRing(rand.New(rand.NewPCG(seed, 3)), curves)
		if 2*len(Path(a).Flatten(benchChord)) >= vertices {
			return [2]Ring{a, alteredRing(rng, a, jitter).Moved(m)}
		}
	}
}

// bulgedRing is a closed outline of n curves of about 60 mm, half of them
// bulging outwards, with a lobe for every 32 of them.
func bulgedRing(rng *rand.Rand, n int) Ring {
	lobes, deep := float64(n/32), 0.35
	radius := 60 * float64(n) / (4*deep*lobes + 2*math.Pi)
	nodes := make([]Point, n)
	for i := range nodes {
		angle := 2 * math.Pi * (float64(i) + 0.2*rng.Float64()) / float64(n)
		nodes[i] = Pt(radius, 0).Turn(angle).Mul(1 + deep*math.Sin(lobes*angle))
	}
	var r Ring
	for i, p := range nodes {
		q := nodes[(i+1)%n]
		c := Line(p, q)
		if i%2 == 0 {
			bulge := q.Sub(p).Left().Mul(0.08 + 0.06*rng.Float64())
			c.P1, c.P2 = c.P1.Add(bulge), c.P2.Add(bulge)
		}
		r = append(r, c)
	}
	return r
}

func alteredRing(rng *rand.Rand, a Ring, jitter float64) Ring {
	b := redivide(rng, a)
	if b.Area() < 0 {
		b = b.Reverse()
	}
	k := rng.IntN(len(b))
	b[k].P1 = b[k].P1.Add(b[k].P3.Sub(b[k].P0).Left().Mul(0.2))
	nudge := func(p Point) Point {
		return p.Add(Pt(rng.Float64()-0.5, rng.Float64()-0.5).Mul(jitter))
	}
	for i := range b {
		b[i].P1, b[i].P2 = nudge(b[i].P1), nudge(b[i].P2)
		b[i].P3 = nudge(b[i].P3)
		b[(i+1)%len(b)].P0 = b[i].P3
	}
	return b
}

var regionSizes = []int{200, 1000, 5000, 20000}

// One operation is one of the pairs, in turn: matching, added, removed, kept.
func BenchmarkRegions(b *testing.B) {
	for _, n := range regionSizes {
		b.Run(fmt.Sprintf("vertices=%d", n), func(b *testing.B) {
			pairs := nearPairs(n)
			vertices := 0
			for _, p := range pairs {
				vertices += len(Path(p[0]).Flatten(benchChord)) + len(Path(p[1]).Flatten(benchChord))
			}
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				p := pairs[i%len(pairs)]
				if _, err := Compare(p[0], p[1], 0.01); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(vertices)/float64(len(pairs)), "vertices")
		})
	}
}

// The same pairs through the reference library; flattening is not timed.
func BenchmarkRegionsReference(b *testing.B) {
	for _, n := range regionSizes[:3] {
		b.Run(fmt.Sprintf("vertices=%d", n), func(b *testing.B) {
			var pairs [][2]sf.Geometry
			for _, p := range nearPairs(n) {
				pairs = append(pairs, [2]sf.Geometry{referencePolygon(b, p[0], benchChord), referencePolygon(b, p[1], benchChord)})
			}
			for i := 0; b.Loop(); i++ {
				x, y := pairs[i%len(pairs)][0], pairs[i%len(pairs)][1]
				if _, err := sf.Intersection(x, y); err != nil {
					b.Fatal(err)
				}
				if _, err := sf.Difference(x, y); err != nil {
					b.Fatal(err)
				}
				if _, err := sf.Difference(y, x); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// partedPair is a rectangle and the same one, one edge of it in n parts.
func partedPair(n int) (a, b Ring) {
	a = Polygon(Pt(0, 0), Pt(1000, 0), Pt(1000, 500), Pt(0, 500))
	for k := range n {
		b = append(b, a[0].Part(float64(k)/float64(n), float64(k+1)/float64(n)))
	}
	b[n-1].P3 = a[0].P3
	for k := 1; k < n; k++ {
		b[k].P0 = b[k-1].P3
	}
	return a, append(b, a[1:]...)
}

// One long edge beside many parts of it.
func BenchmarkCompareParted(b *testing.B) {
	for _, n := range []int{1000, 4000, 16000} {
		x, y := partedPair(n)
		for _, order := range []string{"parts second", "parts first"} {
			b.Run(fmt.Sprintf("%s/parts=%d", order, n), func(b *testing.B) {
				for b.Loop() {
					if _, err := Compare(x, y, 0.01); err != nil {
						b.Fatal(err)
					}
				}
			})
			x, y = y, x
		}
	}
}

func BenchmarkMatch(b *testing.B) {
	for _, n := range regionSizes {
		b.Run(fmt.Sprintf("vertices=%d", n), func(b *testing.B) {
			pairs := nearPairs(n)
			for i := 0; b.Loop(); i++ {
				Match(pairs[i%len(pairs)][0], pairs[i%len(pairs)][1], 0.01)
			}
		})
	}
}
