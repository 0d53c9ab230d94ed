package pattern

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// roundedHem is an oblong of 300×400 mm whose corner between the right edge and
// the hem below is rounded by r, with allowances of top 15, right and left as
// given, bottom 40.
func roundedHem(r, side, hem float64) *Piece {
	p := oblong("front", 300, 400)
	for i, by := range []float64{15, side, hem, 12} {
		p.Edges[i].Allowance = map[string]float64{"cloth": by}
	}
	p.Corners[2].Round = r
	return p
}

// A rounded corner between unequal allowances bears the narrower one, and the
// wider begins with a square step where its edge does. The area is that of
// rectangles, corners and a quarter of a ring: derived, from nothing in this
// program but the shape.
func TestRoundedCornerBearsTheNarrowerAllowance(t *testing.T) {
	const w, h, top, left = 300.0, 400.0, 15.0, 12.0
	for _, c := range []struct{ r, side, hem float64 }{{40, 10, 40}, {40, 40, 10}, {40, 0, 30}, {25, 10, 12}, {60, 15, 15}, {5, 10, 50}} {
		p := roundedHem(c.r, c.side, c.hem)
		line, err := p.CuttingLine("cloth")
		require.NoError(t, err)
		_, _, _, crosses := line.Ring.SelfCrossing()
		require.False(t, crosses)
		a := math.Min(c.side, c.hem)
		want := w*h - (1-math.Pi/4)*c.r*c.r + // the piece
			top*w + left*h + c.side*(h-c.r) + c.hem*(w-c.r) + // its edges
			math.Pi/4*((c.r+a)*(c.r+a)-c.r*c.r) + // the arc
			left*top + c.side*top + left*c.hem // the corners
		assert.InDelta(t, want, line.Ring.Area(), 3*0.01*c.r*math.Pi/2, "%+v", c)

		centre := geom.Pt(w-c.r, h-c.r)
		for d := 1; d < 90; d++ { // straight out from the arc, and nothing beyond
			way := geom.Pt(math.Cos(float64(d)*math.Pi/180), math.Sin(float64(d)*math.Pi/180))
			ray := geom.Path{geom.Line(centre, centre.Add(way.Mul(900)))}
			hits := geom.MeetPaths(geom.Path(line.Ring), ray)
			require.Len(t, hits, 1, "%+v at %d°", c, d)
			assert.InDelta(t, c.r+a, hits[0].At.Dist(centre), 0.02, "%+v at %d°", c, d)
		}
		assertStep(t, line, centre, c.r, c.side, c.hem)
	}
}

// assertStep holds that the wider allowance begins where its edge does.
func assertStep(t *testing.T, line CuttingLine, centre geom.Point, r, side, hem float64) {
	t.Helper()
	on := func(q geom.Point) {
		_, off := geom.Path(line.Ring).Nearest(q)
		assert.InDelta(t, 0, off, 0.01, "%v", q)
	}
	for _, by := range []float64{side, hem} {
		switch {
		case hem > side:
			on(geom.Pt(centre.X, centre.Y+r+by))
		case side > hem:
			on(geom.Pt(centre.X+r+by, centre.Y))
		}
	}
}

func TestAllowanceEdges(t *testing.T) {
	bears := func(p *Piece) (arc []int) {
		o, err := p.Outline()
		require.NoError(t, err)
		all := p.AllowanceEdges(o, "cloth")
		for k := range all {
			if o.Arc[k] < 0 {
				require.Equal(t, o.Edge[k], all[k])
			} else {
				arc = append(arc, all[k])
			}
		}
		return arc
	}
	assert.Equal(t, []int{1, 1}, bears(roundedHem(40, 10, 40)))
	assert.Equal(t, []int{2, 2}, bears(roundedHem(40, 40, 10)))
	assert.Equal(t, []int{1, 2}, bears(roundedHem(40, 15, 15)), "equal ones: half to each")
	folded := roundedHem(40, 0, 30)
	folded.Edges[1].Fold, folded.Cut = true, CutOnFold
	assert.Equal(t, []int{2, 2}, bears(folded), "a fold has none to give")

	p := roundedHem(40, 10, 40)
	p.Corners[2].Round, p.Corners[0].Round = 0, 40 // the arc goes over the start of the ring
	p.Edges[0].Allowance["cloth"] = 30
	assert.Equal(t, []int{3, 3}, bears(p))
	line, err := p.CuttingLine("cloth")
	require.NoError(t, err)
	_, off := geom.Path(line.Ring).Nearest(geom.Pt(40, -30))
	assert.InDelta(t, 0, off, 1e-6)
}

// A hollow corner takes an allowance wider than its radius on one side, where
// the other is narrower: only the narrower goes round.
func TestHollowRoundedCorner(t *testing.T) {
	p := &Piece{Name: "yoke", Cut: CutOne, Edges: straightEdges("a", "b", "c", "d", "e", "f"),
		Corners: cornersAt(geom.Pt(0, 0), geom.Pt(200, 0), geom.Pt(200, 100), geom.Pt(100, 100), geom.Pt(100, 200), geom.Pt(0, 200))}
	for i := range p.Edges {
		p.Edges[i].Allowance = map[string]float64{"cloth": 10}
	}
	p.Edges[2].Allowance["cloth"] = 40
	p.Corners[3].Round = 30
	line, err := p.CuttingLine("cloth")
	require.NoError(t, err)
	centre := geom.Pt(130, 130)
	for d := 181; d < 269; d++ {
		way := geom.Pt(math.Cos(float64(d)*math.Pi/180), math.Sin(float64(d)*math.Pi/180))
		_, off := geom.Path(line.Ring).Nearest(centre.Add(way.Mul(20)))
		assert.InDelta(t, 0, off, 0.02, "%d°", d)
	}
}

// A hem of 50 mm whose side slants inward below it: where the side's cutting
// line passes the corner of the hem's so that a step of up to 2 mm would be
// left, both end at their meeting; a greater step stays (derived: the side's
// line lies by/cos φ out at the corner and comes in by tan φ).
func TestSmallStepsAreTrimmed(t *testing.T) {
	hem := func(slant, by float64) CuttingLine {
		p := oblong("skirt", 300, 400)
		p.Corners[2].At = geom.Pt(300-400*slant, 400)
		for i, by := range []float64{10, by, 50, 10} {
			p.Edges[i].Allowance = map[string]float64{"cloth": by}
		}
		line, err := p.CuttingLine("cloth")
		require.NoError(t, err)
		return line
	}
	for _, c := range []struct {
		slant, by float64
		curves    int
	}{{0.2, 15, 4}, {0.3, 15, 4}, {0.3, 14.2, 4}, {0.3, 13.9, 4}, {0.3, 13.5, 5}, {0.3, 5, 5}} {
		line := hem(c.slant, c.by)
		assert.Len(t, line.Ring, c.curves, "%+v", c)
		// depth of the side's line at the end of the hem, and what is left of it
		depth := c.by * math.Hypot(1, c.slant) / c.slant
		end := geom.Pt(300-400*c.slant, 450)
		_, off := geom.Path(line.Ring).Nearest(end)
		switch {
		case depth >= 50: // runs on to their meeting
			assert.InDelta(t, 0, off, 1e-6)
		case 50-depth <= 2:
			assert.Greater(t, off, 0.0)
			assert.LessOrEqual(t, off, (50-depth)*c.slant+1e-9)
		default:
			assert.InDelta(t, 0, off, 1e-6, "the full width to the very end")
		}
	}
}
