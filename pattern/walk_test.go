package pattern

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// cut returns a piece of the size with one allowance all round.
func cut(width, height, allowance float64) *Piece {
	p := oblong("front", width, height)
	for i := range p.Edges {
		p.Edges[i].Allowance = map[string]float64{"cloth": allowance}
	}
	return p
}

func cutArea(t *testing.T, p *Piece, set string) float64 {
	t.Helper()
	area, err := p.CutArea(set)
	require.NoError(t, err)
	return area
}

func TestCutAreas(t *testing.T) {
	// A + P·r + r²·Σtan(φ/2): parallel sets with mitred corners (Steiner;
	// derived). 40×60 with 1.5 is 2709; here in mm.
	assert.InDelta(t, 270900, cutArea(t, cut(400, 600, 15), "cloth"), 1e-6)
	assert.InDelta(t, 240000, cutArea(t, cut(400, 600, 15), "toile"), 1e-9, "no allowance in this set")

	// L shape 40×60 less a 20×30 corner, 1.5: 2109 (derived).
	l := &Piece{Name: "l", Cut: CutOne, Edges: straightEdges("a", "b", "c", "d", "e", "f"),
		Corners: cornersAt(geom.Pt(0, 0), geom.Pt(200, 0), geom.Pt(200, 300), geom.Pt(400, 300), geom.Pt(400, 600), geom.Pt(0, 600))}
	// triangle of side 10, 1: 78.497423 (derived).
	triangle := &Piece{Name: "triangle", Cut: CutOne, Edges: straightEdges("a", "b", "c"),
		Corners: cornersAt(geom.Pt(0, 0), geom.Pt(100, 0), geom.Pt(50, 50*math.Sqrt(3)))}
	for _, c := range []struct {
		piece *Piece
		by    float64
		want  float64
	}{{l, 15, 210900}, {triangle, 10, 7849.7423}} {
		for i := range c.piece.Edges {
			c.piece.Edges[i].Allowance = map[string]float64{"cloth": c.by}
		}
		assert.InDelta(t, c.want, cutArea(t, c.piece, "cloth"), 1e-3, c.piece.Name)
	}

	// A fold has none: sewing line 300×800, waist and side 15, hem 40, fold on
	// the left: 315×855 (derived).
	p := oblong("front", 300, 800)
	p.Edges[0].Allowance = map[string]float64{"cloth": 15}
	p.Edges[1].Allowance = map[string]float64{"cloth": 15}
	p.Edges[2].Allowance = map[string]float64{"cloth": 40}
	p.Edges[3].Fold, p.Edges[3].Allowance = true, map[string]float64{"cloth": 99}
	assert.InDelta(t, 315*855, cutArea(t, p, "cloth"), 1e-6)
	line, err := p.CuttingLine("cloth")
	require.NoError(t, err)
	assert.Len(t, line.Edge, len(line.Ring))
	assert.InDelta(t, 0, line.Ring.Box().Min.Dist(geom.Pt(0, -15)), 1e-9)
	assert.InDelta(t, 0, line.Ring.Box().Max.Dist(geom.Pt(315, 840)), 1e-9)

	// Rounded by r, 15 outside: the corner squares become a ring sector. The
	// cutting line keeps to the true parallel within CutTolerance.
	r := cut(400, 600, 15)
	r.Corners[2].Round = 40
	want := 430*630 - 55*55*(1-math.Pi/4)
	assert.InDelta(t, want, cutArea(t, r, "cloth"), 55*math.Pi/2*CutTolerance+1600*(cubicSector-math.Pi/4))
}

func TestAllowanceWiderThanAHollow(t *testing.T) {
	// A concave sewing line of radius 8 takes no allowance of 8 or more.
	p := oblong("front", 100, 100)
	p.Edges[0].SetPath(append(append(geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(42, 0))},
		geom.Arc(geom.Pt(50, 0), 8, math.Pi, -math.Pi)...), geom.Line(geom.Pt(58, 0), geom.Pt(100, 0))))
	require.NoError(t, p.Validate())
	p.Edges[0].Allowance = map[string]float64{"cloth": 9}
	_, err := p.CuttingLine("cloth")
	var problem *Problem
	require.ErrorAs(t, err, &problem)
	assert.Equal(t, PartEdge, problem.Part)
	assert.Equal(t, 0, problem.Index)
	assert.Contains(t, err.Error(), `front: edge "top": an allowance of 9 mm (set cloth) is wider than the hollow of radius`)
}

// twoSides are a front and a back whose sides are sewn together.
func twoSides() *Pattern {
	p := New("smock", "mm")
	front, back := oblong("front", 300, 800), oblong("back", 300, 830)
	front.Notches = []Notch{{Name: "hip", Edge: "right", At: 200, Count: 1}, {Name: "knee", Edge: "right", At: 100, FromEnd: true, Count: 1}}
	back.Notches = []Notch{{Name: "hip", Edge: "left", At: 205, FromEnd: true, Count: 2}, {Name: "knee", Edge: "left", At: 105, Count: 2}}
	p.Put(front)
	p.Put(back)
	p.Seams = []Seam{{Name: "side", First: Chain{{Piece: "front", Edge: "right"}}, Second: Chain{{Piece: "back", Edge: "left"}}}}
	return p
}

