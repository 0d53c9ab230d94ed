package render

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"

	svg "github.com/ajstarks/svgo/float"

	"toile/geom"
	"toile/pattern/units"
)

// Decimals of the coordinates of lines and of those of region paths, whose
// areas are to be found again to 1e-3 mm²: half of the last digit, 5e-7 mm,
// times an outline of 4 m shifts the area by at most 2e-3, and by far less as
// the errors cancel.
const (
	lineDecimals   = 3
	regionDecimals = 6
)

// canvas writes SVG through svgo and keeps what svgo does not look after:
// only finite numbers are written and none as a negative zero, text loses its
// control characters, and attributes hold nothing but words of this package.
// Nothing is handed on before finish, so a drawing that fails leaves no output.
type canvas struct {
	body bytes.Buffer
	svg  brush
	err  error
}

// brush is what a canvas draws with: the SVG writer, or, for paper, a recorder.
// Attributes are those of SVG.
type brush interface {
	Group(attrs ...string)
	Gend()
	Translate(x, y float64)
	Line(x1, y1, x2, y2 float64, attrs ...string)
	Circle(x, y, r float64, attrs ...string)
	Rect(x, y, w, h float64, attrs ...string)
	Path(d string, attrs ...string)
	Text(x, y float64, line string, attrs ...string)
}

func newCanvas() *canvas {
	c := &canvas{}
	s := svg.New(&c.body)
	s.Decimals = lineDecimals
	c.svg = s
	return c
}

// finish writes the whole drawing: the sheet, 1:1 in mm, and the body on it.
func (c *canvas) finish(w io.Writer, sheet geom.Box, title, says string) error {
	var out bytes.Buffer
	s := svg.New(&out)
	s.Decimals = lineDecimals
	x, y := c.num(sheet.Min.X), c.num(sheet.Min.Y)
	size := sheet.Size()
	wide, high := c.num(size.X), c.num(size.Y)
	if c.err != nil {
		return c.err
	}
	s.StartviewUnit(wide, high, "mm", x, y, wide, high)
	s.Title(plain(title))
	s.Desc(plain(says))
	s.Rect(x, y, wide, high, attr("class", "sheet"), attr("fill", white))
	s.Group(attr("font-family", "sans-serif"), attr("stroke-linejoin", "round"))
	out.Write(c.body.Bytes())
	s.Gend()
	s.End()
	_, err := w.Write(out.Bytes())
	return err
}

// num rounds a coordinate to what is written, without a negative zero, and
// notes one that is no number.
func (c *canvas) num(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		if c.err == nil {
			c.err = fmt.Errorf("a drawing needs finite coordinates, got %v", v)
		}
		return 0
	}
	return units.Round(v, lineDecimals)
}

// attr is one attribute; svgo takes attributes as text of the form name="value".
func attr(name, value string) string {
	return name + `="` + attrEscape.Replace(plain(value)) + `"`
}

var attrEscape = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

// length is an attribute with a number of mm.
func (c *canvas) length(name string, mm float64) string {
	return attr(name, units.Number(c.num(mm), lineDecimals))
}

// dashes is a stroke-dasharray.
func (c *canvas) dashes(mm ...float64) string {
	parts := make([]string, len(mm))
	for i, v := range mm {
		parts[i] = units.Number(c.num(v), lineDecimals)
	}
	return attr("stroke-dasharray", strings.Join(parts, " "))
}

// group opens a group, ungroup closes it.
func (c *canvas) group(attrs ...string) { c.svg.Group(attrs...) }
func (c *canvas) ungroup()              { c.svg.Gend() }

// shift opens a group moved by v, in mm.
func (c *canvas) shift(v geom.Point) { c.svg.Translate(c.num(v.X), c.num(v.Y)) }

func (c *canvas) line(a, b geom.Point, attrs ...string) {
	c.svg.Line(c.num(a.X), c.num(a.Y), c.num(b.X), c.num(b.Y), attrs...)
}

func (c *canvas) circle(at geom.Point, r float64, attrs ...string) {
	c.svg.Circle(c.num(at.X), c.num(at.Y), c.num(r), attrs...)
}

func (c *canvas) rect(b geom.Box, attrs ...string) {
	size := b.Size()
	c.svg.Rect(c.num(b.Min.X), c.num(b.Min.Y), c.num(size.X), c.num(size.Y), attrs...)
}

func (c *canvas) path(d string, attrs ...string) {
	if d != "" {
		c.svg.Path(d, attrs...)
	}
}

// text writes one line; at is the start of its base line, or the middle or end
// of it with a text-anchor.
func (c *canvas) text(at geom.Point, line string, attrs ...string) {
	if line = plain(line); line != "" {
		c.svg.Text(c.num(at.X), c.num(at.Y), line, attrs...)
	}
}

// pathData writes curves as path data with so many decimals. Straight curves
// become L where lines is set, so that a person can read them.
func (c *canvas) pathData(curves []geom.Cubic, closed, lines bool, decimals uint) string {
	if len(curves) == 0 {
		return ""
	}
	var b strings.Builder
	point := func(p geom.Point) {
		c.num(p.X)
		c.num(p.Y)
		b.WriteString(units.Number(p.X, decimals) + " " + units.Number(p.Y, decimals))
	}
	b.WriteString("M")
	point(curves[0].P0)
	for _, k := range curves {
		if lines && k.IsStraight(1e-4) {
			b.WriteString(" L")
			point(k.P3)
			continue
		}
		b.WriteString(" C")
		point(k.P1)
		b.WriteString(" ")
		point(k.P2)
		b.WriteString(" ")
		point(k.P3)
	}
	if closed {
		b.WriteString(" Z")
	}
	return b.String()
}
