package trace

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// scatteredEvenly draws an outline with points about every step mm, at even
// lengths or anywhere, each off by up to amp across and down.
func scatteredEvenly(rng *rand.Rand, ring geom.Ring, step, amp float64, even bool) geom.Ring {
	length := ring.Length()
	n := int(length / step)
	at := make([]float64, n)
	for i := range at {
		at[i] = float64(i) * length / float64(n)
		if !even {
			at[i] = rng.Float64() * length
		}
	}
	slices.Sort(at)
	var points []geom.Point
	for _, s := range at {
		off := geom.Pt(2*rng.Float64()-1, 2*rng.Float64()-1).Mul(amp)
		points = append(points, geom.Path(ring).PointAt(s).Add(off))
	}
	return geom.Polygon(points...)
}

// pocketShape is a patch pocket with sides that lean; frontShape a smock front
// with a neckline and an armhole.
func pocketShape() geom.Ring {
	return geom.Polygon(geom.Pt(0, 0), geom.Pt(160, 0), geom.Pt(150, 190), geom.Pt(0, 180))
}

func frontShape() geom.Ring {
	return geom.Ring{
		{P0: geom.Pt(20, 140), P1: geom.Pt(60, 140), P2: geom.Pt(80, 110), P3: geom.Pt(90, 60)},
		geom.Line(geom.Pt(90, 60), geom.Pt(190, 90)),
		{P0: geom.Pt(190, 90), P1: geom.Pt(170, 160), P2: geom.Pt(180, 200), P3: geom.Pt(240, 220)},
		geom.Line(geom.Pt(240, 220), geom.Pt(250, 615)),
		geom.Line(geom.Pt(250, 615), geom.Pt(20, 615)),
		geom.Line(geom.Pt(20, 615), geom.Pt(20, 140)),
	}
}

// roundedAt draws a piece's outline with corners rounded by a radius.
func roundedAt(t *testing.T, p *pattern.Piece, radius float64, corners ...int) geom.Ring {
	t.Helper()
	q := p.Clone()
	for _, k := range corners {
		q.Corners[k].Round = radius
	}
	o, err := q.Outline()
	require.NoError(t, err)
	return o.Ring
}

// A sharp corner newly rounded by 20 to 80 mm and traced through scattered
// points, evenly or unevenly spaced: that is told, the radius within 1 mm, and
// the rest stays to the bit.
func TestWaveringRounding(t *testing.T) {
	cases, wrong, seeds := 0, 0, uint64(2)
	if needAll() {
		seeds = 4
	}
	for _, c := range []struct {
		name    string
		ring    geom.Ring
		corners []int
		radii   []float64
	}{
		{"pocket", pocketShape(), []int{0}, []float64{20, 40, 60, 80}},
		{"pocket", pocketShape(), []int{2, 3}, []float64{20, 40, 60}},
		{"front", frontShape(), []int{5}, []float64{20, 40, 80}},
		{"front", frontShape(), []int{4, 5}, []float64{30, 50}},
		{"square pocket", rectangle(160, 190), []int{2, 3}, []float64{40, 79}},
		{"square pocket", rectangle(160, 190), []int{0, 1, 2, 3}, []float64{25, 50}},
	} {
		for _, radius := range c.radii {
			for seed := range seeds {
				name := fmt.Sprintf("%s, corners %v, radius %g, seed 87, %d", c.name, c.corners, radius, seed)
				cases++
				if !roundingTold(t, name, c.ring, c.corners, radius, seed) {
					wrong++
				}
			}
		}
	}
	t.Logf("%d of %d not told", wrong, cases)
	assert.Zero(t, wrong)
}

// roundingTold traces a rounded piece once, with step, error, spacing and pose
// that depend on the seed.
func roundingTold(t *testing.T, name string, ring geom.Ring, corners []int, radius float64, seed uint64) bool {
	t.Helper()
	rng := rand.New(rand.NewPCG(87, seed))
	p := pattern.New("smock", units.Centimetre)
	first, err := ToPiece(p, Outline{Name: "piece", Ring: ring}, Request{})
	require.NoError(t, err)
	p.Put(first.Piece)
	drawn := scatteredEvenly(rng, roundedAt(t, first.Piece, radius, corners...), 2+2*float64(seed%2), 0.1+0.1*float64(seed%3), seed%4 < 2)
	if seed%5 > 2 && name[:6] != "square" { // which may as well lie upside down
		drawn = drawn.Moved(geom.Motion{Turn: 0.4, Shift: geom.Pt(40, 60)})
	}
	again, err := ToPiece(p, Outline{Name: "piece", Ring: drawn}, Request{})
	if err != nil {
		t.Logf("%s: %v", name, err)
		return false
	}
	good := assert.ObjectsAreEqual(first.Piece.Edges, again.Piece.Edges) && len(again.Piece.Corners) == len(first.Piece.Corners)
	for k := range again.Piece.Corners {
		want := 0.0
		if slices.Contains(corners, k) {
			want = radius
		}
		good = good && math.Abs(again.Piece.Corners[k].Round-want) < 1 && again.Piece.Corners[k].At == first.Piece.Corners[k].At
	}
	if !good {
		t.Logf("%s: %+v\n%v", name, again.Piece.Corners, again.Says)
	}
	return good
}

