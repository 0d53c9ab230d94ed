package album

import (
	"bytes"
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

func box(name string, corners ...geom.Point) *pattern.Piece {
	p := &pattern.Piece{Name: name, ID: "12345678", Slug: "pocket", Cut: pattern.CutPair}
	for i, at := range corners {
		p.Corners = append(p.Corners, pattern.Corner{At: at})
		p.Edges = append(p.Edges, pattern.Edge{Name: string(rune('a' + i)), Handles: []*pattern.Handles{nil}})
	}
	return p
}

// A piece keeps its track through another name, another place on the sheet,
// being removed and coming back; a note of its old name is found under the new
// one, at its place. The same rectangle lies turned by a right angle about the
// sheet's origin and shifted by (500, 0), so that its laying is known by hand.
func TestTracks(t *testing.T) {
	first := box("pocket", geom.Pt(0, 0), geom.Pt(160, 0), geom.Pt(160, 190), geom.Pt(0, 190))
	turned := box("patch pocket", geom.Pt(500, 0), geom.Pt(500, 160), geom.Pt(310, 160), geom.Pt(310, 0))
	back := geom.Motion{Turn: -math.Pi / 2, Shift: geom.Pt(0, 500)} // (x, y) to (y, 500 − x)
	at, turnedAt := geom.Pt(160, 190), geom.Pt(500, 160)
	step := func(old, now *pattern.Piece, laid geom.Motion) []Step {
		return []Step{{Old: old, New: now, Laid: laid, Diff: change.PieceDiff{Piece: "patch pocket", Old: old, New: now}}}
	}
	b := &Book{Name: "smock", Unit: units.Centimetre, Here: 3, Versions: []Version{
		{Number: 1, Parent: -1, Fitting: -1, Steps: step(nil, first, geom.Motion{})},
		{Number: 2, Parent: 0, Fitting: 0, Steps: step(first, turned, back)},
		{Number: 3, Parent: 1, Fitting: -1, Steps: step(turned, nil, geom.Motion{})},
		{Number: 4, Parent: 2, Fitting: -1, Steps: step(nil, first, geom.Motion{})},
	}, Fittings: []Fitting{{Number: 1, Sewn: 0, Since: 1, Notes: []Note{{Key: "1.1", Piece: "patch pocket", At: &at, Since: 1}}},
		{Number: 2, Sewn: 1, Since: 1, Notes: []Note{{Key: "2.1", Piece: "patch pocket", PieceID: "12345678", At: &turnedAt, Since: 1}}}}}

	tr := follow(b)
	require.Equal(t, []string{"pocket"}, tr.names, "one track, by its last name")
	require.Len(t, tr.outlines, 2, "each state once")
	require.Empty(t, tr.states[2])
	require.Equal(t, tr.states[0]["pocket"], tr.states[3]["pocket"])
	for i, c := range turned.Corners {
		laid := tr.states[1]["pocket"].laid.Apply(c.At)
		assert.InDelta(t, 0, laid.Dist(first.Corners[i].At), 1e-9)
	}

	shapes, err := shapesOf(tr)
	require.NoError(t, err)
	tr.names[0] = "patch pocket" // as if it still bore that name
	tr.placeNotes()
	d := dataOf(b, tr, shapes)
	require.Equal(t, 0, d.Notes[0].Track)
	require.Equal(t, &[2]float64{160, 190}, d.Notes[0].At)
	require.Equal(t, &[2]float64{160, 0}, d.Notes[1].At, "the second fitting had it turned")
	require.Equal(t, []any{0, 1, "matrix(0 -1 1 0 0 500)"}, d.Versions[1].Set[0])
	require.Equal(t, []any{0, -1}, d.Versions[2].Set[0])
	require.Equal(t, "M0 0L160 0L160 190L0 190L0 0Z", shapes[0].outline)

	var page bytes.Buffer
	require.NoError(t, Write(&page, b))
	require.Contains(t, page.String(), Mark)
}

// Amounts stand in both units. 40 mm are 1.5748 in, nearest to 1 9/16 (1.5625) of
// the sixteenths, and 1 in is 25.4 mm by definition (international yard and pound
// agreement, 1959). A pattern in inches keeps its own figures.
func TestFiguresInBothUnits(t *testing.T) {
	by, turn := -40.0, 5.73
	swung := change.Change{Kind: change.EdgeSwung, By: &by, Turn: &turn}
	require.Equal(t, []figure{{"1.575 in", "4 cm", "4 cm · 1.575 in"}, {"5.73°", "5.73°", "5.73°"}}, figuresOf(change.PieceDiff{}, swung, units.Inch))
	require.Equal(t, figure{"4 cm", "1 9/16 in", "4 cm · 1 9/16 in"}, figuresOf(change.PieceDiff{}, swung, units.Centimetre)[0])
	radius := [2]float64{0, 25.4}
	require.Equal(t, "radius 2.54 cm · 1 in", figureLine(figuresOf(change.PieceDiff{}, change.Change{Radius: &radius}, units.Centimetre)))
	radius[0] = 12.7
	require.Equal(t, "radius 2.54 cm · 1 in, was 1.27 cm · 1/2 in", figureLine(figuresOf(change.PieceDiff{}, change.Change{Radius: &radius}, units.Centimetre)))
	open := [2]float64{0, 20}
	require.Equal(t, []figure{{"0 cm to +2 cm", "0 in to +13/16 in", "0 cm · 0 in to 2 cm · 13/16 in"}}, figuresOf(change.PieceDiff{}, change.Change{Open: &open}, units.Centimetre))
	require.Equal(t, "0.2 cm · 0.08 in", lengths{units.Centimetre}.both(2), "below a quarter of an inch")
}

// An edge that was run on at both ends has each figure at its own end.
func TestBothEndsOfAnEdge(t *testing.T) {
	was, is := geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(100, 0))}, geom.Path{geom.Line(geom.Pt(-30, 0), geom.Pt(130, 0))}
	for _, end := range []struct{ at, toward geom.Point }{{was.Start(), is.Start()}, {was.End(), is.End()}} {
		c := change.Change{Kind: change.EdgeRun, At: change.At(end.at), OldPath: was, NewPath: is}
		got, ok := placeOf(change.PieceDiff{}, c)
		require.True(t, ok)
		assert.Less(t, got.at.Dist(end.toward), 30.0)
	}
}

// Rings of eight places close to each other lie in the drawing and apart.
func TestPinsLieApart(t *testing.T) {
	sheet := geom.EmptyBox().Union(geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(300, 200))}.Box())
	d := &drawing{box: sheet, plot: sheet}
	var at []spot
	for k := range 8 {
		at = append(at, spot{text: strconv.Itoa(k + 1), at: geom.Pt(140+float64(k%3)*4, 100+float64(k/3)*4), note: k > 5})
	}
	d.pin(at)
	require.Len(t, d.Pins, 8)
	for i, p := range d.Pins {
		x, y := parse(t, p.AtX), parse(t, p.AtY)
		assert.True(t, x > 0 && x < 300 && y > 0 && y < 200)
		for _, q := range d.Pins[:i] {
			assert.Greater(t, math.Hypot(x-parse(t, q.AtX), y-parse(t, q.AtY)), 2*300*pinSize)
		}
	}
}

func parse(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}
