package trace

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// Areas of the basic shapes against their closed forms. Curved ones may be
// off by the arc tolerance all round: 0.001 mm times the length.
func TestBasicShapeAreas(t *testing.T) {
	for _, c := range []struct {
		shape        string
		area, within float64
	}{
		{`<rect id="p" x="10" y="20" width="300" height="200"/>`, 300 * 200, 1e-9},
		// Corners rounded by ellipse quarters: w·h − (4 − π)·rx·ry.
		{`<rect id="p" width="300" height="200" rx="40"/>`, 300*200 - (4-math.Pi)*1600, 0.001 * 2 * math.Pi * 40},
		{`<rect id="p" width="300" height="200" ry="40"/>`, 300*200 - (4-math.Pi)*1600, 0.001 * 2 * math.Pi * 40},
		{`<rect id="p" width="300" height="200" rx="40" ry="20"/>`, 300*200 - (4-math.Pi)*800, 0.001 * 2 * math.Pi * 40},
		{`<rect id="p" width="300" height="200" rx="400" ry="20"/>`, 300*200 - (4-math.Pi)*150*20, 0.001 * 700},
		{`<rect id="p" width="300" height="200" rx="400"/>`, math.Pi * 150 * 100, 0.001 * 2 * math.Pi * 150},
		{`<rect id="p" width="300" height="200" rx="auto" ry="0"/>`, 300 * 200, 1e-9},
		{`<circle id="p" cx="5" cy="9" r="150"/>`, math.Pi * 150 * 150, 0.001 * 2 * math.Pi * 150},
		{`<ellipse id="p" rx="150" ry="80"/>`, math.Pi * 150 * 80, 0.001 * 2 * math.Pi * 150},
		{`<ellipse id="p" rx="150"/>`, math.Pi * 150 * 150, 0.001 * 2 * math.Pi * 150},
		{`<polygon id="p" points="0,0 300,0 300,200"/>`, 300 * 200 / 2, 1e-9},
		{`<polygon id="p" points="300,200,300,0,0,0"/>`, 300 * 200 / 2, 1e-9},
		{`<polyline id="p" points="0 0 300 0 300 200 0 0"/>`, 300 * 200 / 2, 1e-9},
		// A parabola over a chord: two thirds of the triangle (Archimedes).
		{`<path id="p" d="M 0 0 Q 100 200 200 0 z"/>`, 2. / 3 * 200 * 200 / 2, 1e-9},
		{`<path id="p" d="M 0 0 H 300 V 200 H 0 V 0"/>`, 300 * 200, 1e-9},
	} {
		o := outlineOf(t, mustRead(t, c.shape), "p")
		assert.InDelta(t, c.area, o.Ring.Area(), c.within, c.shape)
		assert.InDelta(t, gaussArea(o.Ring), o.Ring.Area(), 1e-7, c.shape)
	}
}

// SVG 2, chapter 10, says where the path of each shape starts and which way
// it runs.
func TestShapeStarts(t *testing.T) {
	for shape, want := range map[string]string{
		`<rect id="p" x="10" y="20" width="30" height="40"/>`:    "10,20 L40,20 L40,60 L10,60 L10,20",
		`<polygon id="p" points="1,1 31,1 31,41"/>`:              "1,1 L31,1 L31,41 L1,1",
		`<polyline id="p" points="1,1 31,41 31,1 1,1"/>`:         "1,1 L31,1 L31,41 L1,1", // turned to run clockwise
		`<path id="p" d="M 1,1 V 41 H 31 V 1 Z"/>`:               "1,1 L31,1 L31,41 L1,41 L1,1",
		`<path id="p" d="M 1,1 31,1 31,1 31,41 1,1.0000005 z"/>`: "1,1 L31,1 L31,41 L1,1",
		`<path id="p" d="M 1,1 h0 H 31 V 41 L 1,1 z l 0,0"/>`:    "1,1 L31,1 L31,41 L1,1",
		`<path id="p" d="M 1,1 H 31 V 41 L 1.004,1.003"/>`:       "1,1 L31,1 L31,41 L1,1", // ends within 0.01 mm
		`<path id="p" d="M 1,1 H 31 V 41 L 1.004,1.003 z"/>`:     "1,1 L31,1 L31,41 L1,1",
	} {
		assert.Equal(t, want, coords(geom.Path(outlineOf(t, mustRead(t, shape), "p").Ring)), shape)
	}
	circle := outlineOf(t, mustRead(t, `<circle id="p" cx="50" cy="60" r="20"/>`), "p").Ring
	assert.Equal(t, geom.Pt(70, 60), circle[0].P0)
	assert.Greater(t, circle[0].P3.Y, 60.0, "clockwise as seen: down first")
	round := outlineOf(t, mustRead(t, `<rect id="p" x="10" y="20" width="100" height="80" rx="20" ry="10"/>`), "p").Ring
	assert.Equal(t, geom.Pt(30, 20), round[0].P0)
	assert.Equal(t, geom.Pt(90, 20), round[0].P3)
}

