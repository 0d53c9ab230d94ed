package alter

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

var spreadKeys = []Key{
	{Name: "line", What: Line, Needed: true, Means: "a reference line, or PLACE:PLACE, each X,Y on the sheet, a corner, a notch or EDGE@LENGTH; several with ; between are cut one after the other"},
	{Name: "by", What: Length, Typed: true, Means: "how far at each line; on a hinge the chord at the other end"},
	allRound,
	{Name: "hinge", What: Edge, Means: "the edge on which the line stays closed; without it both ends open alike"},
	{Name: "stays", What: Edge, Means: "an edge of the part that stays; without it the part with the fold, the grain, or the larger one"},
}

var _ = register(&Kind{Name: "spread", Does: "cuts a piece along a line and opens it, hinged at an edge or in parallel; both ends are trued",
	Keys: spreadKeys, Alike: []string{"close"}, Typed: `sleeve 4cm --line head@20cm:wrist@12cm --hinge wrist`, make: func(m *making) error { return m.spread(1) }})

var _ = register(&Kind{Name: "close", Does: "folds a strip or a wedge out of a piece along a line; both ends are trued",
	Keys: spreadKeys, Alike: []string{"spread"}, Typed: `back 1cm --line "centre back@20cm:side seam@18cm"`, make: func(m *making) error { return m.spread(-1) }})

func (m *making) spread(sign float64) error {
	by, err := m.positive("by")
	if err != nil {
		return err
	}
	var lines [][2]geom.Point
	for _, text := range strings.Split(m.text("line"), ";") {
		a, b, err := m.lineFrom("line", strings.TrimSpace(text))
		if err != nil {
			return err
		}
		lines = append(lines, [2]geom.Point{a, b})
	}
	for k, l := range lines {
		first, second, err := m.crossings(l[0], l[1])
		if err != nil {
			return err
		}
		parts := m.halvesAt(first, second)
		moves, motion, err := m.openAlong(first, second, sign*by)
		if err != nil {
			return err
		}
		for j := range lines[k+1:] { // the lines still to be cut lie on the part they are drawn on
			next := &lines[k+1+j]
			if mid := next[0].Lerp(next[1], 0.5); parts.onBetween(mid) == moves {
				next[0], next[1] = motion.Apply(next[0]), motion.Apply(next[1])
			}
		}
	}
	if len(lines) > 1 {
		m.say("%d lines, %s at each: %s in all", len(lines), m.format(by), m.format(by*float64(len(lines))))
	}
	return nil
}

// openAlong opens the piece along one line and trues both ends.
func (m *making) openAlong(first, second crossing, by float64) (moves bool, motion geom.Motion, err error) {
	if first.edge == second.edge {
		return false, motion, fmt.Errorf("%s: the line begins and ends on %q; let it run to another edge", m.piece.Name, m.piece.Edges[first.edge].Name)
	}
	if moves, err = m.moves(first, second); err != nil {
		return false, motion, err
	}
	if motion, err = m.opening(first, second, moves, by); err != nil {
		return false, motion, err
	}
	return moves, motion, m.open(first, second, moves, motion)
}

// onMoving reports on which side of a cut a place off the piece lies, as that of
// an outer's edge may that an inner piece does not reach: true for that of the
// part that moves.
func onMoving(first, second crossing, moves bool, p geom.Point) bool {
	return (second.at.Sub(first.at).Cross(p.Sub(first.at)) < 0) == moves
}

// moves says which part moves: true for the one clockwise from the first
// crossing to the second.
func (m *making) moves(first, second crossing) (bool, error) {
	between := func(i int) bool { return i > first.edge && i < second.edge }
	if m.has("stays") {
		i, err := m.edge("stays")
		if err != nil {
			return false, err
		}
		if i == first.edge || i == second.edge {
			return false, fmt.Errorf("%s: the line crosses %q, which lies in both parts; name another edge with --stays", m.piece.Name, m.piece.Edges[i].Name)
		}
		return !between(i), nil
	}
	if f := slices.IndexFunc(m.piece.Edges, func(e pattern.Edge) bool { return e.Fold }); f >= 0 && f != first.edge && f != second.edge {
		return !between(f), nil
	}
	parts := m.halvesAt(first, second)
	if g := m.piece.Grain; g != nil {
		mid := g.From.Lerp(g.To, 0.5)
		cut := geom.Path{geom.Line(first.at, second.at)}
		if _, off := cut.Nearest(mid); off > 1 {
			return !parts.onBetween(mid), nil
		}
	}
	return parts.between.Area() <= parts.rest.Area(), nil
}

// opening is the motion of the part that moves.
func (m *making) opening(first, second crossing, moves bool, by float64) (geom.Motion, error) {
	u := second.at.Sub(first.at).Unit()
	away := u.Left() // the part between lies to the left of the line
	if !moves {
		away = u.Right()
	}
	if !m.has("hinge") {
		return geom.Motion{Shift: away.Mul(by)}, nil
	}
	h, err := m.edge("hinge")
	if err != nil {
		return geom.Motion{}, err
	}
	pivot, far := first.at, second.at
	switch h {
	case first.edge:
	case second.edge:
		pivot, far = far, pivot
	default:
		return geom.Motion{}, fmt.Errorf("%s: the line does not reach %q, so it cannot hinge there; it runs from %q to %q",
			m.piece.Name, m.piece.Edges[h].Name, m.piece.Edges[first.edge].Name, m.piece.Edges[second.edge].Name)
	}
	arm := far.Dist(pivot)
	s := by / 2 / arm
	if math.Abs(s) > math.Sin(math.Pi/8) {
		return geom.Motion{}, fmt.Errorf("%s: %s at an arm of %s would turn the part by more than 45°; give less, or spread along several lines",
			m.piece.Name, m.format(math.Abs(by)), m.format(arm))
	}
	turn := 2 * math.Asin(s)
	if far.Sub(pivot).Cross(away) < 0 {
		turn = -turn
	}
	return geom.Motion{Shift: pivot.Mul(-1)}.Then(geom.Motion{Turn: turn, Shift: pivot}), nil
}

