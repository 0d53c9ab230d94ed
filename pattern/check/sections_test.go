package check

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// The armhole curve of front and back, drawn from the shoulder to the underarm.
var armCurve = geom.Cubic{P0: geom.Pt(150, 40), P1: geom.Pt(130, 100), P2: geom.Pt(140, 200), P3: geom.Pt(220, 230)}

// Where the notches lie from the underarm, and the ease-in between them.
const frontAt, backAt, headEase = 90.0, 110.0, 18.0

// armholed is a front, a back, and a sleeve whose head is longer than both
// armholes by the ease-in, all of it between the notches: walked along the
// sewing line in sewing order from the back's underarm, as common practice has
// it.
func armholed(t *testing.T) *pattern.Pattern {
	arm := geom.Path{armCurve}
	mirror := geom.Motion{Mirror: true}
	front := build("front", pattern.CutPair, 10, straight("shoulder", geom.Pt(60, 10), geom.Pt(150, 40)), side{"armhole", arm},
		straight("side seam", geom.Pt(220, 230), geom.Pt(230, 600)), straight("lower edge", geom.Pt(230, 600), geom.Pt(60, 600)),
		straight("centre", geom.Pt(60, 600), geom.Pt(60, 10)))
	back := build("back", pattern.CutPair, 10, straight("shoulder", geom.Pt(-150, 40), geom.Pt(-60, 10)),
		straight("centre", geom.Pt(-60, 10), geom.Pt(-60, 600)), straight("lower edge", geom.Pt(-60, 600), geom.Pt(-230, 600)),
		straight("side seam", geom.Pt(-230, 600), geom.Pt(-220, 230)), side{"armhole", arm.Moved(mirror).Reverse()})
	length := arm.Length()
	front.Notches = []pattern.Notch{{Name: "front notch", Edge: "armhole", At: length - frontAt, Count: 1}}
	back.Notches = []pattern.Notch{{Name: "back notch", Edge: "armhole", At: backAt, Count: 2}}
	sleeve := build("sleeve", pattern.CutPair, 10, side{"head", headOf(2*length + headEase)},
		straight("back underarm", geom.Pt(200, 0), geom.Pt(140, 450)), straight("wrist", geom.Pt(140, 450), geom.Pt(-140, 450)),
		straight("front underarm", geom.Pt(-140, 450), geom.Pt(-200, 0)))
	sleeve.Notches = []pattern.Notch{{Name: "front", Edge: "head", At: frontAt, Count: 1}, {Name: "back", Edge: "head", At: backAt, FromEnd: true, Count: 2}}
	p := sewn(t, nil, front, back, sleeve)
	s := seam(t, p, "armhole", "back/armhole+front/armhole", "sleeve/head")
	s.Sections = []pattern.Section{
		{First: pattern.NotchRef{Piece: "back", Notch: "back notch"}, Second: pattern.NotchRef{Piece: "sleeve", Notch: "back"}},
		{First: pattern.NotchRef{Piece: "front", Notch: "front notch"}, Second: pattern.NotchRef{Piece: "sleeve", Notch: "front"}, Ease: headEase}, {}}
	require.NoError(t, p.ValidateSeam(s))
	for _, q := range p.Pieces {
		q.Grain = &pattern.Grain{From: geom.Pt(0, 0), To: geom.Pt(0, 400)}
	}
	return p
}

// headOf draws a sleeve head of the length by halving its height.
func headOf(length float64) geom.Path {
	head := func(rise float64) geom.Path {
		return geom.Path{{P0: geom.Pt(-200, 0), P1: geom.Pt(-110, -10), P2: geom.Pt(-95, -rise), P3: geom.Pt(0, -rise)},
			{P0: geom.Pt(0, -rise), P1: geom.Pt(95, -rise), P2: geom.Pt(110, -10), P3: geom.Pt(200, 0)}}
	}
	lo, hi := 20.0, 400.0
	for range 60 {
		if mid := (lo + hi) / 2; head(mid).Length() < length {
			lo = mid
		} else {
			hi = mid
		}
	}
	return head(lo)
}

func TestSleeveThatFitsIsSilent(t *testing.T) {
	require.Empty(t, run(t, armholed(t)))
}

