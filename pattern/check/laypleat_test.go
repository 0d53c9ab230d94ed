package check

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// slopingBack is a back of which the shoulder drops by 40 on 120 and whose centre line
// lies at x −room: on the fold, or drawn whole with that as a reference line. Its right
// side seam is let out by so many mm.
func slopingBack(name string, whole bool, room, out float64) *pattern.Piece {
	neck, arm, hem := geom.Pt(70, -20), geom.Pt(190, 20), geom.Pt(200, 600)
	square, along := hem.Sub(arm).Unit().Left(), arm.Sub(neck).Unit()
	right := []geom.Point{neck, arm.Add(along.Mul(out / along.Dot(square))), hem.Add(geom.Pt(out/square.X, 0))}
	if !whole {
		q := polygon(name, pattern.CutOnFold, 15, []string{"neckline", "shoulder", "side seam", "hemline", "centre back"},
			geom.Pt(-room, -20), right[0], right[1], right[2], geom.Pt(-room, 600))
		q.Edges[4].Fold, q.Edges[4].Allowance = true, nil
		return q
	}
	image := func(p geom.Point) geom.Point { return geom.Pt(-2*room-p.X, p.Y) }
	q := polygon(name, pattern.CutOne, 15, []string{"neckline", "shoulder", "side seam", "hemline", "other side seam", "other shoulder"},
		image(neck), right[0], right[1], right[2], image(hem), image(arm))
	q.Lines = []pattern.ReferenceLine{{Name: "centre back", Path: geom.Polyline(geom.Pt(-room, -20), geom.Pt(-room, 600))}}
	return q
}

// lie draws a piece elsewhere on the sheet, its reference lines too, or turned over.
func lie(q *pattern.Piece, m geom.Motion) {
	moved(q, m)
	for i := range q.Lines {
		q.Lines[i].Path = q.Lines[i].Path.Moved(m)
	}
	if !m.Mirror {
		return
	}
	sides := make([]side, len(q.Edges))
	edges := slices.Clone(q.Edges)
	for i, e := range edges {
		sides[len(edges)-1-i] = side{e.Name, q.EdgePath(i).Reverse()}
	}
	over := build(q.Name, q.Cut, 0, sides...)
	slices.Reverse(edges)
	for i := range edges {
		edges[i].SetPath(over.EdgePath(i))
	}
	q.Corners, q.Edges = over.Corners, edges
}

// A back pleat of 25 in a lining lies beyond the centre line of the back, whichever of
// the two is drawn whole, and wherever on the sheet the lining lies: nothing is out,
// and a side seam that is lies out by what it was let out. Laid on the centre line its
// shoulder would be 25 · 40/√(120² + 40²) = 7.9 out. Input of a mended bug.
func TestBackPleatBeyondTheCentreLine(t *testing.T) {
	for _, v := range []struct {
		name            string
		outer, inner    bool // drawn whole
		declared, short pattern.Difference
	}{
		{name: "whole back, lining on the fold", outer: true, declared: pattern.Difference{What: "back pleat", By: 50, Piece: "lining"}},
		{name: "both whole", outer: true, inner: true, declared: pattern.Difference{What: "back pleat", By: 50, Piece: "lining"}},
		{name: "back on the fold, whole lining", inner: true, declared: pattern.Difference{What: "back pleat", By: 25, Piece: "lining", Edge: "centre back"}},
	} {
		for _, to := range []geom.Motion{{}, {Turn: 0.3, Shift: geom.Pt(-900, 200)}, {Mirror: true, Turn: 2.9, Shift: geom.Pt(900, 700)}} {
			t.Run(v.name, func(t *testing.T) {
				with := func(room, outerOut, innerOut float64) *pattern.Pattern {
					back, lining := slopingBack("back", v.outer, 0, outerOut), slopingBack("lining", v.inner, room, innerOut)
					lie(lining, to)
					p := sewn(t, nil, back, lining)
					p.Layers = []pattern.Layer{{Outer: "back", Inner: []string{"lining"}, Differences: []pattern.Difference{v.declared}}}
					return p
				}
				require.Empty(t, layersOff(run(t, with(25, 0, 0))))
				f := only(t, layersOff(run(t, with(25, 0, 10))), change.LayerOff, 10, 1e-3)
				require.Contains(t, f.Says, `lining, "side seam" lies 10 mm outside of "side seam"`)
				f = only(t, layersOff(run(t, with(0, 0, 0))), change.LayerOff, -v.declared.By, 1e-9)
				require.Contains(t, f.Says, "do not show it")
				require.NotEmpty(t, layersOff(run(t, with(10, 0, 0))), "10 of 25 drawn")
			})
		}
	}
}

// A lining drawn whole that lies turned over, under a skirt of which both sides were
// taken in by 10 and the hem up by 20: no corner of the two is common, and each edge
// is told by what it was moved. Input of a mended bug: one side was told as out by 20.
func TestWholeLiningTurnedOver(t *testing.T) {
	panel := func(name string, in, up float64) *pattern.Piece {
		// The sides slant by 60 on 600, and lie in by so many mm square to them.
		x := func(y float64) float64 { return 190 + y/10 - in*math.Hypot(1, 0.1) }
		return polygon(name, pattern.CutOne, 15, []string{"waist", "side seam", "hemline", "other side seam"},
			geom.Pt(-x(0), 0), geom.Pt(x(0), 0), geom.Pt(x(600-up), 600-up), geom.Pt(-x(600-up), 600-up))
	}
	for _, to := range []geom.Motion{{Mirror: true, Turn: 2.9, Shift: geom.Pt(900, 700)}, {Turn: 1, Shift: geom.Pt(-900, 700)}} {
		skirt, lining := panel("skirt", 10, 20), panel("lining", 0, 0)
		skirt.Lines = []pattern.ReferenceLine{{Name: "centre front", Path: geom.Polyline(geom.Pt(0, 0), geom.Pt(0, 580))}}
		lie(lining, to)
		p := sewn(t, nil, skirt, lining)
		p.Layers = []pattern.Layer{{Outer: "skirt", Inner: []string{"lining"}}}
		off := map[string]float64{}
		for _, f := range layersOff(run(t, p)) {
			off[f.Where] = math.Round(f.MM*1000) / 1000
		}
		require.Equal(t, map[string]float64{`lining, "side seam"`: 10, `lining, "other side seam"`: 10, `lining, "hemline"`: 20}, off)
	}
}
