package pattern

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/units"
)

// straightEdges are edges without inner nodes, named as given.
func straightEdges(names ...string) []Edge {
	edges := make([]Edge, len(names))
	for i, n := range names {
		edges[i] = Edge{Name: n, Handles: []*Handles{nil}}
	}
	return edges
}

func cornersAt(points ...geom.Point) []Corner {
	corners := make([]Corner, len(points))
	for i, q := range points {
		corners[i].At = q
	}
	return corners
}

// oblong is a piece of the width and height in mm with its first corner at
// the origin; its edges are top, right, bottom, left.
func oblong(name string, width, height float64) *Piece {
	return &Piece{Name: name, Slug: Slug(name, nil), Cut: CutOne,
		Corners: cornersAt(geom.Pt(0, 0), geom.Pt(width, 0), geom.Pt(width, height), geom.Pt(0, height)),
		Edges:   straightEdges("top", "right", "bottom", "left")}
}

// richFront uses every field that a piece has.
func richFront() *Piece {
	p := oblong("front", 300, 800)
	p.ID, p.Was, p.Cloth, p.Cut, p.Side, p.DrawnWithin = "0f3a9c21", "00000e10", "outer", CutOnFold, "left", 0.125
	p.Grain = &Grain{From: geom.Pt(60, 100), To: geom.Pt(60, 700), OneWay: true, Bias: true}
	p.Corners[0] = Corner{At: geom.Pt(0, 0), Name: "centre neck", Meant: true, Style: CornerSquareBefore}
	p.Corners[2] = Corner{At: geom.Pt(300, 800), Round: 40, Style: CornerFoldedBack}
	p.Corners[3].Style = CornerSquareAfter
	top := &p.Edges[0]
	top.ID, top.Was, top.Allowance = "11111111", "22222222", map[string]float64{"cloth": 10, "toile": 20.5}
	top.Nodes = []geom.Point{geom.Pt(100, 30.125)}
	top.Handles = []*Handles{{geom.Pt(40, 0), geom.Pt(80, 30)}, {geom.Pt(150, 30.5), geom.Pt(250, -10)}}
	p.Edges[1].ID, p.Edges[1].Nodes, p.Edges[1].Handles = "33333333", []geom.Point{geom.Pt(310, 400)}, []*Handles{nil, nil}
	p.Edges[2].ID, p.Edges[2].Hem = "44444444", true
	p.Edges[3].ID, p.Edges[3].Fold = "55555555", true
	p.Notches = []Notch{{Name: "hip", Edge: "right", At: 210.5, Count: 1}, {Name: "12", Edge: "right", At: 100, FromEnd: true, Count: 2}}
	line := geom.Path{geom.Line(geom.Pt(20, 100), geom.Pt(40, 100)), {P0: geom.Pt(40, 100), P1: geom.Pt(50, 110), P2: geom.Pt(60, 130), P3: geom.Pt(70, 100)}}
	p.Marks = []Mark{
		{Kind: MarkButton, Name: "button 1", At: geom.Pt(15, 50), Size: 18},
		{Kind: MarkButtonhole, Name: "hole 1", Path: geom.Path{geom.Line(geom.Pt(10, 60), geom.Pt(30, 60))}},
		{Kind: MarkDot, Name: "dot", At: geom.Pt(-0.001, 5)},
		{Kind: MarkSlit, Name: "slit", Path: line[:1]},
		{Kind: MarkPlacement, Name: "pocket", Path: line},
		{Kind: MarkFoldLine, Name: "facing fold", Path: line[1:]},
		{Kind: MarkDart, Name: "side dart", At: geom.Pt(150, 350), Edge: "right", From: 300, To: 330},
		{Kind: MarkPleat, Name: "hem pleat", Edge: "bottom", From: 0, To: 40, Direction: towardsEnd},
		{Kind: MarkText, Name: "yes", At: geom.Pt(100, 400), Text: "cut here:\n\n  \"two\" # layers\n"},
	}
	p.Lines = []ReferenceLine{{Name: "centre front", Path: line}}
	return p
}

// richPattern uses every field of the model. Its names are such as other
// readers of YAML take for numbers, truth values or nothing.
func richPattern(t *testing.T) *Pattern {
	t.Helper()
	p := New("orchard smock", units.Millimetre)
	p.Sets = []string{"cloth", "toile", "no"}
	p.Tolerances = Tolerances{Section: 1.25, Corner: geom.Degrees(22.5)}
	p.Put(richFront())
	back := oblong("null", 300, 800)
	back.Notches = []Notch{{Name: "~", Edge: "left", At: 250, Count: 1}}
	p.Put(back)
	p.Put(oblong("1e3", 100, 100))
	p.Seams = []Seam{
		{Name: "side seam", First: Chain{{Piece: "front", Edge: "right", To: 780.5}}, Second: Chain{{Piece: "null", Edge: "left"}, {Piece: "1e3", Edge: "top", From: 10, To: 20, Turned: true}},
			Sections: []Section{{First: NotchRef{"front", "hip"}, Second: NotchRef{"null", "~"}, Ease: -2.5}, {Gathered: true}},
			Openings: []Opening{{Name: "pocket mouth", From: 0, To: 150, Least: 140}}, Finish: "felled"},
		{Name: "off", First: Chain{{Piece: "null", Edge: "top"}}, Second: Chain{{Piece: "null", Edge: "bottom"}}, SameWay: true},
	}
	p.Layers = []Layer{{Outer: "front", Inner: []string{"null", "1e3"}, Band: true, Differences: []Difference{{What: "back pleat\nand turn of cloth", By: 25}, {What: "hem", By: -20, Piece: "null", Edge: "bottom"}}}}
	at := geom.Pt(12.5, 300)
	left, right := 0.0, 8.25
	p.Fittings = []*Fitting{
		{Number: 1, ID: "abcdef01", Date: "2026-05-14", Cloth: "old sheet", Worn: "thin shirt", Closures: "all", Version: 3, Notes: []Note{
			{Number: 1, Piece: "front", Edge: "right", At: &at, Seen: "pulls \U0001F34E here", Pinned: 12.5, Side: WearerLeft, ToDo: "let out", Answered: 4},
			{Number: 2, Seen: "", Side: WearerBoth},
			{Number: 4, Piece: "front", Place: "8cm from \u2018left\u2019", OnToile: true, Seen: "gapes", Left: &left, Right: &right, Pinch: true, Side: WearerBoth,
				Again: []SeenAgain{{Fitting: 2, After: 4}, {Fitting: 12, After: 5, Seen: "less: than before"}}}},
			Wearer: "no", Measures: map[string]float64{"waist": 700.125, "~": 12}, TakenAway: []int{3, 5}},
		{Number: 12, ID: "00001234", Date: ""},
	}
	for _, q := range p.Pieces {
		p.GiveIDs(q)
		require.NoError(t, q.Validate())
	}
	return p
}

// encode prints the pattern; that must succeed.
func encode(t *testing.T, p *Pattern) map[string][]byte {
	t.Helper()
	files, err := p.Encode()
	require.NoError(t, err)
	return files
}

// nan is not a number.
var nan = math.NaN()
