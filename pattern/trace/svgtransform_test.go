package trace

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// Each function against its matrix in W3C, SVG 1.1, section 7.6, and lists
// against products worked out by hand.
func TestTransforms(t *testing.T) {
	r3 := math.Sqrt(3)
	for s, want := range map[string]matrix{
		"":                          identity,
		"matrix(1 2 3 4 5 6)":       {1, 2, 3, 4, 5, 6},
		"matrix(1,2,3,4,5,6)":       {1, 2, 3, 4, 5, 6},
		"matrix(1-2 3-4.5.5 6)":     {1, -2, 3, -4.5, .5, 6},
		"translate(5)":              {1, 0, 0, 1, 5, 0},
		"translate(5,-6)":           {1, 0, 0, 1, 5, -6},
		"scale(2)":                  {2, 0, 0, 2, 0, 0},
		"scale(2,-3)":               {2, 0, 0, -3, 0, 0},
		"rotate(30)":                {r3 / 2, .5, -.5, r3 / 2, 0, 0},
		"rotate(-450)":              {0, -1, 1, 0, 0, 0},
		"rotate(90,10,20)":          {0, 1, -1, 0, 30, 10}, // x' = 10 − (y − 20), y' = 20 + (x − 10)
		"skewX(45)":                 {1, 0, 1, 1, 0, 0},
		"skewY(45)":                 {1, 1, 0, 1, 0, 0},
		"translate(10,20) scale(2)": {2, 0, 0, 2, 10, 20},
		"scale(2) translate(10,20)": {2, 0, 0, 2, 20, 40},
		"translate(10 20),rotate(90)\n scale(2 3)":  {0, 2, -3, 0, 10, 20},
		"matrix(1 2 3 4 5 6)matrix(7 8 9 10 11 12)": {31, 46, 39, 58, 52, 76},
	} {
		got, err := parseTransform(s)
		require.NoError(t, err, s)
		for i, pair := range [][2]float64{{want.A, got.A}, {want.B, got.B}, {want.C, got.C}, {want.D, got.D}, {want.E, got.E}, {want.F, got.F}} {
			assert.InDelta(t, pair[0], pair[1], 1e-12, "%s, entry %d", s, i)
		}
	}
}

func TestTransformRefusals(t *testing.T) {
	for s, want := range map[string]string{
		"rotate(a)":                 `transform "rotate(a)": a number is expected`,
		"rotate(1":                  "is not complete",
		"rotate 1":                  "is not complete",
		"turn(1)":                   `"turn" with 1 numbers is not known`,
		"matrix(1 2 3 4 5)":         `"matrix" with 5 numbers is not known`,
		"rotate(1 2)":               `"rotate" with 2 numbers`,
		"scale()":                   `"scale" with 0 numbers`,
		"scale(1e300) scale(1e300)": "beyond what numbers can hold",
	} {
		_, err := parseTransform(s)
		assert.ErrorContains(t, err, want)
	}
	_, err := readString(sheetMM(`<g id="turned" transform="turn(3)"/>`), Options{})
	assert.ErrorContains(t, err, `smock.svg:2: g "turned": transform "turn(3)"`)
}

// Nested groups multiply from the outside in.
func TestNestedTransforms(t *testing.T) {
	d := mustRead(t, `<g transform="translate(100,50)"><g transform="rotate(90)"><g transform="scale(2,3)">
		<path id="p" transform="translate(1,2)" d="M 0,0 h 10 v 5 h -10 z"/></g></g></g>`)
	// (x, y) → (2(x+1), 3(y+2)) → quarter turn (−Y, X) → + (100, 50)
	at := func(x, y float64) geom.Point { return geom.Pt(100-3*(y+2), 50+2*(x+1)) }
	r := outlineOf(t, d, "p").Ring
	for i, want := range []geom.Point{at(0, 0), at(10, 0), at(10, 5), at(0, 5)} {
		assert.InDelta(t, 0, want.Dist(r[i].P0), 1e-12)
	}
}

// A mirror turns the direction round; the outline is turned back, its start
// kept.
func TestMirroredOutline(t *testing.T) {
	d := mustRead(t, `<path id="p" transform="translate(100) scale(-1,1)" d="M 0,0 h 10 v 5 h -10 z"/>`)
	assert.Equal(t, "100,0 L100,5 L90,5 L90,0 L100,0"[:5], coords(geom.Path(outlineOf(t, d, "p").Ring))[:5])
	assert.InDelta(t, 50, outlineOf(t, d, "p").Ring.Area(), 1e-12)
}

// A transform that flattens shows nothing, as SVG says of singular matrices.
func TestFlatTransform(t *testing.T) {
	d := mustRead(t, `<rect id="back" width="30" height="40"/><rect id="flat" transform="scale(0,1)" width="30" height="40"/>`)
	assert.Equal(t, []string{"back"}, names(d))
}
