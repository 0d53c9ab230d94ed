package trace

import (
	"math"
	"slices"

	"toile/geom"
)

const (
	// signLength: the longest sign, in mm along its line, that is a notch when
	// it lies across an outline.
	signLength = 25 + closeGap

	// signCurves bounds of how many curves a sign may consist.
	signCurves = 20
)

// addCrossed makes a short open path that lies across an outline a notch of
// it, and reports whether it does: a stroke across it once, neither end
// resting on it, or a V that crosses it with both legs. Where outlines lie
// together on the same line, each gets the notch; of others the one crossed
// nearest to the middle of the sign.
func (s *sorter) addCrossed(order int, p parts, path geom.Path) (bool, error) {
	const together = 0.05 // mm
	if !isSign(path) || isGrain(p.label()) || isFold(p.label()) {
		return false, nil
	}
	type hit struct {
		on  *found
		at  geom.Point
		off float64 // mm from the middle of the sign
	}
	var hits []hit
	middle, least := path.PointAt(path.Length()/2), math.Inf(1)
	for _, o := range s.outlines {
		at, ok, err := s.crossed(o, path)
		if err != nil {
			return false, err
		}
		if ok {
			hits = append(hits, hit{o, at, at.Dist(middle)})
			least = min(least, at.Dist(middle))
		}
	}
	for _, h := range hits {
		if h.off <= least+together {
			h.on.Notches = append(h.on.Notches, Notch{At: h.at, Name: s.inner(p, h.on, order)})
		}
	}
	return len(hits) > 0, nil
}

func isSign(path geom.Path) bool { return len(path) <= signCurves && shorterThan(path, signLength) }

// crossed gives the notch that an open sign makes on an outline, if any.
func (s *sorter) crossed(o *found, path geom.Path) (at geom.Point, ok bool, err error) {
	meetings, err := s.meetings(o, path)
	if err != nil || len(meetings) == 0 || len(meetings) > 2 {
		return at, false, err
	}
	for _, end := range []geom.Point{path.Start(), path.End()} {
		if _, d, err := s.foot(o, end); err != nil || d <= notchReach {
			return at, false, err
		}
	}
	across := o.Ring.Holds(path.Start()) != o.Ring.Holds(path.End())
	switch {
	case len(meetings) == 1 && across:
		return meetings[0], true, nil
	case len(meetings) == 2 && !across && !straight(path):
		return s.between(o, meetings[0], meetings[1])
	}
	return at, false, nil
}

// between gives the place on an outline in the middle of two others; it is no
// notch when they lie on different sides of something narrow.
func (s *sorter) between(o *found, a, b geom.Point) (at geom.Point, ok bool, err error) {
	at, d, err := s.foot(o, a.Lerp(b, 0.5))
	return at, err == nil && d <= notchSlack, err
}

// meetings gives the points that a sign shares with an outline, each once.
func (s *sorter) meetings(o *found, sign geom.Path) ([]geom.Point, error) {
	box := sign.Box().Grow(closeGap)
	if !o.box.Overlaps(box) {
		return nil, nil
	}
	var close geom.Path
	for _, c := range o.Ring {
		if c.HullBox().Overlaps(box) {
			close = append(close, c)
		}
	}
	const each = 20 // a meeting costs about as much as this many steps of Holds
	if err := s.budget.sorting(len(o.Ring) + each*len(close)*len(sign)); err != nil {
		return nil, err
	}
	var points []geom.Point
	for _, m := range geom.MeetPaths(close, sign) {
		if !slices.ContainsFunc(points, func(q geom.Point) bool { return q.Dist(m.At) <= closeGap }) {
			points = append(points, m.At)
		}
	}
	return points, nil
}

// findSigns makes small closed shapes without a name that stand on or across
// an outline notches of it: a triangle or a V closed behind, at the middle
// between the two places where it meets the outline. With All, those that are
// none become outlines, as any closed shape does.
func (s *sorter) findSigns() error {
	for i := range s.shapes {
		p := &s.shapes[i]
		if !p.automatic {
			continue
		}
		kept := p.rings[:0:0]
		for _, r := range p.rings {
			taken, err := s.addSign(r)
			if err != nil {
				return s.fail(p.title, err)
			}
			if !taken {
				kept = append(kept, r)
			}
		}
		waited := s.waits(*p)
		p.rings = kept
		if waited && len(kept) > 0 {
			if err := s.addOutline(i, kept[0]); err != nil {
				return err
			}
		}
	}
	s.inOrder()
	return nil
}

// waits reports whether a shape taken with All is small enough for a sign, so
// that the outlines around it have to be known first.
func (s *sorter) waits(p parts) bool {
	return s.all && p.automatic && len(p.rings) == 1 && isSignRing(p.rings[0])
}

func isSignRing(r geom.Ring) bool { return isSign(geom.Path(r)) && !isSmallCircle(r) }

// addSign makes a closed sign a notch and reports whether it is one.
func (s *sorter) addSign(r geom.Ring) (bool, error) {
	if !isSignRing(r) {
		return false, nil
	}
	var on *found
	var notch geom.Point
	least := math.Inf(1)
	for _, o := range s.outlines {
		at, ok, err := s.standsOn(o, r)
		if err != nil {
			return false, err
		}
		if off := at.Dist(r.Box().Centre()); ok && off < least {
			on, notch, least = o, at, off
		}
	}
	if on != nil {
		on.Notches = append(on.Notches, Notch{At: notch})
	}
	return on != nil, nil
}

// standsOn gives the notch that a closed sign makes on an outline, if any:
// two of its corners rest on it, or its line crosses it twice, or it is a
// stroke there and back across it.
func (s *sorter) standsOn(o *found, r geom.Ring) (at geom.Point, ok bool, err error) {
	if !o.box.Grow(notchReach).Overlaps(r.Box()) {
		return at, false, nil
	}
	var resting []geom.Point
	for _, c := range r {
		_, d, err := s.foot(o, c.P0)
		if err != nil {
			return at, false, err
		}
		if d <= notchReach {
			resting = append(resting, c.P0)
		}
	}
	if len(resting) == 2 {
		return s.between(o, resting[0], resting[1])
	}
	meetings, err := s.meetings(o, geom.Path(r))
	switch {
	case err != nil:
		return at, false, err
	case len(meetings) == 2:
		return s.between(o, meetings[0], meetings[1])
	case len(meetings) == 1 && math.Abs(r.Area()) < leastArea:
		return meetings[0], true, nil
	}
	return at, false, nil
}
