package diff

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// build makes a piece of the given edges; each path starts at its corner.
func build(name string, names []string, paths ...geom.Path) *pattern.Piece {
	p := &pattern.Piece{Name: name, Slug: name, Cloth: "outer", Cut: pattern.CutOne}
	for i, path := range paths {
		p.Corners = append(p.Corners, pattern.Corner{At: path.Start()})
		e := pattern.Edge{Name: names[i], ID: fmt.Sprintf("%08x", i+1)}
		e.SetPath(path)
		p.Edges = append(p.Edges, e)
	}
	return p
}

var skirtEdges = []string{"waist", "side seam", "hemline", "centre"}

// panel is a straight panel with a waist, a side on the right, a hem and a
// centre on the left.
func panel(w, h float64) *pattern.Piece {
	return build("panel", skirtEdges,
		geom.Polyline(geom.Pt(0, 0), geom.Pt(w, 0)), geom.Polyline(geom.Pt(w, 0), geom.Pt(w, h)),
		geom.Polyline(geom.Pt(w, h), geom.Pt(0, h)), geom.Polyline(geom.Pt(0, h), geom.Pt(0, 0)))
}

func compare(t *testing.T, a, b *pattern.Piece) change.PieceDiff {
	t.Helper()
	require.NoError(t, a.Validate())
	require.NoError(t, b.Validate())
	d, err := Pieces(a, b, pattern.New("test", units.Centimetre))
	require.NoError(t, err)
	require.InDelta(t, d.NetArea[0], d.Kept+d.Removed, 1e-3)
	require.InDelta(t, d.NetArea[1], d.Kept+d.Added+d.Matched, 1e-3)
	return d
}

func kinds(d change.PieceDiff) []string {
	var out []string
	for _, ch := range d.Changes {
		out = append(out, string(ch.Kind)+" "+fmt.Sprint(ch.Edges))
	}
	return out
}

// The removed strip of a straight panel is width times depth.
func TestHemTakenUp(t *testing.T) {
	d := compare(t, panel(300, 800), panel(300, 740))
	require.Equal(t, change.Altered, d.State)
	require.Equal(t, []string{"edge-moved [hemline]", "edge-run [side seam]", "edge-run [centre]"}, kinds(d))
	require.InDelta(t, -60, *d.Changes[0].By, 0.01)
	require.Equal(t, change.HowShifted, d.Changes[0].How)
	for _, ch := range d.Changes[1:] {
		require.InDelta(t, -60, *ch.By, 0.01)
		require.Equal(t, "hemline", ch.CausedBy)
		require.Equal(t, change.HowAlong, ch.How)
	}
	require.InDelta(t, 300*60, d.Removed, 1e-6)
	require.Zero(t, d.Added)
}

func TestHemLetDownRunsOn(t *testing.T) {
	d := compare(t, panel(300, 800), panel(300, 825))
	require.InDelta(t, 25, *d.Changes[0].By, 0.01)
	require.InDelta(t, 25, *d.Changes[1].By, 0.01)
	require.InDelta(t, 300*25, d.Added, 1e-6)
}

// A side swung about a point on it: FACTS of the trade, derived: side 300×800
// mm, pivot 200 below the waist, chord 50 at the hem: θ = 2·asin(50/1200) =
// 4.776031°, far end (349.9566, 797.9167); the wedge adds 15,004.34 mm² with
// the hem run on square to the seam on a circle of radius 600 about the pivot.
func TestSideSwung(t *testing.T) {
	a := panel(300, 800)
	theta := 2 * math.Asin(50./1200)
	pivot := geom.Pt(300, 200)
	far := geom.Pt(0, 600).Turn(-theta).Add(pivot)
	require.InDelta(t, 349.9566, far.X, 1e-4)
	require.InDelta(t, 797.9167, far.Y, 1e-4)
	hem := geom.Arc(pivot, 600, math.Pi/2-theta, theta)
	hem[0].P0, hem[len(hem)-1].P3 = far, geom.Pt(300, 800)
	b := build("panel", skirtEdges, geom.Polyline(geom.Pt(0, 0), geom.Pt(300, 0)),
		geom.Polyline(geom.Pt(300, 0), pivot, far),
		append(hem, geom.Line(geom.Pt(300, 800), geom.Pt(0, 800))),
		geom.Polyline(geom.Pt(0, 800), geom.Pt(0, 0)))
	d := compare(t, a, b)
	require.Equal(t, []string{"edge-swung [side seam]", "edge-run [hemline]"}, kinds(d))
	s := d.Changes[0]
	require.InDelta(t, 4.776031, *s.Turn, 1e-4)
	require.InDelta(t, 50, *s.By, 0.01)
	require.Equal(t, change.At(pivot), s.Pivot)
	require.InDelta(t, 15004.34, *s.Area, 0.01)
	require.InDelta(t, 15004.34, d.Added, 0.01)
	run := d.Changes[1]
	require.Equal(t, "side seam", run.CausedBy)
	require.Equal(t, change.HowEased, run.How)
	require.InDelta(t, 50.0145, *run.By, 0.001) // the arc's length R·θ
}

