package trace

import (
	"bytes"
	"encoding/xml"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// checkRead holds what both readers promise of any input: a drawing or an
// *Error with the file's name, never both, and outlines that are sound.
func checkRead(t *testing.T, d *Drawing, err error) {
	t.Helper()
	if err != nil {
		require.Nil(t, d)
		var placed *Error
		require.True(t, errors.As(err, &placed), "%v", err)
		require.True(t, strings.HasPrefix(err.Error(), "x"), "%v", err)
		require.NotContains(t, err.Error(), "\n")
		return
	}
	require.NotEmpty(t, d.Outlines)
	for _, o := range d.Outlines {
		checkRing(t, o.Ring)
		for i := range o.Corners {
			require.Less(t, i, len(o.Ring))
		}
		for i := range o.EdgeNames {
			require.Less(t, i, len(o.Ring))
		}
		for _, n := range o.Notches {
			require.True(t, n.At.Finite())
		}
		for _, l := range o.Lines {
			require.NotEmpty(t, l.Path)
			for _, c := range l.Path {
				require.True(t, c.Finite())
			}
		}
		for _, x := range o.Texts {
			require.True(t, x.At.Finite())
		}
	}
}

func FuzzReadSVG(f *testing.F) {
	files, err := filepath.Glob(filepath.Join(saved, "*.svg"))
	require.NoError(f, err)
	for _, file := range files {
		b, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(b, 0.0, false)
	}
	for _, s := range []string{
		sheetMM(`<path id="back" d="M10 10h30v40a5 5 0 01-5 5q-9 9-20 0t-5 0s1-9 0-9C1 1 2 2 3 3z"/><circle id="c" r="9"/>`),
		sheetMM(`<defs><symbol id="s" viewBox="0 0 9 9"><rect id="r" rx="2" width="9" height="9"/></symbol></defs><use href="#s" width="50%"/>`),
		sheetMM(`<style>g > .a, #b { display:none !important } @media x { y {z:1} }</style><g class="a"><text id="b" x="1 2">q<tspan dy="1">r</tspan></text></g>`),
		`<!DOCTYPE svg [<!ENTITY a "9mm"><!ENTITY b SYSTEM "c">]><svg width="&a;"><polygon id="p" points="0,0 9,0 9,9"/></svg>`,
		`<svg viewBox="0 0 9 9" preserveAspectRatio="xMinYMax slice"><g transform="rotate(9,1,2)skewX(3)matrix(1 0 0 1 0 0)"><ellipse id="e" rx="9" ry="8"/></g></svg>`,
		"<svg width='1in'><a><switch><g systemLanguage='x'/><line id='l' x2='40'/></switch></a></svg>",
		"\xff\xfe<\x00s\x00v\x00g\x00/\x00>\x00", "\x1f\x8b\x08",
	} {
		f.Add([]byte(s), 1.0, true)
	}
	f.Fuzz(func(t *testing.T, b []byte, scale float64, all bool) {
		d, err := ReadSVG("x.svg", bytes.NewReader(b), Options{Scale: scale, All: all})
		checkRead(t, d, err)
	})
}

// FuzzShapes puts text where numbers, path data, transforms and styles stand,
// so that the XML around is whole and the fuzzer gets at what is inside.
func FuzzShapes(f *testing.F) {
	f.Add("M10 10h30v40a5 5 0 01-5 5q-9 9-20 0t-5 0s1-9 0-9z", "rotate(9,1,2)skewX(3)", "display:inline", "10%")
	f.Add("m0 0c1 1 9 2 30 3l-9,99z m9 9 1e1-1", "matrix(1 0 0-1 3 4)", "rx:3mm;visibility:hidden!important", "3pt")
	f.Add("M5,5A4 4 0 0 1 5 13A4 4 0 0 1 5 5", "translate(1)scale(2,3)", "x:1in", "9Q")
	f.Fuzz(func(t *testing.T, d, transform, style, size string) {
		var b strings.Builder
		attr := func(name, value string) {
			b.WriteString(" " + name + `="`)
			require.NoError(t, xml.EscapeText(&b, []byte(value)))
			b.WriteString(`"`)
		}
		b.WriteString(`<svg width="900mm" height="900mm" viewBox="0 0 900 900"><rect id="back" x="-450" y="-450" width="900" height="900"/><g`)
		attr("transform", transform)
		b.WriteString(`><path id="p"`)
		attr("d", d)
		b.WriteString(`/><polygon id="q"`)
		attr("points", d)
		b.WriteString(`/><rect id="r" height="30"`)
		attr("width", size)
		attr("style", style)
		b.WriteString(`/><text`)
		attr("x", size)
		b.WriteString(`>t</text></g><style>`)
		require.NoError(t, xml.EscapeText(&b, []byte(style)))
		b.WriteString(`</style></svg>`)
		drawing, err := ReadSVG("x.svg", strings.NewReader(b.String()), Options{})
		checkRead(t, drawing, err)
	})
}

func FuzzReadPoints(f *testing.F) {
	b, err := os.ReadFile("../../testdata/trace/points/front.points")
	require.NoError(f, err)
	f.Add(b, 0.0)
	for _, s := range []string{
		"piece: a\nunit: in\n0,0 curve x\n5/8,0\n1 3/8, 2 curve\n-1,4 curve \"q # r\"\n",
		"0,0\n0,9\n9,9\n9,0\nnotch: 0,4 n\ndot: 1,1\nline: 1,1 to 2,2 to 3,1 l\ngrain: 1,1 to 1,8\ntext: 1,1 cut\n",
		"piece: a\n0,0\n1,0 curve\n1,1 curve e\npiece: b\n1,1\n", "3,5, 7", "\ufeff# x\n",
	} {
		f.Add([]byte(s), 1.0)
	}
	f.Fuzz(func(t *testing.T, b []byte, unit float64) {
		d, err := ReadPoints("x.points", bytes.NewReader(b), PointsOptions{Unit: unit})
		checkRead(t, d, err)
	})
}
