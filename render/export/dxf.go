package export

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"time"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// Layers of ASTM D6673 (from memory: no copy of the standard was at hand).
const (
	layerBoundary = "1"
	layerTurn     = "2"
	layerCurve    = "3"
	layerNotch    = "4"
	layerMirror   = "6"
	layerGrain    = "7"
	layerInternal = "8"
	layerDrill    = "13"
	layerSewing   = "14"
	layerNote     = "15"
)

// dxfLayers are all layers of a file, each with the number of a colour.
var dxfLayers = []struct{ name, colour string }{
	{layerBoundary, "7"}, {layerTurn, "1"}, {layerCurve, "3"}, {layerNotch, "5"}, {layerMirror, "6"}, {layerGrain, "4"},
	{layerInternal, "2"}, {layerDrill, "1"}, {layerSewing, "8"}, {layerNote, "9"},
}

// dxfDecimals of coordinates in mm.
const dxfDecimals = 6

// DXF writes the pieces after ASTM D6673: one block a piece in its own sheet's
// coordinates, in mm, y upward; what the lines are is said by their layers, and
// points on the layers 2 and 3 tell turn points from those on curves. Chords lie
// within 0.04 mm of the curves, and the smooth curves through the points within
// 0.002 mm. The cutting line is the boundary, the sewing line has layer 14.
// Texts on layer 15 name edges, notches and marks (pattern.Label).
//
// The file is written as R12 writes it, which every later reader takes; letters
// beyond ASCII become \U+ and four hexadecimal digits.
func (j Job) DXF() ([]byte, error) {
	all, err := j.gather()
	if err != nil {
		return nil, err
	}
	by := laid(all)
	w := &dxfWriter{}
	w.group(999, noStamp)
	w.header(all, by)
	w.tables()
	w.section("BLOCKS")
	for _, c := range all {
		w.block(j, c)
	}
	w.group(0, "ENDSEC")
	w.section("ENTITIES")
	w.style(j, all, by)
	for i, c := range all {
		w.entity("INSERT", layerBoundary)
		w.group(2, blockName(c.piece))
		w.at(10, geom.Pt(by[i].X, by[i].Y))
	}
	w.group(0, "ENDSEC")
	w.group(0, "EOF")
	return stamped(w.out.Bytes()), nil
}

// blockName is the piece's slug: letters, digits and hyphens alone.
func blockName(q *pattern.Piece) string { return strings.ToUpper(q.Slug) }

type dxfWriter struct{ out bytes.Buffer }

// group writes a code and its value, a line each.
func (w *dxfWriter) group(code int, value string) {
	fmt.Fprintf(&w.out, "%3d\n%s\n", code, value)
}

func (w *dxfWriter) number(code int, v float64) { w.group(code, units.Number(v, dxfDecimals)) }

func (w *dxfWriter) section(name string) {
	w.group(0, "SECTION")
	w.group(2, name)
}

func (w *dxfWriter) entity(kind, layer string) {
	w.group(0, kind)
	w.group(8, layer)
}

// at writes a point of the sheet, y turned upward, under the codes n, n+10 and
// n+20.
func (w *dxfWriter) at(n int, p geom.Point) {
	w.number(n, p.X)
	w.number(n+10, -p.Y)
	w.number(n+20, 0)
}

func (w *dxfWriter) header(all []content, by []geom.Point) {
	sheet := geom.EmptyBox()
	for i, c := range all {
		b := c.box()
		sheet = sheet.Union(geom.Box{Min: b.Min.Add(by[i]), Max: b.Max.Add(by[i])})
	}
	if sheet.Empty() {
		sheet = geom.Box{}
	}
	w.section("HEADER")
	w.group(9, "$ACADVER")
	w.group(1, "AC1009")
	w.group(9, "$INSUNITS") // 4: millimetres
	w.group(70, "4")
	w.group(9, "$MEASUREMENT") // 1: metric
	w.group(70, "1")
	w.group(9, "$EXTMIN")
	w.at(10, geom.Pt(sheet.Min.X, sheet.Max.Y))
	w.group(9, "$EXTMAX")
	w.at(10, geom.Pt(sheet.Max.X, sheet.Min.Y))
	w.group(0, "ENDSEC")
}

func (w *dxfWriter) tables() {
	table := func(name string, count int) {
		w.group(0, "TABLE")
		w.group(2, name)
		w.group(70, strconv.Itoa(count))
	}
	w.section("TABLES")
	table("LTYPE", 1)
	w.group(0, "LTYPE")
	w.group(2, "CONTINUOUS")
	w.group(70, "0")
	w.group(3, "Solid line")
	w.group(72, "65")
	w.group(73, "0")
	w.group(40, "0")
	w.group(0, "ENDTAB")
	table("LAYER", len(dxfLayers)+1)
	for _, l := range append(dxfLayers[:len(dxfLayers):len(dxfLayers)], struct{ name, colour string }{"0", "7"}) {
		w.group(0, "LAYER")
		w.group(2, l.name)
		w.group(70, "0")
		w.group(62, l.colour)
		w.group(6, "CONTINUOUS")
	}
	w.group(0, "ENDTAB")
	table("STYLE", 1)
	w.group(0, "STYLE")
	w.group(2, "STANDARD")
	w.group(70, "0")
	w.group(40, "0")
	w.group(41, "1")
	w.group(50, "0")
	w.group(71, "0")
	w.group(42, "3")
	w.group(3, "txt")
	w.group(4, "")
	w.group(0, "ENDTAB")
	w.group(0, "ENDSEC")
}

// systemText is the height in mm of the texts that say what a file and a piece
// are, labelText that of what names a line or point.
const (
	systemText = 5.0
	labelText  = 2.0
)

