package trace

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// wavering draws an outline with a point every 3 mm, each off by 0.2 mm.
func wavering(rng *rand.Rand, ring geom.Ring) geom.Ring {
	var points []geom.Point
	for s := 0.0; s < ring.Length()-1; s += 3 {
		points = append(points, geom.Path(ring).PointAt(s).Add(geom.Pt(rng.NormFloat64(), rng.NormFloat64()).Mul(0.2)))
	}
	return geom.Polygon(points...)
}

// A panel with unlike allowances, its hem's corner rounded by 5/8 inch, traced
// again through wavering points with a notch cut into its hem: both parts of
// the hem keep its allowance, and the radius stays as it is stored.
func TestWaveringKeepsWhatIsStored(t *testing.T) {
	rng := rand.New(rand.NewPCG(83, 1))
	t.Log("seed 83, 1")
	p := pattern.New("smock", units.Centimetre)
	res, err := ToPiece(p, Outline{Name: "panel", Ring: geom.Polygon(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))}, Request{})
	require.NoError(t, err)
	for i, by := range []float64{10, 25, 40, 10} {
		res.Piece.Edges[i].Allowance = map[string]float64{pattern.ClothSet: by}
	}
	res.Piece.Edges[2].Hem = true
	p.Put(res.Piece)
	cut := geom.Polygon(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(180, 800), geom.Pt(150, 760), geom.Pt(120, 800), geom.Pt(0, 800))
	again, err := ToPiece(p, Outline{Name: "panel", Ring: wavering(rng, cut)}, Request{})
	require.NoError(t, err)
	hems := 0
	for i, e := range again.Piece.Edges {
		if path := again.Piece.EdgePath(i); path.Start().Y > 795 && path.End().Y > 795 {
			require.Equal(t, 40.0, e.AllowanceFor(pattern.ClothSet), e.Name)
			require.True(t, e.Hem, e.Name)
			hems++
		}
	}
	require.Equal(t, 2, hems)

	res.Piece.Corners[2].Round = 15.875
	p.Put(res.Piece)
	o, err := res.Piece.Outline()
	require.NoError(t, err)
	again, err = ToPiece(p, Outline{Name: "panel", Ring: wavering(rng, o.Ring)}, Request{})
	require.NoError(t, err)
	require.False(t, again.Changed, "%+v", again.Piece)
}
