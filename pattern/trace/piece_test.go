package trace

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

func emptyPattern() *pattern.Pattern { return pattern.New("orchard smock", units.Centimetre) }

func at(x, y float64) geom.Point { return geom.Pt(x, y) }

// rectangle is a straight piece, clockwise from its upper left corner.
func rectangle(w, h float64) geom.Ring {
	return geom.Polygon(at(0, 0), at(w, 0), at(w, h), at(0, h))
}

// smockBack has a curved neckline and armhole; the hem lies at y.
func smockBack(y float64) geom.Ring {
	return geom.Ring{
		{P0: at(0, 20), P1: at(40, 20), P2: at(70, 15), P3: at(75, 0)},
		geom.Line(at(75, 0), at(190, 45)),
		{P0: at(190, 45), P1: at(165, 110), P2: at(170, 190), P3: at(240, 210)},
		geom.Line(at(240, 210), at(240, y)),
		geom.Line(at(240, y), at(0, y)),
		geom.Line(at(0, y), at(0, 20)),
	}
}

// put traces an outline into the pattern.
func put(t *testing.T, p *pattern.Pattern, o Outline, r Request) Result {
	t.Helper()
	res, err := ToPiece(p, o, r)
	require.NoError(t, err)
	require.NoError(t, res.Piece.Validate())
	p.Put(res.Piece)
	return res
}

func encoded(t *testing.T, q *pattern.Piece) string {
	t.Helper()
	text, err := q.Encode()
	require.NoError(t, err)
	back, err := pattern.DecodePiece(q.FileName(), q.Slug, text)
	require.NoError(t, err, "what is stored can be read")
	again, err := back.Encode()
	require.NoError(t, err)
	require.Equal(t, string(text), string(again))
	return string(text)
}

func area(t *testing.T, q *pattern.Piece) float64 {
	t.Helper()
	a, err := q.NetArea()
	require.NoError(t, err)
	return a
}

func fromSeed(t *testing.T, seed uint64) *rand.Rand {
	t.Helper()
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, 2))
}

// otherwise draws the same outline with other divisions and another start.
func otherwise(rng *rand.Rand, r geom.Ring) geom.Ring {
	var out geom.Ring
	for _, c := range r {
		for range rng.IntN(3) {
			a, b := c.Split(0.2 + 0.6*rng.Float64())
			out, c = append(out, a), b
		}
		out = append(out, c)
	}
	k := rng.IntN(len(out))
	return append(append(geom.Ring{}, out[k:]...), out[:k]...)
}

func elsewhere(rng *rand.Rand) geom.Motion {
	return geom.Motion{Turn: 2 * math.Pi * rng.Float64(), Shift: at(rng.Float64()*900, rng.Float64()*900)}
}

func TestFirstTrace(t *testing.T) {
	p := emptyPattern()
	o := Outline{Name: " back ", Ring: smockBack(600), Where: "smock.svg:3",
		Notches: []Notch{{At: at(240, 310)}, {At: at(100, 600), Name: "centre of hem"}},
		Lines:   []Line{{Name: "Grain line", Path: geom.Polyline(at(100, 500), at(100, 100))}, {Path: geom.Polyline(at(50, 300), at(90, 300))}},
		Dots:    []Dot{{At: at(60, 400), Radius: 2}}, Texts: []Text{{Text: "cut one", At: at(80, 80)}}}
	res := put(t, p, o, Request{})
	q := res.Piece
	assert.True(t, res.New)
	assert.True(t, res.Changed)
	assert.Equal(t, "back", q.Name)
	assert.Equal(t, "back", q.Slug)
	assert.Equal(t, []string{"edge 1", "edge 2", "edge 3", "edge 4", "edge 5", "edge 6"}, q.EdgeNames())
	assert.Equal(t, at(0, 20), q.Corners[0].At)
	assert.InDelta(t, smockBack(600).Area(), area(t, q), 1e-6)
	assert.Equal(t, []pattern.Notch{
		{Name: "centre of hem", Edge: "edge 5", At: 100, FromEnd: true, Count: 1},
		{Name: "notch 1", Edge: "edge 4", At: 100, Count: 1}}, q.Notches)
	require.NotNil(t, q.Grain)
	assert.Equal(t, pattern.Grain{From: at(100, 100), To: at(100, 500)}, *q.Grain)
	require.Len(t, q.Marks, 3)
	assert.Equal(t, pattern.MarkPlacement, q.Marks[0].Kind)
	assert.Equal(t, "line 1", q.Marks[0].Name)
	assert.Equal(t, at(60, 400), q.Marks[1].At)
	assert.Equal(t, "cut one", q.Marks[2].Text)
	encoded(t, q)
}

func TestFirstTraceWithoutCorners(t *testing.T) {
	res := put(t, emptyPattern(), Outline{Name: "pocket", Ring: geom.Circle(at(50, 50), 40)}, Request{})
	require.Len(t, res.Piece.Edges, 1)
	assert.Equal(t, at(90, 50), res.Piece.Corners[0].At)
	// Four cubics hold at most 2 × 2.7e-4 more than the circle (FACTS: quarter
	// circle by one cubic, radial error up to 2.7253e-4).
	assert.InEpsilon(t, math.Pi*40*40, area(t, res.Piece), 6e-4)
}