// A 90° corner rounded by r loses r²(1−π/4); the cubic's own sector area is
// 0.7856180832·r² in place of π/4·r² (Goldapp 1991, from memory; derived).
func TestCornerRounded(t *testing.T) {
	a, b := panel(300, 800), panel(300, 800)
	b.Corners[2].Round = 40
	d := compare(t, a, b)
	require.Equal(t, []string{"corner-rounded [side seam hemline]"}, kinds(d))
	require.Equal(t, &[2]float64{0, 40}, d.Changes[0].Radius)
	require.InDelta(t, 1600*(1-0.7856180832), d.Removed, 1e-5)
	require.InDelta(t, 1600*(1-math.Pi/4), d.Removed, 1600*2.3e-4)
	back := compare(t, b, a)
	require.Equal(t, []string{"corner-restored [side seam hemline]"}, kinds(back))
}

func TestLetOutAndTapered(t *testing.T) {
	d := compare(t, panel(300, 800), panel(310, 800))
	require.Equal(t, []string{"edge-moved [side seam]", "edge-run [waist]", "edge-run [hemline]"}, kinds(d))
	require.Equal(t, change.HowParallel, d.Changes[0].How)
	require.InDelta(t, 10, *d.Changes[0].By, 1e-6)
	b := panel(300, 800)
	b.Corners[2].At = geom.Pt(320, 800)
	d = compare(t, panel(300, 800), b)
	require.Equal(t, []string{"edge-moved [side seam]", "edge-run [hemline]"}, kinds(d))
	require.Equal(t, change.HowTapered, d.Changes[0].How)
	require.InDelta(t, 0, d.Changes[0].Ends[0], 0.01)
	require.InDelta(t, 20, d.Changes[0].Ends[1], 0.02)
	require.InDelta(t, 8000, d.Added, 1e-6) // triangle ½·20·800
}

func TestDividedElsewhereIsSame(t *testing.T) {
	curve := geom.Cubic{P0: geom.Pt(300, 0), P1: geom.Pt(280, 250), P2: geom.Pt(330, 500), P3: geom.Pt(320, 800)}
	shape := func(side geom.Path) *pattern.Piece {
		return build("panel", skirtEdges, geom.Polyline(geom.Pt(0, 0), geom.Pt(300, 0)), side,
			geom.Polyline(geom.Pt(320, 800), geom.Pt(0, 800)), geom.Polyline(geom.Pt(0, 800), geom.Pt(0, 0)))
	}
	p, q := curve.Split(0.37)
	d := compare(t, shape(geom.Path{curve}), shape(geom.Path{p, q}))
	require.Equal(t, change.Same, d.State, kinds(d))
	require.Zero(t, d.Added+d.Removed)
}

func TestMovedOnTheSheetIsSame(t *testing.T) {
	a := panel(300, 800)
	a.Corners[1].At = geom.Pt(280, 10)
	m := geom.Motion{Turn: geom.Degrees(30), Shift: geom.Pt(40, -25)}
	d := compare(t, a, a.Moved(m))
	require.Equal(t, change.Same, d.State, kinds(d))
	back := m.Inverse()
	require.InDelta(t, geom.InDegrees(back.Turn), d.Placement.Turn, 1e-3)
	require.InDelta(t, back.Shift.X, d.Placement.DX, 0.01)
	require.InDelta(t, back.Shift.Y, d.Placement.DY, 0.01)
}

