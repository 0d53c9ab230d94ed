package trace

import (
	"math"

	"toile/geom"
	"toile/pattern"
)

// labelled reports whether a shape's name says what it is on or in a piece, as
// `button: collar` does. Such a shape is never an outline.
func (t title) labelled() bool {
	_, ok := pattern.ParseLabel(t.label())
	return ok
}

// findLabelled takes the shapes whose label says what they are: notches, points
// and lines. What lies in no outline is told of and left out.
func (s *sorter) findLabelled() error {
	for i := range s.shapes {
		p := &s.shapes[i]
		l, ok := pattern.ParseLabel(p.label())
		if !ok {
			continue
		}
		taken, err := s.takeLabelled(*p, l)
		if err != nil {
			return s.fail(p.title, err)
		}
		if !taken {
			s.note(p.title, "lies on and in no outline; left out")
		}
		p.rings, p.open = nil, nil
	}
	return nil
}

func (s *sorter) takeLabelled(p parts, l pattern.Label) (bool, error) {
	var lines []geom.Path
	for _, r := range p.rings {
		lines = append(lines, geom.Path(r))
	}
	lines = append(lines, p.open...)
	if len(lines) == 0 {
		return true, nil // it draws nothing, which has been said
	}
	switch l.Kind {
	case pattern.LabelNotch:
		return s.labelledNotch(lines, l)
	case string(pattern.MarkButton), string(pattern.MarkDot):
		box := lines[0].Box()
		o, err := s.innermost(box.Centre())
		if o != nil {
			o.Dots = append(o.Dots, Dot{Name: l.Name, At: box.Centre(), Radius: box.Size().X / 2, Label: l})
		}
		return o != nil, err
	}
	o, err := s.holder(lines[0])
	if err == nil && o == nil {
		o, _, err = s.nearest(lines[0].Start())
	}
	if o != nil {
		o.Lines = append(o.Lines, Line{Name: l.Name, Path: lines[0], Label: l})
	}
	return o != nil, err
}

// labelledNotch puts a notch where its strokes start on an outline, in the
// middle of them.
func (s *sorter) labelledNotch(lines []geom.Path, l pattern.Label) (bool, error) {
	var at geom.Point
	for _, p := range lines {
		at = at.Add(p.Start().Mul(1 / float64(len(lines))))
	}
	o, foot, err := s.nearest(at)
	if o != nil {
		count, _ := l.Amount("count")
		o.Notches = append(o.Notches, Notch{At: foot, Name: l.Name, Count: int(count)})
	}
	return o != nil, err
}

// nearest gives the outline that a place lies on, and where.
func (s *sorter) nearest(q geom.Point) (best *found, at geom.Point, err error) {
	least := math.Inf(1)
	for _, o := range s.outlines {
		foot, d, err := s.foot(o, q)
		if err != nil {
			return nil, at, err
		}
		if d <= notchSlack && d < least {
			best, at, least = o, foot, d
		}
	}
	return best, at, nil
}
