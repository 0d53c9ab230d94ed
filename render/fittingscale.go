package render

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// scaleRow says how small the drawing is and shows a length.
func (p *fittingPage) scaleRow(box geom.Box, scale float64) {
	unit := p.sheet.Unit
	if unit == "" {
		unit = units.Centimetre
	}
	long := 0.0
	for _, step := range scaleSteps[unit] {
		if mm := step * unit.MM(); mm*scale <= 50 {
			long = mm
		}
	}
	at := geom.Pt(p.inside.Min.X, box.Max.Y+0.6*sheetText)
	words := "drawn 1 : " + units.Number(1/scale, 2) + ", not for cutting"
	if long > 0 {
		words = unit.Format(long) + ", " + words
		p.rect(geom.Box{Min: at.Add(geom.Pt(0, 0.45*sheetText)), Max: at.Add(geom.Pt(long*scale, 0.85*sheetText))}, attr("fill", black))
		at.X += long*scale + 0.8*sheetText
	}
	p.canvas.lines(at, []string{words}, sheetText, false)
}

// drawingScale is the greatest usual scale at which a size fits into a room:
// 1, 1/2, 1/2.5, 1/3 to 1/8 and tenths of these.
func drawingScale(size, room geom.Point) float64 {
	least := math.Max(math.Max(size.X/room.X, size.Y/room.Y), 1)
	for tens := 1.0; ; tens *= 10 {
		for _, n := range []float64{1, 2, 2.5, 3, 4, 5, 6, 7, 8} {
			if n*tens >= least {
				return 1 / (n * tens)
			}
		}
	}
}

// scaled is a shape as it is drawn small: all places moved by to, which scales
// by k.
func (s *shape) scaled(k float64, to func(geom.Point) geom.Point) *shape {
	q := s.piece.Clone()
	path := func(p []geom.Cubic) {
		for i, c := range p {
			p[i] = geom.Cubic{P0: to(c.P0), P1: to(c.P1), P2: to(c.P2), P3: to(c.P3)}
		}
	}
	for i := range q.Corners {
		q.Corners[i].At, q.Corners[i].Round = to(q.Corners[i].At), q.Corners[i].Round*k
	}
	for i := range q.Edges {
		e := &q.Edges[i]
		for n := range e.Nodes {
			e.Nodes[n] = to(e.Nodes[n])
		}
		for n, h := range e.Handles {
			if h != nil {
				e.Handles[n] = &pattern.Handles{First: to(h.First), Second: to(h.Second)}
			}
		}
	}
	for i := range q.Notches {
		q.Notches[i].At *= k
	}
	for i := range q.Marks {
		m := &q.Marks[i]
		m.At, m.Size, m.From, m.To = to(m.At), m.Size*k, m.From*k, m.To*k
		path(m.Path)
	}
	for i := range q.Lines {
		path(q.Lines[i].Path)
	}
	if q.Grain != nil {
		q.Grain.From, q.Grain.To = to(q.Grain.From), to(q.Grain.To)
	}
	small := &shape{piece: q, outline: s.outline}
	small.outline.Ring = slices.Clone(s.outline.Ring)
	path(small.outline.Ring)
	return small
}
