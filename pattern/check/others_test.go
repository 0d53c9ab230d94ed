package check

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// sided is a front and a back sewn at their sides, 800 long, with a pair of hip
// notches.
func sided(t *testing.T) (*pattern.Pattern, *pattern.Piece, *pattern.Piece) {
	front := oblong("front", 0, 0, 300, 800, "top", "side seam", "hemline", "front edge")
	back := oblong("back", 400, 0, 300, 800, "top", "back edge", "hemline", "side seam")
	front.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 200, Count: 1}}
	back.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 200, FromEnd: true, Count: 2}}
	p := sewn(t, nil, front, back)
	seam(t, p, "side", "front/side seam", "back/side seam")
	require.Empty(t, run(t, p))
	return p, front, back
}

func TestNotchWithoutPartner(t *testing.T) {
	p, front, back := sided(t)
	front.Notches = append(front.Notches, pattern.Notch{Name: "knee", Edge: "side seam", At: 500, Count: 1})
	f := only(t, run(t, p), change.NotchAlone, 0, 0)
	require.Equal(t, `front, notch "knee" on "side seam"`, f.Where)
	require.InDelta(t, 0, f.At.Point().Dist(geom.Pt(300, 500)), 1e-9)
	back.Notches = append(back.Notches, pattern.Notch{Name: "knee", Edge: "side seam", At: 800 - 506, Count: 2})
	found := run(t, p)
	require.Equal(t, []change.FindingKind{change.NotchAlone, change.NotchAlone}, kinds(found))
	require.InDelta(t, 6, found[0].MM, 1e-9)
	require.Contains(t, found[0].Says, `misses notch "knee" of back by 6 mm`)

	// A notch may meet what is no notch: the end of an opening, a dart's own mouth,
	// the joint of two pieces.
	p, front, back = sided(t)
	front.Notches = append(front.Notches, pattern.Notch{Name: "slit", Edge: "side seam", At: 500, Count: 1})
	p.Seams[0].Openings = []pattern.Opening{{Name: "pocket mouth", From: 500, To: 650}}
	require.Empty(t, run(t, p))
	p.Seams[0].Openings = nil
	for _, q := range []*pattern.Piece{front, back} {
		q.Marks = []pattern.Mark{{Kind: pattern.MarkDart, Name: "dart", Edge: "side seam", From: 490, To: 510, At: q.EdgePath(0).PointAt(150).Add(geom.Pt(0, 500))}}
	}
	back.Marks[0].From, back.Marks[0].To = 290, 310
	front.Notches[1].At = 490
	require.Empty(t, run(t, p))

	yoke := oblong("yoke", 0, 900, 300, 300, "upper edge", "side seam", "lower edge", "front edge")
	whole := oblong("whole back", 400, 900, 300, 1100, "top", "back edge", "hemline", "side seam")
	lower := oblong("lower front", 0, 1300, 300, 800, "top", "side seam", "hemline", "front edge")
	whole.Notches = []pattern.Notch{{Name: "yoke", Edge: "side seam", At: 300, FromEnd: true, Count: 1}}
	q := sewn(t, nil, yoke, whole, lower)
	seam(t, q, "side", "yoke/side seam+lower front/side seam", "whole back/side seam")
	require.Empty(t, run(t, q))
}

// A notch nearer to a corner than the allowance there is covered by it.
func TestNotchNearACorner(t *testing.T) {
	p, front, back := sided(t)
	for _, q := range []*pattern.Piece{front, back} {
		q.Edges[2].Allowance = map[string]float64{"cloth": 40}
	}
	front.Notches[0].At, back.Notches[0].At = 765, 765
	found := run(t, p)
	require.Equal(t, []change.FindingKind{change.NotchNearCorner, change.NotchNearCorner}, kinds(found))
	require.InDelta(t, 5, found[0].MM, 1e-9)
	front.Notches[0].At, back.Notches[0].At = 760, 760
	require.Empty(t, run(t, p))
}

// A notch that the last version had below the new hem is told once its edge has
// become too short for it.
func TestNotchLostBelowANewHem(t *testing.T) {
	p, front, back := sided(t)
	before := p.Clone()
	for _, q := range before.Pieces {
		at := q.Notches[0]
		at.Name, at.At = "knee", 700
		q.Notches = append(q.Notches, at)
	}
	front.Corners[2].At.Y, front.Corners[3].At.Y = 650, 650
	back.Corners[2].At.Y, back.Corners[3].At.Y = 650, 650
	found := run(t, p, Options{Before: before})
	require.Equal(t, []change.FindingKind{change.NotchLost, change.NotchLost}, kinds(found))
	require.InDelta(t, 50, found[0].MM, 1e-9)
	require.Empty(t, run(t, p), "without an earlier version nothing is known")
	require.Len(t, run(t, before, Options{Before: before}), 0)
}