func walk(t *testing.T, p *Pattern, s *Seam) []SectionLength {
	t.Helper()
	require.NoError(t, p.ValidateSeam(s))
	sections, err := p.WalkSeam(s)
	require.NoError(t, err)
	for i := range sections { // lengths to a nanometre
		sections[i].First, sections[i].Second = math.Round(sections[i].First*1e6)/1e6, math.Round(sections[i].Second*1e6)/1e6
	}
	return sections
}

func TestWalkSeam(t *testing.T) {
	p := twoSides()
	s := &p.Seams[0]
	assert.Equal(t, []SectionLength{{Name: "whole", First: 800, Second: 830}}, walk(t, p, s))
	assert.Equal(t, 30.0, walk(t, p, s)[0].Difference(), "positive: the second is longer")

	// The back's left edge runs up, so it is walked from its end: hip at 205
	// from the end, knee at 105 from the start.
	s.Sections = []Section{
		{First: NotchRef{"front", "hip"}, Second: NotchRef{"back", "hip"}, Ease: 5},
		{First: NotchRef{"front", "knee"}, Second: NotchRef{"back", "knee"}, Gathered: true}, {}}
	assert.Equal(t, []SectionLength{
		{Name: "start to hip", First: 200, Second: 205, Ease: 5},
		{Name: "hip to knee", First: 500, Second: 520, Gathered: true},
		{Name: "knee to end", First: 100, Second: 105},
	}, walk(t, p, s))

	// The same way: both walked clockwise. The back's knee comes first then.
	s.SameWay = true
	assert.ErrorContains(t, p.ValidateSeam(s), "list the sections in sewing order")
	s.Sections = []Section{{First: NotchRef{"front", "hip"}, Second: NotchRef{"back", "knee"}}, {}}
	assert.Equal(t, []SectionLength{{Name: "start to hip", First: 200, Second: 105}, {Name: "hip to end", First: 600, Second: 725}}, walk(t, p, s))

	// A turned stretch is walked against its chain.
	s.SameWay, s.Second[0].Turned = false, true
	assert.Equal(t, 105.0, walk(t, p, s)[0].Second)
}

func TestWalkLeavesOutDartsAndPleats(t *testing.T) {
	p := twoSides()
	back, err := p.Piece("back")
	require.NoError(t, err)
	back.Marks = []Mark{
		{Kind: MarkDart, Name: "dart", Edge: "left", From: 700, To: 720, At: geom.Pt(100, 100)}, // above the hip
		{Kind: MarkPleat, Name: "pleat", Edge: "left", From: 300, To: 310, Direction: towardsStart},
		{Kind: MarkPleat, Name: "elsewhere", Edge: "top", From: 10, To: 50, Direction: towardsStart},
	}
	require.NoError(t, back.Validate())
	s := &p.Seams[0]
	assert.Equal(t, 800.0, walk(t, p, s)[0].Second, "830 less 20 and 10")
	s.Sections = []Section{{First: NotchRef{"front", "hip"}, Second: NotchRef{"back", "hip"}}, {}}
	w := walk(t, p, s)
	assert.Equal(t, []float64{185, 615}, []float64{w[0].Second, w[1].Second})

	// A stretch that ends within the dart leaves out its part of it.
	s.Sections, s.Second[0].From, s.Second[0].To = nil, 305, 705
	assert.Equal(t, 400.0-5-5, walk(t, p, s)[0].Second)
}

func TestWalkChains(t *testing.T) {
	p := twoSides()
	yoke := oblong("yoke", 300, 100)
	yoke.Notches = []Notch{{Name: "join", Edge: "right", At: 100, Count: 1}}
	p.Put(yoke)
	s := &Seam{Name: "long side", First: Chain{{Piece: "yoke", Edge: "right"}, {Piece: "front", Edge: "right", From: 50, To: 750}}, Second: Chain{{Piece: "back", Edge: "left"}},
		Sections: []Section{{First: NotchRef{"front", "hip"}, Second: NotchRef{"back", "hip"}}, {}}, Openings: []Opening{{Name: "pocket", From: 300, To: 450}}}
	w := walk(t, p, s)
	assert.Equal(t, []float64{250, 550}, []float64{w[0].First, w[1].First}, "100 of the yoke and 150 of the front")
	assert.Equal(t, "yoke/right+front/right", s.First.String())
	chain, err := p.ParseChain("yoke/2 + front/right:turned")
	require.NoError(t, err)
	assert.Equal(t, Chain{{Piece: "yoke", Edge: "right"}, {Piece: "front", Edge: "right", Turned: true}}, chain)
	for text, reason := range map[string]string{"yoke": "write PIECE/EDGE", "rear/left": `there is no piece "rear"`, "yoke/hem": `yoke has no edge "hem"`, "": "write PIECE/EDGE"} {
		_, err := p.ParseChain(text)
		assert.ErrorContains(t, err, reason)
	}
}

