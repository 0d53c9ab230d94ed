package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

var _ = register(&Kind{Name: "true", Does: "makes an edge run smoothly across a seam with the pieces laid together, or square to a fold",
	Keys: []Key{
		{Name: "edge", What: Edge, Needed: true, Typed: true, Means: "the edge that crosses the seam, such as a hem or a neckline"},
		{Name: "across", What: Edge, Means: "its neighbour: the seam's edge or the fold; needed where both its neighbours are sewn"},
		{Name: "hold", What: Text, Means: "what stays: centre, so that the side gets longer or shorter, or side, so that the centre does; without it centre"},
		{Name: "over", What: Length, Means: "how far from the seam it is drawn anew; without it all of a straight edge, a third of a curved one"},
	}, Typed: `front hemline --across "side seam" --hold centre`, make: (*making).true})

// What truing holds.
const (
	holdCentre = "centre"
	holdSide   = "side"
)

// crossingEnd is one piece's end at a seam that an edge is to cross smoothly:
// the line towards the seam, and the side, which is sewn, away from it.
type crossingEnd struct {
	work       *work
	line, side int
	atEnd      bool // the side follows the line clockwise
	path, away geom.Path
	angle      float64 // between them, on the inside
	sign       float64 // of the turn from the side to the line reversed
	over       float64 // mm of the line that are drawn anew

	slid  float64 // mm by which its other end slid on along the edge there, less than 0 back
	along int     // that edge
}

func (m *making) true() error {
	i, err := m.edge("edge")
	if err != nil {
		return err
	}
	hold := m.text("hold")
	if hold == "" {
		hold = holdCentre
	}
	if hold != holdCentre && hold != holdSide {
		return fmt.Errorf("hold: %q cannot be held; it is %s or %s", hold, holdCentre, holdSide)
	}
	side, err := m.acrossWhat(i)
	if err != nil {
		return err
	}
	own, err := m.endAt(m.piece, i, side)
	if err != nil {
		return err
	}
	other, err := m.sewnEnd(own)
	if err != nil {
		return err
	}
	ends, sum := []*crossingEnd{own}, 2*own.angle
	if other != nil && other.work.piece == m.piece && other.line == own.line { // both its ends are drawn anew
		own.over, other.over = math.Min(own.over, own.path.Length()/3), math.Min(other.over, own.path.Length()/3)
	}
	if other != nil {
		ends, sum = append(ends, other), own.angle+other.angle
	}
	if math.Abs(sum-math.Pi) < geom.Degrees(0.01) {
		m.say("%s, %q runs smoothly across %q already", m.piece.Name, m.text("edge"), m.piece.Edges[side].Name)
		return nil
	}
	return m.trueEnds(ends, sum, hold)
}

// acrossWhat is the neighbour of edge i that it is to cross.
func (m *making) acrossWhat(i int) (int, error) {
	w := begin(m.piece)
	neighbours := []int{w.before(i), w.after(i)}
	if m.has("across") {
		k, err := m.edge("across")
		if err != nil {
			return 0, err
		}
		if !slices.Contains(neighbours, k) {
			return 0, fmt.Errorf("%s: %q does not meet %q; give one of its neighbours, %q or %q", m.piece.Name, w.name(k), w.name(i), w.name(neighbours[0]), w.name(neighbours[1]))
		}
		return k, nil
	}
	var found []int
	for _, k := range neighbours {
		if len(m.pattern.SeamsOf(m.piece.Name, w.name(k))) > 0 || m.piece.Edges[k].Fold {
			found = append(found, k)
		}
	}
	switch len(found) {
	case 0:
		return 0, fmt.Errorf("%s: neither neighbour of %q, %q nor %q, is sewn or a fold; say what is sewn first with `toile seam`", m.piece.Name, w.name(i), w.name(neighbours[0]), w.name(neighbours[1]))
	case 1:
		return found[0], nil
	}
	return 0, fmt.Errorf("%s: %q crosses both %q and %q; say which with --across", m.piece.Name, w.name(i), w.name(found[0]), w.name(found[1]))
}

