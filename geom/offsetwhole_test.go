package geom

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pieceSurvey is what was seen of many cutting lines.
type pieceSurvey struct {
	pieces, made, wide, crossed, places int
	short                               float64 // greatest lack of allowance, mm
	far                                 float64 // greatest distance beyond it, mm
	faults                              []string
}

func (s *pieceSurvey) fault(format string, args ...any) {
	s.faults = append(s.faults, fmt.Sprintf(format, args...))
}

// surveyPieces makes n cutting lines and measures each.
func surveyPieces(r *rand.Rand, n int, straight bool) *pieceSurvey {
	s := &pieceSurvey{}
	for i := range n {
		edges, corners := variedPiece(r, straight)
		ring, from, err := OffsetRing(edges, corners, 0.01)
		s.pieces++
		var wide *AllowanceTooWide
		var cross *OffsetCrosses
		switch {
		case errors.As(err, &wide):
			s.wide++
			s.tooWide(i, edges[wide.Edge], wide)
		case errors.As(err, &cross):
			s.crossed++
		case err != nil:
			s.fault("piece %d: %v", i, err)
		default:
			s.made++
			s.measure(i, besides{edges, corners}, ring, from)
		}
	}
	return s
}

// tooWide holds an error against the edge it names: its place lies there, the
// curve is hollow with that radius, and no tighter one is in sight.
func (s *pieceSurvey) tooWide(piece int, e OffsetEdge, wide *AllowanceTooWide) {
	at, d := e.Path.Nearest(wide.At)
	k := e.Path[at.Curve].Curvature(at.T)
	if d > 1e-6 || k >= 0 || math.Abs(1/k+wide.Radius) > 1e-3*wide.Radius || wide.Radius > e.By {
		s.fault("piece %d: %v, but there the radius is %v", piece, wide, -1/k)
	}
}

// measure holds a cutting line against the edges it came from.
func (s *pieceSurvey) measure(piece int, b besides, ring Ring, from []int) {
	if why := notSimple(ring, from, len(b.edges)); why != "" {
		s.fault("piece %d: %s", piece, why)
		return
	}
	for j, c := range ring {
		for k := range 8 {
			q := c.At((float64(k) + 0.5) / 8)
			s.far = math.Max(s.far, b.beyond(q))
			for i := range b.edges {
				if lack := b.lack(i, q); lack > s.short {
					s.short = lack
					if lack > 0.01 {
						s.fault("piece %d: curve %d of edge %d at (%.2f, %.2f) is %.3f mm too near to edge %d", piece, j, from[j], q.X, q.Y, lack, i)
					}
				}
			}
			s.places++
		}
	}
	for i, e := range b.edges {
		if e.By == 0 {
			continue
		}
		for _, at := range []float64{0.001, 0.01, 0.03, 0.1, 0.3, 0.5, 0.7, 0.9, 0.97, 0.99, 0.999} {
			l := at * e.Path.Length()
			q := e.Path.PointAt(l).Add(e.Path.TangentAt(l).Left().Mul(e.By - 0.012))
			if !ring.Holds(q) && !b.excused(i, q) {
				s.fault("piece %d: edge %d at %.1f mm has not its %v mm", piece, i, l, e.By)
			}
		}
	}
}

// notSimple says what is wrong with a ring as a ring.
func notSimple(ring Ring, from []int, edges int) string {
	if len(from) != len(ring) {
		return "edges are missing"
	}
	for i, c := range ring {
		if !c.Finite() || c.P3 != ring[(i+1)%len(ring)].P0 {
			return fmt.Sprintf("open at curve %d", i)
		}
		if from[i] < 0 || from[i] >= edges {
			return fmt.Sprintf("curve %d comes from no edge", i)
		}
	}
	if ring.Area() <= 0 {
		return "anticlockwise"
	}
	if at, i, j, found := ring.SelfCrossing(); found {
		return fmt.Sprintf("curves %d and %d cross at %v", i, j, at)
	}
	return ""
}