func TestCornerAngle(t *testing.T) {
	bent := geom.Polygon(at(0, 0), at(100, 10), at(200, 0), at(200, 300), at(0, 300)) // turns by 11.4° at (100, 10)
	assert.Len(t, put(t, emptyPattern(), Outline{Name: "a", Ring: bent}, Request{}).Piece.Edges, 4)
	assert.Len(t, put(t, emptyPattern(), Outline{Name: "a", Ring: bent}, Request{Corner: geom.Degrees(10)}).Piece.Edges, 5)
}

func TestDeclaredCornersAndNames(t *testing.T) {
	o := Outline{Name: "cuff", Ring: rectangle(200, 80), Corners: map[int]bool{0: true, 2: true, 3: true}, EdgeNames: map[int]string{2: "hem", 0: "top"}}
	res := put(t, emptyPattern(), o, Request{})
	assert.Equal(t, []string{"top", "hem", "edge 3"}, res.Piece.EdgeNames())
}

// The same outline drawn otherwise is no change, to the byte, laid anywhere.
func TestTraceAgainUnchanged(t *testing.T) {
	rng := fromSeed(t, 21)
	p := emptyPattern()
	seam := 10.0
	o := Outline{Name: "back", Ring: smockBack(600), Notches: []Notch{{At: at(240, 310)}},
		Lines: []Line{{Name: "grain", Path: geom.Polyline(at(100, 100), at(100, 500))}}, Texts: []Text{{Text: "back", At: at(60, 70)}}}
	first := put(t, p, o, Request{Allowance: &seam, Edges: map[string]float64{"bottom": 40}})
	before := encoded(t, first.Piece)
	for i := range 40 {
		again := o
		again.Ring = otherwise(rng, o.Ring)
		r := Request{Place: PlaceAsIs}
		if i%2 == 0 {
			r.Place, again = PlaceFit, again.moved(elsewhere(rng))
		}
		if i%4 > 1 { // a file that shows the outline alone
			again.Notches, again.Lines, again.Texts = nil, nil, nil
		}
		res, err := ToPiece(p, again, r)
		require.NoError(t, err)
		assert.False(t, res.New)
		assert.False(t, res.Changed, "round %d", i)
		assert.Equal(t, before, encoded(t, res.Piece))
		assert.InDelta(t, 1, res.Pose.Matched, 1e-3)
	}
}

func TestHemUpKeepsEdges(t *testing.T) {
	for _, ring := range []func(float64) geom.Ring{
		smockBack, func(y float64) geom.Ring { return rectangle(300, y) },
	} {
		p := emptyPattern()
		first := put(t, p, Outline{Name: "back", Ring: ring(600), Notches: []Notch{{At: ring(600)[3].At(0.3)}}}, Request{})
		hem := len(first.Piece.Edges) - 2
		p.RenameEdge(first.Piece, hem, "hemline")
		first.Piece.Edges[hem].Allowance = map[string]float64{"cloth": 40}
		old := first.Piece.Clone()
		res := put(t, p, Outline{Name: "back", Ring: ring(540)}, Request{Place: PlaceAsIs})
		require.Len(t, res.Piece.Edges, len(old.Edges))
		for i, e := range res.Piece.Edges {
			assert.Equal(t, old.Edges[i], e, "edge %d keeps id, name, allowance and shape", i+1)
		}
		assert.Equal(t, old.Notches, res.Piece.Notches)
		assert.InDelta(t, ring(540).Area(), area(t, res.Piece), 1e-6)
		assert.True(t, res.Changed)
		assert.Empty(t, res.Says)
	}
}

// Longer, a straight side runs on as one line.
func TestHemDownKeepsLines(t *testing.T) {
	p := emptyPattern()
	old := put(t, p, Outline{Name: "back", Ring: rectangle(300, 800)}, Request{}).Piece.Clone()
	rng := fromSeed(t, 22)
	res := put(t, p, Outline{Name: "back", Ring: otherwise(rng, rectangle(300, 850))}, Request{})
	assert.Equal(t, old.Edges, res.Piece.Edges)
	assert.InDelta(t, 300*850, area(t, res.Piece), 1e-9)
}

// A curved edge that is cut keeps the stored curve as far as it goes.
func TestCutCurveKeepsItsPart(t *testing.T) {
	side := geom.Cubic{P0: at(300, 0), P1: at(280, 250), P2: at(330, 500), P3: at(310, 800)}
	ring := func(part geom.Cubic) geom.Ring {
		return geom.Ring{geom.Line(at(0, 0), at(300, 0)), part, geom.Line(part.P3, at(0, part.P3.Y)), geom.Line(at(0, part.P3.Y), at(0, 0))}
	}
	p := emptyPattern()
	old := put(t, p, Outline{Name: "back", Ring: ring(side)}, Request{}).Piece.Clone()
	short, _ := side.Split(0.9)
	res := put(t, p, Outline{Name: "back", Ring: ring(short)}, Request{})
	require.Len(t, res.Piece.Edges, 4)
	assert.Equal(t, old.Edges[1].ID, res.Piece.Edges[1].ID)
	assert.Len(t, res.Piece.EdgePath(1), 1)
	d, _ := farthestFrom(res.Piece.EdgePath(1), geom.Path{side})
	assert.LessOrEqual(t, d, 0.001, "stored digits")
}

