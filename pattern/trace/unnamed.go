package trace

import (
	"math"

	"toile/geom"
)

// unnamed counts the closed shapes that nobody named, with the first of them.
type unnamed struct {
	first title
	n     int
}

func (u *unnamed) add(t title) {
	if u.n++; u.n == 1 {
		u.first = t
	}
}

// noteUnnamed tells of closed shapes that nobody named: those inside each outline
// in one sentence, and those beside all outlines in another. What goes round an
// outline, a cutting line or a frame, and what lies on one, is no piece left out.
func (s *sorter) noteUnnamed() error {
	inside, beside := map[*found]*unnamed{}, &unnamed{}
	for _, p := range s.shapes {
		if s.named(p.title) || p.again {
			continue
		}
		for _, r := range p.rings {
			if isSmallCircle(r) {
				continue
			}
			o, err := s.holder(geom.Path(r))
			if err != nil {
				return s.fail(p.title, err)
			}
			switch {
			case o == nil && (s.goesRound(r) || isSpeck(r)):
				s.putAround(r)
			case o == nil:
				beside.add(p.title)
			case !o.alike(r):
				if inside[o] == nil {
					inside[o] = &unnamed{}
				}
				inside[o].add(p.title)
			}
		}
	}
	s.sayUnnamed(inside, beside)
	return nil
}

func (s *sorter) sayUnnamed(inside map[*found]*unnamed, beside *unnamed) {
	for _, o := range s.outlines {
		u := inside[o]
		switch {
		case u == nil:
		case u.n == 1:
			s.note(u.first, "closed and without a name, inside %q; label it to make it a piece, "+
				"or leave it open to make it a placement line", o.Name)
		default:
			s.note(u.first, "this and %d more closed lines without a name inside %q are left out; label those that are pieces, "+
				"or leave them open to make them placement lines", u.n-1, o.Name)
		}
	}
	switch {
	case beside.n == 0 || len(s.outlines) == 0:
	case beside.n == 1:
		s.note(beside.first, "a closed outline without a name; left out; label it to make it a piece, or take it with --all")
	default:
		s.note(beside.first, "this and %d more closed outlines without a name are left out; label those that are pieces, "+
			"or take all with --all", beside.n-1)
	}
}

// isSpeck reports whether a closed line is too small for a piece, mm: less than a
// dot, both ways.
func isSpeck(r geom.Ring) bool {
	size := r.Box().Size()
	return math.Max(size.X, size.Y) < 10
}

// goesRound reports whether a closed line encloses an outline.
func (s *sorter) goesRound(r geom.Ring) bool {
	box := r.Box()
	for _, o := range s.outlines {
		if box.Min.X <= o.box.Min.X+closeGap && box.Min.Y <= o.box.Min.Y+closeGap &&
			box.Max.X >= o.box.Max.X-closeGap && box.Max.Y >= o.box.Max.Y-closeGap {
			return true
		}
	}
	return false
}

// putAround keeps a closed line with the outlines that it encloses, the smallest
// one with each.
func (s *sorter) putAround(r geom.Ring) {
	box := r.Box()
	if r.Area() < 0 {
		r = r.Reverse()
	}
	for _, o := range s.outlines {
		if box.Holds(o.box.Min) && box.Holds(o.box.Max) && (o.Around == nil || r.Area() < o.Around.Area()) {
			o.Around = r
		}
	}
}

// alike reports whether a closed line lies on the outline itself, as the cutting
// line of a piece without allowances does.
func (f *found) alike(r geom.Ring) bool {
	box := r.Box()
	return box.Min.Dist(f.box.Min) <= closeGap && box.Max.Dist(f.box.Max) <= closeGap &&
		math.Abs(math.Abs(r.Area())-f.area) <= closeGap*(box.Size().X+box.Size().Y)
}