func TestMarksOffThePiece(t *testing.T) {
	p, front, _ := sided(t)
	front.Marks = []pattern.Mark{
		{Kind: pattern.MarkButton, Name: "button", At: geom.Pt(-4, 100), Size: 12},
		{Kind: pattern.MarkDot, Name: "dot", At: geom.Pt(-4, 100)}, // in the allowance
		{Kind: pattern.MarkPlacement, Name: "pocket", Path: geom.Polyline(geom.Pt(250, 500), geom.Pt(340, 500))},
		{Kind: pattern.MarkDart, Name: "dart", Edge: "top", From: 100, To: 120, At: geom.Pt(110, 90)},
	}
	found := run(t, p)
	require.Equal(t, []change.FindingKind{change.MarkOff, change.MarkOff}, kinds(found))
	require.InDelta(t, 4, found[0].MM, 1e-9)
	require.InDelta(t, 25, found[1].MM, 1e-9, "40 beyond the sewing line, 15 of it allowance")
	front.Marks = []pattern.Mark{{Kind: pattern.MarkDart, Name: "dart", Edge: "top", From: 100, To: 120, At: geom.Pt(110, -9)}}
	found = run(t, p)
	require.Equal(t, change.MarkOff, found[0].Kind)
	front.Marks[0].At = geom.Pt(130, 90)
	f := only(t, run(t, p), change.DartLegs, math.Hypot(10, 90)-math.Hypot(30, 90), 1e-6)
	require.Contains(t, f.Says, "sewn to each other")
}

// Seven buttons from 10 to 58 cm lie 8 apart (derived); so must their holes.
func TestButtonsAgainstButtonholes(t *testing.T) {
	right := oblong("right front", 0, 0, 300, 700, "top", "side", "hemline", "front edge")
	left := oblong("left front", 400, 0, 300, 700, "top", "front edge", "hemline", "side")
	right.Side, left.Side, right.Cut, left.Cut = "right", "left", pattern.CutOne, pattern.CutOne
	p := sewn(t, nil, right, left)
	for k := range 7 {
		y := 100 + 80*float64(k)
		right.Marks = append(right.Marks, pattern.Mark{Kind: pattern.MarkButtonhole, Name: fmt.Sprint("hole ", k+1), Path: geom.Polyline(geom.Pt(12, y), geom.Pt(34, y))})
		left.Marks = append(left.Marks, pattern.Mark{Kind: pattern.MarkButton, Name: fmt.Sprint("button ", k+1), At: geom.Pt(677, y), Size: 20})
	}
	require.Empty(t, run(t, p))
	left.Marks[3].At.Y += 5
	found := run(t, p)
	require.Equal(t, []change.FindingKind{change.Buttons, change.Buttons}, kinds(found))
	require.InDelta(t, -5, found[0].MM, 1e-9)
	require.InDelta(t, 5, found[1].MM, 1e-9)
	left.Marks[3].At.Y -= 5
	left.Marks[2].Size = 24
	only(t, run(t, p), change.Buttons, -2, 1e-9)
	left.Marks[2].Size = 20
	for k := range left.Marks {
		left.Marks[k].At.Y += 10
	}
	f := only(t, run(t, p), change.Buttons, -10, 1e-9)
	require.Contains(t, f.Says, "from the upper end")
	left.Marks = left.Marks[:6]
	f = only(t, run(t, p), change.Buttons, 0, 0)
	require.Contains(t, f.Where, "6 buttons of left front against 7 buttonholes of right front")
	left.Marks = nil
	require.Empty(t, run(t, p), "holes alone may be for links")
}

