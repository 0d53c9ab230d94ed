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
	dashes  int    // lengths in the pattern of dashes
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
	dashes    int
	ink, fill string
	clip      geom.Box
	turned    bool
}

// pdfWords splits a content stream into operands and operators; strings are
// one word.
var pdfWords = regexp.MustCompile(`(?s)\((?:\\.|[^\\()])*\)|\[[^\]]*\]|[^\s()\[\]]+`)

// pdfReader follows one content stream.
type pdfReader struct {
	t        *testing.T
	page     *pdfPage
	state    pdfState
	saved    []pdfState
	operands []string
	paths    [][]geom.Cubic
	at       geom.Point
	closed   bool
	clipping bool
}

func (p *pdfPage) read(t *testing.T, text string) {
	t.Helper()
	r := pdfReader{t: t, page: p, state: pdfState{clip: geom.Box{Max: geom.Pt(p.wide, p.high)}}}
	for _, word := range pdfWords.FindAllString(text, -1) {
		if r.setsState(word) || r.builds(word) || r.paints(word) {
			r.operands = nil
		} else {
			r.operands = append(r.operands, word) // text operators end up here too, and are dropped with the next one
		}
	}
}

func (r *pdfReader) number(k int) float64 {
	require.Less(r.t, k, len(r.operands))
	v, err := strconv.ParseFloat(r.operands[k], 64)
	require.NoError(r.t, err)
	return v
}

// point is the k-th point among the operands, in mm from the top left corner.
func (r *pdfReader) point(k int) geom.Point {
	return geom.Pt(r.number(2*k)*mmPerPoint, r.page.high-r.number(2*k+1)*mmPerPoint)
}

func (r *pdfReader) setsState(word string) bool {
	switch word {
	case "q":
		r.saved = append(r.saved, r.state)
	case "Q":
		r.state, r.saved = r.saved[len(r.saved)-1], r.saved[:len(r.saved)-1]
	case "cm":
		r.state.turned = true
	case "w":
		r.state.width = r.number(0) * mmPerPoint
	case "d":
		r.state.dashed = strings.Trim(r.operands[0], "[] ") != ""
		r.state.dashes = len(strings.Fields(strings.Trim(r.operands[0], "[] ")))
	case "RG", "G":
		r.state.ink = strings.Join(r.operands, " ")
	case "rg", "g":
		r.state.fill = strings.Join(r.operands, " ")
	case "BT", "ET", "Td", "Tj", "Tf", "j", "J":
	default:
		return false
	}
	return true
}

func (r *pdfReader) builds(word string) bool {
	add := func(c geom.Cubic) {
		require.NotEmpty(r.t, r.paths)
		r.paths[len(r.paths)-1] = append(r.paths[len(r.paths)-1], c)
		r.at = c.P3
	}
	switch word {
	case "m":
		r.at, r.paths = r.point(0), append(r.paths, nil)
	case "l":
		add(geom.Line(r.at, r.point(0)))
	case "c":
		add(geom.Cubic{P0: r.at, P1: r.point(0), P2: r.point(1), P3: r.point(2)})
	case "h":
		r.closed = true
	case "re":
		a := r.point(0)
		b := a.Add(geom.Pt(r.number(2)*mmPerPoint, -r.number(3)*mmPerPoint))
		r.paths = append(r.paths, geom.Polygon(a, geom.Pt(b.X, a.Y), b, geom.Pt(a.X, b.Y)))
	case "W", "W*":
		r.clipping = true
	default:
		return false
	}
	return true
}

func (r *pdfReader) paints(word string) bool {
	switch word {
	case "n", "S", "s", "f", "F", "f*", "B", "B*", "b", "b*":
	default:
		return false
	}
	if r.clipping {
		r.state.clip = geom.EmptyBox()
		for _, path := range r.paths {
			r.state.clip = r.state.clip.Union(geom.Path(path).Box())
		}
		r.page.clips = append(r.page.clips, r.state.clip)
	}
	if word != "n" {
		require.False(r.t, r.state.turned, "a path under a transform")
		r.page.paths = append(r.page.paths, pdfPath{curves: r.paths, closed: r.closed, stroked: strings.ContainsAny(word, "SsBb"),
			filled: strings.ContainsAny(word, "fFBb"), width: r.state.width, dashed: r.state.dashed, dashes: r.state.dashes, ink: r.state.ink, fill: r.state.fill, clip: r.state.clip})
	}
	r.paths, r.closed, r.clipping = nil, false, false
	return true
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
