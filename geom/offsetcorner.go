package geom

import "math"

// sharpestMitre is the ratio of a mitre's length to the greater distance
// above which a corner is squared off; with equal distances it is reached at
// an inner angle of 28.955°, as 1/sin(θ/2) = 4.
const sharpestMitre = 4

// flatCorner is the turn in radians (45°) below which a distance is never cut
// along the neighbour's narrower one, and cutShare the share of the wider
// distance that may be cut off its end at a greater turn.
const (
	flatCorner = math.Pi / 4
	cutShare   = 0.25
)

// joint is what happens at a corner: where the offset before it ends, where
// the one after it starts, what runs between, and how many mm of either
// source edge lie behind the cuts.
type joint struct {
	end, start       Place
	run              []run
	cutEnd, cutStart float64
	// slideTo is where both offsets' ends are moved along their tangents, at a
	// corner that hardly turns.
	slideTo *Point
}

// slideTurn is the turn in radians, about 1°, up to which ends are moved to
// their meeting instead of being run on or cut.
const slideTurn = 0.02

// run is a stretch of line between two offsets and the edge it belongs to.
type run struct {
	path Path
	edge int
}

// meet is a corner being joined.
type meet struct {
	turnAt
	a, b side
	turn float64 // radians, clockwise (convex) positive
	tol  float64
}

// join joins the offset of a to that of b.
func join(a, b side, style CornerStyle, tol float64) (joint, error) {
	k := meet{turnAt{b.source.Start(), a.in, b.on, a.by, b.by}, a, b, AngleBetween(a.in, b.on), tol}
	if k.turn > 1e-3 && a.by >= 0 && b.by >= 0 {
		switch {
		case style == SquaredFirst:
			return k.squared(), nil
		case style == SquaredSecond:
			return k.flipped().squared().flipped(a, b), nil
		case style == FoldedSecond, style == FoldedBack && b.by >= a.by:
			return k.folded(style)
		case style == FoldedFirst, style == FoldedBack:
			j, err := k.flipped().folded(style)
			return j.flipped(a, b), err
		}
	}
	return k.extended(), nil
}

// flipped is the corner in a mirror and run the other way: a and b change
// places, the turn keeps its sign.
func (k meet) flipped() meet {
	a, b := k.b.flipped(), k.a.flipped()
	return meet{turnAt{b.source.Start(), a.in, b.on, a.by, b.by}, a, b, k.turn, k.tol}
}

// flipped takes a joint found in the mirror back to the sides a and b.
func (j joint) flipped(a, b side) joint {
	m := Motion{Mirror: true}
	out := joint{cutEnd: j.cutStart, cutStart: j.cutEnd}
	out.end = Place{len(a.raw) - 1 - j.start.Curve, 1 - j.start.T}
	out.start = Place{len(b.raw) - 1 - j.end.Curve, 1 - j.end.T}
	for i := len(j.run) - 1; i >= 0; i-- {
		out.run = append(out.run, run{j.run[i].path.Moved(m).Reverse(), j.run[i].edge})
	}
	return out
}

// whole is the joint that cuts nothing.
func (k meet) whole() joint { return joint{end: Place{len(k.a.raw) - 1, 1}, start: Place{0, 0}} }

// through adds the polyline from the end of a's offset over the points to the
// start of b's, the first of them reached by a's line and the others by b's.
func (k meet) through(points ...Point) joint {
	j := k.whole()
	at := k.a.raw.End()
	for i, p := range append(points, k.b.raw.Start()) {
		edge := k.b.index
		if i == 0 && len(points) > 0 {
			edge = k.a.index
		}
		j.run = append(j.run, run{Path{Line(at, p)}, edge})
		at = p
	}
	return j
}

// wider is the edge with the greater distance.
func (k meet) wider() int {
	if math.Abs(k.a.by) >= math.Abs(k.b.by) {
		return k.a.index
	}
	return k.b.index
}