func TestOpeningsAreRefused(t *testing.T) {
	p := twoSides()
	s := &p.Seams[0]
	for reason, openings := range map[string][]Opening{
		"does not lie on front/right":       {{Name: "slit", From: 700, To: 900}},
		`two openings bear the name "slit"`: {{Name: "slit", To: 10}, {Name: "slit", From: 20, To: 30}},
		"is to measure at least -1 mm":      {{Name: "slit", To: 10, Least: -1}},
	} {
		s.Openings = openings
		assert.ErrorContains(t, p.ValidateSeam(s), reason)
	}
}

func TestRenameEdgeEverywhere(t *testing.T) {
	p := richPattern(t)
	front, err := p.Piece("front")
	require.NoError(t, err)
	p.RenameEdge(front, 1, "side")
	assert.Equal(t, "side", p.Seams[0].First[0].Edge)
	assert.Equal(t, []string{"side", "side"}, []string{front.Notches[0].Edge, front.Notches[1].Edge})
	assert.Equal(t, "side", front.Marks[6].Edge)
	assert.Equal(t, "side", p.Fittings[0].Notes[0].Edge)
	_, err = Decode(encode(t, p))
	assert.NoError(t, err)
	assert.Len(t, p.SeamsOf("front", "side"), 1)
	assert.Empty(t, p.SeamsOf("front", "right"))
}

func TestFindNote(t *testing.T) {
	p := richPattern(t)
	f, n, err := p.FindNote("1.2")
	require.NoError(t, err)
	assert.Equal(t, "1.2", f.Key(*n))
	for key, reason := range map[string]string{"1": "write FITTING.NOTE", "1.2x": "write FITTING.NOTE", "01.2": "write FITTING.NOTE", "1.3": "note 1.3 was taken away", "1.6": "fitting 1 has no note 6; it has 3", "7.1": "there is no fitting 7; the last is 12"} {
		_, _, err := p.FindNote(key)
		assert.ErrorContains(t, err, reason, key)
	}
	assert.Equal(t, 6, f.NextNote(), "no number is given twice")
	assert.Equal(t, 1, p.Fittings[1].NextNote())
	assert.Equal(t, 8.25, f.Notes[2].Apart())
	assert.Zero(t, n.Apart())
}

func TestHemFoldedBack(t *testing.T) {
	// Half-width 35, slope 1 in 6, hem 4 deep: turned up, the hem has to lie on
	// the sewing line, so its end is at 34.333333; run on it would be at
	// 35.666667 (derived). Here in mm.
	p := &Piece{Name: "skirt", Cut: CutOnFold, Edges: straightEdges("waist", "side", "hem", "centre"),
		Corners: cornersAt(geom.Pt(0, 0), geom.Pt(250, 0), geom.Pt(350, 600), geom.Pt(0, 600))}
	p.Edges[2].Allowance = map[string]float64{"cloth": 40}
	p.Edges[3].Fold = true
	for style, want := range map[CornerStyle]float64{"": 356.66667, CornerExtended: 356.66667, CornerFoldedBack: 343.33333} {
		p.Corners[2].Style = style
		require.NoError(t, p.Validate())
		line, err := p.CuttingLine("cloth")
		require.NoError(t, err)
		end := math.Inf(-1)
		for _, c := range line.Ring {
			if math.Abs(c.P0.Y-640) < 1e-9 {
				end = math.Max(end, c.P0.X)
			}
		}
		assert.InDelta(t, want, end, 1e-4, "%q", style)
	}
	assert.Equal(t, geom.SquaredFirst, CornerSquareBefore.offset())
	assert.Equal(t, geom.SquaredSecond, CornerSquareAfter.offset())
}

func TestPutAndFind(t *testing.T) {
	p := twoSides()
	wider := oblong("front", 310, 800)
	p.Put(wider)
	assert.Len(t, p.Pieces, 2, "in the place of the one with its slug")
	q, err := p.Piece(" front ")
	require.NoError(t, err)
	assert.Same(t, wider, q)
	_, err = New("empty", "mm").Piece("front")
	assert.ErrorContains(t, err, "the pattern has no pieces yet")
	_, err = p.Fitting(1)
	assert.ErrorContains(t, err, "the pattern has none yet")

	rich := richFront()
	assert.Equal(t, 2, rich.EdgeByID("44444444"))
	assert.Equal(t, -1, rich.EdgeByID("99999999"))
	assert.Equal(t, "centre neck", rich.CornerName(0))
	assert.Equal(t, "right/bottom", rich.CornerName(2))
	assert.Equal(t, []int{1, 2, 2}, []int{CutOne.Count(), CutPair.Count(), CutOnFold.Count()})
	assert.True(t, Stretch{Piece: "a", Edge: "b"}.Whole())
	assert.False(t, Stretch{Piece: "a", Edge: "b", To: 5}.Whole())
	assert.Equal(t, "a/b:turned", Stretch{Piece: "a", Edge: "b", Turned: true}.String())
	assert.Equal(t, "pieces/x.yaml: why", (&FileError{File: "pieces/x.yaml", Reason: "why"}).Error())
}
