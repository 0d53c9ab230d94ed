package trace

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
)

const (
	// notchLength: an open path shorter than this, in mm, that starts on an
	// outline is a notch; longer ones are lines, and not outlines left open.
	notchLength = 25

	// notchReach is how near to the outline a notch has to start, in mm: a pen
	// stroke's width.
	notchReach = 1

	// leastArea is the least area of an outline in mm²; less is a line there
	// and back.
	leastArea = 1e-3

	// maxIgnored bounds the list of what was left out; the rest is counted.
	maxIgnored = 100
)

// sorter finds out what each shape of a drawing is.
type sorter struct {
	file     string
	all      bool
	budget   *budget
	shapes   []parts
	outlines []*found
	nameless int
	ignored  []string
}

// parts is a shape divided into what is closed and what is open.
type parts struct {
	title
	rings []geom.Ring
	open  []geom.Path
}

// found is an outline with what helps to sort.
type found struct {
	Outline
	box   geom.Box
	area  float64
	order int // of its shape in the file
	line  int
	copy  bool // shows again what is an outline already; keeps marks in it from going astray
}

// sortOut turns what was drawn into outlines and what belongs to them.
func sortOut(file string, r *svgReader, all bool) (*Drawing, error) {
	s := &sorter{file: file, all: all, budget: &r.budget, ignored: r.ignored}
	for _, sh := range r.shapes {
		if err := s.divide(sh); err != nil {
			return nil, err
		}
	}
	return s.sorted(r.texts)
}

// sorted finds out what the divided shapes are, and puts texts into them.
func (s *sorter) sorted(texts []writing) (*Drawing, error) {
	for _, stage := range []func() error{s.findOutlines, s.findLabelled, s.findCircles, s.findSigns, s.noteUnnamed, s.findOpen} {
		if err := stage(); err != nil {
			return nil, err
		}
	}
	for _, w := range texts {
		if err := s.placeText(w); err != nil {
			return nil, err
		}
	}
	return s.drawing()
}

// divide closes what is closed. A named shape far off the sheet is an error;
// an unnamed one there is nobody's.
func (s *sorter) divide(sh shape) error {
	p := parts{title: sh.title}
	for _, sub := range sh.subs {
		if q, far := farPoint(sub.curves); far {
			if sh.automatic && !s.all {
				return nil
			}
			return s.fail(sh.title, fmt.Errorf("point (%.6g, %.6g) mm is more than %g m off the sheet; check scale and transforms",
				q.X, q.Y, maxCoord/1000))
		}
		if r := sub.ring(); r != nil {
			p.rings = append(p.rings, r)
		} else if open := withoutPoints(sub.curves); len(open) > 0 && !sub.closed {
			p.open = append(p.open, open)
		}
	}
	if len(p.rings)+len(p.open) == 0 && !sh.automatic {
		s.note(sh.title, "draws nothing")
	}
	s.shapes = append(s.shapes, p)
	return nil
}

func farPoint(p geom.Path) (geom.Point, bool) {
	for _, c := range p {
		for _, q := range [4]geom.Point{c.P0, c.P3, c.P1, c.P2} {
			if math.Abs(q.X) > maxCoord || math.Abs(q.Y) > maxCoord {
				return q, true
			}
		}
	}
	return geom.Point{}, false
}

// named reports whether a closed path of this title is an outline.
func (s *sorter) named(t title) bool { return (!t.automatic || s.all) && !t.labelled() }

// findOutlines takes the closed paths with a name. Small circles, and what may
// be the sign of a notch, wait until it is known what lies around them.
func (s *sorter) findOutlines() error {
	taken := map[string]bool{}
	for _, p := range s.shapes {
		if s.named(p.title) && !p.borrowed && !p.again && len(p.rings) > 0 {
			taken[p.name] = true
		}
	}
	for i, p := range s.shapes {
		if !s.named(p.title) || s.waits(p) {
			continue
		}
		large := slices.DeleteFunc(slices.Clone(p.rings), isSmallCircle)
		if len(large) > 1 {
			err := s.several(p, len(large))
			if err != nil {
				return err
			}
			continue
		}
		if len(large) == 1 {
			if err := s.addOutline(i, large[0]); err != nil {
				return err
			}
			if p.again {
				s.outlines[len(s.outlines)-1].copy = true
			} else if p.borrowed && p.name != "" {
				s.outlines[len(s.outlines)-1].copy = taken[p.name]
				taken[p.name] = true
			}
		}
	}
	return nil
}

func isSmallCircle(r geom.Ring) bool {
	_, _, small := smallCircle(r)
	return small
}

