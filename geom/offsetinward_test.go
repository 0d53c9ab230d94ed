package geom

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestNothingIsLeftBeyondTheInradius(t *testing.T) {
	square := rectangle(100, 100)
	for _, c := range []struct {
		points []Point
		by     []float64
	}{
		{rectangle(100, 60), []float64{-51}},
		{rectangle(100, 60), []float64{-60}},
		{rectangle(100, 60), []float64{-50}},
		{square, []float64{-50.02}},
		{square, []float64{-51}},
		{square, []float64{-60}},
		{square, []float64{-80}},
		{square, []float64{-80, -30, -80, -30}},
		// A fold on one side: 40 from the other three of a triangle of height 50.
		{[]Point{Pt(0, 0), Pt(100, 0), Pt(50, 50)}, []float64{0, -40, -40}},
	} {
		ring, from, err := OffsetRing(straightEdges(c.by, c.points...), nil, 0.01)
		assert.ErrorIs(t, err, ErrOffsetVanishes, "%v by %v", c.points, c.by)
		assert.Empty(t, ring)
		assert.Empty(t, from)
	}
	ring, _, err := OffsetRing(straightEdges([]float64{-49.9}, square...), nil, 0.01)
	require.NoError(t, err)
	assert.InDelta(t, 0.04, ring.Area(), 1e-9)
}

// starPiece is a ring of 3 to 8 edges about the origin, in part curved or all
// straight.
func starPiece(r *rand.Rand, curved bool) Ring {
	for {
		points := make([]Point, 3+r.IntN(6))
		for i := range points {
			points[i] = Pt(30+170*r.Float64(), 0).Turn((float64(i) + 0.8*r.Float64()) / float64(len(points)) * 2 * math.Pi)
		}
		ring := Polygon(points...)
		for i, c := range ring {
			if l := c.P3.Sub(c.P0); curved && r.IntN(2) == 0 {
				ring[i].P1 = c.P0.Add(l.Turn(1.2 * (r.Float64() - 0.5)).Mul(0.33))
				ring[i].P2 = c.P3.Sub(l.Turn(1.2 * (r.Float64() - 0.5)).Mul(0.33))
			}
		}
		if _, _, _, found := ring.SelfCrossing(); !found && ring.Area() > 100 {
			return ring
		}
	}
}

// inEdges divides a ring into edges of up to most curves, all at one distance.
func inEdges(r *rand.Rand, ring Ring, most int, by float64) []OffsetEdge {
	var edges []OffsetEdge
	for i := 0; i < len(ring); {
		n := min(1+r.IntN(most), len(ring)-i)
		edges = append(edges, OffsetEdge{Path(ring[i : i+n]), by})
		i += n
	}
	return edges
}

// depth is the greatest distance to go inward by at which a place is left: its
// distance from the outline, and beside a hollow corner, where the lines run on
// to their meeting, the greater of those from the lines of its edges.
func depth(ring Ring, q Point) float64 {
	if !ring.Holds(q) {
		return 0
	}
	_, least := Path(ring).Nearest(q)
	for i, b := range ring {
		a := ring[(i+len(ring)-1)%len(ring)]
		v, in, on := q.Sub(b.P0), a.Tangent(1), b.Tangent(0)
		if in.Cross(on) < 0 && v.Dot(in) > 0 && v.Dot(on) < 0 {
			least = math.Min(least, math.Max(in.Cross(v), on.Cross(v)))
		}
	}
	return least
}

// deepest is about the greatest depth in a ring, never more.
func deepest(ring Ring) float64 {
	const n = 16
	box := ring.Box()
	best, at := 0.0, Point{}
	try := func(q Point) bool {
		d := depth(ring, q)
		if d > best {
			best, at = d, q
			return true
		}
		return false
	}
	for i := range n {
		for k := range n {
			size := box.Size()
			try(box.Min.Add(Pt(size.X*(float64(i)+0.5)/n, size.Y*(float64(k)+0.5)/n)))
		}
	}
	for step := box.Size().Len() / n; step > 1e-3; {
		moved := false
		for k := range 8 {
			moved = try(at.Add(Pt(step, 0).Turn(float64(k)*math.Pi/4))) || moved
		}
		if !moved {
			step /= 2
		}
	}
	return best
}