// A side whose lower half is an edge of its own stays two edges.
func TestSmoothPointStaysAnEdgesEnd(t *testing.T) {
	p := emptyPattern()
	o := Outline{Name: "back", Ring: geom.Polygon(at(0, 0), at(300, 0), at(300, 300), at(300, 800), at(0, 800)),
		Corners: map[int]bool{0: true, 1: true, 3: true, 4: true}, EdgeNames: map[int]string{1: "side", 2: "vent"}}
	old := put(t, p, o, Request{}).Piece.Clone()
	require.Len(t, old.Edges, 5)
	res := put(t, p, Outline{Name: "back", Ring: rectangle(300, 800)}, Request{})
	assert.False(t, res.Changed)
	res = put(t, p, Outline{Name: "back", Ring: rectangle(300, 760)}, Request{Place: PlaceAsIs})
	assert.Equal(t, old.Edges, res.Piece.Edges)
}

func TestDividedEdge(t *testing.T) {
	p := emptyPattern()
	old := put(t, p, Outline{Name: "back", Ring: rectangle(300, 800), Notches: []Notch{{At: at(300, 100), Name: "upper"}, {At: at(300, 650), Name: "lower"}}}, Request{}).Piece.Clone()
	ring := geom.Polygon(at(0, 0), at(300, 0), at(300, 300), at(340, 310), at(300, 320), at(300, 800), at(0, 800))
	res := put(t, p, Outline{Name: "back", Ring: ring}, Request{Place: PlaceAsIs})
	q := res.Piece
	assert.Equal(t, []string{"edge 1", "edge 5", "edge 6", "edge 7", "edge 2", "edge 3", "edge 4"}, renumbered(q))
	assert.Equal(t, old.Edges[1].ID, q.Edges[4].ID, "the longer part keeps the id")
	assert.Equal(t, old.Edges[1].ID, q.Edges[1].Was)
	for _, n := range q.Notches {
		where, _, _, err := q.NotchPlace(n)
		require.NoError(t, err)
		want := map[string]geom.Point{"upper": at(300, 100), "lower": at(300, 650)}[n.Name]
		assert.InDelta(t, 0, where.Dist(want), 0.001, n.Name)
	}
}

// renumbered gives the names with those of new edges in the order of their
// first free numbers.
func renumbered(q *pattern.Piece) []string {
	names, n := q.EdgeNames(), 5
	for i, e := range q.Edges {
		if e.Was != "" || i == 2 || i == 3 {
			names[i] = "edge " + string(rune('0'+n))
			n++
		}
	}
	return names
}

func TestNoisyPoints(t *testing.T) {
	rng := fromSeed(t, 23)
	ring := smockBack(600)
	for _, sigma := range []float64{0.1, 0.3} {
		points := scattered(rng, ring, 3, sigma)
		p := emptyPattern()
		res := put(t, p, Outline{Name: "back", Ring: geom.Polygon(points...)}, Request{})
		assert.InDelta(t, sigma, res.Piece.DrawnWithin, sigma/3)
		assert.Len(t, res.Piece.EdgeNames(), 6)
		assert.InEpsilon(t, ring.Area(), area(t, res.Piece), 0.002)
		assert.Less(t, len(encoded(t, res.Piece)), 6000, "curves, not points")
	}
}

// scattered gives points every so many mm with normal errors square to the
// outline and along it.
func scattered(rng *rand.Rand, ring geom.Ring, every, sigma float64) []geom.Point {
	path, length := geom.Path(ring), ring.Length()
	var out []geom.Point
	for s := 0.0; s < length-every/2; s += every {
		out = append(out, path.PointAt(s).Add(at(sigma*rng.NormFloat64(), sigma*rng.NormFloat64())))
	}
	return out
}

// Exact polylines are not taken for noisy ones, however dense.
func TestExactIsNotNoisy(t *testing.T) {
	for _, tol := range []float64{0.001, 0.01, 0.1} {
		flat := geom.Path(smockBack(600)).Flatten(tol)
		assert.False(t, noisy(geom.Polygon(flat[:len(flat)-1]...)), "flattened at %g", tol)
	}
	rng := fromSeed(t, 24)
	var stored []geom.Point // dense and exact but for three decimals
	for _, q := range scattered(rng, smockBack(600), 3, 0) {
		stored = append(stored, rounded3(q))
	}
	assert.False(t, noisy(geom.Polygon(stored...)))
	assert.True(t, noisy(geom.Polygon(scattered(rng, smockBack(600), 3, 0.1)...)))
}
