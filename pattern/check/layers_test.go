package check

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// layered is an outer front of 300 × 800 with a facing of 70 finished and a
// lining whose sewing line lies so far from the front edge, allowance 15 (mm).
// The lining lies elsewhere on its sheet, and turned over if so said.
func layered(t *testing.T, from float64, over bool) *pattern.Pattern {
	front := oblong("front", 0, 0, 300, 800, "shoulder", "side seam", "hemline", "front edge")
	facing := oblong("facing", 500, 40, 70, 800, "shoulder", "inner edge", "hemline", "front edge")
	lining := oblong("lining", from, 0, 300-from, 800, "shoulder", "side seam", "hemline", "facing seam")
	if over {
		lining = turnedOver(lining)
	}
	moved(lining, geom.Motion{Turn: 0.3, Shift: geom.Pt(-900, 200)})
	p := sewn(t, nil, front, facing, lining)
	seam(t, p, "facing to lining", "facing/inner edge", "lining/facing seam")
	p.Layers = []pattern.Layer{{Outer: "front", Inner: []string{"facing", "lining"}}}
	return p
}

// moved lays a piece elsewhere on its sheet.
func moved(q *pattern.Piece, m geom.Motion) {
	var paths []geom.Path
	for i := range q.Edges {
		paths = append(paths, q.EdgePath(i).Moved(m))
	}
	for i, path := range paths {
		q.Corners[i].At = path.Start()
		q.Edges[i].SetPath(path)
	}
	if q.Grain == nil {
		q.Grain = &pattern.Grain{From: geom.Pt(0, 0), To: geom.Pt(0, 400)}
	}
	q.Grain.From, q.Grain.To = m.Apply(q.Grain.From), m.Apply(q.Grain.To)
}

// turnedOver is the piece as its mirror image, clockwise again.
func turnedOver(q *pattern.Piece) *pattern.Piece {
	var sides []side
	for i := range q.Edges {
		sides = append([]side{{q.Edges[i].Name, q.EdgePath(i).Moved(geom.Motion{Mirror: true}).Reverse()}}, sides...)
	}
	out := build(q.Name, q.Cut, 15, sides...)
	out.Grain = &pattern.Grain{From: geom.Pt(0, 0), To: geom.Pt(0, 400)}
	return out
}

// Facing 70 finished, allowance 15. The wrong ways to cut a lining: its sewing
// line on the facing's cutting line (85), 15 too short inside; its cutting line
// there (sewing line 100), 30 too short; the allowance taken twice (55), 15 too
// long. Common practice; derived.
func TestWrongLinings(t *testing.T) {
	for _, c := range []struct {
		from, off float64
		says      string
	}{
		{85, -15, "leaves a gap of 15 mm to lining"},
		{100, -30, "leaves a gap of 30 mm to lining"},
		{55, 15, "overlaps by 15 mm to lining"},
	} {
		for _, over := range []bool{false, true} {
			f := only(t, run(t, layered(t, c.from, over)), change.LayerOff, c.off, 1e-3)
			require.True(t, f.Mismatch)
			require.Contains(t, f.Says, c.says)
			require.Contains(t, f.Says, "that is ")
			require.Contains(t, f.Do, `move "facing seam" of lining`)
			require.Equal(t, []string{"front", "facing", "lining"}, f.Pieces)
		}
	}
	for _, over := range []bool{false, true} {
		require.Empty(t, run(t, layered(t, 70, over)), "a right lining")
	}
}

// A facing or a lining that was altered since the last version is off by that, even
// where it is just the allowance. Input of a mended bug: the allowance was said to
// have been taken twice.
func TestAlteredIsNoSlipOfAllowances(t *testing.T) {
	before, now := layered(t, 70, false), layered(t, 55, false)
	for i, q := range now.Pieces {
		q.ID = before.Pieces[i].ID
		for k := range q.Edges {
			q.Edges[k].ID = before.Pieces[i].Edges[k].ID
		}
	}
	f := only(t, run(t, now, Options{Before: before}), change.LayerOff, 15, 1e-3)
	require.Contains(t, f.Says, "overlaps by 15 mm to lining")
	require.NotContains(t, f.Says, "allowance")
	f = only(t, run(t, now, Options{Before: now.Clone()}), change.LayerOff, 15, 1e-3)
	require.Contains(t, f.Says, "that is one allowance: it was taken twice")
}

