package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/require"
)

func checkSums(t *testing.T, a, b Ring, o Overlap) {
	t.Helper()
	require.InDelta(t, a.Area(), o.KeptArea+o.RemovedArea, 1e-3)
	require.InDelta(t, b.Area(), o.KeptArea+o.AddedArea+o.Matched, 1e-3)
}

// A rectangle whose hem goes up by 60 loses width times depth.
func TestCompareHem(t *testing.T) {
	a := Polygon(Pt(0, 0), Pt(300, 0), Pt(300, 800), Pt(0, 800))
	b := Polygon(Pt(0, 0), Pt(300, 0), Pt(300, 740), Pt(0, 740))
	o, err := Compare(a, b, 0.01)
	require.NoError(t, err)
	require.Empty(t, o.Added)
	require.Len(t, o.Removed, 1)
	require.InDelta(t, 300*60, o.RemovedArea, 1e-9)
	checkSums(t, a, b, o)
}

// Two circles of radius r whose centres lie d apart: the lens has the area
// 2r²·acos(d/2r) − (d/2)·√(4r² − d²).
func TestCompareCircles(t *testing.T) {
	r, d := 100.0, 60.0
	a := Circle(Pt(0, 0), r)
	b := Circle(Pt(d, 0), r)
	o, err := Compare(a, b, 0.01)
	require.NoError(t, err)
	lens := 2*r*r*math.Acos(d/2/r) - d/2*math.Sqrt(4*r*r-d*d)
	// A circle of four cubics holds 4·0.7856180832·r² (the sector area of the
	// quarter circle, derived), 8.8e-4·r² more than the true one.
	require.InDelta(t, lens, o.KeptArea, r*r*8.8e-4)
	checkSums(t, a, b, o)
}

func TestCompareDividedOnly(t *testing.T) {
	a := Circle(Pt(40, 30), 100)
	var b Ring
	for i, c := range a {
		p, q := c.Split(0.3 + 0.1*float64(i))
		b = append(b, p, q)
	}
	b = append(b[3:], b[:3]...)
	for _, other := range []Ring{b, b.Reverse()} {
		o, err := Compare(a, other, 0.01)
		require.NoError(t, err)
		require.Empty(t, o.Added)
		require.Empty(t, o.Removed)
		require.Len(t, o.Kept, 1)
	}
}

func TestCompareApartAndInside(t *testing.T) {
	a := Circle(Pt(0, 0), 50)
	b := Circle(Pt(200, 0), 20)
	o, err := Compare(a, b, 0.01)
	require.NoError(t, err)
	require.Empty(t, o.Kept)
	checkSums(t, a, b, o)
	b = Circle(Pt(10, 0), 20)
	o, err = Compare(a, b, 0.01)
	require.NoError(t, err)
	require.Len(t, o.Removed, 1)
	require.Len(t, o.Removed[0].Rings, 2)
	require.Empty(t, o.Added)
	checkSums(t, a, b, o)
	require.InDelta(t, a.Area()-b.Area(), o.RemovedArea, 1e-9)
}

// A bow tie has one half that runs clockwise: the triangle (0,0), (10,5),
// (0,10) of area 50 by the shoelace formula.
func TestCoverDropsLoop(t *testing.T) {
	regions, err := Cover(Polygon(Pt(0, 0), Pt(20, 10), Pt(20, 0), Pt(0, 10)))
	require.NoError(t, err)
	require.Len(t, regions, 1)
	require.InDelta(t, 50, regions[0].Area, 1e-9)
}

// randomPiece is a closed outline of curved and straight sides around the
// origin.
func randomPiece(rng *rand.Rand) Ring {
	n := 4 + rng.IntN(5)
	var nodes []Point
	for i := range n {
		angle := 2 * math.Pi * (float64(i) + 0.6*rng.Float64()) / float64(n)
		nodes = append(nodes, Pt(1, 0).Turn(angle).Mul(150+150*rng.Float64()))
	}
	var r Ring
	for i, p := range nodes {
		q := nodes[(i+1)%n]
		c := Line(p, q)
		if rng.IntN(2) == 0 {
			bulge := q.Sub(p).Left().Mul(0.25 * rng.Float64())
			c.P1, c.P2 = c.P1.Add(bulge), c.P2.Add(bulge.Mul(0.5+rng.Float64()))
		}
		r = append(r, c)
	}
	return r
}