func TestRedrawn(t *testing.T) {
	b := panel(300, 800)
	b.Edges[1].SetPath(geom.Path{{P0: geom.Pt(300, 0), P1: geom.Pt(340, 266), P2: geom.Pt(340, 533), P3: geom.Pt(300, 800)}})
	d := compare(t, panel(300, 800), b)
	require.Equal(t, []string{"edge-redrawn [side seam]"}, kinds(d))
	require.InDelta(t, 30, *d.Changes[0].Max, 0.01) // ¾ of the handles' height at the middle of a symmetrical cubic
	require.InDelta(t, 400, d.Changes[0].At[1], 1)
}

// A quarter-circle hem about the origin shortened by 50: the strip between
// the radii 600 and 550 is π/4·(600² − 550²), but for the cubics' excess of
// 2.8e-4.
func TestCircularHem(t *testing.T) {
	circle := func(r float64) *pattern.Piece {
		arc := geom.Arc(geom.Pt(0, 0), r, 0, math.Pi/2)
		arc[0].P0, arc[len(arc)-1].P3 = geom.Pt(r, 0), geom.Pt(0, r)
		return build("skirt", skirtEdges, geom.Arc(geom.Pt(0, 0), 120, math.Pi/2, -math.Pi/2),
			geom.Polyline(geom.Pt(120, 0), geom.Pt(r, 0)), arc, geom.Polyline(geom.Pt(0, r), geom.Pt(0, 120)))
	}
	a, b := circle(600), circle(550)
	for _, p := range []*pattern.Piece{a, b} {
		p.Corners[0].At, p.Corners[1].At = geom.Pt(0, 120), geom.Pt(120, 0)
	}
	d := compare(t, a, b)
	require.Equal(t, "edge-moved [hemline]", kinds(d)[0])
	require.Equal(t, change.HowParallel, d.Changes[0].How)
	require.InDelta(t, -50, *d.Changes[0].By, 0.2)
	require.InDelta(t, 0.7856180832*(600*600-550*550), d.Removed, 1e-3)
}

func TestNotchesMarksAndSettings(t *testing.T) {
	a := panel(300, 800)
	a.Edges[1].Allowance = map[string]float64{"cloth": 15}
	a.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 200, Count: 1}, {Name: "old", Edge: "waist", At: 50, Count: 1}}
	a.Marks = []pattern.Mark{{Kind: pattern.MarkButton, Name: "top button", At: geom.Pt(20, 40), Size: 15}, {Kind: pattern.MarkText, Name: "note", At: geom.Pt(50, 50), Text: "cut two"}}
	a.Grain = &pattern.Grain{From: geom.Pt(150, 100), To: geom.Pt(150, 700)}
	b := a.Clone()
	b.Edges[1].Allowance["cloth"] = 20
	b.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 215, Count: 1}, {Name: "new", Edge: "hemline", At: 10, Count: 1}}
	b.Marks[0].At = geom.Pt(23, 44)
	b.Marks[1].Text = "cut one"
	b.Grain.To = geom.Pt(150, 100).Add(geom.Pt(0, 600).Turn(geom.Degrees(5)))
	b.Cut = pattern.CutPair
	d := compare(t, a, b)
	require.Equal(t, []string{"notch-moved [side seam]", "notch-removed [waist]", "notch-added [hemline]",
		"mark-moved []", "mark-changed []", "cutting-changed []", "allowance-changed [side seam]", "grain-turned []"}, kinds(d))
	require.InDelta(t, 15, *d.Changes[0].By, 1e-9)
	require.Equal(t, &change.XY{3, 4}, d.Changes[3].ByVector)
	require.InDelta(t, 5, *d.Changes[7].Turn, 1e-6)
	require.Equal(t, "1.5 cm", d.Changes[6].Before)
}