// An armhole 5 mm longer at the underarm: one finding, in that section, of that
// amount.
func TestArmholeLongerAtTheUnderarm(t *testing.T) {
	p := armholed(t)
	front, err := p.Piece("front")
	require.NoError(t, err)
	end := armCurve.P3.Add(armCurve.Tangent(1).Mul(5))
	front.Edges[1].SetPath(geom.Path{armCurve, geom.Line(armCurve.P3, end)})
	front.Corners[2].At = end
	f := only(t, run(t, p), change.SeamSection, -5, 1e-6)
	require.True(t, f.Mismatch)
	require.Equal(t, "front notch to end", f.Section)
	require.Equal(t, []string{"front", "sleeve"}, f.Pieces)
	require.Equal(t, `sleeve, "head" is 5 mm shorter than front, "armhole" there: 90 mm against 95 mm`, f.Says)
	require.Contains(t, f.Do, `between notch "front notch" and the`)
	require.InDelta(t, 0, f.At.Point().Dist(end), 1e-6)
}

// +3 in one section and −3 in the next are two findings, though the whole is
// right; and ease-in that is not there is one.
func TestSectionsAreJudgedOneByOne(t *testing.T) {
	p := armholed(t)
	sleeve, err := p.Piece("sleeve")
	require.NoError(t, err)
	sleeve.Notches[0].At -= 3
	found := run(t, p)
	require.Equal(t, []change.FindingKind{change.SeamSection, change.SeamSection}, kinds(found))
	require.InDelta(t, 3, found[0].MM, 1e-6)
	require.InDelta(t, -3, found[1].MM, 1e-6)
	require.Contains(t, found[0].Says, "3 mm too long for")
	require.Contains(t, found[0].Says, "with 18 mm of ease-in meant")

	p = armholed(t)
	p.Seams[0].Sections[1].Ease = 0
	only(t, run(t, p), change.SeamSection, headEase, 1e-6)
	p.Seams[0].Sections[1].Gathered = true
	require.Empty(t, run(t, p), "what is gathered is meant")
}

// The tolerance is 1.5 mm a section (1/16 in: Threads no. 200, 2018/19), and
// settable in the pattern.
func TestToleranceIsSettable(t *testing.T) {
	p := armholed(t)
	sleeve, err := p.Piece("sleeve")
	require.NoError(t, err)
	sleeve.Notches[0].At -= 1.4
	require.Empty(t, run(t, p))
	sleeve.Notches[0].At -= 0.2
	require.Len(t, run(t, p), 2)
	p.Tolerances.Section = 2
	require.Empty(t, run(t, p))
}

// Where two lines that are alike stop matching, from which end.
func TestWhereASeamStopsMatching(t *testing.T) {
	curve := geom.Cubic{P0: geom.Pt(100, 0), P1: geom.Pt(130, 80), P2: geom.Pt(110, 200), P3: geom.Pt(100, 300)}
	for _, c := range []struct {
		path geom.Path
		says string
	}{
		{geom.Path{curve, geom.Line(geom.Pt(100, 300), geom.Pt(99, 310))}, "laid on each other from the \"top\" end they run alike, so the difference lies at the hem end"},
		{geom.Path{geom.Line(geom.Pt(96, -10), curve.P0), curve}, "laid on each other from the hem end they run alike, so the difference lies at the \"top\" end"},
	} {
		left := build("left", pattern.CutPair, 10, straight("top", geom.Pt(0, 0), curve.P0), side{"seam", geom.Path{curve}},
			straight("bottom", curve.P3, geom.Pt(0, 300)), straight("outer", geom.Pt(0, 300), geom.Pt(0, 0)))
		back := c.path.Reverse()
		right := build("right", pattern.CutPair, 10, straight("top", c.path.Start(), geom.Pt(200, -10)), straight("outer", geom.Pt(200, -10), geom.Pt(200, 320)),
			straight("bottom", geom.Pt(200, 320), c.path.End()), side{"seam", back})
		p := sewn(t, nil, left, right)
		seam(t, p, "panel seam", "left/seam", "right/seam")
		for _, q := range p.Pieces {
			for i := range q.Corners {
				q.Corners[i].Meant = true
			}
		}
		f := only(t, run(t, p), change.SeamSection, c.path.Length()-curve.Length(), 1e-6)
		require.Contains(t, f.Says, c.says)
	}
}