// Without the seam between them the joint is found by how they lie.
func TestWrongLiningThatNoSeamJoins(t *testing.T) {
	p := layered(t, 85, false)
	p.Seams = nil
	only(t, run(t, p), change.LayerOff, -15, 1e-3)
}

// A right lining is not the bare difference: a back pleat and a shorter hem are
// declared, and are no finding. Common practice.
func TestRightLiningWithDeclaredDifferences(t *testing.T) {
	back := oblong("back", 0, 0, 300, 800, "yoke seam", "side seam", "hemline", "centre back")
	lining := oblong("back lining", -25, 0, 325, 780, "yoke seam", "side seam", "hemline", "centre back")
	for _, q := range []*pattern.Piece{back, lining} {
		q.Edges[3].Fold, q.Edges[3].Allowance, q.Cut = true, nil, pattern.CutOnFold
	}
	moved(lining, geom.Motion{Shift: geom.Pt(700, -30)})
	p := sewn(t, nil, back, lining)
	p.Layers = []pattern.Layer{{Outer: "back", Inner: []string{"back lining"},
		Differences: []pattern.Difference{{What: "back pleat", By: 25}, {What: "hem", By: -20}}}}
	require.Empty(t, run(t, p))

	p.Layers[0].Differences[0].By = 50 // of the whole pleat half lies on this side of the fold
	require.Empty(t, run(t, p))

	p.Layers[0].Differences = nil
	found := run(t, p)
	require.Equal(t, []change.FindingKind{change.LayerOff, change.LayerOff}, kinds(found))
	require.InDelta(t, -20, found[0].MM, 1e-6)
	require.Equal(t, `back lining, "hemline"`, found[0].Where)
	require.InDelta(t, 25, found[1].MM, 1e-6)
	require.Equal(t, `back lining, "centre back"`, found[1].Where)

	p.Layers[0].Differences = []pattern.Difference{{What: "back pleat", By: 25}, {What: "hem", By: -20}, {What: "box pleat", By: 60}}
	f := only(t, run(t, p), change.LayerOff, -60, 1e-9)
	require.False(t, f.Mismatch, "a declared difference that nothing shows is a reminder")
}

// A facing and its outer share the shape of an edge, not only its length: the
// neckline's chord and length kept and its hollow turned over is found.
func TestFacingOfTheWrongShape(t *testing.T) {
	curve := geom.Cubic{P0: geom.Pt(0, 60), P1: geom.Pt(20, 60), P2: geom.Pt(60, 40), P3: geom.Pt(60, 0)}
	other := geom.Cubic{P0: curve.P0, P1: geom.Pt(0, 40), P2: geom.Pt(20, 0), P3: curve.P3} // turned over at the chord's middle
	make2 := func(neck geom.Cubic) *pattern.Pattern {
		front := build("front", pattern.CutPair, 10, side{"neckline", geom.Path{curve}}, straight("shoulder", geom.Pt(60, 0), geom.Pt(200, 40)),
			straight("side", geom.Pt(200, 40), geom.Pt(200, 500)), straight("hemline", geom.Pt(200, 500), geom.Pt(0, 500)), straight("front edge", geom.Pt(0, 500), geom.Pt(0, 60)))
		facing := build("facing", pattern.CutPair, 10, side{"neckline", geom.Path{neck}}, straight("shoulder", geom.Pt(60, 0), geom.Pt(105, 12.857)),
			straight("inner edge", geom.Pt(105, 12.857), geom.Pt(60, 500)), straight("hemline", geom.Pt(60, 500), geom.Pt(0, 500)), straight("front edge", geom.Pt(0, 500), geom.Pt(0, 60)))
		moved(facing, geom.Motion{Turn: -0.7, Shift: geom.Pt(300, 900)})
		p := sewn(t, nil, front, facing)
		p.Layers = []pattern.Layer{{Outer: "front", Inner: []string{"facing"}}}
		return p
	}
	require.InDelta(t, curve.Length(), other.Length(), 1e-9)
	require.Empty(t, run(t, make2(curve)))
	found := run(t, make2(other))
	require.NotEmpty(t, found)
	require.Equal(t, change.LayerOff, found[0].Kind)
	require.True(t, found[0].Mismatch)
	require.Contains(t, found[0].Where, "neckline")
	require.Greater(t, math.Abs(found[0].MM), 10.0)
}