// readTraced reads a drawing kept in testdata, and stores the shape it is
// traced over.
func readTraced(t *testing.T, file, name string, stored geom.Ring, r Request) (*pattern.Piece, Result) {
	t.Helper()
	d, err := Read("testdata/"+file, Options{}, PointsOptions{})
	require.NoError(t, err)
	p := pattern.New("smock", units.Centimetre)
	first, err := ToPiece(p, Outline{Name: name, Ring: stored}, Request{})
	require.NoError(t, err)
	if name == "front" {
		first.Piece.Edges[4].Hem = true
	}
	p.Put(first.Piece)
	res, err := ToPiece(p, outlineOf(t, d, name), r)
	require.NoError(t, err)
	return first.Piece, res
}

// Seen in use: the hem 60 mm up and its corner rounded by 40 mm, so that the
// hem and the front edge were one smooth line through the points.
func TestWaveringHemUpAndRounded(t *testing.T) {
	old, res := readTraced(t, "wavering-front.svg", "front", frontShape(), Request{})
	c := res.Piece.Corners
	require.Len(t, c, 6)
	assert.InDelta(t, 40, c[5].Round, 1)
	assert.InDelta(t, 555, c[5].At.Y, 0.1)
	assert.InDelta(t, 20, c[5].At.X, 0.001)
	assert.InDelta(t, c[4].At.Y, c[5].At.Y, 0.15)
	assert.Equal(t, old.Corners[:4], c[:4])
	assert.Equal(t, old.Edges[:3], res.Piece.Edges[:3])
}

// Seen in use: a sleeve 25 mm longer with its seams drawn straight again. The
// wrist keeps its line; it is not eased on to a seam whose end went along it.
func TestWaveringWristIsNotEased(t *testing.T) {
	head := geom.Ring{
		{P0: geom.Pt(900, 200), P1: geom.Pt(960, 190), P2: geom.Pt(980, 40), P3: geom.Pt(1070, 40)},
		{P0: geom.Pt(1070, 40), P1: geom.Pt(1170, 40), P2: geom.Pt(1180, 180), P3: geom.Pt(1250, 205)},
	}
	ring := append(head, geom.Polyline(geom.Pt(1250, 205), geom.Pt(1190, 600), geom.Pt(950, 600), geom.Pt(900, 200))...)
	old, res := readTraced(t, "wavering-sleeve.svg", "sleeve", ring, Request{})
	assert.Equal(t, old.Edges[0], res.Piece.Edges[0])
	wrist := res.Piece.EdgePath(2)
	require.Len(t, wrist, 1)
	assert.InDelta(t, 0, wrist.Start().Dist(geom.Pt(1190, 625)), 0.2)
	assert.InDelta(t, 0, wrist.End().Dist(geom.Pt(950, 625)), 0.2)
}

// Seen in use: a neckline deepened by 20 mm at the centre front, drawn by a hand
// that wavers slowly. It is a smooth curve, none with a kink of 16° in it.
func TestWaveringNecklineIsRedrawn(t *testing.T) {
	ring := geom.Ring{
		{P0: geom.Pt(320, 100), P1: geom.Pt(360, 100), P2: geom.Pt(395, 70), P3: geom.Pt(400, 20)},
		geom.Line(geom.Pt(400, 20), geom.Pt(520, 60)),
		{P0: geom.Pt(520, 60), P1: geom.Pt(490, 120), P2: geom.Pt(490, 190), P3: geom.Pt(515, 230)},
		{P0: geom.Pt(515, 230), P1: geom.Pt(530, 250), P2: geom.Pt(545, 258), P3: geom.Pt(570, 260)},
		geom.Line(geom.Pt(570, 260), geom.Pt(555, 480)),
		{P0: geom.Pt(555, 480), P1: geom.Pt(480, 500), P2: geom.Pt(400, 495), P3: geom.Pt(320, 490)},
		geom.Line(geom.Pt(320, 490), geom.Pt(320, 100)),
	}
	old, res := readTraced(t, "wavering-neckline.svg", "bodice", ring, Request{DrawnWithin: 0.5})
	require.Len(t, res.Piece.Corners, 6)
	neck := res.Piece.EdgePath(0)
	for i := 1; i < len(neck); i++ {
		assert.Less(t, math.Abs(geom.AngleBetween(neck[i-1].Tangent(1), neck[i].Tangent(0))), 0.02)
	}
	drawn := geom.Path{{P0: geom.Pt(320, 120), P1: geom.Pt(365, 120), P2: geom.Pt(395, 75), P3: geom.Pt(400, 20)}}
	assert.Less(t, farthest(neck, drawn), 1.0)
	assert.Equal(t, old.Edges[1:5], res.Piece.Edges[1:5])
}