// Whatever way the pieces lie on their sheets, the same is found: a rigid motion
// changes no length. Seed printed.
func TestFindingsDoNotDependOnTheSheet(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 2))
	for range 12 {
		p := armholed(t)
		sleeve, err := p.Piece("sleeve")
		require.NoError(t, err)
		sleeve.Notches[0].At -= 3
		for _, q := range p.Pieces {
			m := geom.Motion{Turn: r.Float64() * 2 * math.Pi, Shift: geom.Pt(r.Float64()*1000, r.Float64()*1000)}
			for i := range q.Edges {
				path := q.EdgePath(i).Moved(m)
				q.Edges[i].SetPath(path)
			}
			q.Grain.From, q.Grain.To = m.Apply(q.Grain.From), m.Apply(q.Grain.To)
			for i := range q.Corners {
				q.Corners[i].At = m.Apply(q.Corners[i].At)
			}
		}
		found := run(t, p)
		require.Equal(t, []change.FindingKind{change.SeamSection, change.SeamSection}, kinds(found))
		require.InDelta(t, 3, found[0].MM, 1e-6)
	}
}

// Small errors that add up: eight sections of a waist, each 1.4 mm long and so
// within the tolerance, come to 11.2 mm on the pattern and, as pieces on the
// fold, to 22.4 mm round the garment (derived).
func TestSmallErrorsAddUp(t *testing.T) {
	top := polygon("bodice", pattern.CutOnFold, 10, []string{"upper edge", "side", "seam line", "centre"},
		geom.Pt(0, 0), geom.Pt(800, 0), geom.Pt(800, 300), geom.Pt(0, 300))
	below := polygon("skirt", pattern.CutOnFold, 10, []string{"join", "side", "lower edge", "centre"},
		geom.Pt(0, 0), geom.Pt(811.2, 0), geom.Pt(811.2, 300), geom.Pt(0, 300))
	top.Edges[3].Fold, below.Edges[3].Fold = true, true
	top.Edges[3].Allowance, below.Edges[3].Allowance = nil, nil
	var sections []pattern.Section
	for k := 1; k < 8; k++ {
		name := string(rune('a' + k))
		top.Notches = append(top.Notches, pattern.Notch{Name: name, Edge: "seam line", At: 100 * float64(k), Count: 1})
		below.Notches = append(below.Notches, pattern.Notch{Name: name, Edge: "join", At: 101.4 * float64(k), FromEnd: true, Count: 1})
		sections = append(sections, pattern.Section{First: pattern.NotchRef{Piece: "bodice", Notch: name}, Second: pattern.NotchRef{Piece: "skirt", Notch: name}})
	}
	p := sewn(t, nil, top, below)
	s := seam(t, p, "middle", "bodice/seam line", "skirt/join")
	s.Sections = append(sections, pattern.Section{})
	require.NoError(t, p.ValidateSeam(s))
	f := only(t, run(t, p), change.AddingUp, 22.4, 1e-6)
	require.False(t, f.Mismatch)
	below.Notches[3].At -= 2.8 // errors that take each other back are none
	require.NotContains(t, kinds(run(t, p)), change.NotchAlone)
}

// The parts of a waist run on into each other across the side seams: what they
// are out adds up, with its sign.
func TestErrorsAddUpAcrossSeams(t *testing.T) {
	make4 := func(off float64) *pattern.Pattern {
		upper := func(name string, wide float64) *pattern.Piece {
			return oblong(name, 0, 0, wide, 300, "upper edge", "right side", "waist", "left side")
		}
		lower := func(name string, wide float64) *pattern.Piece {
			return oblong(name, 0, 400, wide, 300, "waist", "right side", "lower edge", "left side")
		}
		p := sewn(t, nil, upper("front", 250), upper("back", 250), lower("front skirt", 251.2), lower("back skirt", 250+off))
		seam(t, p, "side", "front/right side", "back/left side")
		seam(t, p, "skirt side", "front skirt/right side", "back skirt/left side")
		seam(t, p, "front waist", "front/waist", "front skirt/waist")
		seam(t, p, "back waist", "back skirt/waist", "back/waist") // sides the other way about
		return p
	}
	f := only(t, run(t, make4(1.2)), change.AddingUp, 4.8, 1e-6)
	require.Contains(t, f.Where, `"front waist" and "back waist"`)
	require.Empty(t, run(t, make4(-1.2)))
}