// A facing arched 30 mm where its outer is hollow by 30 mm, though its other edges
// are those of any oblong: 60 mm, twice 30, told at the edge they share.
func TestFacingThatBulgesTheOtherWay(t *testing.T) {
	curved := func(name string, x, bulge, deep float64) *pattern.Piece {
		neck := geom.Cubic{P0: geom.Pt(x, 100), P1: geom.Pt(x+100, 100+bulge*4/3), P2: geom.Pt(x+200, 100+bulge*4/3), P3: geom.Pt(x+300, 100)}
		return build(name, pattern.CutOne, 10, side{"neck", geom.Path{neck}}, straight("edge 2", geom.Pt(x+300, 100), geom.Pt(x+300, 100+deep)),
			straight("edge 3", geom.Pt(x+300, 100+deep), geom.Pt(x, 100+deep)), straight("edge 4", geom.Pt(x, 100+deep), geom.Pt(x, 100)))
	}
	for _, x := range []float64{0, 400} { // in its place on the sheet, and beside it
		p := sewn(t, nil, curved("front", 0, 30, 600), curved("facing", x, -30, 60))
		p.Layers = []pattern.Layer{{Outer: "front", Inner: []string{"facing"}}}
		f := only(t, run(t, p), change.LayerOff, 60, 1e-6)
		require.Equal(t, `facing, "neck"`, f.Where)
		require.Contains(t, f.Says, "lies 60 mm outside of")
	}
}

func TestLayerThatCannotBeLaid(t *testing.T) {
	front := oblong("front", 0, 0, 300, 800, "edge 1", "edge 2", "edge 3", "edge 4")
	lining := polygon("lining", pattern.CutPair, 10, []string{"edge 1", "edge 2", "edge 3"}, geom.Pt(0, 0), geom.Pt(57, 33), geom.Pt(13, 71))
	p := sewn(t, nil, front, lining)
	p.Layers = []pattern.Layer{{Outer: "front", Inner: []string{"lining"}}}
	f := only(t, run(t, p), change.LayerOff, 0, 0)
	require.False(t, f.Mismatch)
	require.Contains(t, f.Do, "--band")
}

// A band follows length alone: sewn, its section is the band's; else edges called
// alike are measured, without what darts take out.
func TestBands(t *testing.T) {
	skirt := oblong("skirt", 0, 0, 370, 600, "waist", "side seam", "hemline", "centre")
	skirt.Marks = []pattern.Mark{{Kind: pattern.MarkDart, Name: "dart", Edge: "waist", From: 170, To: 200, At: geom.Pt(185, 100)}}
	band := oblong("waistband", 0, 0, 340, 40, "upper edge", "end", "waist", "other end")
	p := sewn(t, nil, skirt, band)
	p.Layers = []pattern.Layer{{Outer: "skirt", Inner: []string{"waistband"}, Band: true}}
	over := run(t, p)
	require.Equal(t, []change.FindingKind{change.NotSmooth}, kinds(over), "a straight waist is bent where its dart is closed")
	skirt.Edges[0].Name, skirt.Marks[0].Edge, band.Edges[2].Name = "top", "top", "top"
	require.Empty(t, run(t, p))

	skirt.Marks = nil
	f := only(t, run(t, p), change.BandOff, -30, 1e-9)
	require.True(t, f.Mismatch)
	p.Layers[0].Differences = []pattern.Difference{{What: "ease-in", By: -30}}
	require.Empty(t, run(t, p))

	p.Layers[0].Differences = nil
	seam(t, p, "band", "skirt/top", "waistband/top")
	f = only(t, run(t, p), change.BandOff, -30, 1e-9)
	require.Equal(t, "band", f.Seam)

	p.Seams, band.Edges[2].Name = nil, "lower edge"
	f = only(t, run(t, p), change.BandOff, 0, 0)
	require.False(t, f.Mismatch)
}

