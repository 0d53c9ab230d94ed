package render

import (
	"fmt"
	"io"
	"math"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// Sizes of a drawn seam, in letter sizes: the room between its two lines, how
// high what is too long or missing stands on them, how far off their lengths are
// written, and what a page's own room for labels is short of for those.
const (
	seamLane   = 6.0
	seamPatch  = 1.5
	seamLength = 6.5
	seamRoom   = 1.2
)

// Seam draws the two chains of a seam laid along each other, as they are
// walked: both as straight lines at true size, the first above, each section
// starting anew at its notches. What a side is too long or too short by is
// hatched, what is meant as ease-in framed. findings are those to tell; sections
// among them are drawn with their figures. A seam that cannot be walked is an
// error.
func Seam(w io.Writer, s Sheet, p *pattern.Pattern, seam *pattern.Seam, findings []change.Finding) error {
	v, err := newSeamView(p, seam, findings)
	if err != nil {
		return err
	}
	flat := geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(v.width, v.width/1000)}
	if err := boxFits("seam "+seam.Name, flat); err != nil {
		return err
	}
	text := newPage(flat).text
	page := newPage(geom.Box{Min: geom.Pt(0, -seamRoom*text), Max: geom.Pt(v.width, (seamLane+seamRoom)*text)})
	v.drawing = newDrawing(s, page.text)
	v.draw()
	missed := v.setLabels(page.drawing)
	sheet := page.set(v.blocks(page.width, missed))
	return v.finish(w, sheet, s.Pattern+": seam "+seam.Name, "the two sides of the seam "+seam.Name+" laid along each other")
}

// seamView is a seam while it is drawn.
type seamView struct {
	*drawing
	seam     *pattern.Seam
	sides    [2]pattern.Walked
	sections []seamSection
	findings []change.Finding
	width    float64 // mm of the whole drawing
}

// seamSection is a section with where it starts along the drawing and along
// either chain, mm.
type seamSection struct {
	pattern.SectionLength
	x     float64
	start [2]float64
	told  bool // among the findings
}

// length is how long the section is on a side, wanted how long the second side
// is meant to be.
func (s seamSection) length(side int) float64 { return [2]float64{s.First, s.Second}[side] }
func (s seamSection) wanted() float64 {
	if s.Gathered {
		return s.Second
	}
	return s.First + s.Ease
}
func (s seamSection) widest() float64 { return math.Max(s.First, math.Max(s.Second, s.wanted())) }

func newSeamView(p *pattern.Pattern, seam *pattern.Seam, findings []change.Finding) (*seamView, error) {
	v := &seamView{seam: seam, findings: findings}
	lengths, err := p.WalkSeam(seam)
	if err != nil {
		return nil, err
	}
	if v.sides[0], v.sides[1], err = p.WalkChains(seam); err != nil {
		return nil, err
	}
	var start [2]float64
	for _, l := range lengths {
		s := seamSection{SectionLength: l, x: v.width, start: start}
		for _, f := range findings {
			s.told = s.told || (f.Mismatch && f.Seam == seam.Name && f.Section == l.Name)
		}
		v.sections = append(v.sections, s)
		start[0], start[1] = start[0]+l.First, start[1]+l.Second
		v.width += s.widest()
	}
	return v, nil
}

// lineAt is the height of a side's line; out is the direction away from the
// other.
func (v *seamView) lineAt(side int) float64 { return float64(side) * seamLane * v.pen.text }
func (v *seamView) out(side int) geom.Point { return geom.Pt(0, float64(2*side-1)) }

// place is where a distance along a chain is drawn. At a notch between two
// sections it is the end of the first.
func (v *seamView) place(side int, along float64) geom.Point {
	for k, s := range v.sections {
		if along <= s.start[side]+s.length(side)+1e-9 || k == len(v.sections)-1 {
			return geom.Pt(s.x+along-s.start[side], v.lineAt(side))
		}
	}
	return geom.Point{}
}

