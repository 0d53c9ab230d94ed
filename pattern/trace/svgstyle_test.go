package trace

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	backRect = `<rect id="back" width="300" height="400"/>`
	offRect  = `<rect id="off" x="400" width="30" height="40"/>`
)

// What is hidden is not read, by whatever means it is hidden.
func TestHidden(t *testing.T) {
	for _, hidden := range []string{
		`<g style="display:none">` + offRect + `</g>`,
		`<g style="fill:none; display : NONE ;">` + offRect + `</g>`,
		`<g display="none">` + offRect + `</g>`,
		`<g visibility="hidden">` + offRect + `</g>`,
		`<g style="visibility:collapse">` + offRect + `</g>`,
		`<svg display="none">` + offRect + `</svg>`,
		`<g inkscape:groupmode="layer" inkscape:label="old" style="display:none">` + offRect + `</g>`,
		`<style>.gone { fill:red; display:none }</style><g class="a gone b">` + offRect + `</g>`,
		`<style>#off{display:none}</style>` + offRect,
		`<style>/* a */ #x, g > rect /* b */ { display:none } @media print { rect { display:inline } }</style><g>` + offRect + `</g>`,
		`<style><![CDATA[ g.l rect#off { visibility:hidden } ]]></style><g class="l"><g>` + offRect + `</g></g>`,
		`<style>g.l > g > g > rect { display:none }</style><g class="l"><g><g><g><g>` + `</g></g>` + offRect + `</g></g></g>`,
		`<style type="text/css">rect { display:none !important }</style>` + offRect[:5] + ` style="display:inline"` + offRect[5:] + `<g/>`,
		`<defs>` + offRect + `</defs>`, `<symbol>` + offRect + `</symbol>`, `<clipPath id="c">` + offRect + `</clipPath>`,
		`<mask>` + offRect + `</mask>`, `<marker>` + offRect + `</marker>`, `<pattern>` + offRect + `</pattern>`,
		`<foreignObject>` + offRect + `</foreignObject>`, `<metadata>` + offRect + `</metadata>`,
		`<x:g xmlns:x="urn:other">` + offRect + `</x:g>`,
		`<switch><g requiredExtensions="urn:other">` + offRect + `</g></switch>`,
		`<g requiredExtensions="urn:other">` + offRect + `</g>`,
	} {
		d := mustRead(t, `<path id="back" d="M 0 0 h 300 v 400 h -300 z"/>`+hidden)
		assert.Equal(t, []string{"back"}, names(d), hidden)
	}
}

// What is not hidden is read, also where a nearer or weightier rule shows it.
func TestShown(t *testing.T) {
	for _, shown := range []string{
		`<g display="inline" visibility="visible">` + offRect + `</g>`,
		`<g visibility="hidden"><g visibility="visible">` + offRect + `</g></g>`,
		`<style>g { display:none } .on { display:inline }</style><g class="on">` + offRect + `</g>`,
		`<style>.on { display:inline } g { display:none }</style><g class="on">` + offRect + `</g>`,
		`<style>g { display:none }</style><g style="display:inline">` + offRect + `</g>`,
		`<style>g { display:none }</style>` + offRect,
		`<style>svg.x > rect, p > #off, g #off { display:none }</style>` + offRect,
		`<style>g.l > g > rect { display:none }</style><g class="l"><g><g>` + offRect + `</g></g></g>`,
		`<style type="text/x">#off { display:none }</style>` + offRect,
		`<style>@import url(x.css); #offal { display:none }</style>` + offRect,
		`<g style="opacity:0; fill:none; stroke:none">` + offRect + `</g>`,
		`<g clip-path="url(#c)"><clipPath id="c"><rect id="window" width="1" height="1"/></clipPath>` + offRect + `</g>`,
		`<a>` + offRect + `</a>`,
		`<switch><foreignObject/><g>` + offRect + `</g><g><rect id="other" width="9" height="9"/></g></switch>`,
		`<switch><g systemLanguage="xx"><rect id="other" width="9" height="9"/></g><g>` + offRect + `</g></switch>`,
	} {
		d := mustRead(t, `<path id="back" d="M 0 0 h 300 v 400 h -300 z"/>`+shown)
		assert.Equal(t, []string{"back", "off"}, names(d), shown)
	}
}

// In SVG 2 a style may give a shape's geometry.
func TestGeometryInStyle(t *testing.T) {
	d := mustRead(t, `<style>.r { width: 200px; rx:0 }</style><rect id="p" class="r" width="3" height="4" style="height:100px"/>`)
	assert.InDelta(t, 200*100, outlineOf(t, d, "p").Ring.Area(), 1e-9)
}

// Styles that would move or shape something unseen by the reader are refused.
func TestStyleRefusals(t *testing.T) {
	for content, want := range map[string]string{
		`<rect id="p" width="3" height="4" style="transform:rotate(3deg)"/>`: `rect "p": style transform: "rotate(3deg)" is not read`,
		`<style>.m{transform:scale(2)}</style><g id="l" class="m"/>`:         `g "l": style transform`,
		`<path id="p" style="d:path('M 0 0 h 9')"/>`:                         "style d:",
		`<g id="l" transform="rotate(3)" transform-origin="50 50"/>`:         `g "l": transform-origin "50 50" is not read`,
	} {
		_, err := readString(sheetMM(content), Options{})
		assert.ErrorContains(t, err, want, content)
	}
}

// A rule the reader does not follow is told.
func TestSkippedRulesAreTold(t *testing.T) {
	d := mustRead(t, `<style>rect:hover, rect[x] { display:none } text:hover { fill:red }</style>`+backRect)
	require.Len(t, d.Ignored, 2)
	assert.Contains(t, d.Ignored[0], `style rule for "rect:hover" is not followed`)
}