// style writes the texts that hold for the whole file.
func (w *dxfWriter) style(j Job, all []content, by []geom.Point) {
	at := geom.Pt(0, 0)
	if len(all) > 0 {
		at = all[0].box().Min.Add(by[0])
	}
	lines := []string{"STYLE NAME: " + j.Pattern, "SAMPLE SIZE: " + noSize, "UNITS: METRIC",
		"CREATION DATE: " + j.Made.Format(time.DateOnly), "VERSION: " + j.Version}
	for i, line := range lines {
		w.text(layerBoundary, at.Add(geom.Pt(0, -10-1.6*systemText*float64(len(lines)-i))), systemText, line)
	}
}

// noSize stands for the size: a pattern here is of one garment.
const noSize = "ONE"

// text writes one line; at is the start of its base line.
func (w *dxfWriter) text(layer string, at geom.Point, high float64, line string) {
	w.entity("TEXT", layer)
	w.at(10, at)
	w.number(40, high)
	w.group(1, ascii(line))
}

func (w *dxfWriter) label(at geom.Point, l pattern.Label) {
	w.text(layerNote, at, labelText, l.String())
}

// ascii writes letters beyond ASCII by their numbers, those beyond the first
// 65536 as a pair of surrogates.
func ascii(s string) string {
	var b strings.Builder
	for _, r := range strings.ReplaceAll(plain(s), "%%", `%\U+0025`) { // two would be a sign
		switch {
		case r < 0x80:
			b.WriteRune(r)
		case r < 0x10000:
			fmt.Fprintf(&b, `\U+%04X`, r)
		default:
			r -= 0x10000
			fmt.Fprintf(&b, `\U+%04X\U+%04X`, 0xd800+r>>10, 0xdc00+r&0x3ff)
		}
	}
	return b.String()
}

func (w *dxfWriter) block(j Job, c content) {
	q := c.piece
	w.entity("BLOCK", layerBoundary)
	w.group(2, blockName(q))
	w.group(70, "0")
	w.at(10, geom.Pt(0, 0))
	w.group(3, blockName(q))
	w.line(layerBoundary, geom.Path(c.cutting), true, nil)
	w.line(layerSewing, geom.Path(c.sewing.Ring), true, c.sewing.Arc)
	for i, e := range q.Edges {
		if e.Fold {
			path := q.EdgePath(i)
			w.straight(layerMirror, path.Start(), path.End())
		}
		w.label(c.starts[i], edgeLabel(e, j.Set))
	}
	w.straight(layerGrain, c.grain.from, c.grain.to)
	w.label(c.grain.from, c.grain.label)
	for _, n := range c.notches {
		w.entity("POINT", layerNotch)
		w.at(10, n.cut)
		w.label(n.at, n.label)
	}
	for _, s := range c.signs {
		w.sign(s)
	}
	w.says(j, c)
	w.entity("ENDBLK", layerBoundary)
}

// edgeLabel names an edge, with what is needed to make it again.
func edgeLabel(e pattern.Edge, set string) pattern.Label {
	l := pattern.Label{Kind: pattern.LabelEdge, Name: e.Name}
	switch {
	case e.Fold:
		l.Facts = append(l.Facts, "fold")
	default:
		l.Facts = append(l.Facts, pattern.Fact("allowance", e.AllowanceFor(set)))
	}
	if e.Hem {
		l.Facts = append(l.Facts, "hem")
	}
	return l
}

// says writes the texts of a piece, above it.
func (w *dxfWriter) says(j Job, c content) {
	q := c.piece
	count := "1"
	if q.Cut == pattern.CutPair {
		count = "2"
	}
	lines := []string{"PIECE NAME: " + q.Name, "SIZE: " + noSize, "QUANTITY: " + count, "MATERIAL: " + q.Cloth,
		"ANNOTATION: allowances " + j.Set, pattern.Label{Kind: pattern.LabelCut, Name: string(q.Cut)}.String()}
	if q.Side != "" {
		lines = append(lines, pattern.Label{Kind: pattern.LabelSide, Name: q.Side}.String())
	}
	at := c.box().Centre()
	for i, line := range lines {
		w.text(layerBoundary, at.Add(geom.Pt(0, 1.6*systemText*float64(i))), systemText, line)
	}
}

// sign writes a mark: lines as internal lines, points as drill holes.
func (w *dxfWriter) sign(s sign) {
	switch {
	case s.label.Kind == string(pattern.MarkText):
		w.text(layerInternal, s.at, labelText, s.text)
		return
	case s.path == nil:
		w.entity("POINT", layerDrill)
		w.at(10, s.at)
	case len(s.path) == 1 && straightLine(s.path[0]):
		w.straight(layerInternal, s.path.Start(), s.path.End())
	default:
		w.line(layerInternal, s.path, false, nil)
	}
	w.label(s.at, s.label)
}

func (w *dxfWriter) straight(layer string, a, b geom.Point) {
	w.entity("LINE", layer)
	w.at(10, a)
	w.at(11, b)
}

// line writes a polyline and the points that tell its corners from its curves.
func (w *dxfWriter) line(layer string, p geom.Path, closed bool, arc []int) {
	points := vertices(p, closed, arc)
	w.entity("POLYLINE", layer)
	w.group(66, "1")
	w.at(10, geom.Point{})
	w.group(70, map[bool]string{true: "1", false: "0"}[closed])
	for _, v := range points {
		w.entity("VERTEX", layer)
		w.at(10, v.at)
	}
	w.entity("SEQEND", layer)
	for _, v := range points {
		kind := layerCurve
		if v.turn {
			kind = layerTurn
		}
		w.entity("POINT", kind)
		w.at(10, v.at)
	}
}
