package trace

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

func mm(v float64) *float64 { return &v }

// FACTS, pattern work: the same cutting drawing with one allowance all round and
// no fold gives 285×825, on the wrong side of the fold (derived): so it is read
// only where that is said, and asked for where nothing is.
func TestCuttingDrawingWithoutItsFold(t *testing.T) {
	o := Outline{Name: "back", Ring: rectangle(315, 855)}
	q := put(t, emptyPattern(), o, Request{Drawn: DrawnCutting, Allowance: mm(15)}).Piece
	ring, _ := q.SharpRing()
	assert.Equal(t, geom.Box{Min: at(15, 15), Max: at(300, 840)}, ring.Box())
	assert.Equal(t, at(285, 825), ring.Box().Size())
	_, err := ToPiece(emptyPattern(), o, Request{Drawn: DrawnCutting})
	assert.ErrorContains(t, err, "--allowance")
}

// FACTS, pattern work: cutting drawing 315×855 mm, fold on the left, waist
// and side 15, hem 40 → sewing line 300×800 (derived).
func TestCuttingDrawingWithFold(t *testing.T) {
	p := emptyPattern()
	o := Outline{Name: "back", Ring: rectangle(315, 855), Notches: []Notch{{At: at(315, 415)}}}
	res := put(t, p, o, Request{Drawn: DrawnCutting, Fold: "left", Allowance: mm(15), Edges: map[string]float64{"bottom": 40}})
	q := res.Piece
	assert.Equal(t, []geom.Point{at(0, 15), at(300, 15), at(300, 815), at(0, 815)},
		[]geom.Point{q.Corners[0].At, q.Corners[1].At, q.Corners[2].At, q.Corners[3].At})
	assert.InDelta(t, 300*800, area(t, q), 1e-9)
	assert.Equal(t, pattern.CutOnFold, q.Cut)
	assert.True(t, q.Edges[3].Fold)
	assert.Equal(t, []float64{15, 15, 40, 0}, []float64{q.Edges[0].AllowanceFor("cloth"), q.Edges[1].AllowanceFor("cloth"),
		q.Edges[2].AllowanceFor("cloth"), q.Edges[3].AllowanceFor("cloth")})
	assert.Zero(t, res.Departure)
	assert.Empty(t, res.Says)
	// The notch at 415 on the cut side lies square to it on the sewing line,
	// 400 below the waist.
	assert.Equal(t, []pattern.Notch{{Name: "notch 1", Edge: "edge 2", At: 400, Count: 1}}, q.Notches)

	// Drawn again, with nothing said: the stored fold and allowances hold.
	res = put(t, p, o, Request{Drawn: DrawnCutting})
	assert.False(t, res.Changed, res.Says)
	shorter := Outline{Name: "back", Ring: rectangle(315, 795)}
	res = put(t, p, shorter, Request{Drawn: DrawnCutting, Place: PlaceAsIs})
	assert.True(t, res.Changed)
	assert.Equal(t, q.Edges, res.Piece.Edges)
	assert.InDelta(t, 300*740, area(t, res.Piece), 1e-9)
}

// The whole drawing from outward to inward and back, with curves.
func TestCuttingDrawingCurved(t *testing.T) {
	p := emptyPattern()
	sewn := put(t, p, Outline{Name: "back", Ring: smockBack(600)}, Request{Allowance: mm(15), Fold: "left", Edges: map[string]float64{"bottom": 40, "1": 6}}).Piece
	line, err := sewn.CuttingLine("cloth")
	require.NoError(t, err)
	res := put(t, emptyPattern(), Outline{Name: "back", Ring: line.Ring},
		Request{Drawn: DrawnCutting, Fold: "left", Allowance: mm(15), Edges: map[string]float64{"bottom": 40, "1": 6}})
	require.Len(t, res.Piece.Edges, 6)
	for i := range sewn.Edges {
		d, where := farthestFrom(res.Piece.EdgePath(i), sewn.EdgePath(i))
		assert.LessOrEqual(t, d, 2*pattern.CutTolerance+0.002, "edge %d at %v", i+1, where)
	}
	assert.LessOrEqual(t, res.Departure, 2*pattern.CutTolerance+0.002)

	// Over the stored piece it is no change.
	again, err := ToPiece(p, Outline{Name: "back", Ring: line.Ring}, Request{Drawn: DrawnCutting})
	require.NoError(t, err)
	assert.False(t, again.Changed, again.Says)
}

// A cutting line with a corner trimmed by 4 mm both ways: nothing of the slant
// is left on the sewing line, so the computed cutting line has its corner
// back, 4/√2 mm from the middle of the slant.
func TestDepartureIsMeasured(t *testing.T) {
	trimmed := geom.Polygon(at(0, 0), at(300, 0), at(300, 396), at(296, 400), at(0, 400))
	res := put(t, emptyPattern(), Outline{Name: "pocket", Ring: trimmed}, Request{Drawn: DrawnCutting, Allowance: mm(10)})
	assert.InDelta(t, 280*380, area(t, res.Piece), 1e-9)
	assert.Equal(t, []string{"edge 1", "edge 2", "edge 3", "edge 4"}, res.Piece.EdgeNames())
	assert.InDelta(t, 4/math.Sqrt2, res.Departure, 1e-6)
	assert.InDelta(t, 0, res.DepartureAt.Dist(at(300, 400)), 1e-6)
	require.Len(t, res.Says, 1)
	assert.Contains(t, res.Says[0], `edge "edge 3" of the cutting line, 0.57 cm long at (298, 398) mm, leaves nothing`)
}