// A straight side taken up by 20 at the hem: it is the hem end that is told,
// whichever end the seam is walked from, by what the last version was like or,
// without one, because one measures down to the hem. A mended bug: it was told
// and drawn at the other end.
func TestHemTakenUpIsToldAtTheHem(t *testing.T) {
	for _, around := range []bool{false, true} {
		p := twoOblongs(t, around)
		before := p.Clone()
		back, err := p.Piece("back")
		require.NoError(t, err)
		back.Corners[2].At.Y, back.Corners[3].At.Y = 380, 380
		for _, o := range []Options{{}, {Before: before}} {
			f := only(t, run(t, p, o), change.SeamSection, map[bool]float64{true: 20, false: -20}[around], 1e-6)
			require.Contains(t, f.Says, "difference lies at the hem end", "%v", o.Before != nil)
			require.InDelta(t, 400, (*f.At)[1], 21)
			if o.Before != nil {
				require.Contains(t, f.Do, "at the hem end")
			}
		}
		// Cut at the top instead, which only the last version tells.
		p = before.Clone()
		back, err = p.Piece("back")
		require.NoError(t, err)
		back.Corners[0].At.Y, back.Corners[1].At.Y = 20, 20
		found := run(t, p, Options{Before: before})
		require.Contains(t, found[0].Says, `measured from the hem end the difference lies at the "waist" end`)
		require.InDelta(t, 0, (*found[0].At)[1], 21)
	}
}

// Both hems run on by 50 and, in the same round, the back cut by 30 at the top: what
// both have at the hem takes nothing from the fit, and the difference lies at the top,
// whichever way the seam is walked. A mended bug: it was told at the hem.
func TestWhatBothSidesHaveAtAnEndIsNotTold(t *testing.T) {
	for _, around := range []bool{false, true} {
		p := twoOblongs(t, around)
		for _, q := range p.Pieces {
			q.Grain = &pattern.Grain{From: geom.Pt(q.Corners[0].At.X+50, 100), To: geom.Pt(q.Corners[0].At.X+50, 300)}
		}
		before := p.Clone()
		for _, q := range p.Pieces {
			q.Corners[2].At.Y, q.Corners[3].At.Y = 450, 450
		}
		back, err := p.Piece("back")
		require.NoError(t, err)
		back.Corners[0].At.Y, back.Corners[1].At.Y = 30, 30
		f := only(t, run(t, p, Options{Before: before}), change.SeamSection, map[bool]float64{true: 30, false: -30}[around], 1e-6)
		require.Contains(t, f.Says, `measured from the hem end the difference lies at the "waist" end`)
		require.Contains(t, f.Do, `at the "waist" end`)
	}
}

// twoOblongs are a front and a back of 400 down, sewn at straight sides.
func twoOblongs(t *testing.T, around bool) *pattern.Pattern {
	front := oblong("front", 0, 0, 300, 400, "waist", "side", "hemline", "front edge")
	back := oblong("back", 500, 0, 300, 400, "waist", "back edge", "hemline", "side")
	p := sewn(t, nil, front, back)
	if around {
		seam(t, p, "side", "back/side", "front/side")
	} else {
		seam(t, p, "side", "front/side", "back/side")
	}
	return p
}

// A waistband of 600 sewn to a front and a back of 300 each: the back run on by
// 10 at the side is out at the side seam, in the middle of the chain, and not at
// the end at the fold.
func TestDifferenceInsideAChainIsToldAtItsSeam(t *testing.T) {
	front := oblong("front", 0, 0, 300, 800, "waist", "side seam", "hemline", "centre front")
	back := oblong("back", 400, 0, 300, 800, "waist", "centre back", "hemline", "side seam")
	band := oblong("waistband", 0, 900, 600, 40, "top edge", "back end", "lower edge", "fold end")
	front.Edges[3].Fold, front.Edges[3].Allowance, front.Cut = true, nil, pattern.CutOnFold
	band.Edges[3].Fold, band.Edges[3].Allowance, band.Cut = true, nil, pattern.CutOnFold
	p := sewn(t, nil, front, back, band)
	seam(t, p, "waist", "front/waist+back/waist", "waistband/lower edge")
	seam(t, p, "side seam", "front/side seam", "back/side seam")
	require.Empty(t, run(t, p))
	before := p.Clone()
	back.Corners[0].At.X -= 10
	back.Corners[3].At.X -= 10
	f := only(t, run(t, p, Options{Before: before}), change.SeamSection, -10, 1e-9)
	require.Contains(t, f.Says, `the difference lies at back, "side seam"`)
	require.NotContains(t, f.Says, "fold")
	require.Contains(t, f.Do, `at back, "side seam"`)
}
