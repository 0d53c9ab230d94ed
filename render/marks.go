package render

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// notch draws a notch: a tick across the sewing line outward, one for each
// count. One that is no longer there is hollow.
func (d *drawing) notch(at, along geom.Point, count int, length float64, hollow bool) {
	out := along.Left()
	if count < 1 {
		count = 1
	}
	for k := 0; k < count; k++ {
		foot := at.Add(along.Mul((float64(k) - float64(count-1)/2) * 0.45 * d.pen.text))
		tip := foot.Add(out.Mul(length))
		if hollow {
			side := along.Mul(0.15 * d.pen.text)
			ring := geom.Polygon(foot.Sub(side), tip.Sub(side), tip.Add(side), foot.Add(side))
			d.path(d.pathData(ring, true, true, lineDecimals), attr("class", "notch"),
				attr("fill", white), attr("stroke", black), d.length("stroke-width", d.pen.narrow))
			d.keepClear(ring)
		} else {
			d.line(foot, tip, append(d.wideLine(), attr("class", "notch"))...)
			d.strict = append(d.strict, segment{foot, tip})
		}
	}
	if hollow {
		d.legend.use(legendOldNotch)
	} else {
		d.legend.use(legendNotch)
	}
}

// notches draws all notches of a piece but those named.
func (d *drawing) notches(s *shape, except map[string]bool) {
	d.group(attr("class", "notches"))
	for _, n := range s.piece.Notches {
		if except[n.Name] {
			continue
		}
		if at, along, _, err := s.piece.NotchPlace(n); err == nil {
			d.notch(at, along, n.Count, d.pen.tick, false)
		}
	}
	d.ungroup()
}

// marksPoint reports whether a mark has a place of its own.
func marksPoint(m pattern.Mark) bool {
	switch m.Kind {
	case pattern.MarkButton, pattern.MarkDot, pattern.MarkText, pattern.MarkDart:
		return true
	}
	return false
}

// marks draws all marks and reference lines of a piece but the marks named.
func (d *drawing) marks(s *shape, except map[string]bool) {
	d.group(attr("class", "marks"))
	for _, m := range s.piece.Marks {
		if !except[m.Name] || m.Name == "" {
			d.mark(s, m, false)
		}
	}
	for _, l := range s.piece.Lines {
		d.path(d.pathData(l.Path, false, true, lineDecimals), d.longDashes()...)
		d.keepOff(l.Path)
		d.legend.use(legendReference)
	}
	d.ungroup()
}

// markLegend is how a legend explains each kind of mark; a text explains
// itself.
var markLegend = map[pattern.MarkKind]legendItem{
	pattern.MarkButton: legendMark, pattern.MarkDot: legendMark,
	pattern.MarkButtonhole: legendSlit, pattern.MarkSlit: legendSlit,
	pattern.MarkPlacement: legendPlacement, pattern.MarkFoldLine: legendFoldLine,
	pattern.MarkDart: legendDart, pattern.MarkPleat: legendPleat,
}

// mark draws one mark; one that is no longer there in a thin chain line.
func (d *drawing) mark(s *shape, m pattern.Mark, gone bool) {
	line := d.narrowLine()
	item, explained := markLegend[m.Kind]
	if gone {
		line, item = d.chainLine(), legendOldMark
	}
	if explained {
		d.legend.use(item)
	}
	switch m.Kind {
	case pattern.MarkButton:
		d.button(m, line)
	case pattern.MarkDot:
		r := 0.28 * d.pen.text
		d.ringMark(m.At, r, line)
		d.cross(m.At, r*1.7, line)
	case pattern.MarkText:
		d.labels = append(d.labels, label{text: m.Text, anchor: m.At, size: d.pen.text,
			widest: 18 * d.pen.text, order: 4, bare: true})
	case pattern.MarkDart:
		d.dart(s, m, line)
	case pattern.MarkPleat:
		d.pleat(s, m, line)
	case pattern.MarkPlacement:
		if !gone {
			line = d.dottedLine()
		}
		d.markPath(m, line)
	case pattern.MarkFoldLine:
		if !gone {
			line = d.longDashes()
		}
		d.markPath(m, line)
	default: // buttonhole, slit
		d.markPath(m, line)
		d.endBars(m.Path, line)
	}
}

