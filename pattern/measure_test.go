package pattern

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/units"
)

// polygonPiece is a piece of straight edges named by the letters a, b, c…
func polygonPiece(cut Cut, points ...geom.Point) *Piece {
	p := &Piece{Name: "front", Cut: cut, Cloth: "outer"}
	for i, q := range points {
		p.Corners = append(p.Corners, Corner{At: q})
		p.Edges = append(p.Edges, Edge{Name: string(rune('a' + i)), Handles: []*Handles{nil}})
	}
	return p
}

func rectangle() *Piece {
	return polygonPiece(CutOne, geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
}

func TestFindSpot(t *testing.T) {
	p := rectangle()
	p.Notches = []Notch{{Name: "knee", Edge: "b", At: 250, Count: 1}, {Name: "low", Edge: "b", At: 100, FromEnd: true, Count: 1}}
	p.Marks = []Mark{
		{Kind: MarkButton, Name: "first button", At: geom.Pt(20, 30)},
		{Kind: MarkSlit, Name: "slit", Path: geom.Polyline(geom.Pt(5, 6), geom.Pt(5, 90))},
	}
	for text, want := range map[string]geom.Point{
		"a/b":          geom.Pt(300, 0),
		"b/a":          geom.Pt(300, 0),
		"d/a":          geom.Pt(0, 0),
		"knee":         geom.Pt(300, 250),
		"low":          geom.Pt(300, 700),
		"notch:knee":   geom.Pt(300, 250),
		"first button": geom.Pt(20, 30),
		"slit":         geom.Pt(5, 6),
		"c@5cm":        geom.Pt(250, 800),
		"3@5":          geom.Pt(250, 800),
		"1,2.5":        geom.Pt(10, 25),
		"12mm, 1in":    geom.Pt(12, 25.4),
	} {
		s, err := p.FindSpot(text, units.Centimetre)
		require.NoError(t, err, text)
		assert.InDelta(t, 0, s.At.Dist(want), 1e-9, "%s: %v", text, s.At)
	}
	for text, says := range map[string]string{
		"nowhere":      `front has no place "nowhere"; write a corner as EDGE/EDGE, the name of a notch or a mark, EDGE@LENGTH, X,Y, or "8cm from LINE, 12cm from LINE"; its edges are "a", "b", "c", "d"`,
		"a/c":          `front has no place "a/c"`,
		"notch:button": `front has no notch "button"`,
		"b@81cm":       `front, "b": 81 cm lies off the edge, which is 80 cm long; give a length within it`,
		"z@1cm":        `front has no edge "z"`,
		"1,wide":       `"wide"`,
	} {
		_, err := p.FindSpot(text, units.Centimetre)
		assert.ErrorContains(t, err, says, text)
	}
}

func TestFindSpotAsksWhichOfTwo(t *testing.T) {
	p := rectangle()
	p.Notches = []Notch{{Name: "waist", Edge: "b", At: 250, Count: 1}}
	p.Marks = []Mark{{Kind: MarkDot, Name: "waist", At: geom.Pt(20, 30)}}
	_, err := p.FindSpot("waist", units.Centimetre)
	assert.EqualError(t, err, `front: "waist" is the name of 2 things; write corner:waist, notch:waist or mark:waist`)
	s, err := p.FindSpot("mark:waist", units.Centimetre)
	require.NoError(t, err)
	assert.Equal(t, geom.Pt(20, 30), s.At)
}

// A right angle rounded by r takes r(2 − π/2) off the way round, and the
// middle of its arc lies r(√2 − 1) from the corner.
func TestAlongOutlineRounded(t *testing.T) {
	p := rectangle()
	p.Corners[1].Round = 40
	from, err := p.FindSpot("d/a", units.Millimetre)
	require.NoError(t, err)
	to, err := p.FindSpot("b/c", units.Millimetre)
	require.NoError(t, err)
	clockwise, other, err := p.AlongOutline(from, to)
	require.NoError(t, err)
	// The cubic that stands for the arc is up to 2.73e-4 of r off (geom.ArcHandle).
	assert.InDelta(t, 1100-40*(2-math.Pi/2), clockwise, 0.01)
	assert.InDelta(t, 1100, other, 1e-6)

	back, forth, err := p.AlongOutline(to, from)
	require.NoError(t, err)
	assert.InDelta(t, clockwise, forth, 1e-9)
	assert.InDelta(t, other, back, 1e-9)

	middle, err := p.FindSpot("a/b", units.Millimetre)
	require.NoError(t, err)
	assert.InDelta(t, 40*(math.Sqrt2-1), middle.At.Dist(geom.Pt(300, 0)), 0.011)

	inside := Spot{Name: "a place inside", At: geom.Pt(100, 100)}
	_, _, err = p.AlongOutline(from, inside)
	assert.EqualError(t, err, "front: a place inside lies 100 mm off the outline; measure it with --straight")
	same, whole, err := p.AlongOutline(from, from)
	require.NoError(t, err)
	assert.Zero(t, same)
	assert.InDelta(t, 2200-40*(2-math.Pi/2), whole, 0.01)
}

// A trapezium with sides 200 and 400 over a height of 500 is 200 + 200·y/500
// wide at y.
func TestWidthAt(t *testing.T) {
	trapezium := polygonPiece(CutOne, geom.Pt(100, 0), geom.Pt(300, 0), geom.Pt(400, 500), geom.Pt(0, 500))
	for level, want := range map[float64]float64{0: 200, 125: 250, 250: 300, 500: 400, -1: 0, 501: 0} {
		got, err := trapezium.WidthAt(level)
		require.NoError(t, err)
		assert.InDelta(t, want, got, 1e-5, "at %v", level)
	}
	top, err := trapezium.Top()
	require.NoError(t, err)
	assert.InDelta(t, 0, top, 1e-9)
	assert.InDelta(t, 500, trapezium.EdgeLevel(2), 1e-9)

	trapezium.Marks = []Mark{{Kind: MarkDart, Name: "dart", Edge: "a", From: 90, To: 110, At: geom.Pt(200, 100)}}
	got, err := trapezium.WidthAt(50) // the dart is 10 wide at half its height
	require.NoError(t, err)
	assert.InDelta(t, 210, got, 1e-5)
}

// Turning the sheet turns the grain line too, and no width changes.
func TestWidthAtFollowsTheGrain(t *testing.T) {
	p := polygonPiece(CutOne, geom.Pt(100, 0), geom.Pt(300, 0), geom.Pt(400, 500), geom.Pt(0, 500))
	p.Grain = &Grain{From: geom.Pt(200, 100), To: geom.Pt(200, 400)}
	for _, turn := range []float64{0.3, 2, -1.1, math.Pi} {
		q := p.Moved(geom.Motion{Turn: turn, Shift: geom.Pt(31, -17)})
		top, err := q.Top()
		require.NoError(t, err)
		got, err := q.WidthAt(top + 125)
		require.NoError(t, err)
		assert.InDelta(t, 250, got, 1e-5, "turned by %v", turn)
	}
}

// A piece with a bay is crossed twice: 80 and 80 of its 300.
func TestWidthAtCountsEveryStretch(t *testing.T) {
	p := polygonPiece(CutOne, geom.Pt(0, 0), geom.Pt(80, 0), geom.Pt(80, 100), geom.Pt(220, 100),
		geom.Pt(220, 0), geom.Pt(300, 0), geom.Pt(300, 200), geom.Pt(0, 200))
	for level, want := range map[float64]float64{50: 160, 100: 300, 150: 300} {
		got, err := p.WidthAt(level)
		require.NoError(t, err)
		assert.InDelta(t, want, got, 1e-5, "at %v", level)
	}
}