// lack returns by how many mm a place of the cutting line is too near to edge
// i: square to it less than its distance, or between the normals of a convex
// corner less than the lesser of the distances there.
func (b besides) lack(i int, q Point) float64 {
	e := b.edges[i]
	if e.By == 0 || boxDistance(e.Path.Box(), q) >= e.By {
		return 0
	}
	at, d := e.Path.Nearest(q)
	v, tangent := q.Sub(e.Path.At(at)), e.Path[at.Curve].Tangent(at.T)
	want := e.By
	switch length, along := e.Path.Length(), e.Path.LengthTo(at); {
	case along < 1e-6:
		prev := b.edges[b.before(i)]
		want = math.Min(want, prev.By)
		if v.Dot(prev.Path.EndTangent()) < 0 || AngleBetween(prev.Path.EndTangent(), tangent) < 0 {
			return 0
		}
	case along > length-1e-6:
		next := b.edges[b.after(i)]
		want = math.Min(want, next.By)
		if v.Dot(next.Path.StartTangent()) > 0 || AngleBetween(tangent, next.Path.StartTangent()) < 0 {
			return 0
		}
	}
	inside := v.Dot(tangent.Left()) < 0 // as seen through the piece
	if d >= want || inside || b.excused(i, q) {
		return 0
	}
	return want - d
}

// beyond returns by how many mm a place lies farther out than any edge's
// distance and the longest mitre at any corner allow.
func (b besides) beyond(q Point) float64 {
	least := math.Inf(1)
	for i, e := range b.edges {
		h := b.before(i)
		most := sharpestMitre * math.Max(e.By, b.edges[h].By)
		if b.folded(i) {
			most *= 3
		}
		least = math.Min(least, q.Dist(e.Path.Start())-most)
		if least <= 0 {
			return 0
		}
		_, d := e.Path.Nearest(q)
		least = math.Min(least, d-e.By)
	}
	return math.Max(least, 0)
}

func TestNoNarrowSpots(t *testing.T) {
	for _, straight := range []bool{true, false} {
		s := surveyPieces(seeded(t, 311), 300, straight)
		for _, f := range s.faults[:min(5, len(s.faults))] {
			t.Error(f)
		}
		assert.LessOrEqual(t, s.short, 0.01, "straight %v", straight)
		assert.LessOrEqual(t, s.far, 0.01, "straight %v", straight)
		assert.Greater(t, s.made, s.pieces*19/20)
		t.Logf("straight %v: %d of %d made, %d too wide, %d crossed; %d places, short by %.2g, far by %.2g mm",
			straight, s.made, s.pieces, s.wide, s.crossed, s.places, s.short, s.far)
	}
}

func TestRefusedCuttingLinesHaveHoles(t *testing.T) {
	checked, wrong := refusedHoles(t, seeded(t, 312), 2000)
	assert.Positive(t, checked)
	assert.Zero(t, wrong)
	t.Logf("%d holes", checked)
}

// refusedHoles counts the pieces of n that are refused because their
// allowances enclose a hole, and those whose hole is none: where the reference
// library's union of the outline and a rectangle for each chord of its edges
// covers some of it.
func refusedHoles(t testing.TB, r *rand.Rand, n int) (refused, wrong int) {
	for i := range n {
		edges, corners := variedPiece(r, i%2 == 0)
		_, _, err := OffsetRing(edges, corners, 0.01)
		var cross *OffsetCrosses
		if !errors.As(err, &cross) {
			continue
		}
		refused++
		regions, err := Cover(rawOffset(t, edges, corners))
		require.NoError(t, err)
		strips := referenceStrips(t, edges)
		for _, g := range regions {
			for i, h := range g.Rings {
				if i == 0 || math.Abs(h.Area()) < 1e-3 {
					continue
				}
				both, err := sf.Intersection(referencePolygon(t, h.Reverse(), 1e-3), strips)
				require.NoError(t, err)
				if both.Area() > 1e-3*math.Abs(h.Area()) {
					wrong++
				}
			}
		}
	}
	return refused, wrong
}

// rawOffset is the ring of all offset lines before the union.
func rawOffset(t testing.TB, edges []OffsetEdge, corners []OffsetCorner) Ring {
	sides, err := offsetSides(edges, withDirection(edges), 0.01)
	require.NoError(t, err)
	joints := make([]joint, len(sides))
	for i := range sides {
		joints[i], err = join(sides[(i+len(sides)-1)%len(sides)], sides[i], cornerAt(corners, i).Style, 0.01)
		require.NoError(t, err)
	}
	return joinSides(sides, joints).ring
}

