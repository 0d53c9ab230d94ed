package pattern

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// A dart of mouth 3 and leg 10 cm run on to leg 16 keeps its angle of 17.253853°
// and has a mouth of 3·16/10 = 4.8 there; swung to another edge it keeps angle and
// legs, and so the mouth (common practice; derived). With the point kept at 200
// from both edges, in mm.
func TestFactDartRunOnAndSwung(t *testing.T) {
	angle := 2 * math.Asin(1.5/10)
	for leg, mouth := range map[float64]float64{100: 30, 160: 48} {
		deep := leg * math.Cos(angle/2)
		for edge, at := range map[string]geom.Point{"top": geom.Pt(200, deep), "right": geom.Pt(400-deep, 300)} {
			p := oblong("skirt", 400, 600)
			middle := map[string]float64{"top": 200, "right": 300}[edge]
			p.Marks = []Mark{{Kind: MarkDart, Name: "dart", Edge: edge, From: middle - mouth/2, To: middle + mouth/2, At: at}}
			require.NoError(t, p.Validate())
			d := p.Darts()[0]
			assert.InDelta(t, 17.253853, geom.InDegrees(d.Angle), 1e-6, "%s, leg %g", edge, leg)
			assert.InDelta(t, leg, d.A.Dist(at), 1e-9)
			assert.InDelta(t, leg, d.B.Dist(at), 1e-9)
			assert.InDelta(t, mouth, d.A.Dist(d.B), 1e-9)
			assert.InDelta(t, 0, d.Closing().Apply(d.B).Dist(d.A), 1e-9)
		}
	}
}

// Circle skirts: waist C cm in the share f of a circle has r = C/(2πf), and at
// length L 60 a hem of C + 2πfL (common practice; derived). Measured on the piece
// as an edge of cubics, in mm: one of 90° is longer than its arc by 1.4e-4 at
// most, and its area larger by 2.8e-4 (Goldapp 1991, from memory).
func TestFactCircleSkirts(t *testing.T) {
	for _, c := range []struct{ waist, share, radius, hem float64 }{
		{70, 1, 11.14085, 446.9911}, {70, .75, 14.85446, 352.7433}, {70, .5, 22.28169, 258.4956}, {70, .25, 44.56338, 164.2478},
		{38, 1, 6.047888, 414.9911}, {38, .75, 8.063850, 320.7433}, {38, .5, 12.09578, 226.4956}, {38, .25, 24.19155, 132.2478},
	} {
		t.Run(fmt.Sprintf("C %g, f %g", c.waist, c.share), func(t *testing.T) {
			r, low := c.waist/(2*math.Pi*c.share), 60.0
			assert.InDelta(t, c.radius, r, 6e-6)
			share := c.share
			if share == 1 {
				share = 0.5 // cut twice: a seam on either side
			}
			times := c.share / share
			turn := 2 * math.Pi * share
			at := func(r, a float64) geom.Point { return geom.Pt(10*r*math.Cos(a), 10*r*math.Sin(a)) }
			p := &Piece{Name: "skirt", Slug: "skirt", Cut: CutOne, Cloth: "outer"}
			for _, e := range []struct {
				name string
				path geom.Path
			}{
				{"side", geom.Path{geom.Line(at(c.radius, 0), at(c.radius+low, 0))}},
				{"hemline", geom.Arc(geom.Pt(0, 0), 10*(c.radius+low), 0, turn)},
				{"other side", geom.Path{geom.Line(at(c.radius+low, turn), at(c.radius, turn))}},
				{"waist", geom.Arc(geom.Pt(0, 0), 10*c.radius, turn, -turn)},
			} {
				p.Corners = append(p.Corners, Corner{At: e.path.Start()})
				edge := Edge{Name: e.name}
				edge.SetPath(e.path)
				p.Edges = append(p.Edges, edge)
			}
			require.NoError(t, p.Validate())
			assert.InEpsilon(t, 10*c.hem, times*p.Length(1), 1.5e-4)
			assert.InEpsilon(t, 10*c.waist, times*p.Length(3), 1.5e-4)
			area, err := p.NetArea()
			require.NoError(t, err)
			assert.InEpsilon(t, 100*low*(c.waist+c.hem)/2, times*area, 3e-4) // a ring: half of both edges times L
		})
	}
}