// Rows of buttons and buttonholes at the same height are silent though a slanting
// neckline runs by nearer than the centre front: its foot wanders with how far in a
// mark lies. The height is that along the edge beside which the row runs (closed
// form). Input of a mended bug: the rows were said to be 5.7 mm apart along the
// neckline, (33 − 25)/√2.
func TestButtonHeightsBesideTheNeckline(t *testing.T) {
	names := []string{"shoulder", "side", "hemline", "centre front", "neckline"}
	front := func(name string) *pattern.Piece {
		return polygon(name, pattern.CutOne, 15, names, geom.Pt(100, 0), geom.Pt(300, 0), geom.Pt(300, 700), geom.Pt(0, 700), geom.Pt(0, 100))
	}
	right, left := front("right front"), turnedOver(front("left front"))
	right.Side, left.Side = "right", "left"
	edge := left.EdgePath(slices.Index(left.EdgeNames(), "centre front")).Start().X
	for k := range 5 {
		y := 90 + 100*float64(k)
		right.Marks = append(right.Marks, pattern.Mark{Kind: pattern.MarkButton, Name: fmt.Sprint("button ", k+1), At: geom.Pt(25, y), Size: 18})
		left.Marks = append(left.Marks, pattern.Mark{Kind: pattern.MarkButtonhole, Name: fmt.Sprint("hole ", k+1), Path: geom.Polyline(geom.Pt(edge-23, y), geom.Pt(edge-43, y))})
	}
	p := sewn(t, nil, right, left)
	require.Empty(t, run(t, p))
	for k := range right.Marks {
		right.Marks[k].At.Y += 30
	}
	f := only(t, run(t, p), change.Buttons, -30, 1e-9)
	require.Contains(t, f.Says, `along "centre front" the first button lies 20 mm from the upper end, the first buttonhole 10 mm above it`)
}

// An opening that lies on the first side of its seam has to lie on the second too,
// what is eased in left out.
func TestOpeningBeyondTheOtherSide(t *testing.T) {
	for _, c := range []struct{ long, ease, off float64 }{{800, 0, 0}, {770, -30, 0}, {770, 0, -30}, {780, 20, -40}} {
		front := oblong("front", 0, 0, 300, 800, "top", "side seam", "hemline", "front edge")
		back := oblong("back", 400, 0, 300, c.long, "top", "back edge", "hemline", "side seam")
		p := sewn(t, nil, front, back)
		seam(t, p, "side", "front/side seam", "back/side seam")
		p.Seams[0].Openings = []pattern.Opening{{Name: "slit", From: 700, To: 800}}
		if c.ease != 0 {
			p.Seams[0].Sections = []pattern.Section{{Ease: c.ease}}
		}
		found := slices.DeleteFunc(run(t, p), func(f change.Finding) bool { return f.Kind != change.OpeningSmall })
		if c.off == 0 {
			require.Empty(t, found)
			continue
		}
		require.Len(t, found, 1)
		require.InDelta(t, c.off, found[0].MM, 1e-9)
		require.Contains(t, found[0].Do, "--open \"slit=FROM:TO\"")
		require.Equal(t, []string{"front", "back"}, found[0].Pieces)
	}
}

func TestOpeningSmallerThanAGivenMeasure(t *testing.T) {
	p, _, _ := sided(t)
	p.Seams[0].Openings = []pattern.Opening{{Name: "pocket mouth", From: 250, To: 390, Least: 150}}
	f := only(t, run(t, p), change.OpeningSmall, -10, 1e-9)
	require.Equal(t, "side", f.Seam)
	p.Seams[0].Openings[0].Least = 140
	require.Empty(t, run(t, p))

	// All round: the tops of front and back, both pairs, 4 × 300, and both sides of
	// the opening, 2 × 140.
	o, err := Measure(p, "front/top + back/top + pocket mouth")
	require.NoError(t, err)
	require.InDelta(t, 1480, o.MM, 1e-9)
	o.Least = 1490
	only(t, run(t, p, Options{Openings: []Opening{o}}), change.OpeningSmall, -10, 1e-9)
	alone, err := Measure(p, "pocket mouth")
	require.NoError(t, err)
	require.InDelta(t, 140, alone.MM, 1e-9)
	_, err = Measure(p, "front/top+slit")
	require.ErrorContains(t, err, `"slit" is no opening of a seam and no edge`)
}

func TestUnequalAllowances(t *testing.T) {
	p, front, _ := sided(t)
	front.Edges[1].Allowance = map[string]float64{"cloth": 6, "toile": 15}
	f := only(t, run(t, p), change.AllowancesUnequal, 9, 1e-9)
	require.Contains(t, f.Says, "in the set cloth")
	for _, finish := range []string{"felled", "lapped", "bound"} {
		p.Seams[0].Finish = finish
		require.Empty(t, run(t, p), finish)
	}
}