// endAt looks at edge line of a piece where it meets edge side.
func (m *making) endAt(q *pattern.Piece, line, side int) (*crossingEnd, error) {
	w := begin(q)
	e := &crossingEnd{work: w, line: line, side: side, atEnd: side == w.after(line)}
	e.path, e.away = e.lines()
	corner := line
	if e.atEnd {
		corner = side
	}
	if c := q.Corners[corner]; c.Meant {
		return nil, fmt.Errorf("%s: the corner %q is marked as meant, so it is not to run smoothly; take that off first with `toile edge %q %q --not-meant %q`", q.Name, q.CornerName(corner), q.Name, q.Edges[line].Name, q.Edges[side].Name)
	} else if c.Round > 0 {
		return nil, fmt.Errorf("%s: the corner %q is rounded; restore it first with `toile alter restore-corner %q %q`", q.Name, q.CornerName(corner), q.Name, q.CornerName(corner))
	}
	turn := geom.AngleBetween(e.away.StartTangent(), e.path.EndTangent().Mul(-1))
	e.angle, e.sign = math.Abs(turn), math.Copysign(1, turn)
	length := e.path.Length()
	if e.over = length; len(e.path) > 1 || !e.path[0].IsStraight(1e-6) {
		e.over = length / 3
	}
	if m.has("over") {
		over, err := m.positive("over")
		if err != nil {
			return nil, err
		}
		e.over = math.Min(over, length)
	}
	return e, nil
}

// lines are the piece's lines, the one towards the seam and the side away from it.
func (e *crossingEnd) lines() (path, away geom.Path) {
	path, away = e.work.paths[e.line], e.work.paths[e.side]
	if !e.atEnd {
		path, away = path.Reverse(), away.Reverse()
	}
	return path, away
}

// sewnEnd is the end on the other side of the seam; nil where the piece is
// laid on its own mirror image, at a fold or a seam with itself.
func (m *making) sewnEnd(own *crossingEnd) (*crossingEnd, error) {
	q, side := own.work.piece, own.work.piece.Edges[own.side]
	if side.Fold {
		return nil, nil
	}
	length := own.away.Length()
	along := 0.0
	if !own.atEnd { // the side ends where the line starts
		along = length
	}
	places, err := m.pattern.Across(q.Name, side.Name, along)
	if err != nil {
		return nil, err
	}
	const near = 3.0 // mm: seams that do not quite match end together all the same
	for _, at := range places {
		if at.Piece == q.Name && at.Edge == side.Name {
			return nil, nil
		}
		other, err := m.pattern.Piece(at.Piece)
		if err != nil {
			return nil, err
		}
		j, err := other.EdgeIndex(at.Edge)
		if err != nil {
			return nil, err
		}
		n := len(other.Edges)
		switch l := other.EdgePath(j).Length(); {
		case at.Along < near:
			return m.endAt(other, (j+n-1)%n, j)
		case at.Along > l-near:
			return m.endAt(other, (j+1)%n, j)
		}
	}
	return nil, fmt.Errorf("%s: %q is sewn to no edge that ends where it does; say the seam first with `toile seam`, or true the edge by drawing it anew", q.Name, side.Name)
}