// A rounded corner goes in to the radius less the allowance, and out again.
func TestCuttingDrawingRounded(t *testing.T) {
	res := put(t, emptyPattern(), Outline{Name: "pocket", Ring: roundedRectangle(300, 400, 30, 1)}, Request{Drawn: DrawnCutting, Allowance: mm(10)})
	assert.Len(t, res.Piece.Edges, 3)
	assert.InDelta(t, 280*380-20*20*(1-math.Pi/4), area(t, res.Piece), 0.5)
	assert.LessOrEqual(t, res.Departure, 2*pattern.CutTolerance)
}

func TestCuttingDrawingAsks(t *testing.T) {
	p := emptyPattern()
	o := Outline{Name: "back", Ring: rectangle(315, 855), Where: `smock.svg:4: path "back"`}
	for _, c := range []struct {
		name string
		r    Request
		want []string
	}{
		{"nothing", Request{}, []string{`smock.svg:4: path "back"`, `1 "edge 1" (top), 2 "edge 2" (right), 3 "edge 3" (bottom), 4 "edge 4" (left)`, "--allowance", "--edge NAME|N|top|right|bottom|left=LENGTH", "--fold", "bought patterns"}},
		{"fold alone", Request{Fold: "left"}, []string{`1 "edge 1" (top), 2 "edge 2" (right), 3 "edge 3" (bottom);`}},
		{"one missing", Request{Fold: "4", Edges: map[string]float64{"top": 15, "edge 2": 15}}, []string{`at 3 "edge 3" (bottom);`}},
		{"no such edge", Request{Allowance: mm(15), Edges: map[string]float64{"collar": 10}}, []string{`no edge "collar"`, `2 "edge 2" (right)`}},
		{"two for one", Request{Allowance: mm(15), Edges: map[string]float64{"top": 10, "1": 12}}, []string{`edge "edge 1" is given two allowances`}},
		{"fold with allowance", Request{Allowance: mm(15), Fold: "left", Edges: map[string]float64{"left": 10}}, []string{"is the fold and has no allowance"}},
		{"negative", Request{Allowance: mm(-1)}, []string{"-1 mm"}},
		{"too wide", Request{Allowance: mm(200)}, []string{"check"}},
		{"no such set", Request{Set: "silk"}, []string{`"silk"`, `"cloth"`}},
		{"no such line", Request{Drawn: "dashed"}, []string{`"dashed"`, `"sewing" or "cutting"`}},
		{"no such place", Request{Place: "there"}, []string{`"there"`, `"fit" or "as-is"`}},
		{"corner", Request{Corner: -1}, []string{"at most 180°"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.r.Drawn == "" {
				c.r.Drawn = DrawnCutting
			}
			_, err := ToPiece(p, o, c.r)
			require.Error(t, err)
			for _, want := range c.want {
				assert.ErrorContains(t, err, want)
			}
			assert.Empty(t, p.Pieces, "the pattern stays as it was")
		})
	}
}

func TestSides(t *testing.T) {
	p := emptyPattern()
	res := put(t, p, Outline{Name: "back", Ring: smockBack(600)}, Request{Edges: map[string]float64{"right": 12, "bottom": 40, "left": 3}})
	by := map[string]float64{}
	for _, e := range res.Piece.Edges {
		by[e.Name] = e.AllowanceFor("cloth")
	}
	assert.Equal(t, map[string]float64{"edge 1": 0, "edge 2": 0, "edge 3": 0, "edge 4": 12, "edge 5": 40, "edge 6": 3}, by)

	// Two edges on the left: which one is asked, with numbers and sides.
	vent := Outline{Name: "vent", Ring: geom.Polygon(at(0, 0), at(300, 0), at(300, 800), at(0, 800), at(0, 500), at(60, 450), at(0, 400))}
	_, err := ToPiece(p, vent, Request{Fold: "left"})
	require.Error(t, err)
	assert.ErrorContains(t, err, "more than one edge lies on the left")
	assert.ErrorContains(t, err, `4 "edge 4" (left)`)
	assert.ErrorContains(t, err, `7 "edge 7" (left)`)

	// A diamond has no left edge to speak of, only slanting ones.
	kite := Outline{Name: "kite", Ring: geom.Polygon(at(0, 0), at(60, 100), at(0, 200), at(-60, 100))}
	_, err = ToPiece(p, kite, Request{Fold: "top"})
	assert.ErrorContains(t, err, "no edge lies clearly on the top")
	assert.Len(t, p.Pieces, 1)
}

func TestFoldMustBeStraight(t *testing.T) {
	_, err := ToPiece(emptyPattern(), Outline{Name: "back", Ring: smockBack(600), Where: "smock.svg:3"}, Request{Fold: "3"})
	require.Error(t, err)
	assert.ErrorContains(t, err, `smock.svg:3: back: edge "edge 3": it is a fold and not straight`)
	var problem *pattern.Problem
	assert.ErrorAs(t, err, &problem)
}