func (v *seamView) draw() {
	for k := range v.sections {
		v.section(k)
	}
	v.openings()
	for side := range v.sides {
		v.parts(side)
		v.notchesOf(side)
	}
}

// section draws both lines of a section, what is out, and the lengths.
func (v *seamView) section(k int) {
	s := v.sections[k]
	t := v.pen.text
	v.legend.use(legendLaid)
	for side := range v.sides {
		a := geom.Pt(s.x, v.lineAt(side))
		b := a.Add(geom.Pt(s.length(side), 0))
		if s.length(side) > 0 {
			v.outlinePath("side", geom.Ring{geom.Line(a, b)}, false, v.wideLine())
			v.dimension(a, b, v.out(side), seamLength*t, v.sheet.Unit.Format(s.length(side)))
		}
	}
	if end := s.x + s.widest(); k < len(v.sections)-1 {
		a, b := geom.Pt(end, v.lineAt(0)-2*t), geom.Pt(end, v.lineAt(1)+2*t)
		v.line(a, b, v.longDashes()...)
		v.drawn = append(v.drawn, segment{a, b})
	}
	v.ease(s)
	v.off(s)
}

// ease frames, on the shorter side, the room that the longer side is meant to be
// worked into.
func (v *seamView) ease(s seamSection) {
	if s.Gathered || math.Abs(s.Ease) < 1e-6 {
		return
	}
	side, from, to := 0, s.First, s.wanted()
	if s.Ease < 0 {
		side, from, to = 1, s.wanted(), s.First
	}
	box := v.patch(side, s.x+from, s.x+to)
	v.rect(box, v.dashedLine(v.pen.narrow)...)
	v.keepBoxOff(box)
	v.legend.use(legendEase)
	v.say("ease-in "+v.sheet.Unit.Format(math.Abs(s.Ease)), box.Centre(), v.out(1-side), 1)
}

// patch is a box on a side's line, towards the other.
func (v *seamView) patch(side int, from, to float64) geom.Box {
	y := v.lineAt(side)
	in := v.out(1 - side).Mul(seamPatch * v.pen.text)
	return geom.EmptyBox().Extend(geom.Pt(from, y)).Extend(geom.Pt(to, y+in.Y))
}

func (v *seamView) keepBoxOff(b geom.Box) {
	ring := geom.Polygon(b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y))
	v.keepOff(ring)
}

// off hatches what the second side of a section is too long or too short by, and
// joins the two ends that ought to meet.
func (v *seamView) off(s seamSection) {
	off := s.Second - s.wanted()
	if s.Gathered || math.Abs(off) < 1e-3 {
		return
	}
	box := v.patch(1, s.x+math.Min(s.Second, s.wanted()), s.x+math.Max(s.Second, s.wanted()))
	color, angle, item, word := blue, risingHatch, legendLong, "too long"
	if off < 0 {
		color, angle, item, word = vermillion, fallingHatch, legendShort, "too short"
	}
	v.swatch(box, color, angle)
	v.rect(box, v.stroke(color, v.pen.narrow, attr("class", map[bool]string{true: "long", false: "short"}[off > 0]))...)
	v.keepBoxOff(box)
	v.legend.use(item)
	a, b := geom.Pt(s.x+s.wanted(), v.lineAt(0)), geom.Pt(s.x+s.Second, v.lineAt(1))
	v.line(a, b, append(v.chainLine(), attr("class", "drift"))...)
	v.drawn = append(v.drawn, segment{a, b})
	v.legend.use(legendDrift)
	if s.told {
		v.say(v.sheet.Unit.Format(math.Abs(off))+" "+word, box.Centre(), v.out(0), 0)
		v.labels[len(v.labels)-1].bold = true
	}
}

