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
	cases, wrong := 0, 0
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
	} {
		for _, radius := range c.radii {
			for seed := range uint64(10) {
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
	if seed%5 > 2 {
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
