package check

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// flared is a front and a back whose side seams slant 1 in 6, with the hem as
// given from the fold to the side, on the front's sheet.
func flared(t *testing.T, hem geom.Path) *pattern.Pattern {
	start, end := hem.Start(), hem.End()
	top := geom.Pt(end.X-(end.Y)/6, 0)
	front := build("front", pattern.CutOnFold, 0, straight("waist", geom.Pt(0, 0), top), straight("side seam", top, end), side{"hemline", hem.Reverse()},
		straight("centre", start, geom.Pt(0, 0)))
	m := geom.Motion{Mirror: true}
	back := build("back", pattern.CutOnFold, 0, straight("waist", m.Apply(top), geom.Pt(0, 0)), straight("centre", geom.Pt(0, 0), start),
		side{"hemline", hem.Moved(m)}, straight("side seam", m.Apply(end), m.Apply(top)))
	front.Edges[3].Fold, back.Edges[1].Fold = true, true
	for _, q := range []*pattern.Piece{front, back} {
		for i := range q.Corners {
			q.Corners[i].Meant = q.Corners[i].At.Y == 0 // the waist is not looked at here
		}
	}
	p := sewn(t, nil, front, back)
	seam(t, p, "side", "front/side seam", "back/side seam")
	return p
}

// A straight hem, both sides slanting 1 in 6: 80.537678° each, in all
// 161.075356°, not smooth. Trued on a circle about (0, −150), R 210 (cm): smooth,
// the side point at (34.523787, 57.142724). Derived.
func TestHemOverASideSeam(t *testing.T) {
	hem := geom.Path{geom.Line(geom.Pt(0, 600), geom.Pt(350, 600))}
	f := only(t, run(t, flared(t, hem)), change.NotSmooth, 50*math.Sin(geom.Degrees(180-161.075356)/2), 1e-5)
	require.InDelta(t, 180-161.075356, *f.Turn, 1e-5)
	require.Contains(t, f.Says, "80.5° and 80.5° make 161.1°")
	require.False(t, f.Mismatch)

	angle := math.Asin(345.23787 / 2100)
	arc := geom.Arc(geom.Pt(0, -1500), 2100, math.Pi/2, -angle)
	require.InDelta(t, 0, arc.End().Dist(geom.Pt(345.23787, 571.42724)), 1e-4)
	require.Empty(t, run(t, flared(t, arc)))

	meant := flared(t, hem)
	meant.Pieces[1].Corners[2].Meant = true
	require.Empty(t, run(t, meant), "a corner that is meant is left alone")
}

// 3° are the limit on either side.
func TestSmoothWithinThreeDegrees(t *testing.T) {
	for _, c := range []struct {
		slant float64
		bent  bool
	}{{1.45, false}, {1.55, true}, {-1.45, false}, {-1.55, true}} {
		x := 300 + 600*math.Tan(geom.Degrees(c.slant))
		hem := geom.Path{geom.Line(geom.Pt(0, 600), geom.Pt(x, 600))}
		p := flared(t, hem)
		for _, q := range p.Pieces { // the slant as given, not 1 in 6
			for i := range q.Corners {
				if a := q.Corners[i].At; a.Y == 0 && a.X != 0 {
					q.Corners[i].At.X = math.Copysign(300, a.X)
				}
			}
		}
		require.Equal(t, c.bent, len(run(t, p)) == 1, "%v", c.slant)
	}
}

// Every edge meets a fold square, 90°: a hem at 92° has a bend of 4° opened out.
func TestSquareToTheFold(t *testing.T) {
	down := 300 * math.Tan(geom.Degrees(2))
	q := polygon("back", pattern.CutOnFold, 0, []string{"yoke seam", "side seam", "hemline", "centre back"},
		geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 600+down), geom.Pt(0, 600))
	q.Edges[3].Fold = true
	p := sewn(t, nil, q)
	f := only(t, run(t, p), change.NotSquare, 50*math.Sin(geom.Degrees(2)), 1e-6)
	require.InDelta(t, -4, *f.Turn, 1e-6)
	require.Contains(t, f.Says, "at 92.0°, and 90° is wanted")
	require.Contains(t, f.Where, "hemline")
	q.Corners[3].Meant = true
	require.Empty(t, run(t, p), "a V that is meant")
	q.Corners[3].Meant, q.Corners[2].At.Y = false, 600+300*math.Tan(geom.Degrees(1.4))
	require.Empty(t, run(t, p))
}

