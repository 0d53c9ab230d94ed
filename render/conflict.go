package render

import (
	"fmt"
	"io"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// conflictView is a piece that two sides changed differently, while it is drawn:
// as both had it, as it is here and as it is there.
type conflictView struct {
	*drawing
	shared, here, there *shape // nil where the piece is not there
}

// Conflicts draws what is in conflict in one piece: the outlines of both sides
// over the shared one, the edges in question marked, each conflict in words. All
// conflicts are about the piece of the first; the coordinates are those of its
// sheet in mm. Errors as for Overlay.
func Conflicts(w io.Writer, s Sheet, conflicts []change.Conflict) error {
	v, c := &conflictView{}, conflicts[0]
	var err error
	box := geom.EmptyBox()
	for _, side := range []struct {
		shape **shape
		piece *pattern.Piece
	}{{&v.shared, c.Shared}, {&v.here, c.Here}, {&v.there, c.There}} {
		if *side.shape, err = newShape(side.piece); err != nil {
			return err
		}
		if *side.shape != nil {
			box = box.Union((*side.shape).box())
		}
	}
	if v.shared == nil && v.here == nil && v.there == nil {
		return fmt.Errorf("%s: there is no outline to draw on either side", c.Piece)
	}
	if err := boxFits(c.Piece, box); err != nil {
		return err
	}
	page := newPage(box)
	v.drawing = newDrawing(s, page.text)
	v.draw(conflicts)
	missed := v.setLabels(page.drawing)
	var rows []paragraph
	for _, c := range conflicts {
		rows = append(rows, paragraph{hang: "!", text: c.Says, scale: 1},
			paragraph{text: fmt.Sprintf("To decide: --keep \"here:%s\" or \"there:%s\"", c.Where, c.Where), scale: 1})
	}
	sheet := page.set([]block{
		v.titleBlock(page.width, c.Piece, []string{s.Pattern, s.Version, s.Fitting, s.drawn()}),
		v.textBlock("changes", "Changed on both sides", page.width, rows),
		v.missedBlock(page.width, missed),
		v.legendBlock(page.width),
		v.scaleBlock(page.width, s.Unit),
	})
	return v.finish(w, sheet, s.Pattern+": "+c.Piece, "the piece "+c.Piece+" as two sides changed it")
}

// draw draws the outlines, what is in question beneath them.
func (v *conflictView) draw(conflicts []change.Conflict) {
	for _, s := range []*shape{v.here, v.there} {
		for _, c := range conflicts {
			for _, name := range c.Edges {
				if path := s.edge(name); len(path) > 0 {
					v.path(v.pathData(path, false, true, lineDecimals), v.bandLine()...)
					v.legend.use(legendConflict)
				}
			}
		}
	}
	if v.shared != nil {
		v.outlinePath("shared", v.shared.outline.Ring, true, v.chainLine())
		v.legend.use(legendShared)
	}
	if v.there != nil {
		v.outlinePath("there", v.there.outline.Ring, true, v.dashedLine(v.pen.wide))
		v.legend.use(legendThere)
	}
	if v.here != nil {
		v.outlinePath("here", v.here.outline.Ring, true, v.wideLine())
		v.legend.use(legendHere)
	}
	v.sayApart(v.here, v.there, "here")
	v.sayApart(v.there, v.here, "there")
	if v.here != nil && v.there != nil {
		v.sayApart(v.shared, v.here, "as both had it")
	}
	for _, c := range conflicts {
		v.sayEdges(c)
	}
}

// sayApart labels an outline where it lies apart from another.
func (v *conflictView) sayApart(s, other *shape, word string) {
	if s == nil {
		return
	}
	if other == nil {
		at, along := outlinePlace(s.outline.Ring)
		v.sayAlong(word, at, along, along.Left(), 0.3*v.pen.text, 2)
		return
	}
	for _, r := range stretchesApart(s.outline.Ring, other.outline.Ring, 0.3*v.pen.text, wasMost) {
		v.sayAlong(word, r.a, r.b, r.b.Left(), 0.3*v.pen.text, 2)
	}
}

// sayEdges names the edges in question.
func (v *conflictView) sayEdges(c change.Conflict) {
	for _, name := range c.Edges {
		for _, s := range []*shape{v.here, v.shared, v.there} {
			if path := s.edge(name); len(path) > 0 {
				at := path.Length() * 0.35
				v.sayAlong(name, path.PointAt(at), path.TangentAt(at), path.TangentAt(at).Right(), 1.2*v.pen.text, 1)
				v.labels[len(v.labels)-1].bold = true
				break
			}
		}
	}
}
