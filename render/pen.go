package render

import "toile/geom"

// The palette of Okabe and Ito; contrast on white: black 21, blue 5.19,
// vermillion 3.87, purple 3.06, all above the 3:1 of WCAG 2.2, 1.4.11.
const (
	white      = "#FFFFFF"
	black      = "#000000"
	blue       = "#0072B2" // added
	vermillion = "#D55E00" // removed
	purple     = "#CC79A7" // moved
	paleLeader = "#6E6E6E" // leaders on paper; contrast on white 5
)

// pen holds the widths that follow from the size of the letters, in mm.
type pen struct {
	text   float64 // letter size of words and labels
	wide   float64
	narrow float64
	head   float64 // length of an arrow head
	hatch  float64 // distance of hatch lines
	tick   float64 // length of a notch
}

func newPen(text float64) pen {
	return pen{text: text, wide: 0.15 * text, narrow: 0.075 * text, head: 0.75 * text,
		hatch: 0.6 * text, tick: tickLetters * text}
}

// Attributes of the lines. A line is never filled.

func (d *drawing) stroke(color string, width float64, more ...string) []string {
	return append([]string{attr("fill", "none"), attr("stroke", color), d.length("stroke-width", width)}, more...)
}

func (d *drawing) wideLine() []string   { return d.stroke(black, d.pen.wide) }
func (d *drawing) narrowLine() []string { return d.stroke(black, d.pen.narrow) }

// chainLine is narrow: long dash, gap, dot, gap.
func (d *drawing) chainLine() []string {
	n := d.pen.narrow
	return d.stroke(black, n, d.dashes(20*n, 4*n, 1.5*n, 4*n))
}

// twoDotLine is narrow: long dash, gap, dot, gap, dot, gap.
func (d *drawing) twoDotLine() []string {
	n := d.pen.narrow
	return d.stroke(black, n, d.dashes(12*n, 3*n, 1.5*n, 3*n, 1.5*n, 3*n))
}

// bandLine is a broad band under an outline.
func (d *drawing) bandLine() []string {
	return d.stroke(purple, 5*d.pen.wide, attr("stroke-opacity", "0.4"), attr("class", "band"))
}

// dashedLine is dashes of 12 line widths with gaps of 3.
func (d *drawing) dashedLine(width float64) []string {
	return d.stroke(black, width, d.dashes(12*width, 3*width))
}

// dottedLine is for placement lines, longDashes for fold lines inside a piece.
func (d *drawing) dottedLine() []string {
	n := d.pen.narrow
	return d.stroke(black, n, d.dashes(3*n, 3*n))
}

func (d *drawing) longDashes() []string {
	n := d.pen.narrow
	return d.stroke(black, n, d.dashes(24*n, 8*n))
}

// drawing is one picture of a piece while it is drawn: what is on the canvas,
// the lines labels should keep off, the labels still to place, and what the
// legend has to explain.
type drawing struct {
	*canvas
	pen    pen
	sheet  Sheet
	drawn  []segment // labels keep off these where they can
	strict []segment // outlines and notches: no label covers these
	labels []label
	legend *legend
	brief  bool // without figures: they stand in the words beside
	// onPaper is a drawing at true size to be cut along its lines.
	onPaper bool
	names   [2]string // of the two pieces, where different ones are compared
}

// tickLetters is the length of a notch's tick in letter sizes.
const tickLetters = 1.1

// strictWithin is how far in letter sizes the segments of strict may lie from
// what was drawn.
const strictWithin = 0.02

// keepClear tells the labels of a line that none may cover.
func (d *drawing) keepClear(curves []geom.Cubic) {
	for _, c := range curves {
		points := c.Flatten(strictWithin * d.pen.text)
		for i := 1; i < len(points); i++ {
			d.strict = append(d.strict, segment{points[i-1], points[i]})
		}
	}
}

// keepOff tells the labels of a line that was drawn.
func (d *drawing) keepOff(curves []geom.Cubic) {
	for _, c := range curves {
		points := c.Flatten(d.pen.text / 4)
		for i := 1; i < len(points); i++ {
			d.drawn = append(d.drawn, segment{points[i-1], points[i]})
		}
	}
}