// extended joins the lines by the rules of OffsetRing.
func (k meet) extended() joint {
	end, start := k.a.raw.End(), k.b.raw.Start()
	if end.Dist(start) <= 0.05*k.tol {
		return k.whole()
	}
	ahead, back, m, ok := k.mitre()
	width := math.Max(math.Abs(k.a.by), math.Abs(k.b.by))
	a, b := k.a.raw, k.b.raw
	switch {
	case ok && k.a.by == k.b.by && math.Abs(k.turn) < slideTurn &&
		slides(a[len(a)-1], ahead, k.tol) && slides(b[0].Reverse(), back, k.tol):
		j := k.whole()
		j.slideTo = &m
		return j
	case !ok && k.in.Dot(k.on) < 0:
		return k.capped(math.Inf(1), math.Inf(1), width)
	case !ok:
		j := k.whole()
		j.run = []run{{Path{Line(end, start)}, k.wider()}}
		return j
	case ahead >= 0 && back >= 0:
		if m.Dist(k.at) > sharpestMitre*width {
			return k.capped(ahead, back, width)
		}
		return k.through(m)
	case ahead < 0 && back < 0:
		return k.cutBoth(ahead, back)
	case k.a.by != 0 && k.b.by != 0 && (math.Abs(k.turn) < flatCorner || -math.Min(ahead, back) > cutShare*width):
		return k.stepped()
	case ahead < 0:
		return k.cutFirst(ahead, m)
	}
	return k.flipped().cutFirst(back, k.flippedPoint(m)).flipped(k.a, k.b)
}

func (k meet) flippedPoint(p Point) Point { return Motion{Mirror: true}.Apply(p) }

// capped squares a sharp corner off: both lines run on by at most the greater
// distance and their ends are joined.
func (k meet) capped(ahead, back, width float64) joint {
	p := k.a.raw.End().Add(k.in.Mul(math.Min(ahead, width)))
	q := k.b.raw.Start().Sub(k.on.Mul(math.Min(back, width)))
	j := k.whole()
	j.run = []run{
		{Path{Line(k.a.raw.End(), p)}, k.a.index},
		{Path{Line(p, q)}, k.wider()},
		{Path{Line(q, k.b.raw.Start())}, k.b.index},
	}
	return j
}

// cutBoth cuts both lines at their meeting. If they have none, because one of
// them is too short, they are joined through the corner itself, which makes a
// loop that is taken out later.
func (k meet) cutBoth(ahead, back float64) joint {
	m, ok := nearestMeeting(k.a.raw, k.b.raw)
	if !ok {
		j := k.through(k.at)
		j.cutEnd, j.cutStart = -ahead, -back
		return j
	}
	j := joint{end: m.P, start: m.Q}
	j.cutEnd = k.a.raw.Length() - k.a.raw.LengthTo(m.P)
	j.cutStart = k.b.raw.LengthTo(m.Q)
	return j
}

// cutFirst runs b's line on backwards until it meets a's, which is cut there.
// If a is too short for that its line goes back to the meeting of the
// tangents, a loop that is taken out later.
func (k meet) cutFirst(ahead float64, m Point) joint {
	start := k.b.raw.Start()
	reach := 2*m.Dist(start) + 4*(math.Abs(k.a.by)+math.Abs(k.b.by))
	line := Path{Line(start.Sub(k.on.Mul(reach)), start)}
	best, least := PathMeeting{}, math.Inf(1)
	for _, x := range MeetPaths(k.a.raw, line) {
		if d := x.At.Dist(m); d < least {
			best, least = x, d
		}
	}
	j := k.whole()
	if math.IsInf(least, 1) {
		from := k.a.raw.Start()
		j.end = Place{0, 0}
		j.run = []run{{Path{Line(from, m)}, k.a.index}, {Path{Line(m, start)}, k.b.index}}
		j.cutEnd = -ahead
		return j
	}
	j.end = best.P
	j.cutEnd = k.a.raw.Length() - k.a.raw.LengthTo(best.P)
	j.run = []run{{Path{Line(best.At, start)}, k.b.index}}
	return j
}

// stepped joins very different distances where one line would have to be cut.
// On the outside of a flat corner the wider line runs on to the line square to
// the narrower edge and steps down along that. On the outside of a greater
// turn, and on the inside, it stops at its end and steps down square to its
// own edge to the narrower line, which on the outside is run on to there.
// Distances to different sides step through the corner.
func (k meet) stepped() joint {
	if k.a.by*k.b.by < 0 {
		return k.through(k.at)
	}
	if math.Abs(k.b.by) > math.Abs(k.a.by) {
		return k.flipped().stepped().flipped(k.a, k.b)
	}
	end, start, cos := k.a.raw.End(), k.b.raw.Start(), math.Cos(k.turn)
	outside := k.turn*k.a.by > 0
	if outside && math.Abs(k.turn) < flatCorner {
		p := k.at.Add(k.on.Left().Mul(k.a.by / cos))
		j := k.whole()
		j.run = []run{{Path{Line(end, p)}, k.a.index}, {Path{Line(p, start)}, k.a.index}}
		return j
	}
	if outside {
		return k.through(k.at.Add(k.in.Left().Mul(k.b.by / cos)))
	}
	down := Path{Line(k.a.raw.End(), k.at)}
	x, ok := nearestMeeting(down.Reverse(), k.b.raw)
	if !ok {
		return k.through(k.at)
	}
	j := k.whole()
	j.start = x.Q
	j.cutStart = k.b.raw.LengthTo(x.Q)
	j.run = []run{{Path{Line(down.Start(), x.At)}, k.a.index}}
	return j
}