// A concave sewing line of radius 8 mm takes no allowance of 8 or more (derived);
// one of 6 it does.
func TestAllowanceWiderThanAHollow(t *testing.T) {
	hollow := append(append(geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(92, 0))}, geom.Arc(geom.Pt(100, 0), 8, math.Pi, -math.Pi)...), geom.Line(geom.Pt(108, 0), geom.Pt(200, 0)))
	make1 := func(by float64) *pattern.Pattern {
		q := build("facing", pattern.CutOne, 0, side{"upper edge", hollow}, straight("a", geom.Pt(200, 0), geom.Pt(200, 100)),
			straight("b", geom.Pt(200, 100), geom.Pt(0, 100)), straight("c", geom.Pt(0, 100), geom.Pt(0, 0)))
		q.Edges[0].Allowance = map[string]float64{"cloth": by}
		return sewn(t, nil, q)
	}
	f := only(t, run(t, make1(10)), change.AllowanceTooWide, 2, 0.1) // the arc is a cubic
	require.Contains(t, f.Says, "its allowance of 10 mm is wider than the hollow there, which has a radius of")
	require.Empty(t, run(t, make1(6)))
}

// A flat full-circle hem turned up by 2 cm is 4π·2 = 25.1327 cm too long: for a
// quarter of it 6.2832 (derived). A straight one is never too full.
func TestHemTooFull(t *testing.T) {
	const waist, long = 111.4085, 600.0
	out := geom.Arc(geom.Pt(0, 0), waist+long, 0, math.Pi/2)
	in := geom.Arc(geom.Pt(0, 0), waist, math.Pi/2, -math.Pi/2)
	skirt := build("skirt", pattern.CutOne, 0, straight("side", geom.Pt(waist, 0), geom.Pt(waist+long, 0)), side{"hemline", out},
		straight("other side", geom.Pt(0, waist+long), geom.Pt(0, waist)), side{"top", in})
	p := sewn(t, nil, skirt)
	require.Empty(t, run(t, p))
	skirt.Edges[1].Allowance = map[string]float64{"cloth": 20}
	f := only(t, run(t, p), change.HemTooFull, 62.831853, 0.02)
	require.Equal(t, "turn up less, or face it", f.Do)
	skirt.Edges[1].Name = "lower"
	f = only(t, run(t, p), change.HemTooFull, 62.831853, 0.02)
	require.Contains(t, f.Do, "or with `toile edge \"skirt\" EDGE --hem` which edge is")
	skirt.Edges[1].Name = "hemline"
	skirt.Edges[1].Allowance["cloth"] = 6.35 // ¼ in, as for circular hems (Johnson)
	require.Empty(t, run(t, p))
	straightHem := oblong("panel", 0, 0, 300, 800, "top", "side", "hemline", "centre")
	straightHem.Edges[2].Allowance["cloth"] = 100
	require.Empty(t, run(t, sewn(t, nil, straightHem)))
}

func TestCutCountsAcrossASeam(t *testing.T) {
	p, front, back := sided(t)
	front.Cut = pattern.CutOne
	f := only(t, run(t, p), change.CutCounts, 0, 0)
	require.Contains(t, f.Says, "front, cut one; back, cut a pair")
	front.Cut, back.Cut = pattern.CutOnFold, pattern.CutPair
	front.Edges[3].Fold, front.Edges[3].Allowance = true, nil
	require.Empty(t, run(t, p), "a fold has two sides")

	// A collar cut once is sewn to both halves, which the seam names.
	collar := oblong("collar", 0, 0, 600, 60, "upper edge", "end", "neck", "other end")
	collar.Cut = pattern.CutOne
	neck := oblong("body", 0, 100, 300, 400, "neck", "side", "lower edge", "centre")
	q := sewn(t, nil, collar, neck)
	seam(t, q, "collar", "body/neck:turned+body/neck", "collar/neck")
	require.NotContains(t, kinds(run(t, q)), change.CutCounts)
	seam(t, q, "wrong", "body/neck", "collar/neck")
	require.Contains(t, kinds(run(t, q)), change.CutCounts)
}

