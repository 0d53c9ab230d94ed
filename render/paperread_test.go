package render

import (
	"bytes"
	"compress/zlib"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
)

// A reader of PDF content streams, enough to find again what a print draws: it
// follows the operators for paths, clips, widths, dashes and colours
// (ISO 32000-1, 8.4 and 8.5, from memory), and refuses coordinates under a
// transform that are no text.

// pdfPath is one path that was painted, in mm from the page's top left corner.
type pdfPath struct {
	curves  [][]geom.Cubic
	closed  bool
	stroked bool
	filled  bool
	width   float64 // mm
	dashed  bool
	ink     string // stroke colour as written
	fill    string
	clip    geom.Box
}

// pdfPage is a page: its size in mm and what was painted on it.
type pdfPage struct {
	wide, high float64
	paths      []pdfPath
	clips      []geom.Box
}

var (
	mediaBox  = regexp.MustCompile(`(?s)/Type /Page\n.*?/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]`)
	pdfStream = regexp.MustCompile(`(?s)/Length (\d+)>>\nstream\n`)
)

const mmPerPoint = 25.4 / 72

// readPDF reads all pages.
func readPDF(t *testing.T, file []byte) []pdfPage {
	t.Helper()
	var pages []pdfPage
	for _, m := range mediaBox.FindAllSubmatchIndex(file, -1) {
		number := func(k int) float64 {
			v, err := strconv.ParseFloat(string(file[m[2*k]:m[2*k+1]]), 64)
			require.NoError(t, err)
			return v * mmPerPoint
		}
		page := pdfPage{wide: number(1), high: number(2)}
		s := pdfStream.FindSubmatchIndex(file[m[1]:])
		require.NotNil(t, s)
		length, err := strconv.Atoi(string(file[m[1]+s[2] : m[1]+s[3]]))
		require.NoError(t, err)
		z, err := zlib.NewReader(bytes.NewReader(file[m[1]+s[1] : m[1]+s[1]+length]))
		require.NoError(t, err)
		text, err := io.ReadAll(z)
		require.NoError(t, err)
		page.read(t, string(text))
		pages = append(pages, page)
	}
	require.NotEmpty(t, pages)
	return pages
}

// pdfState is the graphics state, as far as it is followed.
type pdfState struct {
	width     float64
	dashed    bool
	ink, fill string
	clip      geom.Box
	turned    bool
}

// pdfWords splits a content stream into operands and operators; strings are
// one word.
var pdfWords = regexp.MustCompile(`(?s)\((?:\\.|[^\\()])*\)|\[[^\]]*\]|[^\s()\[\]]+`)

func (p *pdfPage) read(t *testing.T, text string) {
	t.Helper()
	state := pdfState{clip: geom.Box{Max: geom.Pt(p.wide, p.high)}}
	var saved []pdfState
	var operands []string
	var paths [][]geom.Cubic
	closed, clipping := false, false
	var at geom.Point
	points := func() []geom.Point {
		var out []geom.Point
		for i := 0; i+1 < len(operands); i += 2 {
			x, err := strconv.ParseFloat(operands[i], 64)
			require.NoError(t, err)
			y, err := strconv.ParseFloat(operands[i+1], 64)
			require.NoError(t, err)
			out = append(out, geom.Pt(x*mmPerPoint, p.high-y*mmPerPoint))
		}
		return out
	}
	add := func(c geom.Cubic) {
		require.NotEmpty(t, paths)
		paths[len(paths)-1] = append(paths[len(paths)-1], c)
		at = c.P3
	}
	for _, word := range pdfWords.FindAllString(text, -1) {
		switch word {
		case "q":
			saved = append(saved, state)
		case "Q":
			state, saved = saved[len(saved)-1], saved[:len(saved)-1]
		case "cm":
			state.turned = true
		case "w":
			v, err := strconv.ParseFloat(operands[0], 64)
			require.NoError(t, err)
			state.width = v * mmPerPoint
		case "d":
			state.dashed = strings.Trim(operands[0], "[] ") != ""
		case "RG", "G":
			state.ink = strings.Join(operands, " ")
		case "rg", "g":
			state.fill = strings.Join(operands, " ")
		case "m":
			at = points()[0]
			paths = append(paths, nil)
		case "l":
			add(geom.Line(at, points()[0]))
		case "c":
			q := points()
			add(geom.Cubic{P0: at, P1: q[0], P2: q[1], P3: q[2]})
		case "h":
			closed = true
		case "re":
			v := points()
			w, _ := strconv.ParseFloat(operands[2], 64)
			h, _ := strconv.ParseFloat(operands[3], 64)
			a, b := v[0], v[0].Add(geom.Pt(w*mmPerPoint, -h*mmPerPoint))
			paths = append(paths, geom.Polygon(a, geom.Pt(b.X, a.Y), b, geom.Pt(a.X, b.Y)))
		case "W", "W*":
			clipping = true
		case "n", "S", "s", "f", "F", "f*", "B", "B*", "b", "b*":
			if clipping {
				b := geom.EmptyBox()
				for _, path := range paths {
					b = b.Union(geom.Path(path).Box())
				}
				state.clip = b
				p.clips = append(p.clips, b)
			}
			if word != "n" {
				require.False(t, state.turned, "a path under a transform")
				p.paths = append(p.paths, pdfPath{curves: paths, closed: closed, stroked: strings.ContainsAny(word, "SsBb"),
					filled: strings.ContainsAny(word, "fFBb"), width: state.width, dashed: state.dashed, ink: state.ink, fill: state.fill, clip: state.clip})
			}
			paths, closed, clipping = nil, false, false
		default:
			operands = append(operands, word)
			continue
		}
		operands = nil
	}
}

// cuttingLines lists the continuous lines as wide as a cutting line, and of more than
// one curve: no notches.
func (p pdfPage) cuttingLines() []geom.Path {
	var out []geom.Path
	want := newPen(paperLetters).wide
	for _, q := range p.paths {
		if q.stroked && !q.filled && !q.dashed && q.width > want-0.01 && q.width < want+0.01 && len(q.curves) == 1 && len(q.curves[0]) > 1 {
			out = append(out, q.curves[0])
		}
	}
	return out
}

// crosses are the centres of the crosses at joints: a level line and an upright
// one of the same thin width that halve each other.
func (p pdfPage) crosses() []geom.Point {
	var level, upright, out []geom.Point
	for _, q := range p.paths {
		if !q.stroked || len(q.curves) != 1 || len(q.curves[0]) != 1 {
			continue
		}
		c := q.curves[0][0]
		d := c.P3.Sub(c.P0)
		switch mid := c.P0.Lerp(c.P3, 0.5); {
		case d.Y*d.Y < 1e-4 && d.X > 7.9 && d.X < 8.2:
			level = append(level, mid)
		case d.X*d.X < 1e-4 && d.Y > 7.9 && d.Y < 8.2:
			upright = append(upright, mid)
		}
	}
	for _, a := range level {
		for _, b := range upright {
			if a.Dist(b) < 0.01 {
				out = append(out, a.Lerp(b, 0.5))
			}
		}
	}
	return out
}
