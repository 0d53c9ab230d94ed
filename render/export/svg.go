package export

import (
	"bytes"
	"fmt"
	"html"
	"math"
	"strings"

	svg "github.com/ajstarks/svgo/float"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// Decimals of what is written: a millionth of a millimetre in paths, so that
// nothing is lost, and thousandths elsewhere.
const (
	pathDecimals = 6
	markDecimals = 3
)

// Lines as drawings have them: widths and dashes in mm.
const (
	wideLine, narrowLine = "0.7", "0.35"
	dashes               = "6 1.5"
	chain                = "12 2 1 2"
	dotted               = "0.5 1.5"
)

// SVG writes all pieces as one drawing at true size, 1:1 in mm: for each piece
// a group with its name, and in it the groups cutting line, sewing line,
// notches, grain and marks, called so for people and programs. Lines are the
// stored curves themselves.
func (j Job) SVG() ([]byte, error) {
	all, err := j.gather()
	if err != nil {
		return nil, err
	}
	by := laid(all)
	const margin = 20.0
	sheet := geom.EmptyBox()
	for i, c := range all {
		b := c.box()
		sheet = sheet.Union(geom.Box{Min: b.Min.Add(by[i]), Max: b.Max.Add(by[i])})
	}
	sheet = sheet.Grow(margin)
	sheet.Min = geom.Pt(math.Floor(sheet.Min.X), math.Floor(sheet.Min.Y))
	size := sheet.Max.Sub(sheet.Min)
	wide, high := math.Ceil(size.X), math.Ceil(size.Y)
	var out bytes.Buffer
	w := &svgWriter{SVG: svg.New(&out), ids: map[string]bool{}}
	w.Decimals = markDecimals
	w.Startraw(attr("width", number(wide)+"mm"), attr("height", number(high)+"mm"),
		attr("viewBox", strings.Join([]string{number(sheet.Min.X), number(sheet.Min.Y), number(wide), number(high)}, " ")),
		attr("xmlns:inkscape", inkscapeSpace), attr("xmlns:sodipodi", sodipodiSpace))
	fmt.Fprintf(&out, "<!-- %s -->\n", noStamp)
	fmt.Fprintln(&out, `<sodipodi:namedview inkscape:document-units="mm" showgrid="false"/>`)
	w.Title(plain(j.Pattern))
	w.Desc(plain(j.Version + "; allowances: " + j.Set + "; at true size in millimetres"))
	for i, c := range all {
		w.piece(c, by[i], j.Set)
	}
	w.End()
	return stamped(out.Bytes()), nil
}

// The names of drawing programs for what the standard has none: the label of a
// group or shape, and the unit that the rulers show.
const (
	inkscapeSpace = "http://www.inkscape.org/namespaces/inkscape"
	sodipodiSpace = "http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"
)

type svgWriter struct {
	*svg.SVG
	ids map[string]bool
}

// called gives a label, and an id made of it that is unique in the drawing.
func (w *svgWriter) called(label string, within ...string) []string {
	id := pattern.Slug(strings.Join(append(within, label), " "), func(s string) bool { return w.ids[s] })
	w.ids[id] = true
	return []string{attr("id", "toile-"+id), attr("inkscape:label", plain(label)), attr("data-name", plain(label))}
}

// layer opens a group that drawing programs list among the layers.
func (w *svgWriter) layer(label string, within ...string) {
	w.Group(append(w.called(label, within...), attr("inkscape:groupmode", "layer"))...)
}

func (w *svgWriter) piece(c content, by geom.Point, set string) {
	q := c.piece
	w.Group(append(w.called(q.Name), attr("inkscape:groupmode", "layer"), attr("fill", "none"), attr("stroke", "#000000"),
		attr("stroke-width", narrowLine), attr("stroke-linejoin", "round"),
		attr("transform", fmt.Sprintf("translate(%s,%s)", number(by.X), number(by.Y))))...)
	w.layer("cutting line", q.Name)
	w.Path(pathData(geom.Path(c.cutting), true), attr("stroke-width", wideLine))
	w.Gend()
	w.layer("sewing line", q.Name)
	w.Path(pathData(geom.Path(c.sewing.Ring), true), append(w.called(q.Name), attr("stroke-dasharray", dashes))...)
	w.Gend()
	w.notches(c)
	w.layer("grain", q.Name)
	w.grain(c)
	w.Gend()
	w.layer("marks", q.Name)
	for _, s := range c.signs {
		w.sign(s, q.Name)
	}
	w.Gend()
	w.layer("words", q.Name)
	w.words(c, set)
	w.Gend()
	w.Gend()
}

// words stand above the piece, where they are no part of it.
func (w *svgWriter) words(c content, set string) {
	const above = 5.0
	b := c.box()
	w.Text(number3(b.Min.X), number3(b.Min.Y-above), plain(c.piece.Name+", "+cutWords(c.piece)+foldWords(c.piece)+"; allowances: "+set),
		attr("font-family", "sans-serif"), attr("font-size", "6"), attr("fill", "#000000"), attr("stroke", "none"))
}

// foldWords say which edges lie on the fold: the lines alone do not tell.
func foldWords(q *pattern.Piece) string {
	words := ""
	for _, e := range q.Edges {
		if e.Fold {
			words += fmt.Sprintf("; lay %q on the fold, and do not cut it", e.Name)
		}
	}
	return words
}

// notchLength is how long in mm a notch is drawn, inward, where there is no
// allowance: outward it would be cut off.
const notchLength = 6.0

// notches are strokes from the sewing line to the cutting line; a double one is
// two strokes in one path, and so on.
func (w *svgWriter) notches(c content) {
	const apart = 3.0
	w.layer("notches", c.piece.Name)
	for _, n := range c.notches {
		tip := n.cut.Sub(n.at)
		if tip.Len() < 1 {
			tip = n.along.Right().Mul(notchLength)
		}
		var d []string
		for k := range n.count {
			foot := n.at.Add(n.along.Mul((float64(k) - float64(n.count-1)/2) * apart))
			d = append(d, pathData(geom.Path{geom.Line(foot, foot.Add(tip))}, false))
		}
		w.Path(strings.Join(d, " "), append(w.called(n.label.String(), c.piece.Name), attr("stroke-width", wideLine))...)
	}
	w.Gend()
}

func (w *svgWriter) grain(c content) {
	g := c.grain
	d := pathData(geom.Path{geom.Line(g.from, g.to)}, false)
	w.Path(d, append(w.called(g.label.String(), c.piece.Name), attr("stroke-dasharray", chain))...)
}

// sign draws a mark: lines as they are, points as circles.
func (w *svgWriter) sign(s sign, piece string) {
	const dot = 1.5
	called := w.called(s.label.String(), piece)
	switch {
	case s.path != nil:
		line := []string{}
		switch pattern.MarkKind(s.label.Kind) {
		case pattern.MarkPlacement:
			line = append(line, attr("stroke-dasharray", dotted))
		case pattern.MarkFoldLine:
			line = append(line, attr("stroke-dasharray", chain))
		}
		w.Path(pathData(s.path, false), append(called, line...)...)
	case s.text != "" || s.label.Kind == string(pattern.MarkText):
		w.Text(number3(s.at.X), number3(s.at.Y), plain(s.text),
			append(called, attr("font-family", "sans-serif"), attr("font-size", "5"), attr("fill", "#000000"), attr("stroke", "none"))...)
	default:
		r := dot
		if s.radius > 0 {
			r = s.radius
		}
		w.Circle(number3(s.at.X), number3(s.at.Y), number3(r), called...)
	}
}

// pathData writes curves as path data, straight ones as lines.
func pathData(p geom.Path, closed bool) string {
	if len(p) == 0 {
		return ""
	}
	var b strings.Builder
	point := func(q geom.Point) string {
		return units.Number(q.X, pathDecimals) + "," + units.Number(q.Y, pathDecimals)
	}
	b.WriteString("M " + point(p[0].P0))
	for _, c := range p {
		if straightLine(c) {
			b.WriteString(" L " + point(c.P3))
			continue
		}
		b.WriteString(" C " + point(c.P1) + " " + point(c.P2) + " " + point(c.P3))
	}
	if closed {
		b.WriteString(" Z")
	}
	return b.String()
}

func number(v float64) string { return units.Number(v, markDecimals) }

func number3(v float64) float64 { return units.Round(v, markDecimals) }

func attr(name, value string) string { return name + `="` + html.EscapeString(value) + `"` }

// plain is text on one line without control characters.
func plain(s string) string {
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r < ' ' || r == 0x7f }), " ")
}
