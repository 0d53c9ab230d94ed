package trace

import (
	"fmt"
	"math"

	"toile/geom"
)

// innermost gives the smallest outline that holds the point, or nil.
func (s *sorter) innermost(q geom.Point) (*found, error) {
	var best *found
	for _, o := range s.outlines {
		if best != nil && o.area >= best.area || !o.box.Holds(q) {
			continue
		}
		if err := s.budget.sorting(len(o.Ring)); err != nil {
			return nil, err
		}
		if o.Ring.Holds(q) {
			best = o
		}
	}
	return best, nil
}

// holder gives the outline that most of a path lies in, judged by nine
// points spread over its curves; nil when most of it lies in none.
func (s *sorter) holder(p geom.Path) (*found, error) {
	const samples = 9
	count := map[*found]int{}
	for i := range samples {
		at := (float64(i) + 0.5) / samples * float64(len(p))
		c := min(int(at), len(p)-1)
		o, err := s.innermost(p[c].At(at - float64(c)))
		if err != nil {
			return nil, err
		}
		if o == nil {
			continue
		}
		if count[o]++; count[o] > samples/2 {
			return o, nil
		}
	}
	return nil, nil
}

// findOpen makes open paths notches or lines, or refuses an outline that was
// left open.
func (s *sorter) findOpen() error {
	for i, p := range s.shapes {
		for _, path := range p.open {
			if err := s.placeOpen(i, p, path); err != nil {
				return err
			}
		}
	}
	return nil
}

func (s *sorter) placeOpen(order int, p parts, path geom.Path) error {
	short := shorterThan(path, notchLength)
	if short {
		o, at, err := s.touched(path)
		if err != nil {
			return s.fail(p.title, err)
		}
		if o != nil {
			o.Notches = append(o.Notches, Notch{At: at, Name: s.inner(p, o, order)})
			return nil
		}
	}
	if taken, err := s.addCrossed(order, p, path); err != nil {
		return s.fail(p.title, err)
	} else if taken {
		return nil
	}
	o, err := s.holder(path)
	switch {
	case err != nil:
		return s.fail(p.title, err)
	case o != nil:
		o.Lines = append(o.Lines, Line{Name: s.inner(p, o, order), Path: path})
	case p.automatic:
	case short || straight(path):
		s.note(p.title, "open and in no outline; left out")
	default:
		from, to := path.End(), path.Start()
		return s.fail(p.title, fmt.Errorf("%w: gap of %.4g mm between end (%.2f, %.2f) and start (%.2f, %.2f); close it",
			ErrOpen, from.Dist(to), from.X, from.Y, to.X, to.Y))
	}
	return nil
}

// touched gives the outline that a short open path starts on, and the point
// of it nearest to where the notch was meant: the start, or, when the path
// comes back to the outline as a V does, the middle between both ends. Where
// two outlines lie together the nearer counts, and of equally near ones the
// one the path runs into.
func (s *sorter) touched(path geom.Path) (*found, geom.Point, error) {
	const together = 0.05 // mm
	var best *found
	var at geom.Point
	least := math.Inf(1)
	for _, o := range s.outlines {
		start, d, err := s.foot(o, path.Start())
		if err != nil {
			return nil, at, err
		}
		if d > notchReach {
			continue
		}
		into := o.Ring.Holds(path[len(path)/2].At(0.5))
		if d < least-together || d < least+together && (best == nil || into && !best.Ring.Holds(path[len(path)/2].At(0.5))) {
			best, at, least = o, start, d
		}
	}
	if best == nil || straight(path) {
		return best, at, nil
	}
	_, d, err := s.foot(best, path.End())
	if err == nil && d <= notchReach {
		at, _, err = s.foot(best, path.Start().Lerp(path.End(), 0.5))
	}
	return best, at, err
}

// foot gives the point of an outline nearest to q and its distance, infinite
// when it is beyond a notch's length.
func (s *sorter) foot(o *found, q geom.Point) (geom.Point, float64, error) {
	if !o.box.Grow(notchLength).Holds(q) {
		return q, math.Inf(1), nil
	}
	const each = 20 // a nearest point costs about as much as this many steps of Holds
	if err := s.budget.sorting(each * len(o.Ring)); err != nil {
		return q, 0, err
	}
	place, d := geom.Path(o.Ring).Nearest(q)
	return geom.Path(o.Ring).At(place), d, nil
}

// placeText makes writing inside an outline a text mark of it.
func (s *sorter) placeText(w writing) error {
	o, err := s.innermost(w.at)
	switch {
	case err != nil:
		return s.fail(w.title, err)
	case o != nil:
		o.Texts = append(o.Texts, Text{Text: w.text, At: w.at})
	case !w.automatic:
		s.note(w.title, "text in no outline; left out")
	}
	return nil
}