// redivide cuts curves elsewhere, changes the start and perhaps the direction.
func redivide(rng *rand.Rand, r Ring) Ring {
	var out Ring
	for _, c := range r {
		if rng.IntN(2) == 0 {
			a, b := c.Split(0.1 + 0.8*rng.Float64())
			out = append(out, a, b)
		} else {
			out = append(out, c)
		}
	}
	k := rng.IntN(len(out))
	out = append(append(Ring{}, out[k:]...), out[:k]...)
	if rng.IntN(2) == 0 {
		out = out.Reverse()
	}
	return out
}

// Against the polygon overlay of simplefeatures (a port of the JTS topology
// suite) on outlines flattened to 0.0005 mm: areas agree within what the
// flattening leaves out, and the sums hold on the true curves.
func TestCompareAgainstReference(t *testing.T) {
	mended := []uint64{1795567464760559038, 1795567480022013906, 1795567487471772519,
		1795567496237942225, 1795567498804849152, 1795567551938273872}
	for _, seed := range append(mended, uint64(time.Now().UnixNano())) {
		t.Run(fmt.Sprintf("seed %d", seed), func(t *testing.T) { compareWithReference(t, seed) })
	}
}

func compareWithReference(t *testing.T, seed uint64) {
	rng := rand.New(rand.NewPCG(seed, 1))
	for range 60 {
		a := randomPiece(rng)
		b := redivide(rng, a)
		i := rng.IntN(len(b))
		b[i].P1 = b[i].P1.Add(Pt(5, -4))
		if rng.IntN(3) == 0 {
			b = b.Moved(Motion{Turn: 0.02 * rng.Float64(), Shift: Pt(rng.Float64(), 3*rng.Float64())})
		}
		if b.Area() < 0 {
			b = b.Reverse()
		}
		o, err := Compare(a, b, 0.01)
		require.NoError(t, err)
		checkSums(t, a, b, o)
		pa, pb := referencePolygon(t, a, 0.0005), referencePolygon(t, b, 0.0005)
		added, err := sf.Difference(pb, pa)
		require.NoError(t, err)
		removed, err := sf.Difference(pa, pb)
		require.NoError(t, err)
		// A chord within 0.0005 mm of its curve leaves out at most 2/3·0.0005 mm
		// of width along each outline; matched strips are at most tol wide.
		slack := 0.0004*(a.Length()+b.Length()) + o.Deviation*a.Length()
		require.InDelta(t, added.Area(), o.AddedArea, slack)
		require.InDelta(t, removed.Area(), o.RemovedArea, slack)
	}
}

func referencePolygon(t testing.TB, r Ring, tol float64) sf.Geometry {
	t.Helper()
	var coords []float64
	points := Path(r).Flatten(tol)
	points[len(points)-1] = points[0]
	for _, p := range points {
		coords = append(coords, p.X, p.Y)
	}
	seq := sf.NewSequence(coords, sf.DimXY)
	poly := sf.NewPolygon([]sf.LineString{sf.NewLineString(seq)})
	require.NoError(t, poly.Validate())
	return poly.AsGeometry()
}

func BenchmarkCompare(b *testing.B) {
	rng := rand.New(rand.NewPCG(7, 7))
	p := randomPiece(rng)
	q := redivide(rng, p)
	q[0].P1 = q[0].P1.Add(Pt(5, -4))
	if q.Area() < 0 {
		q = q.Reverse()
	}
	for b.Loop() {
		if _, err := Compare(p, q, 0.01); err != nil {
			b.Fatal(err)
		}
	}
}