// referenceStrips is the union of the outline and the strips of its edges, a
// rectangle for each chord.
func referenceStrips(t testing.TB, edges []OffsetEdge) sf.Geometry {
	all := referencePolygon(t, outline(edges), 1e-3)
	for _, e := range edges {
		for _, c := range e.Path {
			points := c.Flatten(0.01)
			for i := 1; i < len(points) && e.By > 0; i++ {
				p, q := points[i-1], points[i]
				n := q.Sub(p).Unit().Left().Mul(e.By)
				var err error
				all, err = sf.Union(all, referencePolygon(t, Polygon(p.Add(n), q.Add(n), q, p), 1))
				require.NoError(t, err)
			}
		}
	}
	return all
}

func TestAllowanceAgainstRadius(t *testing.T) {
	misjudged, off := bayErrors(t, seeded(t, 313), 300)
	assert.Zero(t, misjudged)
	assert.LessOrEqual(t, off, 1e-6, "mm")
	t.Logf("radius within %.2g mm", off)
}

// bayErrors makes cutting lines of an outline with a round bay, the allowance
// there between a half and one and a half of its radius, and counts those that
// are not refused though it is the radius or more, those refused though it is
// less, and those refused with another edge or a place not in the bay. The
// radius counts as the bay's cubics have it at the tightest of many places;
// they bend by up to 0.6 % more than their circle. off is the error of the
// radius named, in mm.
func bayErrors(t testing.TB, r *rand.Rand, n int) (misjudged int, off float64) {
	for range n {
		radius, sweep, x := 5+45*r.Float64(), Degrees(20+150*r.Float64()), 80+60*r.Float64()
		by := radius * (0.5 + r.Float64())
		edges := bayPiece(x, radius, sweep, by)
		tightest := math.Inf(1)
		for _, c := range edges[0].Path {
			for k := range 4001 {
				tightest = math.Min(tightest, -1/c.Curvature(0.001+0.998*float64(k)/4000))
			}
		}
		_, _, err := OffsetRing(edges, nil, 0.01)
		var wide *AllowanceTooWide
		switch found := errors.As(err, &wide); {
		case math.Abs(by-tightest) < 1e-5:
		case found != (by >= tightest):
			misjudged++
		case found:
			if _, d := edges[0].Path.Nearest(wide.At); wide.Edge != 0 || d > 1e-9 {
				misjudged++
			}
			off = math.Max(off, math.Abs(wide.Radius-tightest))
		}
	}
	return misjudged, off
}

// bayPiece is a rectangle with a bay of the given radius and sweep cut into its
// top edge at x, as its first edge.
func bayPiece(x, radius, sweep, by float64) []OffsetEdge {
	half := radius * math.Sin(sweep/2)
	bay := Arc(Pt(x, -radius*math.Cos(sweep/2)), radius, math.Pi/2+sweep/2, -sweep)
	points := []Point{Pt(x+half, 0), Pt(300, 0), Pt(300, 200), Pt(0, 200), Pt(0, 0), Pt(x-half, 0)}
	bay[0].P0, bay[len(bay)-1].P3 = points[5], points[0]
	edges := []OffsetEdge{{bay, by}}
	for i := range 5 {
		edges = append(edges, OffsetEdge{Path{Line(points[i], points[i+1])}, by})
	}
	return edges
}

func TestCurvesNotCutAreKept(t *testing.T) {
	kept, cut := keptCurves(t, seeded(t, 314), 300)
	assert.Zero(t, cut)
	assert.Greater(t, kept, 500)
	t.Logf("%d curves kept to the bit", kept)
}

// keptCurves counts the curves of cutting lines laid out by the union that are
// a curve of the lines before it to the bit, and those that should be and are
// not: off those lines, or divided where nothing crosses.
func keptCurves(t testing.TB, r *rand.Rand, n int) (kept, astray int) {
	for range n {
		edges, corners := variedPiece(r, false)
		ring, _, err := OffsetRing(edges, corners, 0.01)
		if err != nil {
			continue
		}
		raw := rawOffset(t, edges, corners)
		if _, _, _, crosses := raw.SelfCrossing(); !crosses {
			continue
		}
		whole := map[Cubic]bool{}
		for _, c := range raw {
			whole[c] = true
		}
		last := -1
		for _, c := range ring {
			if whole[c] {
				kept++
				last = -1
				continue
			}
			at, d := Path(raw).Nearest(c.At(0.5))
			if d > 1e-6 || at.Curve == last {
				astray++
			}
			last = at.Curve
		}
	}
	return kept, astray
}
