package trace

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// A cuff whose two outer corners are stored rounded, traced again as it is
// drawn, with the arcs: exactly, divided elsewhere and laid anywhere, or through
// scattered points. It keeps the sharp corners and their radii to the bit, and
// nothing is told; where one of them is drawn with another radius, that one is.
func TestStoredRoundingsAreKept(t *testing.T) {
	const seed = 31
	t.Logf("seed %d", seed)
	for _, radius := range []float64{8, 15, 22.5} {
		rng := rand.New(rand.NewPCG(seed, uint64(radius)))
		p := pattern.New("smock", units.Centimetre)
		first, err := ToPiece(p, Outline{Name: "cuff", Ring: cuffShape()}, Request{})
		require.NoError(t, err)
		cuff := first.Piece
		cuff.Corners[2].Round, cuff.Corners[3].Round = radius, radius
		require.NoError(t, cuff.Validate())
		p.Put(cuff)
		o, err := cuff.Outline()
		require.NoError(t, err)
		laid := geom.Motion{Turn: 0.3, Shift: geom.Pt(140, -60)}
		for _, c := range []struct {
			name string
			ring geom.Ring
		}{
			{"as stored", o.Ring},
			{"divided elsewhere", otherwise(rng, o.Ring)},
			{"laid elsewhere", otherwise(rng, o.Ring.Moved(laid))},
			{"scattered evenly", scatteredEvenly(rng, o.Ring, 3, 0.2, true)},
			{"scattered anywhere", scatteredEvenly(rng, o.Ring, 2, 0.2, false)},
			{"scattered, laid elsewhere", scatteredEvenly(rng, o.Ring, 3, 0.2, true).Moved(laid)},
		} {
			again, err := ToPiece(p, Outline{Name: "cuff", Ring: c.ring}, Request{})
			name := fmt.Sprintf("%s, radius %g", c.name, radius)
			require.NoError(t, err, name)
			assert.Equal(t, cuff.Corners, again.Piece.Corners, name)
			assert.Equal(t, cuff.Edges, again.Piece.Edges, name)
		}
		other := cuff.Clone()
		other.Corners[3].Round = radius + 10
		o, err = other.Outline()
		require.NoError(t, err)
		again, err := ToPiece(p, Outline{Name: "cuff", Ring: scatteredEvenly(rng, o.Ring, 3, 0.2, true)}, Request{})
		require.NoError(t, err)
		assert.Equal(t, radius, again.Piece.Corners[2].Round)
		assert.InDelta(t, radius+10, again.Piece.Corners[3].Round, 1)
		assert.Equal(t, cuff.Edges, again.Piece.Edges)
	}
}

// cuffShape is half a cuff, its seam a little aslant, so that it lies in one
// way only.
func cuffShape() geom.Ring {
	return geom.Polygon(geom.Pt(0, 0), geom.Pt(230, 0), geom.Pt(236, 72), geom.Pt(0, 70))
}