// inwardSurvey is what was seen of inward rings.
type inwardSurvey struct{ calls, made, vanished, near, lost int }

// inward makes n rings, each at a distance from next to nothing to 1.6 times
// its depth, or up to 400 mm, and measures each.
func (s *inwardSurvey) inward(t *testing.T, r *rand.Rand, n int, curved bool, most int) {
	for range n {
		ring := starPiece(r, curved)
		left := deepest(ring)
		d := left * 1.6 * r.Float64()
		if r.IntN(3) == 0 {
			d = 10 * math.Pow(40, r.Float64())
		}
		out, _, err := OffsetRing(inEdges(r, ring, most, -d), nil, 0.01)
		s.calls++
		if errors.Is(err, ErrOffsetVanishes) {
			s.vanished++
			if left > d+0.05 {
				s.lost++
				t.Logf("by %v of %v nothing is left of %v", d, left, ring)
			}
		}
		if err != nil {
			continue
		}
		s.made++
		for _, c := range out {
			for k := range 8 {
				if _, off := Path(ring).Nearest(c.At(float64(k) / 8)); off < d-0.01 {
					s.near++
					t.Logf("by %v, of %v: a place is only %v inside %v", d, left, off, ring)
					break
				}
			}
		}
	}
}

func TestInwardKeepsItsDistanceOrVanishes(t *testing.T) {
	for _, c := range []struct {
		name   string
		curved bool
		most   int // curves of an edge
	}{
		{"straight", false, 1}, {"straight, several to an edge", false, 4},
		{"curved", true, 1}, {"curved, several to an edge", true, 4},
	} {
		var s inwardSurvey
		s.inward(t, seeded(t, 341), 1000, c.curved, c.most)
		assert.Zero(t, s.near, c.name)
		assert.Zero(t, s.lost, c.name)
		assert.Greater(t, s.made, 200, c.name)
		assert.Greater(t, s.vanished, 200, c.name)
		t.Logf("%s: %+v", c.name, s)
	}
}

func TestTeethOfAnEdgeKeepTheirDistance(t *testing.T) {
	// A rectangle with a row of teeth in its one edge: on the inside of their
	// tips the lines of neighbours do not meet, so that the union has to know them
	// whole. No place is nearer than d, and the far side is where it belongs.
	for _, n := range []int{8, 100, 400} {
		comb := Path(comb(n))
		for _, d := range []float64{1, 3, 6} {
			ring, _, err := OffsetRing([]OffsetEdge{{comb, -d}}, nil, 0.01)
			require.NoError(t, err)
			for _, c := range ring {
				for k := range 8 {
					_, off := comb.Nearest(c.At(float64(k) / 8))
					require.GreaterOrEqual(t, off, d-1e-6, "%d nodes by %v", n, d)
				}
			}
			assert.InDelta(t, 300-d, ring.Box().Max.Y, 1e-9)
		}
	}
}

func TestHollowOfManyNodesNarrowerThanTheDistance(t *testing.T) {
	// A half round of radius 20, as traced in lines, with 25 to its hollow side:
	// nothing is left of it but what the lines beside it leave.
	const radius, d = 20.0, 25.0
	for _, sign := range []float64{1, -1} {
		var points []Point
		for i := range 400 {
			p := Pt(-radius, 0).Turn(-math.Pi * float64(i) / 399)
			points = append(points, Pt(p.X, p.Y*sign))
		}
		points = append(points, Pt(200, 0), Pt(200, 300), Pt(-200, 300), Pt(-200, 0))
		ring := Polygon(points...)
		out, _, err := OffsetRing([]OffsetEdge{{Path(ring), sign * d}}, nil, 0.01)
		require.NoError(t, err)
		for _, c := range out {
			for k := range 8 {
				_, off := Path(ring).Nearest(c.At(float64(k) / 8))
				require.GreaterOrEqual(t, off, d-0.01)
			}
		}
		assert.InDelta(t, 400+sign*2*d, out.Box().Size().X, 1e-6)
		assert.LessOrEqual(t, len(out), 8)
	}
}

