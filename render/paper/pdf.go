package paper

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"sync"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"

	"toile/geom"
	"toile/render/stamp"
)

// stampWord stands before the digest by which a print is known as one that may
// be written over.
const stampWord = "toile print "

// Untouched reports whether a file is a print as it was written.
func Untouched(text []byte) bool { return stamp.Untouched(text, stampWord) }

const typeface = "go"

// pointsPerMM is 72 points to the inch of 25.4 mm.
const pointsPerMM = 72 / 25.4

var (
	black = Color{}
	grey  = Color{110, 110, 110} // of what is no part of a picture; contrast on white 5
)

// letters is the typeface, read once to tell which signs it has.
var letters = sync.OnceValues(func() (*sfnt.Font, error) { return sfnt.Parse(goregular.TTF) })

// writer writes pages through the PDF library. Lengths are mm of paper, from
// the page's top left corner.
type writer struct {
	pdf     *fpdf.Fpdf
	font    *sfnt.Font
	buffer  sfnt.Buffer
	missing map[rune]bool // signs the typeface lacks
	err     error
}

func newWriter(title string, made time.Time) (*writer, error) {
	font, err := letters()
	if err != nil {
		return nil, fmt.Errorf("the letters of the print cannot be read: %w", err)
	}
	w := &writer{pdf: fpdf.New("P", "mm", "A4", ""), font: font, missing: map[rune]bool{}}
	w.pdf.SetAutoPageBreak(false, 0)
	w.pdf.SetMargins(0, 0, 0)
	w.pdf.SetCatalogSort(true)
	w.pdf.SetCreationDate(made)
	w.pdf.SetModificationDate(made)
	w.pdf.SetProducer("toile", false)
	w.pdf.SetCreator(stamp.Blank(stampWord), false)
	w.pdf.SetTitle(title, true)
	w.pdf.AddUTF8FontFromBytes(typeface, "", goregular.TTF)
	w.pdf.AddUTF8FontFromBytes(typeface, "B", gobold.TTF)
	w.pdf.SetLineJoinStyle("round")
	return w, w.pdf.Error()
}

// page begins a page.
func (w *writer) page(size Size, level bool) {
	s := size.turned(level)
	w.pdf.AddPageFormat("P", fpdf.SizeType{Wd: s.Wide, Ht: s.High})
}

// finish writes the file.
func (w *writer) finish(out io.Writer) error {
	var b bytes.Buffer
	if err := w.pdf.Output(&b); err != nil {
		return fmt.Errorf("the PDF could not be made: %w", err)
	}
	if w.err != nil {
		return w.err
	}
	_, err := out.Write(stamp.Put(b.Bytes(), stampWord))
	return err
}

// lacking lists the signs the typeface lacks, in order.
func (w *writer) lacking() []string {
	var runes []rune
	for r := range w.missing {
		runes = append(runes, r)
	}
	slices.Sort(runes)
	var out []string
	for _, r := range runes {
		out = append(out, string(r))
	}
	return out
}

// Readable reports whether the typeface of a print has a sign for every letter of a
// text.
func Readable(text string) (bool, error) {
	font, err := letters()
	if err != nil {
		return false, fmt.Errorf("the letters of the print cannot be read: %w", err)
	}
	w := writer{font: font, missing: map[rune]bool{}}
	w.writable(text)
	return len(w.missing) == 0, nil
}

// lackingSign stands where the typeface has no sign.
const lackingSign = '?'

// writable replaces the signs that the typeface lacks.
func (w *writer) writable(text string) string {
	out := []rune(text)
	for i, r := range out {
		if g, err := w.font.GlyphIndex(&w.buffer, r); err != nil || g == 0 {
			w.missing[r] = true
			out[i] = lackingSign
		}
	}
	return string(out)
}

// style says how letters are set.
type style struct {
	size  float64 // mm
	bold  bool
	color Color
	align float64
	angle float64 // radians, clockwise as seen
}

func (w *writer) set(s style) {
	bold := ""
	if s.bold {
		bold = "B"
	}
	w.pdf.SetFont(typeface, bold, s.size*pointsPerMM)
	w.pdf.SetTextColor(int(s.color.R), int(s.color.G), int(s.color.B))
}

// width is the width of a line of text in mm.
func (w *writer) width(text string, s style) float64 {
	w.set(s)
	return w.pdf.GetStringWidth(w.writable(text))
}

// text writes a line whose base line starts at a place, or lies about it as its
// style says.
func (w *writer) text(at geom.Point, text string, s style) {
	if text = w.writable(text); text == "" {
		return
	}
	w.set(s)
	if s.angle != 0 {
		w.pdf.TransformBegin()
		w.pdf.TransformRotate(-geom.InDegrees(s.angle), at.X, at.Y)
		defer w.pdf.TransformEnd()
	}
	w.pdf.Text(at.X-s.align*w.pdf.GetStringWidth(text), at.Y, text)
}

