package trace

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// cornersOf reads a drawing with one square of 100 × 100 user units at the
// user space's origin and gives where its corners 0 and 2 come out, in mm.
func cornersOf(t *testing.T, root string, o Options) (geom.Point, geom.Point) {
	t.Helper()
	d, err := readString(`<svg xmlns="http://www.w3.org/2000/svg" `+root+`><path id="p" d="M 0 0 h 100 v 100 h -100 z"/></svg>`, o)
	require.NoError(t, err, root)
	r := outlineOf(t, d, "p").Ring
	return r[0].P0, r[2].P0
}

// Physical sizes: CSS Values and Units, section 6.2 (1in = 2.54cm = 25.4mm =
// 101.6Q = 72pt = 6pc = 96px).
func TestRootScale(t *testing.T) {
	inch := 25.4
	for root, mm := range map[string]float64{
		`width="200mm" height="200mm" viewBox="0 0 200 200"`:  1,
		`width="20cm" height="20cm" viewBox="0 0 200 200"`:    1,
		`width="800Q" height="800q" viewBox="0 0 200 200"`:    1,
		`width="2in" height="2in" viewBox="0 0 200 200"`:      inch / 100,
		`width="144pt" height="144pt" viewBox="0 0 200 200"`:  inch / 100,
		`width="12pc" height="12pc" viewBox="0 0 200 200"`:    inch / 100,
		`width="192px" height="192px" viewBox="0 0 200 200"`:  inch / 100,
		`width="192" height="192" viewBox="0 0 200 200"`:      inch / 100,
		`width="192" height="192"`:                            inch / 96, // no viewBox: px
		`width="50mm"`:                                        inch / 96,
		`height="50"`:                                         inch / 96,
		`width="200mm" viewBox="0 0 200 900"`:                 1, // the height follows from the proportions
		`height="900mm" viewBox="0 0 200 900"`:                1,
		`width="100%" height="900mm" viewBox="0 0 200 900"`:   1,
		`width="200mm" height="auto" viewBox="0 0 200 900"`:   1,
		`width=" 2e1cm " height="20cm" viewBox="0,0,200,200"`: 1,
	} {
		a, c := cornersOf(t, root, Options{})
		assert.InDelta(t, 0, a.Len(), 1e-12, root)
		assert.InDelta(t, 100*mm, c.X, 1e-9, root)
		assert.InDelta(t, 100*mm, c.Y, 1e-9, root)
	}
}

func TestNoScale(t *testing.T) {
	for _, root := range []string{``, `viewBox="0 0 10 10"`, `width="100%" height="100%" viewBox="0 0 10 10"`, `width="50em"`, `width="auto"`} {
		d, err := readString(`<svg `+root+`><path id="p" d="M 0 0 h 1 v 1 z"/></svg>`, Options{})
		assert.Nil(t, d)
		assert.ErrorIs(t, err, ErrNoScale, root)
		assert.ErrorContains(t, err, "--scale 1 for a drawing made in mm")
		assert.ErrorContains(t, err, "smock.svg:1: ")
		if strings.Contains(root, "%") {
			assert.ErrorContains(t, err, `its width is "100%", which is no length on paper`)
		}
	}
}

// A scale given is that of the viewBox's units, and goes before what the file
// says; the corner of the viewBox stays the corner of the sheet.
func TestScaleGiven(t *testing.T) {
	for root, origin := range map[string]geom.Point{
		``:                        {},
		`viewBox="-10 -20 10 10"`: {X: 20, Y: 40},
		`width="5in" height="1in" viewBox="-10 -20 10 10" preserveAspectRatio="none"`: {X: 20, Y: 40},
	} {
		a, c := cornersOf(t, root, Options{Scale: 2})
		assert.InDelta(t, 0, a.Dist(origin), 1e-12, root)
		assert.InDelta(t, 0, c.Dist(origin.Add(geom.Pt(200, 200))), 1e-12, root)
	}
	for _, bad := range []float64{-1, nan(), inf()} {
		_, err := readString(sheetMM(""), Options{Scale: bad})
		assert.ErrorContains(t, err, "give the millimetres of one drawing unit")
	}
}

// preserveAspectRatio by hand: viewBox 100 × 100 from (0, 0) in a sheet of
// 400 × 200 mm. Meeting, the square is 200 wide with 200 to spare across;
// slicing, it is 400 high with 200 too much down.
func TestPreserveAspectRatio(t *testing.T) {
	for par, want := range map[string][4]float64{
		"":               {100, 0, 300, 200},
		"xMidYMid":       {100, 0, 300, 200},
		"xMinYMin meet":  {0, 0, 200, 200},
		"xMaxYMax meet":  {200, 0, 400, 200},
		"defer xMaxYMin": {200, 0, 400, 200},
		"none":           {0, 0, 400, 200},
		"none slice":     {0, 0, 400, 200},
		"xMidYMid slice": {0, -100, 400, 300},
		"xMidYMin slice": {0, 0, 400, 400},
		"xMinYMax slice": {0, -200, 400, 200},
	} {
		a, c := cornersOf(t, `width="400mm" height="200mm" viewBox="0 0 100 100" preserveAspectRatio="`+par+`"`, Options{})
		for i, got := range []float64{a.X, a.Y, c.X, c.Y} {
			assert.InDelta(t, want[i], got, 1e-9, "%q, number %d", par, i)
		}
	}
}

