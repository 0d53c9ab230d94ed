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
// than 60°, and cut at their meeting on the inside, looked for along about four
// times the distance before the node. Curves that are single points are left
// out; with d = 0 the path comes back as it is. Time grows with the number of
// curves. Errors as for Cubic.Offset.
func (p Path) Offset(d, tol float64) (Path, error) { return p.offset(d, tol, joinOffsets) }

// offsetForUnion is Offset as the union of a ring wants it: on the inside of a
// turn nothing is cut off that the union counts with.
func (p Path) offsetForUnion(d, tol float64) (Path, error) { return p.offset(d, tol, joinForUnion) }

// offset offsets the curves one by one and joins each to those before it.
func (p Path) offset(d, tol float64, join func(*nodeJoin)) (Path, error) {
	if d == 0 {
		for _, c := range p {
			if !c.Finite() {
				return nil, fmt.Errorf("cannot offset a curve with a coordinate that is no number: %v", c)
			}
		}
		return slices.Clone(p), nil
	}
	var out Path
	start := 0       // the index in out at which the curve before starts
	var before Cubic // the source's curve before
	for _, c := range p {
		part, err := c.Offset(d, tol)
		if errors.Is(err, ErrNoDirection) {
			continue
		}
		if err != nil {
			return nil, err
		}
		c = c.withoutStubs()
		if len(out) > 0 {
			j := nodeJoin{turnAt{c.P0, before.Tangent(1), c.Tangent(0), d, d}, out, part, start, before, c, tol}
			j.join(join)
			out, part = j.a, j.b
		}
		out, start, before = append(out, part...), len(out), c
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

// nodeJoin is the joint of two offsets at an inner node, distances equal. Both
// are changed in place, a at its end alone, so that its length costs nothing.
type nodeJoin struct {
	turnAt
	a, b      Path
	lastStart int   // the index in a of the offset of the curve before the node
	from, to  Cubic // the curves of the source before and after the node
	tol       float64
}

// join joins the offsets where the turn has them on the outside, or hardly is
// one; else inside does.
func (j *nodeJoin) join(inside func(*nodeJoin)) {
	end, start := j.a.End(), j.b.Start()
	if end.Dist(start) <= 0.05*j.tol {
		j.b[0].P0 = end
		return
	}
	turn := AngleBetween(j.in, j.on)
	outside := turn*j.dIn > 0
	ahead, back, m, ok := j.mitre()
	last := len(j.a) - 1
	switch {
	case ok && slides(j.a[last], ahead, j.tol) && slides(j.b[0].Reverse(), back, j.tol):
		j.a[last] = j.a[last].endMoved(m)
		j.b[0] = j.b[0].Reverse().endMoved(m).Reverse()
	case outside && math.Abs(turn) <= math.Pi/3 && ok:
		j.a, j.b = append(j.a[:last], j.a[last:].runOn(m)...), j.b.Reverse().runOn(m).Reverse()
	case outside:
		arc := Arc(j.at, math.Abs(j.dIn), end.Sub(j.at).Angle(), turn)
		arc[0].P0, arc[len(arc)-1].P3 = end, start
		j.a = append(j.a, arc...)
	default:
		inside(j)
	}
}

// cutAtMeeting cuts both at their meeting, looked for from a[k] on.
func (j *nodeJoin) cutAtMeeting(k int) bool {
	m, ok := nearestMeeting(j.a[k:], j.b)
	if ok {
		j.b = j.b.Between(m.Q, Place{len(j.b) - 1, 1})
		j.a = append(j.a[:k], j.a[k:].Between(Place{}, m.P)...)
		j.b[0].P0 = j.a.End()
	}
	return ok
}

// joinOffsets joins two offsets on the inside of a turn for a path that stands
// for itself: at their meeting, or by a straight line.
func joinOffsets(j *nodeJoin) {
	ahead, _, _, ok := j.mitre()
	if !ok {
		ahead = math.Inf(1)
	}
	reach := float64(joinReach*math.Abs(j.dIn)) + float64(2*math.Min(math.Abs(ahead), j.b.Length()))
	if !j.cutAtMeeting(j.a.tail(reach)) {
		j.a = append(j.a, Line(j.a.End(), j.b.Start()))
	}
}

// joinForUnion joins two offsets on the inside of a turn for the union of a
// ring: only neighbours cut each other, and only where the union stays as it is
// (overlap); else they are joined by a straight line. That takes the triangle
// between it and the node out of what the strips count once, as a parallel that
// turns back behind a centre of curvature does, and what it is taken from lies
// in the strips of other curves.
func joinForUnion(j *nodeJoin) {
	k := meet{turnAt: j.turnAt, turn: AngleBetween(j.in, j.on), tol: j.tol}
	k.a = side{source: Path{j.from}, by: j.dIn, raw: Path{Line(j.a.End(), j.a.End())}}
	k.b = side{source: Path{j.to}, by: j.dOn, raw: Path{Line(j.b.Start(), j.b.Start())}}
	if !k.overlap(true, true) || !j.cutAtMeeting(j.lastStart) {
		j.a = append(j.a, Line(j.a.End(), j.b.Start()))
	}
}

// joinReach is how far before a node, in distances, an offset is looked at for
// its meeting with the next on the inside. Straight ones meet at the tangent of
// half the turn: at 1 for 90°, at 3.7 for 150°; where they turn by more, the
// look goes as far as their meeting, or the next one's length.
const joinReach = 4

// tail returns the index from which on the chords of the path are at least that
// long together.
func (p Path) tail(length float64) int {
	k := len(p) - 1
	for sum := p[k].P0.Dist(p[k].P3); k > 0 && sum < length; sum += p[k].P0.Dist(p[k].P3) {
		k--
	}
	return k
}

// slides reports whether a curve's end may be moved along its tangent by the
// given length without leaving its course by more than a tenth of tol. At t it
// is moved by t³ of that, of which what is square to the curve there counts; a
// curve that turns evenly gives most at 3/4. An S is told by its inside, since
// its ends may have one direction.
func slides(c Cubic, by, tol float64) bool {
	if math.Abs(by) >= 0.2*c.P0.Dist(c.P3) {
		return false
	}
	end, off := c.Tangent(1), 0.0
	for _, t := range [4]float64{0.45, 0.6, 0.75, 0.9} {
		off = math.Max(off, t*t*t*math.Abs(end.Cross(c.Tangent(t))))
	}
	const between = 1.25 // what lies between these places is no more than this
	return math.Abs(by)*off*between <= 0.1*tol
}

// endMoved returns the curve with its end put elsewhere along its tangent.
func (c Cubic) endMoved(to Point) Cubic {
	if c.evenlyStraight() {
		return Line(c.P0, to)
	}
	c.P3 = to
	return c
}

// endMoved returns the path with its end put elsewhere along its tangent.
func (p Path) endMoved(to Point) Path {
	q := slices.Clone(p)
	q[len(q)-1] = q[len(q)-1].endMoved(to)
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