func TestShapesThatShowNothing(t *testing.T) {
	for _, shape := range []string{
		`<rect id="p" width="0" height="4"/>`, `<circle id="p"/>`, `<ellipse id="p" rx="0" ry="9"/>`,
		`<polygon id="p" points=""/>`, `<path id="p"/>`, `<path id="p" d="M 3 3 z"/>`,
	} {
		d := mustRead(t, `<rect id="back" width="300" height="400"/>`+shape)
		assert.Equal(t, []string{"back"}, names(d), shape)
		require.Len(t, d.Ignored, 1, shape)
		assert.Contains(t, d.Ignored[0], `"p": draws nothing`)
	}
}

func TestShapeRefusals(t *testing.T) {
	for shape, want := range map[string]string{
		`<rect id="p" width="-3" height="4"/>`:                    `smock.svg:2: rect "p": width "-3" must not be negative`,
		`<circle id="p" r="-1"/>`:                                 `circle "p": r "-1" must not be negative`,
		`<circle id="p" r="1em"/>`:                                `circle "p": r: length "1em": unit "em" has no fixed size`,
		`<circle id="p" r="NaN"/>`:                                `circle "p": r: length "NaN": a number is expected`,
		`<circle id="p" r="1e999"/>`:                              `number "1e999" is beyond all measure`,
		`<rect id="p" x="1e308in" width="3" height="4"/>`:         "beyond what numbers can hold",
		`<polygon id="p" points="1,2 3"/>`:                        `polygon "p": points: 3 numbers, so the last point has no second coordinate`,
		`<polygon id="p" points="1,2 3,x"/>`:                      `polygon "p": points: a number is expected at character 7, "x"`,
		`<path id="p" d="M 0 0 H 2e5 V 2e5 z"/>`:                  `path "p": point (200000, 0) mm is more than 100 m off the sheet`,
		`<path id="p" d="M 0 0 L 100 100 z"/>`:                    `path "p": encloses no area`,
		`<path id="p" d="M 0 0 h 9 v 99 z M 50 50 h 30 v 30 z"/>`: `path "p": has 2 closed outlines`,
	} {
		d, err := readString(sheetMM(shape), Options{})
		assert.Nil(t, d)
		assert.ErrorContains(t, err, want, shape)
		var placed *Error
		assert.ErrorAs(t, err, &placed, shape)
	}
}

// Percentages are of the viewport: width, height, or its diagonal over √2
// (SVG 2, section 8.9).
func TestPercentages(t *testing.T) {
	d, err := readString(`<svg width="300mm" height="400mm" viewBox="0 0 300 400">
		<rect id="p" x="10%" y="10%" width="50%" height="50%"/><circle id="c" r="20%"/></svg>`, Options{})
	require.NoError(t, err)
	assert.Equal(t, "30,40 L180,40 L180,240 L30,240 L30,40", coords(geom.Path(outlineOf(t, d, "p").Ring)))
	assert.InDelta(t, 0.2*math.Hypot(300, 400)/math.Sqrt2, outlineOf(t, d, "c").Ring[0].P0.X, 1e-9)
	_, err = readString(`<svg width="50%"><rect id="p" width="50%" height="10"/></svg>`, Options{Scale: 1})
	assert.ErrorContains(t, err, "per cent of a size the file does not tell")
}
