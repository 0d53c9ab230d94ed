package render

import (
	"fmt"

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
	d.legend = pr.legend
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
	d.pieceWords(sh, cutting, pr.set)
	d.keepInside(cutting.Ring)
	for _, joint := range pr.job.Joints(plot) {
		d.keepOff(joint)
	}
	missed = d.setLabels(plot.Box)
	plot.Picture, err = d.recorded(r)
	return plot, missed, err
}

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
