package trace

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// skirtWith draws a skirt of 300 by 600 mm with a closed line around it.
func skirtWith(t *testing.T, around string) Outline {
	t.Helper()
	return outlineOf(t, mustRead(t, `<path d="`+around+`"/><path id="skirt" d="M 100,100 H 400 V 700 H 100 Z"/>`), "skirt")
}

// Somebody lengthens the thick line and leaves the sewing line: that is told, with
// how far and where. The cutting line itself, and a frame, are worth no word.
func TestCuttingLineMovedIsTold(t *testing.T) {
	ten, told := 10.0, `the cutting line in the drawing lies up to 3 cm off that of the piece, at edge "edge 3"; the sewing line was taken: `
	for around, says := range map[string]string{
		"M 90,90 H 410 V 710 H 90 Z":   "",
		"M 90,90 H 410 V 740 H 90 Z":   told,
		"M 5,5 H 995 V 995 H 5 Z":      "",
		"M 90,90 V 740 H 410 V 90 Z":   told,
		"M 90,90 H 410 V 710.1 H 90 Z": "",
	} {
		p := emptyPattern()
		put(t, p, skirtWith(t, "M 90,90 H 410 V 710 H 90 Z"), Request{Allowance: &ten})
		for _, o := range []Outline{skirtWith(t, around), withBoundary(skirtWith(t, around))} {
			if len(o.Boundary) > 0 && around[:5] == "M 5,5" {
				continue // a boundary is never a frame
			}
			res := put(t, p, o, Request{})
			assert.False(t, res.Changed)
			if says == "" {
				assert.Empty(t, res.Says, around)
			} else if assert.Len(t, res.Says, 1, around) {
				assert.Contains(t, res.Says[0], says)
			}
			assert.Empty(t, put(t, p, o, Request{Drawn: DrawnSewing}).Says)
		}
	}
}

// withBoundary has the line around an outline as a DXF has it.
func withBoundary(o Outline) Outline {
	o.Boundary, o.Around = o.Around, nil
	return o
}

// A boundary inside of the sewing line is no allowance of less than nothing.
func TestBoundaryInsideOfTheSewingLine(t *testing.T) {
	o := skirtWith(t, "M 90,90 H 410 V 710 H 90 Z")
	o.Boundary = geom.Polygon(at(110, 110), at(390, 110), at(390, 690), at(110, 690))
	res := put(t, emptyPattern(), o, Request{})
	require.Len(t, res.Says, 1)
	assert.Contains(t, res.Says[0], "lies inside of the sewing line")
}

// A drawing in the wrong unit is refused with the factor, also where its short
// edges would lie on the long ones of the piece, and where a part was redrawn.
func TestDrawingOfAnotherSizeIsRefused(t *testing.T) {
	const front = "M 0 110 C 45 110 75 60 80 0 L 215 45 C 180 115 175 205 240 245 L %d 660 L 0 660 Z"
	draw := func(unit string, width float64, hem int) Outline {
		text := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="%g%s" height="%g%s" viewBox="0 0 300 700"><path id="front" d="`+front+`"/></svg>`,
			width, unit, width*7/3, unit, hem)
		d, err := ReadSVG("front.svg", strings.NewReader(text), Options{})
		require.NoError(t, err)
		return outlineOf(t, d, "front")
	}
	p := emptyPattern()
	put(t, p, draw("mm", 300, 240), Request{})
	for _, c := range []struct {
		unit string
		hem  int
		says string
	}{
		{"in", 240, "25.4 times as large as piece \"front\", as with inches for millimetres"},
		{"in", 255, "25.4 times as large"},
		{"cm", 240, "10 times as large as piece \"front\", as with centimetres for millimetres"},
		{"px", 240, "0.265 times as large as piece \"front\", as with px for millimetres"},
	} {
		_, err := ToPiece(p, draw(c.unit, 300, c.hem), Request{})
		require.ErrorContains(t, err, c.says)
		assert.ErrorContains(t, err, "--place as-is")
	}
	put(t, p, draw("mm", 300, 255), Request{}) // a hem that is wider is no other size
}