// fitted is the text in the largest letters up to the size in which it has room
// in the width; below the least size it is cut short with an ellipsis.
func (w *writer) fitted(text string, s style, least, width float64) (string, style) {
	if wide := w.width(text, s); wide > width {
		s.size = math.Max(least, s.size*width/wide)
	}
	runes := []rune(text)
	for len(runes) > 1 && w.width(string(runes), s) > width {
		runes = append(runes[:len(runes)-2], '…')
	}
	return string(runes), s
}

// stroke makes the pen draw as a stroke says.
func (w *writer) stroke(s Stroke) {
	w.pdf.SetDrawColor(int(s.Color.R), int(s.Color.G), int(s.Color.B))
	w.pdf.SetLineWidth(s.Width)
	w.pdf.SetDashPattern(s.Dashes, 0)
}

// line draws a straight line.
func (w *writer) line(a, b geom.Point, s Stroke) {
	w.paths([][]geom.Cubic{{geom.Line(a, b)}}, false, &s, nil)
}

// box draws a rectangle.
func (w *writer) box(b geom.Box, s Stroke) {
	w.paths([][]geom.Cubic{boxRing(b)}, true, &s, nil)
}

func boxRing(b geom.Box) geom.Ring {
	return geom.Polygon(b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y))
}

// straightWithin is how far in mm a curve's handles may lie off its chord to be
// written as a line.
const straightWithin = 1e-4

// paths draws lines and curves; curves stay cubics.
func (w *writer) paths(paths [][]geom.Cubic, closed bool, s *Stroke, fill *Color) {
	how := ""
	if fill != nil {
		w.pdf.SetFillColor(int(fill.R), int(fill.G), int(fill.B))
		how = "F*"
	}
	if s != nil {
		w.stroke(*s)
		how = map[bool]string{true: "D", false: "FD*"}[fill == nil]
	}
	if how == "" {
		return
	}
	drawn := false
	for _, path := range paths {
		if len(path) == 0 {
			continue
		}
		drawn = true
		w.pdf.MoveTo(path[0].P0.X, path[0].P0.Y)
		for _, c := range path {
			if !c.Finite() && w.err == nil {
				w.err = fmt.Errorf("a print needs finite coordinates, got %v", c)
			}
			if c.IsStraight(straightWithin) {
				w.pdf.LineTo(c.P3.X, c.P3.Y)
			} else {
				w.pdf.CurveBezierCubicTo(c.P1.X, c.P1.Y, c.P2.X, c.P2.Y, c.P3.X, c.P3.Y)
			}
		}
		if closed {
			w.pdf.ClosePath()
		}
	}
	if drawn {
		w.pdf.DrawPath(how)
	}
}

// clipped draws inside of a rectangle only.
func (w *writer) clipped(b geom.Box, draw func()) {
	size := b.Size()
	w.pdf.ClipRect(b.Min.X, b.Min.Y, size.X, size.Y, false)
	draw()
	w.pdf.ClipEnd()
}

// within draws inside of a ring with straight sides only, laid where place puts it;
// everywhere where that is nil.
func (w *writer) within(ring geom.Ring, place func(geom.Point) geom.Point, draw func()) {
	if ring == nil {
		draw()
		return
	}
	var corners []fpdf.PointType
	for _, c := range ring {
		at := place(c.P0)
		corners = append(corners, fpdf.PointType{X: at.X, Y: at.Y})
	}
	w.pdf.ClipPolygon(corners, false)
	draw()
	w.pdf.ClipEnd()
}

// picture draws what of a picture meets the window, each point laid where
// place puts it.
func (w *writer) picture(p Picture, window geom.Box, place func(geom.Point) geom.Point) {
	for i := range p {
		item := &p[i]
		if !item.bounds().Grow(itemReach).Overlaps(window) {
			continue
		}
		var laid [][]geom.Cubic
		for _, path := range item.Paths {
			var to []geom.Cubic
			for _, c := range path {
				to = append(to, geom.Cubic{P0: place(c.P0), P1: place(c.P1), P2: place(c.P2), P3: place(c.P3)})
			}
			laid = append(laid, to)
		}
		w.paths(laid, item.Closed, item.Stroke, item.Fill)
		if item.Text != "" {
			w.text(place(item.At), item.Text, style{size: item.Size, bold: item.Bold, align: item.Align, angle: item.Angle})
		}
	}
}

// itemReach is more than half the width of any line, in mm.
const itemReach = 1.0
