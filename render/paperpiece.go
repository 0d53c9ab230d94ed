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

// PaperPiece is a piece for printing: what Piece draws, with every word inside
// of the cutting line, so that it stays on the paper that is cut out and takes
// no more sheets, and off the joints of the job's sheets where there is room.
// missed are the words that had no room. A piece whose
// allowances leave no cutting line is an error: nobody could cut it.
func PaperPiece(s Sheet, p *pattern.Piece, set string, job paper.Job) (plot paper.Plot, missed []string, err error) {
	sh, err := newShape(p)
	if err != nil {
		return plot, nil, err
	}
	if sh == nil {
		return plot, nil, fmt.Errorf("there is no piece to print")
	}
	cutting, err := p.CuttingLine(set)
	if err != nil {
		return plot, nil, err
	}
	if err := boxFits(p.Name, cutting.Ring.Box().Union(sh.box())); err != nil {
		return plot, nil, err
	}
	d, r := newRecording(s, paperLetters)
	d.pieceLines(sh, cutting, set)
	plot.Name = p.Name + ", " + cutWords(p)
	plot.Shape = paper.LinesOf(r.picture)
	plot.Shape.Rings = append(plot.Shape.Rings, cutting.Ring)
	plot.Box = r.picture.Box().Union(cutting.Ring.Box())
	d.pieceWords(sh, cutting, set)
	d.keepInside(cutting.Ring)
	for _, joint := range job.Joints(plot) {
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
