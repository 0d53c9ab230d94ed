package geom

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Offset returns the path at distance d mm to the left of its direction of
// travel, within tol of the true parallel curves. At its inner nodes, where a
// smooth path turns by little or nothing, the parts are run on to the meeting
// of their tangents, joined by an arc where the turn on the outside is more
// than 60°, and cut at their meeting on the inside. Curves that are single
// points are left out. Errors as for Cubic.Offset.
func (p Path) Offset(d, tol float64) (Path, error) {
	if d == 0 {
		for _, c := range p {
			if !c.Finite() {
				return nil, fmt.Errorf("cannot offset a curve with a coordinate that is no number: %v", c)
			}
		}
		return slices.Clone(p), nil
	}
	var out Path
	var end Point // the direction of travel at the end of the source so far
	for _, c := range p {
		part, err := c.Offset(d, tol)
		if errors.Is(err, ErrNoDirection) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if len(out) > 0 {
			out, part = joinOffsets(out, part, turnAt{c.P0, end, c.Tangent(0), d, d}, tol)
		}
		out, end = append(out, part...), c.Tangent(1)
	}
	if len(out) == 0 {
		return nil, ErrNoDirection
	}
	return out, nil
}

// turnAt is a node of a path or ring with the directions of travel before and
// after it and the distances to the left of either.
type turnAt struct {
	at     Point
	in, on Point
	dIn    float64
	dOn    float64
}

// mitre returns how far the offset line before the node runs on beyond its
// end, and how far the one after starts before its start, to their meeting.
// Without a turn of at least 1e-7 there is none.
func (v turnAt) mitre() (ahead, back float64, meeting Point, ok bool) {
	sin, cos := v.in.Cross(v.on), v.in.Dot(v.on)
	if math.Abs(sin) < 1e-7 {
		return 0, 0, Point{}, false
	}
	ahead, back = (v.dOn-float64(v.dIn*cos))/sin, (v.dIn-float64(v.dOn*cos))/sin
	return ahead, back, v.end().Add(v.in.Mul(ahead)), true
}

// end is where the first of the two offset lines ends at the node.
func (v turnAt) end() Point { return v.at.Add(v.in.Left().Mul(v.dIn)) }

// joinOffsets joins two offsets at an inner node, distances equal.
func joinOffsets(a, b Path, v turnAt, tol float64) (Path, Path) {
	end, start := a.End(), b.Start()
	if end.Dist(start) <= 0.05*tol {
		b[0].P0 = end
		return a, b
	}
	turn := AngleBetween(v.in, v.on)
	outside := turn*v.dIn > 0
	ahead, back, m, ok := v.mitre()
	if ok && slides(a[len(a)-1], ahead, tol) && slides(b[0].Reverse(), back, tol) {
		return a.endMoved(m), b.Reverse().endMoved(m).Reverse()
	}
	if outside && math.Abs(turn) <= math.Pi/3 && ok {
		return a.runOn(m), b.Reverse().runOn(m).Reverse()
	}
	if outside {
		arc := Arc(v.at, math.Abs(v.dIn), end.Sub(v.at).Angle(), turn)
		arc[0].P0, arc[len(arc)-1].P3 = end, start
		return append(a, arc...), b
	}
	if m, ok := nearestMeeting(a, b); ok {
		b = b.Between(m.Q, Place{len(b) - 1, 1})
		a = a.Between(Place{}, m.P)
		b[0].P0 = a.End()
		return a, b
	}
	return append(a, Line(end, start)), b
}

// slides reports whether a curve's end may be moved along its tangent by the
// given length without leaving its course by more than a tenth of tol.
func slides(c Cubic, by, tol float64) bool {
	turn := math.Abs(AngleBetween(c.Tangent(0), c.Tangent(1)))
	return math.Abs(by) < 0.2*c.P0.Dist(c.P3) && math.Abs(by)*turn*0.15 <= 0.1*tol
}

// endMoved returns the path with its end put elsewhere along its tangent.
func (p Path) endMoved(to Point) Path {
	q := append(Path{}, p...)
	last := &q[len(q)-1]
	if last.evenlyStraight() {
		*last = Line(last.P0, to)
	} else {
		last.P3 = to
	}
	return q
}

// runOn returns the path with a straight line added from its end to a point
// ahead; a straight last curve is lengthened instead.
func (p Path) runOn(to Point) Path {
	last := p[len(p)-1]
	if last.evenlyStraight() {
		return p.endMoved(to)
	}
	return append(append(Path{}, p...), Line(last.P3, to))
}

// nearestMeeting returns the meeting of two paths nearest to a's end and b's
// start, measured along both.
func nearestMeeting(a, b Path) (PathMeeting, bool) {
	best, least, found := PathMeeting{}, math.Inf(1), false
	length := a.Length()
	for _, m := range MeetPaths(a, b) {
		if l := length - a.LengthTo(m.P) + b.LengthTo(m.Q); l < least {
			best, least, found = m, l, true
		}
	}
	return best, found
}