// open moves one part and trues the two edges that the line crosses.
func (m *making) open(first, second crossing, moves bool, motion geom.Motion) error {
	if err := m.refuseThroughMouth(first, second); err != nil {
		return err
	}
	w, parts := begin(m.piece), m.halvesAt(first, second)
	mouths := m.mouthsOn(first, second, moves)
	n := len(w.paths)
	for i := range n {
		if between := i > first.edge && i < second.edge; i != first.edge && i != second.edge && between == moves {
			w.set(i, w.paths[i].Moved(motion))
		}
	}
	for k, c := range [2]crossing{first, second} {
		head, tail := w.paths[c.edge].Split(c.along)
		// Of the first edge the tail lies between the crossings, of the second
		// the head does.
		if (k == 0) == moves {
			tail = tail.Moved(motion)
		} else {
			head = head.Moved(motion)
		}
		w.set(c.edge, trued(head, tail))
	}
	m.carryInside(parts, moves, motion)
	m.carryGrain(parts, moves, motion)
	mouths.carry(m.piece, w, motion)
	w.held = true
	m.slashes = append(m.slashes, slashOf(m.piece, first, second, moves, motion))
	return w.finish()
}

// trueOver is how far in mm on either side of the cut an edge is drawn anew
// to run smoothly, at least, and how many openings far.
const (
	trueOver     = 20.0
	trueOpenings = 2
)

// trued joins two parts of an edge that came apart or overlap. Straight parts
// that are still parallel are one line from end to end; otherwise one cubic,
// tangent to both, bridges the cut.
func trued(head, tail geom.Path) geom.Path {
	straight := len(head) == 1 && len(tail) == 1 && head[0].IsStraight(1e-6) && tail[0].IsStraight(1e-6)
	if straight && math.Abs(geom.AngleBetween(head.EndTangent(), tail.StartTangent())) < 1e-5 {
		return geom.Path{geom.Line(head.Start(), tail.End())}
	}
	over := math.Max(trueOver, trueOpenings*head.End().Dist(tail.Start()))
	a := head.BetweenLengths(0, math.Max(head.Length()-over, 0))
	b := tail.BetweenLengths(math.Min(over, tail.Length()), tail.Length())
	from, dir := head.Start(), head.StartTangent()
	if a.Length() < 1 {
		a = nil
	} else {
		from, dir = a.End(), a.EndTangent()
	}
	to, arrive := tail.End(), tail.EndTangent()
	if b.Length() < 1 {
		b = nil
	} else {
		to, arrive = b.Start(), b.StartTangent()
	}
	return append(append(a, geom.Eased(from, dir, to, arrive)), b...)
}

// carryInside moves the marks and lines of the part that moves. A line that
// crosses the cut is cut there and run on, as the edges are.
func (m *making) carryInside(parts halves, moves bool, motion geom.Motion) {
	in := func(p geom.Point) bool { return parts.onBetween(p) == moves }
	first, second := parts.first, parts.second
	for k := range m.piece.Marks {
		mark := &m.piece.Marks[k]
		switch {
		case mark.Edge != "":
		case len(mark.Path) > 0:
			moved := in(mark.Path.PointAt(mark.Path.Length() / 2))
			mark.Path = acrossCut(mark.Path, first, second, in, motion)
			if moved {
				mark.At = motion.Apply(mark.At)
			}
		case in(markPlace(*mark)):
			mark.At = motion.Apply(mark.At)
		}
	}
	for k := range m.piece.Lines {
		m.piece.Lines[k].Path = acrossCut(m.piece.Lines[k].Path, first, second, in, motion)
	}
}

// acrossCut moves what of a line lies on the part that moves, and trues it at
// each place where the cut crosses it.
func acrossCut(p geom.Path, first, second crossing, in func(geom.Point) bool, motion geom.Motion) geom.Path {
	ends := []float64{0}
	for _, c := range geom.MeetPaths(p, geom.Path{geom.Line(first.at, second.at)}) {
		ends = append(ends, p.LengthTo(c.P))
	}
	ends = append(ends, p.Length())
	slices.Sort(ends)
	var out geom.Path
	was := false
	for k := 1; k < len(ends); k++ {
		if ends[k]-ends[k-1] < wholeWithin {
			continue
		}
		part := p
		if len(ends) > 2 {
			part = p.BetweenLengths(ends[k-1], ends[k])
		}
		moved := in(part.PointAt(part.Length() / 2))
		if moved {
			part = part.Moved(motion)
		}
		if len(out) > 0 && moved != was {
			out = trued(out, part)
		} else {
			out = append(out, part...)
		}
		was = moved
	}
	if len(out) == 0 {
		return p
	}
	return out
}
