package render

import (
	"fmt"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/render/paper"
)

// paperLetters is the size of the letters on printed pieces in mm: read at
// arm's length on a table, and small enough to stand in an allowance of 1 cm.
const paperLetters = 3.0

// Print makes what is printed of one version of a pattern: pieces, or what
// changed of them, and the legend of the lines and signs that they use.
type Print struct {
	sheet  Sheet
	set    string
	job    paper.Job
	legend *legend
}

// NewPrint prints with the allowances of a set, on the paper of the job, whose
// plots it leaves alone.
func NewPrint(s Sheet, set string, job paper.Job) *Print {
	return &Print{sheet: s, set: set, job: job, legend: &legend{}}
}

// recording begins a picture of the print.
func (pr *Print) recording(text float64) (*drawing, *recorder) {
	d, r := newRecording(pr.sheet, text)
	d.legend, d.onPaper = pr.legend, true
	return d, r
}

// legendLetters is the size of the letters of the legend in mm.
const legendLetters = 2.7

// Legend explains the lines and signs used so far, in a column of so many mm.
func (pr *Print) Legend(width float64) (paper.Picture, error) {
	d, r := pr.recording(legendLetters)
	d.legend = &legend{used: pr.legend.used}
	if b := d.legendBlock(width); b.high > 0 {
		b.draw(geom.Pt(0, 0))
	}
	return d.recorded(r)
}

// Piece is a piece for printing: what the drawing of a piece shows, with every
// word inside of the cutting line, so that it stays on the paper that is cut
// out and takes no more sheets, and off the joints of the sheets where there is
// room. missed are the words that had no room. A piece whose allowances leave
// no cutting line is an error: nobody could cut it.
func (pr *Print) Piece(p *pattern.Piece) (plot paper.Plot, missed []string, err error) {
	sh, err := newShape(p)
	if err != nil {
		return plot, nil, err
	}
	if sh == nil {
		return plot, nil, fmt.Errorf("there is no piece to print")
	}
	cutting, err := p.CuttingLine(pr.set)
	if err != nil {
		return plot, nil, err
	}
	if err := boxFits(p.Name, cutting.Ring.Box().Union(sh.box())); err != nil {
		return plot, nil, err
	}
	d, r := pr.recording(paperLetters)
	d.pieceLines(sh, cutting, pr.set)
	plot.Name = p.Name + ", " + cutWords(p)
	plot.Shape = paper.LinesOf(r.picture)
	plot.Shape.Rings = append(plot.Shape.Rings, cutting.Ring)
	plot.Box = r.picture.Box().Union(cutting.Ring.Box())
	first := len(d.labels)
	d.pieceWords(sh, cutting, pr.set)
	d.nameFirst(d.labels[first:], p)
	d.keepInside(cutting.Ring)
	for _, joint := range pr.job.Joints(plot) {
		d.keepOff(joint)
	}
	missed = d.setLabels(plot.Box)
	if slices.Contains(missed, p.Name) {
		d.beside(&plot, p.Name)
		missed[slices.Index(missed, p.Name)] = "its name, which stands above it"
	}
	plot.Picture, err = d.recorded(r)
	return plot, missed, err
}

// leastPaperLetters is how small the letters of a name may become in mm: what
// small print of newspapers has, and the same the sheets' heads shrink to.
const leastPaperLetters = 1.8

// nameFirst makes the name of a piece, and how it is cut, the words that
// have room before all others, with smaller letters where it must be; what still
// has none is told of.
func (d *drawing) nameFirst(labels []label, p *pattern.Piece) {
	for i := range labels {
		switch l := &labels[i]; {
		case l.text == p.Name && l.order == -2:
			l.spare, l.least = false, leastPaperLetters
		case l.text == cutWords(p) && l.order == 3:
			l.spare, l.least, l.order = false, leastPaperLetters, -1
		}
	}
}

// beside writes words above a plot in which they have no room, and makes room
// for them there.
func (d *drawing) beside(plot *paper.Plot, text string) {
	const size = paperLetters * 0.8
	box := plot.Box
	at := geom.Pt(box.Centre().X, box.Min.Y-size*lineHeight-besideGap)
	half := textWidth(text, size, true)/2 + besideGap
	d.group(attr("class", "labels"), attr("text-anchor", "middle"))
	d.canvas.lines(at, []string{text}, size, true)
	d.ungroup()
	plot.Box = box.Extend(at.Add(geom.Pt(half, -besideGap))).Extend(at.Add(geom.Pt(-half, -besideGap)))
}

// besideGap in mm is what stays free around words above a plot.
const besideGap = 1.0

// keepInside makes all labels stay inside of a ring, in words: on paper nothing
// stands beside the piece that a number could lead to.
func (d *drawing) keepInside(ring geom.Ring) {
	for i := range d.labels {
		l := &d.labels[i]
		if l.inside == nil {
			l.inside = ring
		}
		l.outside, l.short = nil, ""
	}
}