func TestViewBoxRefusals(t *testing.T) {
	for root, want := range map[string]string{
		`width="9mm" height="9mm" viewBox="0 0 1"`:    "3 numbers instead of 4",
		`width="9mm" height="9mm" viewBox="0 0 -1 4"`: "must not be negative",
		`width="9mm" height="9mm" viewBox="0 0 0 4"`:  "viewBox has no size",
		`width="9mm" height="9mm" viewBox="0 0 a 4"`:  "a number is expected",
		`width="wide"`: `width "wide": a number is expected`,
		`width="0"`:    `width "0": the drawing has no size`,
		`width="-4mm"`: "the drawing has no size",
		`width="9mm" height="9mm" viewBox="0 0 1 1" preserveAspectRatio="middle"`: `preserveAspectRatio "middle" is not known`,
	} {
		_, err := readString(`<svg `+root+`/>`, Options{})
		assert.ErrorContains(t, err, want, root)
	}
}

// An inner svg has its own viewport: x, y, width, height and viewBox, by hand.
func TestNestedViewports(t *testing.T) {
	square := `<path id="p" d="M 0 0 h 10 v 10 h -10 z"/>`
	for content, want := range map[string][4]float64{
		`<svg x="5" y="6">` + square + `</svg>`:                                                             {5, 6, 15, 16},
		`<svg x="5" y="6" width="100" height="100" viewBox="0 0 20 20">` + square + `</svg>`:                {5, 6, 55, 56},
		`<svg x="10%" y="1cm" width="100" height="50" viewBox="0 0 10 10">` + square + `</svg>`:             {125, cmPx, 175, cmPx + 50},
		`<svg viewBox="-10 -10 100 100">` + square + `</svg>`:                                               {100, 100, 200, 200},
		`<svg width="50%" height="50%" viewBox="0 0 10 10" transform="translate(7,8)">` + square + `</svg>`: {7, 8, 507, 508},
	} {
		r := outlineOf(t, mustRead(t, content), "p").Ring
		for i, got := range []float64{r[0].P0.X, r[0].P0.Y, r[2].P0.X, r[2].P0.Y} {
			assert.InDelta(t, want[i], got, 1e-9, content)
		}
	}
}

// cmPx is 1cm in user units inside a drawing: always 96/2.54 px, whatever the
// size of the outermost one.
const cmPx = 96 / 2.54

// A transform on the outermost svg stands outside of its viewBox, in px.
func TestRootTransform(t *testing.T) {
	a, c := cornersOf(t, `width="200mm" height="200mm" viewBox="0 0 200 200" transform="translate(96,0) scale(2)"`, Options{})
	assert.InDelta(t, 0, a.Dist(geom.Pt(25.4, 0)), 1e-9)
	assert.InDelta(t, 0, c.Dist(geom.Pt(225.4, 200)), 1e-9)
	_, err := readString(`<svg width="9mm" transform="x"/>`, Options{})
	assert.ErrorContains(t, err, `smock.svg:1: transform "x" is not complete`)
	_, err = readString(`<svg width="9mm" display="none">`+backRect+`</svg>`, Options{})
	assert.ErrorIs(t, err, ErrNoOutline)
}

func TestNestedViewportRefusals(t *testing.T) {
	for content, want := range map[string]string{
		`<svg id="in" width="-4">`:                           `svg "in": width "-4" must not be negative`,
		`<svg id="in" x="q">`:                                `svg "in": x: length "q"`,
		`<svg id="in" viewBox="1 2">`:                        `svg "in": viewBox "1 2": 2 numbers instead of 4`,
		`<svg viewBox="0 0 1 1" preserveAspectRatio="xMid">`: `preserveAspectRatio "xMid" is not known`,
		`<svg width="1e300" height="1" viewBox="1e300 0 1e-300 1" preserveAspectRatio="none">`: "beyond what numbers can hold",
	} {
		_, err := readString(sheetMM(content+backRect+`</svg>`), Options{})
		assert.ErrorContains(t, err, want, content)
	}
	_, err := readString(`<svg><svg viewBox="0 0 1 1">`+backRect+`</svg></svg>`, Options{Scale: 1})
	assert.ErrorContains(t, err, "its size hangs on a drawing whose size is not known")
	for _, empty := range []string{`<svg width="0">`, `<svg viewBox="0 0 0 9">`} {
		d := mustRead(t, `<rect id="front" width="9" height="9"/>`+empty+backRect+`</svg>`)
		assert.Equal(t, []string{"front"}, names(d))
	}
}