// trueEnds draws the lines anew so that their angles at the seam make a half
// turn, each taking half of what is missing.
func (m *making) trueEnds(ends []*crossingEnd, sum float64, hold string) error {
	missing := (math.Pi - sum) / 2
	atCentre := len(ends) == 1 // a fold or a centre seam
	cornerHeld := (hold == holdSide) != atCentre
	by := 0.0
	if !cornerHeld {
		for _, e := range ends {
			by += e.slide(e.angle+missing) / float64(len(ends))
		}
	}
	for k, e := range ends {
		q := e.work.piece
		was := e.angle
		var err error
		if k > 0 && q == ends[0].work.piece { // a seam of a piece with itself: the first end is drawn already
			e.work = begin(q)
			e.path, e.away = e.lines()
		}
		if cornerHeld {
			err = e.drawHeld(e.angle + missing)
		} else {
			err = e.drawTo(e.angle+missing, by)
		}
		if err != nil {
			return err
		}
		if err := e.work.finish(); err != nil {
			return err
		}
		m.say("%s: %q met %q at %.2f°, now at %.2f°", q.Name, e.work.name(e.line), e.work.name(e.side), geom.InDegrees(was), geom.InDegrees(e.angle+missing))
		if math.Abs(e.slid) > 0.05 {
			m.say("%s: %q is %s %s there, to meet %q drawn as an arc; with --over only its end is drawn anew", q.Name, e.work.name(e.along), m.format(math.Abs(e.slid)),
				map[bool]string{true: "longer", false: "shorter"}[e.slid > 0], e.work.name(e.line))
		}
	}
	m.say("laid together it was %.2f°, and 180° is smooth; the %s is held%s", geom.InDegrees(sum), hold, m.movedSide(by, cornerHeld))
	return nil
}

func (m *making) movedSide(by float64, cornerHeld bool) string {
	switch {
	case cornerHeld:
		return ""
	case by > 0:
		return fmt.Sprintf(", and the seam ends %s earlier", m.format(by))
	default:
		return fmt.Sprintf(", and the seam ends %s later", m.format(-by))
	}
}

// from is where the line begins to be drawn anew, and its direction there.
func (e *crossingEnd) from() (geom.Point, geom.Point) {
	at := e.path.Length() - e.over
	return e.path.PointAt(at), e.path.BetweenLengths(math.Max(at, 0), e.path.Length()).StartTangent()
}

// sideAt is the side's place at a length from the old corner, run on where it
// is negative, and the direction in which the line has to arrive there to meet
// it at the angle.
func (e *crossingEnd) sideAt(by, angle float64) (to, arrive geom.Point) {
	dir := e.away.StartTangent()
	to, _ = pointOn(e.away, by)
	if by > 0 {
		dir = e.away.TangentAt(by)
	} else if before, _ := geom.CarrierEnds(e.away, reach); by < 0 && len(before) > 0 {
		dir = before.TangentAt(math.Max(before.Length()+by, 0))
	}
	return to, dir.Turn(e.sign * angle).Mul(-1)
}

// slide is how far along the side the line ends so that it is as even as an
// arc: it leaves its chord at its start by as much as it meets it at its end.
// The place nearest to the old corner counts; 0 where there is none. A curved line
// is no arc to begin with: it ends where its chord, turned by half of what its end
// turns by, leads.
func (e *crossingEnd) slide(angle float64) float64 {
	from, dir := e.from()
	if chord := e.path.End().Sub(from); math.Abs(geom.AngleBetween(dir, chord))+math.Abs(geom.AngleBetween(chord, e.path.EndTangent())) > 1e-3 {
		return chord.Len() * math.Tan((angle-e.angle)/2)
	}
	uneven := func(by float64) float64 {
		to, arrive := e.sideAt(by, angle)
		chord := to.Sub(from)
		return geom.AngleBetween(dir, chord) - geom.AngleBetween(chord, arrive)
	}
	return rootNear0(uneven, math.Min(reach, e.away.Length()/2))
}

// rootNear0 finds where a function changes its sign nearest to 0, within most
// on either side; 0 where it does not.
func rootNear0(f func(float64) float64, most float64) float64 {
	const steps = 400
	best, found := 0.0, false
	before := f(-most)
	for k := 1; k <= steps; k++ {
		x := -most + 2*most*float64(k)/steps
		now := f(x)
		if before*now <= 0 && math.Abs(now-before) < 1 {
			root := bisect(f, x-2*most/steps, x)
			if !found || math.Abs(root) < math.Abs(best) {
				best, found = root, true
			}
		}
		before = now
	}
	return best
}

