package alter

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// chordsPerCurve is how many chords stand for one curve where outlines are
// given to simplefeatures; with curves of 100 mm the area between is below
// 0.02 mm².
const chordsPerCurve = 400

// polygonOf is an outline as the reference library takes it.
func polygonOf(t *testing.T, q *pattern.Piece) sf.Geometry {
	t.Helper()
	return areaWithin(t, ring(q))
}

func areaWithin(t *testing.T, r geom.Ring) sf.Geometry {
	t.Helper()
	var flat []float64
	for _, c := range r {
		n := chordsPerCurve
		if c.IsStraight(1e-9) {
			n = 1
		}
		for k := range n {
			p := c.At(float64(k) / float64(n))
			flat = append(flat, p.X, p.Y)
		}
	}
	flat = append(flat, flat[0], flat[1])
	line := sf.NewLineString(sf.NewSequence(flat, sf.DimXY))
	return sf.NewPolygon([]sf.LineString{line}).AsGeometry()
}

// gainedAndLost are the areas in mm² that the second outline has beyond the
// first and the first beyond the second, by simplefeatures' overlay.
func gainedAndLost(t *testing.T, a, b sf.Geometry) (gained, lost float64) {
	t.Helper()
	g, err := sf.Difference(b, a)
	require.NoError(t, err)
	l, err := sf.Difference(a, b)
	require.NoError(t, err)
	return g.Area(), l.Area()
}

// randomPanel is a panel with its fold at x 0, straight or curved at neck and
// side, of random measures; the hem is straight, square to the fold, y down.
func randomPanel(rng *rand.Rand, curved bool) (p *pattern.Pattern, wide, slant, high float64) {
	wide, slant, high = 180+rng.Float64()*80, 20+rng.Float64()*60, 500+rng.Float64()*200
	top := lineTo("waist", 0, 0, wide, 0)
	if curved {
		top = curveTo("waist", 0, 20, wide/3, 20, 2*wide/3, 10+rng.Float64()*10, wide, 0)
	}
	from := top.path.Start()
	q := drawPiece("panel", "outer", pattern.CutOnFold, top, lineTo("side", wide, 0, wide+slant, high),
		lineTo("hemline", wide+slant, high, 0, high), lineTo("centre back", 0, high, from.X, from.Y))
	p = pattern.New("test", units.Millimetre)
	q.Slug = p.NewSlug(q.Name)
	p.Put(q)
	p.GiveIDs(q)
	return p, wide, slant, high
}

func mm(v float64) string { return fmt.Sprintf("%.3f", v) }

// What alterations add and take away, by simplefeatures' overlay of the two
// outlines against the areas worked out from the measures typed; straight and
// curved panels of random measures, seed printed.
func TestAreasAgainstAReference(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 5))
	worst := map[string]float64{}
	hold := func(what string, want, got float64) {
		worst[what] = math.Max(worst[what], math.Abs(want-got))
		require.InDelta(t, want, got, 0.5, "%s, seed %d", what, seed)
	}
	for k := range 40 {
		p, wide, slant, high := randomPanel(rng, k%2 == 0)
		before := polygonOf(t, p.Pieces[0])
		side := math.Hypot(slant, high)
		by := 10 + math.Round(rng.Float64()*60)
		altered := func(kind string, values ...string) *pattern.Piece {
			return made(t, p, kind, "panel", values...).Pattern.Pieces[0]
		}

		// Taken up at a hem square to the grain: a trapezium.
		gained, lost := gainedAndLost(t, before, polygonOf(t, altered("shorten", "edge", "hemline", "by", mm(by))))
		hold("shorten", by*(wide+slant-slant*by/high/2), lost)
		hold("shorten", 0, gained)

		// Swung out about its upper end by an angle: every place of the wedge lies
		// beyond the old side, and the hem is eased: the sector less the little that
		// lies above the eased hem, which the exact outline says.
		angle := geom.Degrees(2 + rng.Float64()*5)
		flared := altered("flare", "edge", "side", "angle", mm(geom.InDegrees(angle))+"deg")
		gained, lost = gainedAndLost(t, before, polygonOf(t, flared))
		hold("flare", ring(flared).Area()-ring(p.Pieces[0]).Area(), gained-lost)
		require.InDelta(t, side*side*angle/2, gained, 0.06*side*side*angle/2)
		hold("flare, inside the old outline", 0, lost)

		// Opened in parallel along a line down the panel: as wide as it is opened.
		x := 40 + rng.Float64()*(wide-80)
		line := mm(x) + ",-50:" + mm(x) + ",900"
		opened := altered("spread", "line", line, "by", mm(by))
		gained, lost = gainedAndLost(t, before, polygonOf(t, opened))
		a, _ := chordAt(t, before, x)
		hold("spread", ring(opened).Area()-ring(p.Pieces[0]).Area(), gained-lost)
		require.InDelta(t, by*a, gained-lost, 0.02*by*a+1)

		// Cut in two: together what it was, and nothing twice.
		res := made(t, p, "split", "panel", "line", line, "into", "middle,side panel").Pattern
		one, two := polygonOf(t, res.Pieces[0]), polygonOf(t, res.Pieces[1])
		hold("split, sum", before.Area(), one.Area()+two.Area())
		both, err := sf.Intersection(one, two)
		require.NoError(t, err)
		hold("split, twice", 0, both.Area())
		whole, err := sf.Union(one, two)
		require.NoError(t, err)
		gained, lost = gainedAndLost(t, before, whole)
		hold("split, difference", 0, gained+lost)
	}
	for what, v := range worst {
		t.Logf("%s: within %.4f mm²", what, v)
	}
}

// chordAt is how long the line down a sheet at x is inside an outline.
func chordAt(t *testing.T, g sf.Geometry, x float64) (length float64, err error) {
	t.Helper()
	line := sf.NewLineString(sf.NewSequence([]float64{x, -1000, x, 2000}, sf.DimXY)).AsGeometry()
	in, err := sf.Intersection(g, line)
	require.NoError(t, err)
	return in.Length(), err
}

// A lining is the outer less its facing, by simplefeatures' overlay; seed
// printed.
func TestLiningAgainstAReference(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 6))
	worst := 0.0
	for k := range 12 {
		p := curvedFront()
		if k%3 == 0 {
			p = straightFront()
		}
		width := mm(30 + rng.Float64()*40)
		p = alterWhole(t, p, "facing", "panel", "edges", "front edge,neckline", "width", width, "as", "facing")
		p = alterWhole(t, p, "lining", "panel", "facing", "facing", "as", "lining")
		rest, err := sf.Difference(polygonOf(t, pieceOf(t, p, "panel")), polygonOf(t, pieceOf(t, p, "facing")))
		require.NoError(t, err)
		gained, lost := gainedAndLost(t, rest, polygonOf(t, pieceOf(t, p, "lining")))
		worst = math.Max(worst, gained+lost)
		require.InDelta(t, 0, gained+lost, 3, "width %s, seed %d", width, seed) // 0.002 mm along 1.5 m of seam
	}
	t.Logf("within %.3f mm²", worst)
}