// parts marks where one edge of a chain follows another, and names them.
func (v *seamView) parts(side int) {
	t := v.pen.text
	for k, part := range v.sides[side].Parts {
		if k > 0 {
			at := v.place(side, part.Offset)
			v.line(at.Sub(geom.Pt(0, 0.6*t)), at.Add(geom.Pt(0, 0.6*t)), v.narrowLine()...)
			v.drawn = append(v.drawn, segment{at.Sub(geom.Pt(0, 0.6*t)), at.Add(geom.Pt(0, 0.6*t))})
			v.legend.use(legendJoint)
		}
		at := v.place(side, part.Offset+part.Length()/2)
		v.sayAlong(fmt.Sprintf("%s, %s", part.Piece.Name, part.Piece.Edges[part.Edge].Name), at, geom.Pt(1, 0), v.out(side), 2*t, 2)
	}
}

// notchesOf draws the notches that lie on a chain, with their names.
func (v *seamView) notchesOf(side int) {
	t := v.pen.text
	v.group(attr("class", "notches"))
	defer v.ungroup()
	for _, part := range v.sides[side].Parts {
		for _, n := range part.Piece.Notches {
			_, _, at, err := part.Piece.NotchPlace(n)
			if err != nil || n.Edge != part.Piece.Edges[part.Edge].Name || !part.Holds(part.Piece, part.Edge, at) {
				continue
			}
			foot := v.place(side, part.Along(at))
			along := geom.Pt(1, 0)
			if side == 1 {
				along = geom.Pt(-1, 0)
			}
			v.notch(foot, along, n.Count, v.pen.tick, false)
			tip := foot.Add(v.out(side).Mul(v.pen.tick))
			v.labels = append(v.labels, label{text: n.Name, anchor: tip, outward: v.out(side), away: 0.3 * t, size: 0.9 * t, widest: 10 * t, order: 3})
		}
	}
}

// openings draws what is left open as a dotted line between the two sides.
func (v *seamView) openings() {
	for _, o := range v.seam.Openings {
		in := geom.Pt(0, 2.6*v.pen.text)
		a, b := v.place(0, o.From).Add(in), v.place(0, o.To).Add(in)
		path := geom.Polyline(a, b)
		v.path(v.pathData(path, false, true, lineDecimals), v.dottedLine()...)
		v.endBars(path, v.narrowLine())
		v.keepOff(path)
		v.legend.use(legendOpening)
		v.sayAlong(o.Name, a.Lerp(b, 0.5), geom.Pt(1, 0), geom.Pt(0, 1), 0.4*v.pen.text, 2)
	}
}

// chainWords names the edges of a chain in the order in which they are sewn.
func chainWords(c pattern.Chain) string {
	words := make([]string, len(c))
	for i, st := range c {
		words[i] = st.Piece + ", " + st.Edge
	}
	return strings.Join(words, " + ")
}

// blocks are the words below the seam.
func (v *seamView) blocks(width float64, missed []string) []block {
	rows := []string{v.sheet.Pattern, chainWords(v.seam.First) + "; sewn to " + chainWords(v.seam.Second), v.sheet.Version, v.sheet.Fitting, v.sheet.drawn()}
	if v.seam.Finish != "" {
		rows = append(rows, v.seam.Finish)
	}
	var found []paragraph
	for _, f := range v.findings {
		mark := "–"
		if f.Mismatch {
			mark = "!"
		}
		found = append(found, paragraph{hang: mark, text: f.Where + ": " + f.Says, scale: 1}, paragraph{text: "To do: " + f.Do, scale: 1})
	}
	if len(found) == 0 {
		found = []paragraph{{text: "Both sides match.", scale: 1}}
	}
	return []block{
		v.titleBlock(width, "Seam: "+v.seam.Name, rows),
		v.textBlock("findings", "Findings", width, found),
		v.missedBlock(width, missed),
		v.legendBlock(width),
		v.scaleBlock(width, v.sheet.Unit),
	}
}