func (d *drawing) markPath(m pattern.Mark, line []string) {
	d.path(d.pathData(m.Path, false, true, lineDecimals), line...)
	d.keepOff(m.Path)
}

func (d *drawing) cross(at geom.Point, r float64, line []string) {
	d.line(at.Sub(geom.Pt(r, 0)), at.Add(geom.Pt(r, 0)), line...)
	d.line(at.Sub(geom.Pt(0, r)), at.Add(geom.Pt(0, r)), line...)
	d.drawn = append(d.drawn, segment{at.Sub(geom.Pt(r, 0)), at.Add(geom.Pt(r, 0))}, segment{at.Sub(geom.Pt(0, r)), at.Add(geom.Pt(0, r))})
}

func (d *drawing) button(m pattern.Mark, line []string) {
	r := d.buttonRadius(m)
	d.ringMark(m.At, r, line)
	d.cross(m.At, r*0.6, line)
}

// buttonRadius is the radius a button is drawn with, 0 for other marks.
func (d *drawing) buttonRadius(m pattern.Mark) float64 {
	switch {
	case m.Kind != pattern.MarkButton:
		return 0
	case m.Size > 0:
		return m.Size / 2
	}
	return 0.4 * d.pen.text
}

// ringMark draws a circle and keeps labels off it.
func (d *drawing) ringMark(at geom.Point, r float64, line []string) {
	d.circle(at, r, line...)
	d.keepOff(geom.Arc(at, r, 0, 2*math.Pi))
}

// endBars draws short bars across both ends of a buttonhole or slit.
func (d *drawing) endBars(path geom.Path, line []string) {
	if len(path) == 0 {
		return
	}
	r := 0.3 * d.pen.text
	for _, end := range []struct{ at, along geom.Point }{
		{path.Start(), path.StartTangent()}, {path.End(), path.EndTangent()},
	} {
		n := end.along.Left().Mul(r)
		d.line(end.at.Add(n), end.at.Sub(n), line...)
		d.drawn = append(d.drawn, segment{end.at.Add(n), end.at.Sub(n)})
	}
}

// dart draws the two legs from the mouth to the point.
func (d *drawing) dart(s *shape, m pattern.Mark, line []string) {
	if path := s.edge(m.Edge); path != nil {
		for _, at := range []float64{m.From, m.To} {
			leg := geom.Polyline(path.PointAt(at), m.At)
			d.path(d.pathData(leg, false, true, lineDecimals), line...)
			d.keepOff(leg)
		}
	}
	d.circle(m.At, 0.2*d.pen.text, line...)
}

// pleatDeep is how far the lines of a pleat go inward, in sizes of the letters.
const pleatDeep = 3

// pleat draws the two lines of a pleat inward from its edge and the way it is
// laid.
func (d *drawing) pleat(s *shape, m pattern.Mark, line []string) {
	path := s.edge(m.Edge)
	if path == nil {
		return
	}
	deep := pleatDeep * d.pen.text
	in := func(at float64, by float64) geom.Point {
		return path.PointAt(at).Add(path.TangentAt(at).Right().Mul(by))
	}
	for _, at := range []float64{m.From, m.To} {
		leg := geom.Polyline(path.PointAt(at), in(at, deep))
		d.path(d.pathData(leg, false, true, lineDecimals), line...)
		d.keepOff(leg)
	}
	from, to := m.From, m.To
	if m.Direction == "start" {
		from, to = to, from
	}
	d.arrow(in(from, deep*0.6), in(to, deep*0.6), black, d.pen.narrow)
}

// markPlace is where a mark's label goes, false when it has no place.
func (s *shape) markPlace(m pattern.Mark) (geom.Point, bool) {
	switch {
	case marksPoint(m):
		return m.At, true
	case len(m.Path) > 0:
		return m.Path.PointAt(m.Path.Length() / 2), true
	case m.Edge != "":
		if path := s.edge(m.Edge); path != nil {
			return path.PointAt((m.From + m.To) / 2), true
		}
	}
	return geom.Point{}, false
}