// Neckline over a shoulder seam, and an armhole whose parts are sewn to one
// sleeve; a neckline that is meant to have a point is left alone.
func TestNecklineAndArmholeOverTheShoulder(t *testing.T) {
	make2 := func(backUp float64) *pattern.Pattern {
		front := polygon("front", pattern.CutPair, 10, []string{"neckline", "shoulder", "arm line", "lower edge", "centre"},
			geom.Pt(0, 100), geom.Pt(60, 0), geom.Pt(160, 60), geom.Pt(100, 160), geom.Pt(0, 160))
		back := polygon("back", pattern.CutPair, 10, []string{"shoulder", "neckline", "centre", "lower edge", "arm line"},
			geom.Pt(-160, 60), geom.Pt(-60, 0), geom.Pt(0, 100+backUp), geom.Pt(0, 160), geom.Pt(-100, 160))
		sleeve := oblong("sleeve", 0, 0, math.Hypot(60, 100)*2, 300, "head", "a", "b", "c")
		p := sewn(t, nil, front, back, sleeve)
		seam(t, p, "shoulder", "front/shoulder", "back/shoulder")
		seam(t, p, "sleeve", "back/arm line+front/arm line", "sleeve/head")
		for i := range p.Pieces {
			for k := range p.Pieces[i].Edges {
				p.Pieces[i].Edges[k].Allowance = map[string]float64{"cloth": 10}
			}
		}
		return p
	}
	require.Empty(t, run(t, make2(0)), "square to the shoulder on both sides")
	f := only(t, run(t, make2(30)), change.NotSmooth, 0, 20)
	require.Contains(t, f.Says, "the neck has a")
	meant := make2(30)
	meant.Pieces[0].Corners[1].Meant = true
	require.Empty(t, run(t, meant))

	bent := make2(0)
	front, err := bent.Piece("front")
	require.NoError(t, err)
	front.Corners[3].At = geom.Pt(160-100*0.6-30, 60+100*0.8)
	found := run(t, bent)
	require.Contains(t, kinds(found), change.NotSmooth)
	require.Contains(t, found[len(found)-1].Says, `the line sewn in seam "sleeve" has a`)
}

// A straight waist with a dart of 17.253853° (mouth 3, leg 10 cm) has a bend of
// that much where the dart is closed. Derived.
func TestWaistOverADart(t *testing.T) {
	q := oblong("skirt", 0, 0, 400, 600, "waist", "side seam", "hemline", "centre")
	q.Marks = []pattern.Mark{{Kind: pattern.MarkDart, Name: "dart", Edge: "waist", From: 185, To: 215, At: geom.Pt(200, math.Sqrt(100*100-15*15))}}
	f := only(t, run(t, sewn(t, nil, q)), change.NotSmooth, 50*math.Sin(geom.Degrees(17.253853)/2), 1e-6)
	require.InDelta(t, -17.253853, *f.Turn, 1e-6)
	// Drawn as a peak over the mouth that closes to a line, it is smooth.
	half := geom.Degrees(17.253853) / 2
	leg := q.Marks[0].At
	a, b := geom.Pt(185, 0), geom.Pt(215, 0)
	in, out := geom.Pt(math.Cos(half), -math.Sin(half)), geom.Pt(math.Cos(half), math.Sin(half))
	q.Edges[0].SetPath(geom.Path{geom.Line(a.Sub(in.Mul(185/in.X)), a), geom.Line(a, b), geom.Line(b, b.Add(out.Mul(185/out.X)))})
	q.Corners[0].At, q.Corners[1].At = a.Sub(in.Mul(185/in.X)), b.Add(out.Mul(185/out.X))
	from := a.Dist(q.Corners[0].At)
	q.Marks[0].From, q.Marks[0].To, q.Marks[0].At = from, from+30, leg
	require.Empty(t, run(t, sewn(t, nil, q)))
}

// The same front and back drawn with the side seam on the same side are sewn
// with --same-way: the hem bends as it did. A facing or lining of the front, sewn
// to it the same way, lies on it and bends nothing.
func TestHemOverASeamSewnTheSameWay(t *testing.T) {
	hem := geom.Path{geom.Line(geom.Pt(0, 600), geom.Pt(350, 600))}
	p := flared(t, hem)
	front, back := p.Pieces[1], turnedOver(p.Pieces[0])
	require.Equal(t, []string{"front", "back"}, []string{front.Name, back.Name})
	for i := range back.Corners {
		back.Corners[i].Meant = math.Abs(back.Corners[i].At.Y) < 1e-6
	}
	for i := range back.Edges {
		back.Edges[i].Allowance = nil
		back.Edges[i].Fold = back.Edges[i].Name == "centre"
	}
	q := sewn(t, nil, front, back)
	seam(t, q, "side", "front/side seam", "back/side seam").SameWay = true
	f := only(t, run(t, q), change.NotSmooth, 50*math.Sin(geom.Degrees(180-161.075356)/2), 1e-5)
	require.Contains(t, f.Says, "80.5° and 80.5° make 161.1°")

	back.Cloth = "lining"
	require.Empty(t, run(t, q), "another cloth lies under it")
	back.Cloth = "outer"
	q.Layers = []pattern.Layer{{Outer: "front", Inner: []string{"back"}}}
	require.Empty(t, run(t, q), "a layer lies under it")
}