// several refuses a shape of several outlines; one without a real name, as
// lettering turned into paths, is left out.
func (s *sorter) several(p parts, n int) error {
	if p.automatic {
		s.note(p.title, "has %d closed outlines; break it apart to trace them", n)
		return nil
	}
	return s.fail(p.title, fmt.Errorf("has %d closed outlines, and a piece has one; "+
		"break the path apart and label each outline, or take the label off", n))
}

func (s *sorter) addOutline(order int, r geom.Ring) error {
	p := s.shapes[order]
	area := r.Area()
	if math.Abs(area) < leastArea {
		return s.fail(p.title, fmt.Errorf("encloses no area (%.2g mm²): it runs back along itself or crosses itself; "+
			"redraw it, or take the label off", area))
	}
	if area < 0 {
		r, area = r.Reverse(), -area
	}
	f := &found{box: r.Box(), area: area, order: order, line: p.line}
	f.Name, f.Ring, f.Where = p.name, r, where(s.file, p.line, p.what())
	if f.Name == "" { // taken with All, without as much as an id
		s.nameless++
		f.Name = fmt.Sprintf("outline %d", s.nameless)
	}
	s.outlines = append(s.outlines, f)
	return nil
}

// findCircles makes small circles inside outlines dots, and named ones
// outside of all outlines outlines.
func (s *sorter) findCircles() error {
	var outside []int
	for i, p := range s.shapes {
		for _, r := range p.rings {
			centre, radius, small := smallCircle(r)
			if !small {
				continue
			}
			o, err := s.innermost(centre)
			if err != nil {
				return s.fail(p.title, err)
			}
			switch {
			case o != nil:
				o.Dots = append(o.Dots, Dot{Name: s.inner(p, o, i), At: centre, Radius: radius})
			case s.named(p.title) && len(p.rings) > 1:
				if err := s.several(p, len(p.rings)); err != nil {
					return err
				}
			case s.named(p.title):
				outside = append(outside, i)
			}
		}
	}
	for _, i := range outside {
		if err := s.addOutline(i, s.shapes[i].rings[0]); err != nil {
			return err
		}
	}
	s.inOrder()
	return nil
}

// inOrder sorts the outlines as their shapes stand in the file.
func (s *sorter) inOrder() {
	slices.SortStableFunc(s.outlines, func(a, b *found) int { return a.order - b.order })
}

// inner is the name of a mark: the label of its shape, unless that is the
// outline's own.
func (s *sorter) inner(p parts, o *found, order int) string {
	if o.order == order {
		return ""
	}
	return p.label()
}

// drawing puts the result together.
func (s *sorter) drawing() (*Drawing, error) {
	if len(s.outlines) == 0 {
		return nil, s.nothingFound()
	}
	for _, o := range s.outlines {
		if o.copy && !s.shapes[o.order].again {
			s.note(s.shapes[o.order].title, "a copy without a name of its own; left out; label it to make it a piece")
		}
	}
	d := &Drawing{File: s.file, Ignored: s.ignored}
	if more := len(d.Ignored) - maxIgnored; more > 0 {
		d.Ignored = append(d.Ignored[:maxIgnored:maxIgnored], fmt.Sprintf("%s: and %d more", s.file, more))
	}
	seen := map[string]*found{}
	for _, o := range s.outlines {
		if o.copy {
			continue
		}
		if before := seen[o.Name]; before != nil {
			return nil, &Error{File: s.file, Line: o.line, What: s.shapes[o.order].what(),
				Err: fmt.Errorf("has the same name as the outline on line %d; give each a label of its own", before.line)}
		}
		seen[o.Name] = o
		d.Outlines = append(d.Outlines, o.Outline)
	}
	return d, nil
}

func (s *sorter) nothingFound() error {
	unnamed := 0
	for _, p := range s.shapes {
		if !s.named(p.title) {
			unnamed += len(p.rings)
		}
	}
	err := fmt.Errorf("%w: nothing in the drawing is closed, visible and labelled", ErrNoOutline)
	if unnamed > 0 {
		err = fmt.Errorf("%w: %d closed path(s) have no label nor an id somebody gave; "+
			"label those that are pieces, or take all with --all", ErrNoOutline, unnamed)
	}
	return &Error{File: s.file, Err: err}
}

func (s *sorter) fail(t title, err error) error {
	return &Error{File: s.file, Line: t.line, What: t.what(), Err: err}
}

func (s *sorter) note(t title, format string, args ...any) {
	s.ignored = append(s.ignored, where(s.file, t.line, t.what())+": "+fmt.Sprintf(format, args...))
}
