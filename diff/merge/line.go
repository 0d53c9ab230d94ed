package merge

import (
	"math"

	"toile/geom"
)

// straight in mm: a curve nearer to its chord is a straight line.
const straight = 1e-6

// leastMeeting is the angle in radians under which two lines are too nearly
// parallel to say where they meet.
const leastMeeting = 10 * math.Pi / 180

// extended is a line with its carrier at both ends.
type extended struct {
	core   geom.Path
	whole  geom.Path
	on     *geom.RunOn
	lead   float64 // mm of whole before core
	length float64 // mm of core
}

func extend(p geom.Path) extended {
	before, after := geom.CarrierEnds(p, reach)
	whole := append(append(append(geom.Path{}, before...), p...), after...)
	return extended{core: p, whole: whole, on: geom.NewRunOn(p, reach), lead: before.Length(), length: p.Length()}
}

// along is the length along core at which a point lies, negative before its
// start.
func (e extended) along(q geom.Point) float64 { return e.on.Foot(q).Along }

// holds reports whether a point of the carrier counts: not where the carrier's
// arc bends back beside the line itself.
func (e extended) holds(q geom.Point) bool { return math.Abs(e.on.Foot(q).Out) < sliver }

// tangent is the direction of travel at a length along core.
func (e extended) tangent(along float64) geom.Point { return e.whole.TangentAt(e.lead + along) }

// part is the line from one point to another, both on it but for rounding. ok
// is false where the second does not come after the first. A straight line that
// runs on straight stays one.
func (e extended) part(from, to geom.Point) (geom.Path, bool) {
	a, b := e.along(from), e.along(to)
	if b-a < leastEdge {
		return nil, false
	}
	var out geom.Path
	for _, c := range withoutSlivers(e.whole.BetweenLengths(e.lead+a, e.lead+b)) {
		if n := len(out); n > 0 && runsOn(out[n-1], c) && e.atEnd(c.P0) {
			out[n-1] = geom.Line(out[n-1].P0, c.P3)
			continue
		}
		out = append(out, c)
	}
	setStart(&out[0], from)
	setEnd(&out[len(out)-1], to)
	return out, true
}

// sliver in mm: a shorter curve at an end is what rounding left beside a node,
// which is stored to 0.001.
const sliver = 0.005

// withoutSlivers drops slivers at the ends of a path of several curves.
func withoutSlivers(p geom.Path) geom.Path {
	for len(p) > 1 && p[0].Length() < sliver {
		p = p[1:]
	}
	for len(p) > 1 && p[len(p)-1].Length() < sliver {
		p = p[:len(p)-1]
	}
	return p
}

// leastEdge is the length in mm below which nothing is left of an edge.
const leastEdge = 0.02

// atEnd reports whether a point is where the core and its carrier join.
func (e extended) atEnd(q geom.Point) bool {
	return q.Dist(e.core.Start()) < straight || q.Dist(e.core.End()) < straight
}

// runsOn reports whether one straight curve runs on another's line.
func runsOn(a, b geom.Cubic) bool {
	if !a.IsStraight(straight) || !b.IsStraight(straight) {
		return false
	}
	u, v := a.P3.Sub(a.P0).Unit(), b.P3.Sub(b.P0).Unit()
	return u.Dot(v) > 0 && math.Abs(u.Cross(v)) < 1e-9
}

// setStart and setEnd move an end of a curve by what rounding makes.
func setStart(c *geom.Cubic, q geom.Point) {
	if c.IsStraight(straight) {
		*c = geom.Line(q, c.P3)
	} else {
		c.P0 = q
	}
}

func setEnd(c *geom.Cubic, q geom.Point) {
	if c.IsStraight(straight) {
		*c = geom.Line(c.P0, q)
	} else {
		c.P3 = q
	}
}

// meeting finds where two carriers meet at an angle, nearest to all the points
// together. ok is false where they do not.
func meeting(a, b extended, near ...geom.Point) (best geom.Point, ok bool) {
	least := math.Inf(1)
	for _, m := range geom.MeetPaths(a.whole, b.whole) {
		turn := math.Abs(geom.AngleBetween(a.whole[m.P.Curve].Tangent(m.P.T), b.whole[m.Q.Curve].Tangent(m.Q.T)))
		if turn < leastMeeting || turn > math.Pi-leastMeeting || !a.holds(m.At) || !b.holds(m.At) {
			continue
		}
		sum := 0.0
		for _, q := range near {
			sum += m.At.Dist(q)
		}
		if sum < least {
			best, least, ok = m.At, sum, true
		}
	}
	return best, ok
}

// eased leads a line on from the point from on it, where it ended before, to
// the point to, where a neighbour that turned by turn now ends: one curve,
// tangent to the line, that meets the neighbour at the old angle. at is the end,
// 0 or 1, of the line. Where the way leads back, the curve starts two chords
// before the line's meeting with the neighbour. It returns where the curve
// leaves the line, and the curve in the line's direction; ok is false where too
// little of the line is left.
func (e extended) eased(at int, from, to geom.Point, turn float64, neighbour extended) (joint geom.Point, tail geom.Path, ok bool) {
	if from.Dist(to) < straight {
		return to, nil, true
	}
	sign := float64(2*at - 1) // +1 where the line runs towards the corner
	along := e.along(from)
	dir := e.tangent(along).Mul(sign)
	arrive := dir.Turn(turn)
	if to.Sub(from).Dot(dir) < 0 {
		along = e.along(e.metBy(at, from, to, neighbour)) - sign*2*from.Dist(to)
		if (at == 1 && along <= leastEdge) || (at == 0 && along >= e.length-leastEdge) {
			return to, nil, false
		}
		from, dir = e.whole.PointAt(e.lead+along), e.tangent(along).Mul(sign)
	}
	tail = geom.Path{geom.Eased(from, dir, to, arrive)}
	if at == 0 {
		tail = tail.Reverse()
	}
	return from, tail, true
}

// metBy is where the line up to the point from, at its end at, is met by the
// swung neighbour up to its new end, else the place of the line next to that.
func (e extended) metBy(at int, from, to geom.Point, neighbour extended) geom.Point {
	upTo := func(l extended, end int, q geom.Point) geom.Path {
		along := l.along(q)
		if end == 1 {
			return l.whole.BetweenLengths(l.lead+math.Min(0, along), l.lead+along)
		}
		return l.whole.BetweenLengths(l.lead+along, l.lead+math.Max(l.length, along))
	}
	own := upTo(e, at, from)
	swung := upTo(neighbour, 1-at, to)
	best, least := geom.Point{}, math.Inf(1)
	for _, m := range geom.MeetPaths(own, swung) {
		if d := m.At.Dist(to); d < least {
			best, least = m.At, d
		}
	}
	if math.IsInf(least, 1) {
		place, _ := own.Nearest(to)
		best = own.At(place)
	}
	return best
}