// smocked is a front with a long straight panel seam, and its lining, whose hem
// is declared 20 shorter; the lining lies elsewhere on its sheet. (mm)
func smocked(t *testing.T) (p *pattern.Pattern, front *pattern.Piece) {
	armhole := side{"armhole", geom.Path{geom.Cubic{P0: geom.Pt(180, 45), P1: geom.Pt(170, 150), P2: geom.Pt(180, 235), P3: geom.Pt(230, 240)}}}
	at := func(y float64) geom.Point { return geom.Pt(230+(y-240)*20/410, y) } // on the panel seam
	front = build("front", pattern.CutPair, 15, straight("neckline", geom.Pt(0, 90), geom.Pt(85, 0)), straight("shoulder", geom.Pt(85, 0), geom.Pt(180, 45)), armhole,
		straight("panel seam", at(240), at(650)), straight("hemline", at(650), geom.Pt(0, 650)), straight("front edge", geom.Pt(0, 650), geom.Pt(0, 90)))
	inner := geom.Pt(85+45, 45*45./95)
	lining := build("lining", pattern.CutPair, 15, straight("facing seam", geom.Pt(70, 630), inner), straight("shoulder", inner, geom.Pt(180, 45)), armhole,
		straight("panel seam", at(240), at(630)), straight("hemline", at(630), geom.Pt(70, 630)))
	moved(lining, geom.Motion{Shift: geom.Pt(900, 0)})
	p = sewn(t, nil, front, lining)
	p.Layers = []pattern.Layer{{Outer: "front", Inner: []string{"lining"}, Differences: []pattern.Difference{{What: "shorter hem", By: -20, Edge: "hemline"}}}}
	return p, front
}

// One seam of the outer that is moved leaves the lining where the other edges
// hold it: beside the last version and, once that is kept, by itself.
func TestLiningStaysWhereOneSeamOfItsOuterMoved(t *testing.T) {
	for _, c := range []struct {
		what         string
		armhole, hem float64 // by which the seam's ends go out
		off          float64 // at the most
	}{
		{"let out at the hem", 0, 10, 10},
		{"taken in at the armhole", -6, 0, 6},
		{"let out all along", 10, 10, 10},
	} {
		p, front := smocked(t)
		require.Empty(t, run(t, p))
		before := p.Clone()
		armhole, hem := front.EdgePath(2), front.EdgePath(4).Start().Add(geom.Pt(c.hem, 0))
		if c.armhole > 0 {
			armhole = append(armhole, geom.Line(armhole.End(), armhole.End().Add(armhole.EndTangent().Mul(c.armhole))))
		} else {
			armhole = armhole.BetweenLengths(0, armhole.Length()+c.armhole)
		}
		front.Corners[3].At, front.Corners[4].At = armhole.End(), hem
		front.Edges[2].SetPath(armhole)
		front.Edges[3].SetPath(geom.Path{geom.Line(armhole.End(), hem)})
		for _, o := range []Options{{Before: before}, {}} {
			found := run(t, p, o)
			require.Len(t, found, 1, "%s: %+v", c.what, found)
			require.Equal(t, `lining, "panel seam"`, found[0].Where, c.what)
			require.InDelta(t, c.off, math.Abs(found[0].MM), 0.8, c.what)
		}
	}
}
