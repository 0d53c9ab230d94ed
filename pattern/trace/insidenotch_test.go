package trace

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// across is a piece whose side seam, at x = 249.8 mm, runs down from 100 to
// 700, and what is drawn at it.
func across(content string) string {
	return `<path id="back" d="M 20,100 H 249.8 V 700 H 20 Z"/>` + content
}

// A stroke across the sewing line is a notch where they cross: x = 249.8 and
// the stroke's y, by hand.
func TestStrokeAcrossIsANotch(t *testing.T) {
	for stroke, want := range map[string]Notch{
		`<path id="path1" d="M247 400 h10"/>`:                 {At: geom.Pt(249.8, 400)},
		`<path id="path1" d="M244.77 400 h10"/>`:              {At: geom.Pt(249.8, 400)},
		`<path id="path1" d="M257 400 h-10"/>`:                {At: geom.Pt(249.8, 400)},
		`<path id="path1" d="M237.3 400 h25"/>`:               {At: geom.Pt(249.8, 400)},
		`<path id="waist" d="M245.8 398 l8 4"/>`:              {At: geom.Pt(249.8, 400), Name: "waist"},
		`<path id="path1" d="M247 400 h10 z"/>`:               {At: geom.Pt(249.8, 400)},
		`<line id="line2" x1="30" x2="30" y1="95" y2="104"/>`: {At: geom.Pt(30, 100)},
	} {
		o := outlineOf(t, mustRead(t, across(stroke)), "back")
		require.Len(t, o.Notches, 1, stroke)
		assert.Equal(t, []Notch{want}, near(o.Notches), stroke)
		assert.Empty(t, o.Lines, stroke)
	}
}

// What is longer, or not across, or called a grain or fold line, or goes
// right over a narrow piece, stays a line.
func TestStrokeThatIsALine(t *testing.T) {
	for stroke, lines := range map[string]int{
		`<path id="path1" d="M220 400 h34"/>`:                                 1,
		`<path id="path1" d="M230 400 h15"/>`:                                 1,
		`<path id="grain" d="M245 400 h8"/>`:                                  1,
		`<path id="fold line" d="M245 400 h8"/>`:                              1,
		`<path id="path1" d="M240 400 h9.8"/>`:                                1, // only its end on the outline
		`<path id="path1" d="M255 400 h10"/>`:                                 0,
		`<path id="path1" d="M240 400 l12 0 l -2.5 4 l 0.5 4 l -1 0 l 2 0"/>`: 1, // across more than twice
	} {
		o := outlineOf(t, mustRead(t, across(stroke)), "back")
		assert.Empty(t, o.Notches, stroke)
		assert.Len(t, o.Lines, lines, stroke)
	}
	strap := outlineOf(t, mustRead(t, `<rect id="strap" x="100" y="100" width="16" height="400"/>
		<path id="path1" d="M98 200 h20"/>`), "strap")
	assert.Empty(t, strap.Notches)
	assert.Len(t, strap.Lines, 1)
}

// Signs with two legs: the notch lies in the middle between the two places
// where they meet the side seam, here y = 400 by symmetry.
func TestTriangleIsANotch(t *testing.T) {
	for what, sign := range map[string]string{
		"triangle across":               `<path id="path1" d="M253 397 L245 400 L253 403 Z"/>`,
		"triangle standing on the line": `<path id="path1" d="M249.8 397 v6 l6 -3 Z"/>`,
		"triangle beside the line":      `<path id="path1" d="M250.1 397 v6 l6 -3 Z"/>`,
		"polygon":                       `<polygon points="247,397 255,400 247,403"/>`,
		"V across":                      `<path id="path1" d="M253 396 L245 400 L253 404"/>`,
		"V the other way":               `<path id="path1" d="M247 396 L255 400 L247 404"/>`,
		"V resting":                     `<path id="path1" d="M249.8 397 l6 3 l-6 3"/>`,
	} {
		for _, all := range []bool{false, true} {
			d, err := readString(sheetMM(across(sign)), Options{All: all})
			require.NoError(t, err, what)
			assert.Equal(t, []string{"back"}, names(d), what)
			o := outlineOf(t, d, "back")
			assert.Equal(t, []Notch{{At: geom.Pt(249.8, 400)}}, near(o.Notches), what)
			assert.Empty(t, o.Lines, what)
			assert.Empty(t, d.Ignored, what)
		}
	}
}

// Triangles that are no notches: with a label a piece, inside said and left
// out, with All a piece of its own.
func TestTriangleThatIsNoNotch(t *testing.T) {
	inside := `<path id="path1" d="M150 396 L145 400 L150 404 Z"/>`
	d := mustRead(t, across(inside))
	assert.Empty(t, d.Outlines[0].Notches)
	require.Len(t, d.Ignored, 1)
	assert.Contains(t, d.Ignored[0], `closed and without a name, inside "back"`)
	d, err := readString(sheetMM(inside+across(``)), Options{All: true})
	require.NoError(t, err)
	assert.Equal(t, []string{"path1", "back"}, names(d), "in the order of the file")
	d = mustRead(t, across(`<path id="tab" d="M253 397 L245 400 L253 403 Z"/>`))
	assert.Equal(t, []string{"back", "tab"}, names(d))
	d = mustRead(t, across(`<path id="path1" d="M260 390 L240 400 L260 410 Z"/>`))
	assert.Empty(t, d.Outlines[0].Notches, "more than 25 mm round")
}

// A stroke across a line that two pieces share is a notch of both; across
// two lines side by side, of the one nearer to its middle.
func TestStrokeAcrossTwoPieces(t *testing.T) {
	d := mustRead(t, `<rect id="left" width="200" height="300"/><rect id="right" x="200" width="200" height="300"/>
		<rect id="apart" x="403" width="100" height="300"/>
		<path id="path1" d="M 196,100 h 8"/><path id="path2" d="M 395,150 h 11"/>`)
	assert.Equal(t, []Notch{{At: geom.Pt(200, 100)}}, near(outlineOf(t, d, "left").Notches))
	assert.Equal(t, []Notch{{At: geom.Pt(200, 100)}, {At: geom.Pt(400, 150)}}, near(outlineOf(t, d, "right").Notches))
	assert.Empty(t, outlineOf(t, d, "apart").Notches)
}

// Seen in use: a V on a slanting side seam, one leg's end half a millimetre
// inside and the other on it. The seam runs from (240, 245) to (275, 800); the
// ends' feet lie about (249.54, 396) and (250.02, 404), the notch between.
func TestVBesideASlantingLine(t *testing.T) {
	o := outlineOf(t, mustRead(t, `<path id="p" d="M 0 25 C 40 25 70 18 80 0 L 215 40 C 190 110 180 200 240 245 L 275 800 L 0 800 Z"/>
		<path id="hip" d="M 249 396 L 243 400 L 250 404"/>`), "p")
	require.Len(t, o.Notches, 1)
	assert.Empty(t, o.Lines)
	assert.Equal(t, "hip", o.Notches[0].Name)
	assert.InDelta(t, 0, o.Notches[0].At.Dist(geom.Pt(240+35*155./555, 400)), 0.05)
}

// At the outline's own start, where its last curve meets its first, a stroke
// still crosses once.
func TestStrokeAcrossTheStart(t *testing.T) {
	o := outlineOf(t, mustRead(t, `<path id="back" d="M 249.8,400 V 700 H 20 V 100 H 249.8 Z"/><path id="path1" d="M247 400 h10"/>`), "back")
	assert.Equal(t, []Notch{{At: geom.Pt(249.8, 400)}}, near(o.Notches))
}