// grain draws the grain line with one head, at its bottom, for cloth with nap,
// else with two.
func (d *drawing) grain(g *pattern.Grain, gone bool) {
	line := d.narrowLine()
	if gone {
		line = d.chainLine()
		d.legend.use(legendOldMark)
	} else {
		d.legend.use(legendGrain)
	}
	d.group(attr("class", "grain"))
	d.line(g.From, g.To, line...)
	d.drawn = append(d.drawn, segment{g.From, g.To})
	way := g.To.Sub(g.From)
	length := math.Min(d.pen.head*1.2, way.Len()/3)
	d.head(g.To, way, length, black)
	if !g.OneWay {
		d.head(g.From, way.Mul(-1), length, black)
	}
	d.ungroup()
}

// within cuts a grain line off where it would hang out of its piece: its
// longest part inside, a little short of the outline. One that lies outside
// altogether stays as it is.
func within(g *pattern.Grain, ring geom.Ring) *pattern.Grain {
	line := geom.Line(g.From, g.To)
	const atEnd = 1e-3 // of the grain line: one that ends on the outline
	cuts := []float64{0, 1}
	for _, c := range ring {
		for _, m := range geom.Meet(line, c) {
			if m.T > atEnd && m.T < 1-atEnd {
				cuts = append(cuts, m.T)
			}
		}
	}
	slices.Sort(cuts)
	if len(cuts) == 2 {
		return g
	}
	const short = 0.03 // of the part inside, at an end that was cut off
	best := [2]float64{}
	for k := range len(cuts) - 1 {
		a, b := cuts[k], cuts[k+1]
		if b-a > best[1]-best[0] && ring.Holds(line.At((a+b)/2)) {
			best = [2]float64{a, b}
		}
	}
	if best == [2]float64{} || best == [2]float64{0, 1} {
		return g
	}
	off := short * (best[1] - best[0])
	cut := *g
	if best[0] > 0 {
		cut.From = line.At(best[0] + off)
	}
	if best[1] < 1 {
		cut.To = line.At(best[1] - off)
	}
	return &cut
}

// foldBracket marks a fold edge: a line beside it inside the piece, bent at
// both ends to the fold, where arrow heads touch it.
func (d *drawing) foldBracket(path geom.Path) {
	total := path.Length()
	inset, in := math.Min(total*0.2, 3*d.pen.text), path.StartTangent().Right().Mul(1.6*d.pen.text)
	a, b := path.PointAt(inset), path.PointAt(total-inset)
	bracket := geom.Polyline(a, a.Add(in), b.Add(in), b)
	d.group(attr("class", "fold"))
	for i, c := range bracket {
		if i == 1 {
			d.line(c.P0, c.P3, d.narrowLine()...)
		}
	}
	d.arrow(a.Add(in), a, black, d.pen.narrow)
	d.arrow(b.Add(in), b, black, d.pen.narrow)
	d.ungroup()
	d.drawn = append(d.drawn, segment{a.Add(in), b.Add(in)})
	d.legend.use(legendFold)
	d.sayAlong("on fold", a.Lerp(b, 0.5).Add(in), path.StartTangent(), path.StartTangent().Right(), 0.3*d.pen.text, 0)
}

// pins draws the pinned notes: a dot at each place, its number in a ring.
func (d *drawing) pins(notes []PinnedNote) {
	if len(notes) == 0 {
		return
	}
	d.legend.use(legendNote)
	d.group(attr("class", "pins"))
	for i, n := range notes {
		fill := white
		if n.Open {
			fill = black
		}
		d.circle(n.At, 0.3*d.pen.text, attr("fill", fill), attr("stroke", black), d.length("stroke-width", d.pen.narrow))
		r := 0.3 * d.pen.text
		d.drawn = append(d.drawn, segment{n.At.Sub(geom.Pt(r, 0)), n.At.Add(geom.Pt(r, 0))})
		d.labels = append(d.labels, label{text: noteLetter(i), anchor: n.At, away: 0.6 * d.pen.text,
			size: d.pen.text, bold: true, widest: 6 * d.pen.text, order: 2, disc: true})
	}
	d.ungroup()
}

// noteLetter is the sign of the note pinned as number i, counted from 0: a
// letter, as changes have numbers; after Z comes A2.
func noteLetter(i int) string {
	const letters = 26
	text := string(rune('A' + i%letters))
	if i >= letters {
		text += fmt.Sprint(i/letters + 1)
	}
	return text
}