// squared ends a's allowance at a convex corner by a line square to a, as far
// beyond the corner as b's distance, or where the lines meet if that is
// nearer.
func (k meet) squared() joint {
	ahead, _, m, ok := k.mitre()
	sin, cos := math.Sincos(k.turn)
	limit := k.b.by
	if cos > 0 {
		limit *= sin
	}
	x := math.Min(math.Max(ahead, 0), limit)
	if !ok || math.Abs(x-ahead) < 1e-9 || math.Abs(cos) < 1e-9 {
		if ok && m.Dist(k.at) <= sharpestMitre*math.Max(k.a.by, k.b.by) {
			return k.through(m)
		}
		return k.extended()
	}
	p := k.a.raw.End().Add(k.in.Mul(x))
	q := k.b.raw.Start().Add(k.on.Mul((x - k.b.by*sin) / cos))
	j := k.whole()
	j.run = []run{
		{Path{Line(k.a.raw.End(), p)}, k.a.index},
		{Path{Line(p, q)}, k.a.index},
		{Path{Line(q, k.b.raw.Start())}, k.b.index},
	}
	return j
}

// folded mirrors a, the seam, in b, the hem: beyond the hem's sewing line the
// cutting line is the mirror image of the seam's, until it meets the hem's.
// The mirror is the hem's tangent at the corner, so that the turned hem lies
// flat exactly where the hem is straight.
func (k meet) folded(style CornerStyle) (joint, error) {
	image := k.a.raw.Moved(mirrorIn(k.at, k.on)).Reverse()
	j := k.whole()
	var beyond Path
	lift := -k.a.by * math.Cos(k.turn) / math.Sin(k.turn)
	if lift >= 0 {
		p := k.a.raw.End().Add(k.in.Mul(lift))
		j.run = []run{{Path{Line(k.a.raw.End(), p)}, k.a.index}}
		beyond = append(Path{Line(p, image.Start())}, image...)
	} else {
		at, ok := lastOnLine(k.a.raw, k.at, k.at.Add(k.on))
		if !ok {
			return joint{}, &StyleUnfit{Style: style}
		}
		j.end = at
		j.cutEnd = k.a.raw.Length() - k.a.raw.LengthTo(at)
		n := len(image)
		beyond = image.Between(Place{n - 1 - at.Curve, 1 - at.T}, Place{n - 1, 1})
	}
	reach := 10 * (k.a.by + k.b.by)
	start := k.b.raw.Start()
	hem := append(Path{Line(start.Sub(k.on.Mul(reach)), start)}, k.b.raw...)
	beyond = append(beyond, Line(beyond.End(), beyond.End().Add(beyond.EndTangent().Mul(reach))))
	all := MeetPaths(beyond, hem)
	if len(all) == 0 {
		return joint{}, &StyleUnfit{Style: style}
	}
	x := all[0]
	j.run = append(j.run, run{beyond.Between(Place{}, x.P), k.a.index})
	if x.Q.Curve == 0 {
		j.run = append(j.run, run{Path{Line(x.At, start)}, k.b.index})
	} else {
		j.start = Place{x.Q.Curve - 1, x.Q.T}
		j.cutStart = k.b.raw.LengthTo(j.start)
	}
	return j, nil
}

// mirrorIn is the reflection in the line through a point in a direction.
func mirrorIn(at, dir Point) Motion {
	m := Motion{Mirror: true, Turn: 2*dir.Angle() - math.Pi}
	m.Shift = at.Sub(m.Apply(at))
	return m
}

// lastOnLine returns the last place at which a path meets an infinite line.
func lastOnLine(p Path, a, b Point) (Place, bool) {
	for i := len(p) - 1; i >= 0; i-- {
		if ts := p[i].MeetLine(a, b); len(ts) > 0 {
			return Place{i, ts[len(ts)-1]}, true
		}
	}
	return Place{}, false
}