func TestOutwardKeepsItsDistance(t *testing.T) {
	for _, most := range []int{1, 4} {
		r := seeded(t, 343)
		made := 0
		for range 1000 {
			ring := starPiece(r, true)
			d := 2 * math.Pow(50, r.Float64())
			out, _, err := OffsetRing(inEdges(r, ring, most, d), nil, 0.01)
			if err != nil {
				var wide *AllowanceTooWide
				require.ErrorAs(t, err, &wide)
				continue
			}
			made++
			for _, c := range out {
				for k := range 8 {
					_, off := Path(ring).Nearest(c.At(float64(k) / 8))
					require.GreaterOrEqual(t, off, d-0.01, "by %v of %v", d, ring)
				}
			}
		}
		assert.Greater(t, made, 700)
	}
}

// comb is a rectangle 300 mm high of n nodes, with a row of teeth, 4 mm apart
// and 5 to 6 mm high, along its upper edge.
func comb(n int) Ring {
	points := make([]Point, n)
	for i := range n - 2 {
		points[i] = Pt(float64(2*i), float64(i%2)*(5+float64(i*7%11)/11))
	}
	points[n-2], points[n-1] = Pt(float64(2*n), 300), Pt(-20, 300)
	return Polygon(points...)
}

// clipped is the polygon on the right of the line through p in a direction
// (Sutherland and Hodgman, Reentrant polygon clipping, 1974; from memory).
func clipped(points []Point, p, dir Point) []Point {
	var out []Point
	for i, b := range points {
		a := points[(i+len(points)-1)%len(points)]
		x, y := dir.Cross(a.Sub(p)), dir.Cross(b.Sub(p))
		if (x < 0) != (y < 0) {
			out = append(out, a.Lerp(b, x/(x-y)))
		}
		if y >= 0 {
			out = append(out, b)
		}
	}
	return out
}

func TestUnequalInwardOfConvexPieces(t *testing.T) {
	// What is left of a convex piece holds what lies behind all the lines run on
	// without end, and nothing of it lies in the rectangle beside an edge.
	r := seeded(t, 342)
	made, vanished, parts := 0, 0, 0
	for range 3000 {
		points := make([]Point, 3+r.IntN(5))
		for i := range points {
			points[i] = Pt(100, 0).Turn((float64(i) + 0.9*r.Float64()) / float64(len(points)) * 2 * math.Pi)
		}
		edges := straightEdges([]float64{0}, points...)
		most := 10 + 150*r.Float64()
		inner := points
		for i := range edges {
			edges[i].By = -most * (0.2 + 0.8*r.Float64())
			c := edges[i].Path[0]
			inner = clipped(inner, c.P0.Add(c.Tangent(0).Left().Mul(edges[i].By)), c.Tangent(0))
		}
		kept := Polygon(inner...).Area()
		ring, _, err := OffsetRing(edges, nil, 0.01)
		var cross *OffsetCrosses
		if errors.As(err, &cross) { // a wide strip ends square to its edge and leaves a part on either side
			parts++
			continue
		}
		if err != nil {
			require.ErrorIs(t, err, ErrOffsetVanishes)
			vanished++
			assert.Less(t, kept, 1., "%v", edges)
			continue
		}
		made++
		assert.GreaterOrEqual(t, ring.Area(), kept-1e-6, "%v", edges)
		for _, e := range edges {
			c := e.Path[0]
			for _, x := range ring {
				v := x.At(0.5).Sub(c.P0)
				if along := v.Dot(c.Tangent(0)); along > 0.01 && along < c.Length()-0.01 {
					assert.GreaterOrEqual(t, c.Tangent(0).Cross(v), -e.By-0.01, "%v", edges)
				}
			}
		}
	}
	t.Logf("%d made, %d vanished, %d in parts", made, vanished, parts)
	assert.Less(t, parts, 200)
	assert.Greater(t, made, 500)
	assert.Greater(t, vanished, 500)
}

func TestSmoothSMayNotSlide(t *testing.T) {
	// An S whose ends have nearly one direction is not moved at its end as if it
	// were straight: the middle of the parallel would leave its course.
	c := Cubic{Pt(0, 0), Pt(40, 24), Pt(60, -24), Pt(100, 0)}
	assert.False(t, slides(c, 0.07, 0.01))
	assert.True(t, slides(c, 0.0007, 0.01))
	assert.True(t, slides(Line(c.P0, c.P3), 0.07, 0.01))
}