func TestPiecesAddedRemovedRenamed(t *testing.T) {
	a, b := pattern.New("p", units.Centimetre), pattern.New("p", units.Centimetre)
	old, kept, renamed, fresh := panel(100, 100), panel(200, 100), panel(300, 100), panel(50, 60)
	old.Name, old.Slug, old.ID = "old", "old", "00000001"
	kept.Name, kept.Slug, kept.ID = "kept", "kept", "00000002"
	renamed.Name, renamed.Slug, renamed.ID = "before", "before", "00000003"
	fresh.Name, fresh.Slug, fresh.ID = "fresh", "fresh", "00000004"
	a.Put(old)
	a.Put(kept)
	a.Put(renamed)
	after := renamed.Clone()
	after.Name = "after"
	b.Put(kept.Clone())
	b.Put(after)
	b.Put(fresh)
	d, err := Patterns(a, b, change.Version{Number: 1}, change.Version{Working: true})
	require.NoError(t, err)
	states := map[string]change.State{}
	for _, p := range d.Pieces {
		states[p.Piece] = p.State
	}
	require.Equal(t, map[string]change.State{"old": change.Removed, "kept": change.Same, "after": change.Renamed, "fresh": change.Added}, states)
}

func TestWords(t *testing.T) {
	parts := Words("take the hem up 6 cm at the back", "take the hem up 5 cm at the  back, evenly")
	var before, after string
	for _, p := range parts {
		if p.State != change.Added {
			before += p.Text
		}
		if p.State != change.Removed {
			after += p.Text
		}
	}
	require.Equal(t, "take the hem up 6 cm at the back", before)
	require.Equal(t, "take the hem up 5 cm at the  back, evenly", after)
	require.Contains(t, parts, change.TextPart{State: change.Removed, Text: "6"})
	require.Contains(t, parts, change.TextPart{State: change.Added, Text: "5"})
}

// Seen in use: a sleeve's wrist taken up by 50, its new corners written to a
// tenth of a millimetre, so that both underarm seams turn by a hair and lie
// 0.0125 mm off. The seams are cut shorter all the same, and the sleeve stays
// where it lies.
func TestCornersWrittenToATenth(t *testing.T) {
	sleeve := func(x, y float64) *pattern.Piece {
		head := geom.Path{{P0: geom.Pt(-190, 0), P1: geom.Pt(-105, -10), P2: geom.Pt(-95, -160), P3: geom.Pt(0, -160)},
			{P0: geom.Pt(0, -160), P1: geom.Pt(90, -160), P2: geom.Pt(95, -10), P3: geom.Pt(190, 0)}}
		return build("sleeve", []string{"head", "back seam", "wrist", "front seam"}, head,
			geom.Polyline(geom.Pt(190, 0), geom.Pt(x, y)), geom.Polyline(geom.Pt(x, y), geom.Pt(-x, y)),
			geom.Polyline(geom.Pt(-x, y), geom.Pt(-190, 0)))
	}
	a := sleeve(120, 520)
	x := 190 - 70*470./520 + 0.0125
	d := compare(t, a, sleeve(math.Round(x*1000)/1000, 470))
	require.Equal(t, change.Placement{}, d.Placement)
	require.Equal(t, []string{"edge-moved [wrist]", "edge-run [back seam]", "edge-run [front seam]"}, kinds(d))
	require.InDelta(t, -50, *d.Changes[0].By, 1e-6)
	require.InDelta(t, -50*math.Hypot(70, 520)/520, *d.Changes[1].By, 0.02)
}

// A change of three hundredths alone is still a change, and told in words.
func TestSmallestChange(t *testing.T) {
	b := panel(300, 800)
	b.Corners[1].At.X, b.Corners[2].At.X = 300.03, 300.03
	d := compare(t, panel(300, 800), b)
	require.Equal(t, change.Altered, d.State)
	require.Equal(t, "edge-moved [side seam]", kinds(d)[0])
	require.InDelta(t, 0.03, *d.Changes[0].By, 1e-6)
	require.Contains(t, d.Changes[0].Says, "let out 0.003 cm")
	b.Corners[1].At.X, b.Corners[2].At.X = 300.009, 300.009
	require.Equal(t, change.Same, compare(t, panel(300, 800), b).State)
}
