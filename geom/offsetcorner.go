package geom

import "math"

// sharpestMitre is the ratio of a mitre's length to the greater distance
// above which a corner is squared off; with equal distances it is reached at
// an inner angle of 28.955°, as 1/sin(θ/2) = 4.
const sharpestMitre = 4

// Constants of corners with unequal distances.
const (
	// flatCorner is the turn in radians (45°) below which the wider line steps
	// square to the other edge: so it stays on its own side of the corner
	// without a notch where it meets the narrower line.
	flatCorner = math.Pi / 4
	// smoothTurn is the turn in radians (20°) below which a point counts as
	// smooth beside a distance of 0 and the other steps there; corners are found
	// from there on. At greater turns it is cut along the edge with 0.
	smoothTurn = math.Pi / 9
	// cutShare is the share of the wider distance up to which, inward or on the
	// inside of a turn, a line is cut by the other one run on to it.
	cutShare = 0.25
	// smallStep is the greatest step in mm that a trimmed corner leaves out: less
	// than the width of the pen and the scissors' way along it together.
	smallStep = 2.0
	// slideTurn is the turn in radians, about 1°, up to which ends are moved to
	// their meeting instead of being run on or cut.
	slideTurn = 0.02
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
		case style == Trimmed:
			return k.trimmed(), nil
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
	case k.steps(ahead, back, width):
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

// steps says whether the wider line steps down to the narrower one, where the
// one would have to be cut and the other run on.
func (k meet) steps(ahead, back, width float64) bool {
	turn := math.Abs(k.turn)
	switch {
	case k.a.by == 0 || k.b.by == 0:
		return turn < smoothTurn
	case k.turn > 0 && k.a.by > 0 && k.b.by > 0:
		return true
	}
	return turn < flatCorner || -math.Min(ahead, back) > cutShare*width
}

// trimmed is the corner as extended, but that the lines end at their meeting
// where the wider would step down by no more than smallStep and lose no more
// than that of its length.
func (k meet) trimmed() joint {
	if math.Abs(k.b.by) > math.Abs(k.a.by) {
		return k.flipped().trimmed().flipped(k.a, k.b)
	}
	ahead, back, m, ok := k.mitre()
	sin, cos := sincos(k.turn)
	step := -ahead * sin / cos
	if k.turn < flatCorner {
		step = k.a.by/cos - k.b.by
	}
	if !ok || ahead >= 0 || back < 0 || cos <= 0 || k.b.by == 0 || -ahead > smallStep || step > smallStep {
		return k.extended()
	}
	return k.cutFirst(ahead, m)
}

// overlap reports whether cutting a's line, b's or both at their meeting,
// before the corner, leaves the union as it is. The loop that is cut away runs
// round places that lie in both strips, or in one and on the other side of the
// other's edge; there the winding number may fall by one. That holds where the
// start of b's line lies in a's strip, if b's is cut, and the end of a's in
// b's, which the strip of a short edge can fail to do. At turns of 90° or more
// each lies beyond the other's edge, and beside a distance of 0 on it.
func (k meet) overlap(cutA, cutB bool) bool {
	if k.a.by == 0 || k.b.by == 0 || math.Abs(k.turn) < slideTurn || math.Abs(k.turn) > math.Pi/2-1e-6 {
		return true
	}
	return (!cutB || k.a.covers(k.b.raw.Start())) && (!cutA || k.b.covers(k.a.raw.End()))
}

// covers reports whether a point lies in the strip between the edge and its
// offset.
func (s side) covers(q Point) bool {
	at, d := s.source.Nearest(q)
	if at == (Place{}) || at == (Place{len(s.source) - 1, 1}) {
		return false
	}
	left := s.source[at.Curve].Tangent(at.T).Left()
	return d <= math.Abs(s.by)+1e-9 && q.Sub(s.source.At(at)).Dot(left)*s.by > 0
}

// overCorner reports whether what is cut off, of a from one place on or of b up
// to another, goes round a corner within the edge: its loop may then take in
// more than the two strips that overlap.
func (k meet) overCorner(a, b Place) bool {
	return k.a.raw[a.Curve:].turnsSharply() || k.b.raw[:b.Curve+1].turnsSharply()
}

// turnsSharply reports whether a node turns by more than what counts as smooth.
func (p Path) turnsSharply() bool {
	for i := 1; i < len(p); i++ {
		if math.Abs(AngleBetween(p[i-1].Tangent(1), p[i].Tangent(0))) > smoothTurn {
			return true
		}
	}
	return false
}

// cutBoth cuts both lines at their meeting. If they have none, because one of
// them is too short, or if that would take too much, they are joined through
// the corner itself, a loop that the union takes out.
func (k meet) cutBoth(ahead, back float64) joint {
	m, ok := nearestMeeting(k.a.raw, k.b.raw)
	if !ok {
		j := k.through(k.at)
		j.cutEnd, j.cutStart = -ahead, -back
		return j
	}
	j := joint{end: m.P, start: m.Q}
	if !k.overlap(true, true) || k.overCorner(m.P, m.Q) {
		j = k.through(k.at)
	}
	j.cutEnd = k.a.raw.Length() - k.a.raw.LengthTo(m.P)
	j.cutStart = k.b.raw.LengthTo(m.Q)
	return j
}

// cutFirst runs b's line on backwards until it meets a's, which is cut there,
// or on the inside of a turn, where a cut would take too much, left to the
// union. If a is too short for that its line goes back to the meeting of the
// tangents, a loop that the union takes out.
func (k meet) cutFirst(ahead float64, m Point) joint {
	start := k.b.raw.Start()
	reach := float64(2*m.Dist(start)) + float64(4*(math.Abs(k.a.by)+math.Abs(k.b.by)))
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
	if k.turn*(k.a.by+k.b.by) < 0 && (!k.overlap(true, false) || k.overCorner(best.P, Place{})) {
		j = k.through(k.at, best.At)
	} else {
		j.end = best.P
		j.run = []run{{Path{Line(best.At, start)}, k.b.index}}
	}
	j.cutEnd = k.a.raw.Length() - k.a.raw.LengthTo(best.P)
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
	end, start := k.a.raw.End(), k.b.raw.Start()
	_, cos := sincos(k.turn)
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
	if !ok || !k.overlap(false, true) || k.overCorner(Place{len(k.a.raw) - 1, 1}, x.Q) {
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
// nearer. Where that would cut into b's, the corner is joined as extended.
func (k meet) squared() joint {
	ahead, back, m, ok := k.mitre()
	if back < 0 {
		return k.extended()
	}
	sin, cos := sincos(k.turn)
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
	q := k.b.raw.Start().Add(k.on.Mul((x - float64(k.b.by*sin)) / cos))
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
	sin, cos := sincos(k.turn)
	lift := -k.a.by * cos / sin
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
	m := Motion{Mirror: true, Turn: float64(2*dir.Angle()) - math.Pi}
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