func bisect(f func(float64) float64, a, b float64) float64 {
	at := f(a)
	for range 80 {
		mid := (a + b) / 2
		if v := f(mid); (v <= 0) == (at <= 0) {
			a = mid
		} else {
			b = mid
		}
	}
	return (a + b) / 2
}

// drawTo draws the line anew to the side's place at a length from the corner,
// where the side is cut or run on.
func (e *crossingEnd) drawTo(angle, by float64) error {
	from, dir := e.from()
	to, arrive := e.sideAt(by, angle)
	tail, curved := e.tail()
	if !curved && to.Sub(from).Dot(dir) <= 0 {
		return fmt.Errorf("%s: drawn over %.1f mm, %q cannot reach %q at that angle; give more with --over", e.work.piece.Name, e.over, e.work.name(e.line), e.work.name(e.side))
	}
	line := append(e.kept(), geom.Eased(from, dir, to, arrive))
	if curved {
		line = append(e.kept(), turnedTo(tail, to, arrive)...)
	}
	side := e.away.Reverse()
	_, ahead := geom.CarrierEnds(side, reach)
	whole := append(append(geom.Path{}, side...), ahead...)
	side = ended(side, ahead, whole.PlaceAt(e.away.Length()-by), to).Reverse()
	e.put(line, side)
	return nil
}

// drawHeld draws the line anew to the old corner. One drawn anew as a whole
// keeps its direction at its other end, which slides along the neighbour there to
// where an arc leads. (Its angle with the neighbour may not be kept instead: on
// a neighbour that curves it can lie nowhere, or far away.)
func (e *crossingEnd) drawHeld(angle float64) error {
	to, arrive := e.sideAt(0, angle)
	if e.over < e.path.Length()-1e-6 {
		from, dir := e.from()
		line := append(e.kept(), geom.Eased(from, dir, to, arrive))
		if tail, curved := e.tail(); curved {
			line = append(e.kept(), turnedTo(tail, to, arrive)...)
		}
		e.put(line, e.away)
		return nil
	}
	w := e.work
	far := w.before(e.line)
	neighbour := w.paths[far] // towards the line's other end
	if !e.atEnd {
		far = w.after(e.line)
		neighbour = w.paths[far].Reverse()
	}
	length, dir := neighbour.Length(), e.path.StartTangent()
	by := rootNear0(func(by float64) float64 { // by beyond the neighbour's old end
		from, _ := pointOn(neighbour, length+by)
		chord := to.Sub(from)
		return geom.AngleBetween(dir, chord) - geom.AngleBetween(chord, arrive)
	}, math.Min(reach, length/2))
	from, _ := pointOn(neighbour, length+by)
	e.slid, e.along = by, far
	_, ahead := geom.CarrierEnds(neighbour, reach)
	whole := append(append(geom.Path{}, neighbour...), ahead...)
	neighbour = ended(neighbour, ahead, whole.PlaceAt(length+by), from)
	if !e.atEnd {
		neighbour = neighbour.Reverse()
	}
	w.set(far, neighbour)
	e.put(geom.Path{geom.Eased(from, dir, to, arrive)}, e.away)
	return nil
}

// kept is the line up to where it is drawn anew.
func (e *crossingEnd) kept() geom.Path {
	if e.over >= e.path.Length()-1e-6 {
		return nil
	}
	return e.path.BetweenLengths(0, e.path.Length()-e.over)
}

// put stores both lines in the direction of the outline.
func (e *crossingEnd) put(line, side geom.Path) {
	if !e.atEnd {
		line, side = line.Reverse(), side.Reverse()
	}
	e.work.set(e.line, line)
	if side.Start() != e.work.paths[e.side].Start() || side.End() != e.work.paths[e.side].End() {
		e.work.set(e.side, side)
	}
}
