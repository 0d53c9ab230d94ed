package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
)

// nearPair is an outline and the same outline altered in one curve, divided
// elsewhere and jittered by up to jitter mm, whose flattenings have about the
// given number of vertices together: the kind of pair a diff meets.
func nearPair(vertices int, seed uint64, jitter float64) (Ring, Ring) {
	rng := rand.New(rand.NewPCG(seed, 11))
	curves := 8
	for {
		a := bulgedRing(rand.New(rand.NewPCG(seed, 3)), curves)
		if 2*len(Path(a).Flatten(flatTolerance)) >= vertices || curves > vertices {
			return a, alteredRing(rng, a, jitter)
		}
		curves += max(1, curves/16)
	}
}

// bulgedRing is a closed outline of n curves, half of them bulging, around a
// circle of 300 mm.
func bulgedRing(rng *rand.Rand, n int) Ring {
	nodes := make([]Point, n)
	for i := range nodes {
		angle := 2 * math.Pi * (float64(i) + 0.3*rng.Float64()) / float64(n)
		nodes[i] = Pt(300, 0).Turn(angle).Mul(0.9 + 0.1*rng.Float64())
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

func BenchmarkRegions(b *testing.B) {
	for _, n := range regionSizes {
		b.Run(fmt.Sprintf("vertices=%d", n), func(b *testing.B) {
			p, q := nearPair(n, 1, 0.001)
			b.ReportMetric(float64(len(Path(p).Flatten(flatTolerance))+len(Path(q).Flatten(flatTolerance))), "vertices")
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Compare(p, q, 0.01); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkRegionsReference(b *testing.B) {
	for _, n := range regionSizes[:3] {
		b.Run(fmt.Sprintf("vertices=%d", n), func(b *testing.B) {
			p, q := nearPair(n, 1, 0.001)
			x, y := referencePolygon(b, p, flatTolerance), referencePolygon(b, q, flatTolerance)
			for b.Loop() {
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

func BenchmarkMatch(b *testing.B) {
	p, q := nearPair(200, 1, 0.001)
	for b.Loop() {
		Match(p, q, 0.01)
	}
}