func TestMirroredHalves(t *testing.T) {
	whole := func(off float64) *pattern.Pattern {
		q := polygon("yoke", pattern.CutOne, 0, []string{"a", "b", "c", "d", "e", "f"},
			geom.Pt(-200, 0), geom.Pt(0, 20), geom.Pt(200, 0), geom.Pt(180+off, 300), geom.Pt(0, 340), geom.Pt(-180, 300))
		return sewn(t, nil, q)
	}
	require.Empty(t, run(t, whole(0)))
	require.Empty(t, run(t, whole(1)))
	f := only(t, run(t, whole(5)), change.HalvesDiffer, 5, 1.2)
	require.False(t, f.Mismatch)
	require.Empty(t, run(t, whole(40)), "an underlap is meant")

	// One side out in parallel, held against the other in the reference line in the
	// middle, by what it was let out. Input of a mended bug: the middle was moved over
	// until both sides fitted.
	for _, by := range []float64{0, 2, 4, 6, 8, 12} {
		q := polygon("skirt", pattern.CutOne, 0, []string{"waist", "side", "hemline", "other side"},
			geom.Pt(-200, 0), geom.Pt(200+by, 0), geom.Pt(200+by, 600), geom.Pt(-200, 600))
		q.Lines = []pattern.ReferenceLine{{Name: "centre front", Path: geom.Polyline(geom.Pt(0, 0), geom.Pt(0, 600))}}
		found := run(t, sewn(t, nil, q))
		if by == 0 || by > meantApart {
			require.Empty(t, found)
			continue
		}
		only(t, found, change.HalvesDiffer, by, 1e-9)
	}

	left := polygon("left front", pattern.CutOne, 0, []string{"a", "b", "c", "d"}, geom.Pt(0, 0), geom.Pt(200, 30), geom.Pt(230, 500), geom.Pt(0, 500))
	right := turnedOver(polygon("right front", pattern.CutOne, 0, []string{"a", "b", "c", "d"}, geom.Pt(0, 0), geom.Pt(200, 30), geom.Pt(234, 500), geom.Pt(0, 500)))
	left.Side, right.Side, right.Cut = "left", "right", pattern.CutOne
	for i := range right.Edges {
		right.Edges[i].Allowance = nil
	}
	found := run(t, sewn(t, nil, left, right))
	require.Equal(t, []change.FindingKind{change.HalvesDiffer}, kinds(found))
	require.InDelta(t, 4, found[0].MM, 0.1)
}

// Everything that is meant is silent together: a felled seam with unequal
// allowances, a V that is meant, a layer with declared differences.
func TestWhatIsMeantIsSilent(t *testing.T) {
	back := polygon("back", pattern.CutOnFold, 10, []string{"neckline", "shoulder", "side seam", "hemline", "centre back"},
		geom.Pt(0, 80), geom.Pt(60, 0), geom.Pt(300, 40), geom.Pt(300, 800), geom.Pt(0, 800))
	front := turnedOver(back)
	front.Name, front.Slug = "front", "front"
	lining := polygon("lining", pattern.CutOnFold, 10, []string{"neckline", "shoulder", "side seam", "hemline", "centre back"},
		geom.Pt(0, 80), geom.Pt(60, 0), geom.Pt(300, 40), geom.Pt(300, 780), geom.Pt(0, 780))
	for _, q := range []*pattern.Piece{back, front, lining} {
		for i := range q.Edges {
			if q.Edges[i].Name == "centre back" {
				q.Edges[i].Fold, q.Edges[i].Allowance, q.Cut = true, nil, pattern.CutOnFold
			}
		}
		for i := range q.Corners {
			q.Corners[i].Meant = q.Corners[i].At.Y < 100
		}
	}
	p := sewn(t, nil, back, front, lining)
	seam(t, p, "side", "front/side seam", "back/side seam")
	for i := range front.Edges {
		if front.Edges[i].Name == "side seam" {
			front.Edges[i].Allowance = map[string]float64{"cloth": 20, "toile": 20}
		}
	}
	p.Seams[0].Finish = "felled"
	p.Layers = []pattern.Layer{{Outer: "back", Inner: []string{"lining"}, Differences: []pattern.Difference{{What: "shorter hem", By: -20}}}}
	require.Empty(t, run(t, p))
}

// A second button laid 1 mm beside the first is told, where there are no
// buttonholes too; buttons of a width at that distance apart are not.
func TestButtonAlmostOnAnother(t *testing.T) {
	p, front, _ := sided(t)
	front.Marks = []pattern.Mark{{Kind: pattern.MarkButton, Name: "button 1", At: geom.Pt(20, 100), Size: 15},
		{Kind: pattern.MarkButton, Name: "button 2", At: geom.Pt(20, 101), Size: 15}, {Kind: pattern.MarkButton, Name: "button 3", At: geom.Pt(20, 116), Size: 15}}
	f := only(t, run(t, p), change.Buttons, 1, 1e-9)
	require.Equal(t, `front, button "button 2"`, f.Where)
	require.Contains(t, f.Says, `1 mm from "button 1"`)
	front.Marks[1].At = geom.Pt(20, 131)
	require.Empty(t, run(t, p))
}
