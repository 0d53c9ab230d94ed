package diff_test

import (
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// cut is a straight line across a piece, from a place on edge a to one on
// edge b. The far part runs clockwise from the one to the other; the near part
// holds the fold or the grain line.
type cut struct {
	a, b           int
	sa, sb         float64 // mm along the edges from their starts
	at, to         geom.Point
	between        []int // edges that lie in the far part as a whole
	far            geom.Ring
	from           *pattern.Piece
	pathA, pathB   geom.Path
	lenA, lenB     float64
	foldInNearPart bool
}

// across picks a line across the piece; ok is false where it leaves the piece
// or where it cannot be said which part is which.
func (m *making) across() (c cut, ok bool) {
	p := m.from
	c = cut{a: m.pick(m.n()), b: m.pick(m.n()), from: p}
	if c.a == c.b || p.Edges[c.a].Fold || p.Edges[c.b].Fold {
		return c, false
	}
	c.pathA, c.pathB = p.EdgePath(c.a), p.EdgePath(c.b)
	c.lenA, c.lenB = c.pathA.Length(), c.pathB.Length()
	c.sa, c.sb = c.lenA*m.u(0.25, 0.75), c.lenB*m.u(0.25, 0.75)
	c.at, c.to = c.pathA.PointAt(c.sa), c.pathB.PointAt(c.sb)
	ring := ringOf(p)
	for k := 1; k < 40; k++ {
		if !ring.Holds(c.at.Lerp(c.to, float64(k)/40)) {
			return c, false
		}
	}
	u := c.to.Sub(c.at).Unit()
	if math.Abs(u.Cross(c.pathA.TangentAt(c.sa))) < 0.6 || math.Abs(u.Cross(c.pathB.TangentAt(c.sb))) < 0.6 || c.at.Dist(c.to) < 60 {
		return c, false
	}
	c.far = geom.Ring(c.pathA.BetweenLengths(c.sa, c.lenA))
	for i := m.next(c.a); i != c.b; i = m.next(i) {
		c.between = append(c.between, i)
		c.far = append(c.far, p.EdgePath(i)...)
	}
	c.far = append(c.far, c.pathB.BetweenLengths(0, c.sb)...)
	c.far = append(c.far, geom.Line(c.to, c.at))
	return c, c.settled()
}

// settled reports whether the near part alone holds the fold or else the whole
// grain line, and no notch or mark lies on the line.
func (c *cut) settled() bool {
	fold, foldFar := false, false
	for i, e := range c.from.Edges {
		fold = fold || e.Fold
		for _, k := range c.between {
			foldFar = foldFar || (e.Fold && k == i)
		}
	}
	g := c.from.Grain
	grainFar := g != nil && (c.far.Holds(g.From) || c.far.Holds(g.To))
	if foldFar || grainFar || (!fold && g == nil) {
		return false
	}
	c.foldInNearPart = fold
	for _, n := range c.from.Notches {
		_, _, s, err := c.from.NotchPlace(n)
		if err != nil || (n.Edge == c.from.Edges[c.a].Name && math.Abs(s-c.sa) < 45) || (n.Edge == c.from.Edges[c.b].Name && math.Abs(s-c.sb) < 45) {
			return false
		}
	}
	for _, k := range c.from.Marks {
		if k.Edge == c.from.Edges[c.a].Name || k.Edge == c.from.Edges[c.b].Name {
			return false
		}
		if len(k.Path) > 0 && c.far.Holds(k.Path.Start()) != c.far.Holds(k.Path.End()) {
			return false
		}
	}
	return true
}

// spread makes the way that opens a piece along a line, or folds out what lies
// beside it; hinged at one end, or parallel.
func spread(hinged bool) func(m *making) bool {
	return func(m *making) bool {
		c, ok := m.across()
		// One edge alone that moved as a whole is an edge let out, whichever of
		// the two parts it is.
		least := map[bool]int{true: 1, false: 2}[hinged]
		if !ok || len(c.between) < least || m.n()-2-len(c.between) < least || len(m.changed) > 0 {
			return false
		}
		m.from, m.now = withoutLines(m.from), withoutLines(m.now)
		long := c.at.Dist(c.to)
		open := m.sign() * m.amount(leastMM, math.Min(60, 0.2*long))
		o := opening{cut: c, open: [2]float64{open, open}, window: m.window(open)}
		normal := c.to.Sub(c.at).Unit().Left() // away from the near part
		o.move = geom.Motion{Shift: normal.Mul(open)}
		o.trued = [2]bool{true, true}
		if hinged {
			o.turn = 2 * math.Asin(open/2/long)
			if math.Abs(o.turn) < geom.Degrees(leastDegrees) {
				return false
			}
			hinge, angle := c.to, o.turn
			o.open[1], o.trued[1] = 0, false
			if m.coin() {
				hinge, angle = c.at, -o.turn
				o.open, o.trued = [2]float64{0, open}, [2]bool{false, true}
			}
			o.move = geom.Motion{Shift: hinge.Mul(-1)}.Then(geom.Motion{Turn: angle, Shift: hinge})
		}
		return m.opened(o)
	}
}

func withoutLines(p *pattern.Piece) *pattern.Piece {
	q := p.Clone()
	q.Lines = nil
	return q
}

// window is the length in mm on either side of the line over which an edge is
// made smooth: none where it is opened and just bridged.
func (m *making) window(open float64) float64 {
	if open > 0 && m.coin() {
		return 0
	}
	return m.u(10, 30)
}

// opening is a piece spread along a line.
type opening struct {
	cut
	move   geom.Motion
	open   [2]float64
	turn   float64
	window float64
	trued  [2]bool // which of the two edges has a gap to bridge
}

func (m *making) opened(o opening) bool {
	paths := pathsOf(m.now)
	near, far, ok := o.bridgeEnds()
	if !ok {
		return false
	}
	moved := func(p geom.Path) geom.Path { return p.Moved(o.move) }
	for _, i := range o.between {
		paths[i] = moved(paths[i])
	}
	paths[o.a] = bridged(o.pathA.BetweenLengths(0, near[0]), moved(o.pathA.BetweenLengths(far[0], o.lenA)))
	paths[o.b] = bridged(moved(o.pathB.BetweenLengths(0, far[1])), o.pathB.BetweenLengths(near[1], o.lenB))
	q, ok := withPaths(m.reanchored(o), joined(paths))
	if !ok {
		return false
	}
	m.now, m.whole = q, true
	c := claim{kind: change.Spread, edges: []string{m.name(o.a), m.name(o.b)}, open: &o.open,
		openWithin: math.Abs(o.turn) * (o.window + math.Abs(o.open[0]+o.open[1]))}
	for _, i := range o.between {
		c.moved = append(c.moved, m.name(i))
	}
	if o.turn != 0 {
		degrees := geom.InDegrees(o.turn)
		c.turn = &degrees
	}
	m.claims = append(m.claims, c)
	m.allow(change.EdgeRun, c.edges...)
	return true
}

// bridgeEnds finds up to where the edges are kept in the near part and from
// where in the far part. Where the piece is closed the far part begins beyond
// what is folded out.
func (o opening) bridgeEnds() (near, far [2]float64, ok bool) {
	near, far = [2]float64{o.sa, o.sb}, [2]float64{o.sa, o.sb}
	for end, s := range []float64{o.sa, o.sb} {
		path, length, way := o.pathA, o.lenA, 1.0
		if end == 1 {
			path, length, way = o.pathB, o.lenB, -1 // the far part lies before B
		}
		if o.open[end] < 0 {
			u := o.to.Sub(o.at).Unit()
			for !o.reaches(path.PointAt(far[end]), u) {
				if far[end] += way * 0.01; far[end] <= 0 || far[end] >= length {
					return near, far, false
				}
			}
		}
		if o.trued[end] {
			near[end], far[end] = s-way*o.window, far[end]+way*o.window
		}
		for _, x := range []float64{near[end], far[end]} {
			if x < 5 || x > length-5 {
				return near, far, false
			}
		}
	}
	return near, far, true
}

// reaches reports whether the motion takes a place of the far part beyond the
// line.
func (o opening) reaches(q geom.Point, along geom.Point) bool {
	return o.move.Apply(q).Sub(o.at).Dot(along.Left()) >= 0
}

// bridged joins two stretches, by an eased curve where there is a gap.
func bridged(p, q geom.Path) geom.Path {
	if p.End().Dist(q.Start()) < 1e-6 {
		return append(append(geom.Path{}, p...), q...)
	}
	return append(append(append(geom.Path{}, p...), easedCubic(p.End(), p.EndTangent(), q.Start(), q.StartTangent())), q...)
}

// reanchored counts the notches of the two edges from the ends of their own
// parts, and takes the far part's marks along.
func (m *making) reanchored(o opening) *pattern.Piece {
	q := m.now.Clone()
	for k, n := range q.Notches {
		_, _, s, _ := m.from.NotchPlace(n)
		switch n.Edge {
		case m.name(o.a):
			q.Notches[k] = anchoredTo(n, s, o.lenA, s > o.sa)
		case m.name(o.b):
			q.Notches[k] = anchoredTo(n, s, o.lenB, s > o.sb)
		}
	}
	for k, mark := range q.Marks {
		on, _ := m.from.EdgeIndex(mark.Edge)
		if (placed(mark) && o.far.Holds(anchorOf(mark))) || (!placed(mark) && contains(o.between, on)) {
			q.Marks[k].At, q.Marks[k].Path = o.move.Apply(mark.At), mark.Path.Moved(o.move)
			m.allow(change.MarkMoved, mark.Name)
			m.allow(change.MarkChanged, mark.Name) // a turned line
		}
	}
	return q
}

func contains(list []int, x int) bool {
	for _, y := range list {
		if x == y {
			return true
		}
	}
	return false
}

// anchoredTo counts a notch from the given end, its place at s unchanged.
func anchoredTo(n pattern.Notch, s, length float64, fromEnd bool) pattern.Notch {
	n.FromEnd, n.At = fromEnd, s
	if fromEnd {
		n.At = length - s
	}
	return n
}

// Names of what a split makes.
const (
	nearName, farName, newSeam = "inner part", "outer part", "panel seam"
	newAllowance               = 15.0
)

// divided makes two pieces of one: the near part keeps the ids.
func (m *making) divided(c cut) (near, far *pattern.Piece, ok bool) {
	p := m.from
	near, far = p.Clone(), p.Clone()
	near.Name, near.Slug = nearName, "near"
	far.Name, far.Slug, far.ID, far.Was = farName, "far", m.id(), p.ID
	far.Grain = nil
	if p.Grain != nil {
		by := c.at.Lerp(c.to, 0.5).Sub(p.Grain.From)
		far.Grain = &pattern.Grain{From: p.Grain.From.Add(by), To: p.Grain.To.Add(by), OneWay: p.Grain.OneWay}
	}
	if c.foldInNearPart {
		far.Cut = pattern.CutPair
	}
	seam := func(id string) pattern.Edge {
		return pattern.Edge{Name: newSeam, ID: id, Allowance: map[string]float64{pattern.ClothSet: newAllowance}}
	}
	outline(far, p, append(append([]int{c.a}, c.between...), c.b), map[int]geom.Path{
		c.a: c.pathA.BetweenLengths(c.sa, c.lenA), c.b: c.pathB.BetweenLengths(0, c.sb)}, seam(m.id()))
	for i := range far.Edges {
		far.Edges[i].Was, far.Edges[i].ID = far.Edges[i].ID, m.id()
	}
	rest := []int{c.b}
	for i := m.next(c.b); i != c.a; i = m.next(i) {
		rest = append(rest, i)
	}
	outline(near, p, append(rest, c.a), map[int]geom.Path{
		c.a: c.pathA.BetweenLengths(0, c.sa), c.b: c.pathB.BetweenLengths(c.sb, c.lenB)}, seam(m.id()))
	shareMarks(p, near, far, c)
	near, far = stored(near), stored(far)
	return near, far, near.Validate() == nil && far.Validate() == nil
}

// outline gives a part the listed edges of the piece, some of them cut, and
// the seam that closes it.
func outline(q, p *pattern.Piece, edges []int, cut map[int]geom.Path, seam pattern.Edge) {
	q.Corners, q.Edges = nil, nil
	for k, i := range edges {
		path := p.EdgePath(i)
		corner := p.Corners[i]
		if part, ok := cut[i]; ok {
			if path.Start() != part.Start() {
				corner = pattern.Corner{}
			}
			path = part
		}
		if k == 0 {
			corner = pattern.Corner{}
		}
		corner.At = path.Start()
		e := p.Clone().Edges[i]
		e.SetPath(path)
		q.Corners, q.Edges = append(q.Corners, corner), append(q.Edges, e)
		if k == len(edges)-1 {
			seam.SetPath(geom.Path{geom.Line(path.End(), q.Corners[0].At)})
			q.Corners, q.Edges = append(q.Corners, pattern.Corner{At: path.End()}), append(q.Edges, seam)
		}
	}
}

// shareMarks gives each part the notches and marks that lie on it.
func shareMarks(p, near, far *pattern.Piece, c cut) {
	near.Notches, far.Notches, near.Marks, far.Marks, near.Lines, far.Lines = nil, nil, nil, nil, nil, nil
	for _, n := range p.Notches {
		i, _ := p.EdgeIndex(n.Edge)
		_, _, s, _ := p.NotchPlace(n)
		switch {
		case i == c.a && s > c.sa:
			far.Notches = append(far.Notches, anchoredTo(n, s, c.lenA, true))
		case i == c.a:
			near.Notches = append(near.Notches, anchoredTo(n, s, c.lenA, false))
		case i == c.b && s < c.sb:
			far.Notches = append(far.Notches, anchoredTo(n, s, c.lenB, false))
		case i == c.b:
			near.Notches = append(near.Notches, anchoredTo(n, s, c.lenB, true))
		case contains(c.between, i):
			far.Notches = append(far.Notches, n)
		default:
			near.Notches = append(near.Notches, n)
		}
	}
	for _, k := range p.Marks {
		i, _ := p.EdgeIndex(k.Edge)
		if (placed(k) && c.far.Holds(anchorOf(k))) || (!placed(k) && contains(c.between, i)) {
			far.Marks = append(far.Marks, k)
		} else {
			near.Marks = append(near.Marks, k)
		}
	}
	match := pattern.Notch{Name: "match", Edge: newSeam, At: units.Round(c.at.Dist(c.to)*0.4, 3), Count: 1}
	near.Notches = append(near.Notches, match)
	match.FromEnd = true
	far.Notches = append(far.Notches, match)
}

func split(m *making) bool {
	c, ok := m.across()
	if !ok || len(m.claims) > 0 {
		return false
	}
	near, far, ok := m.divided(c)
	if !ok {
		return false
	}
	allowance := newAllowance
	m.now, m.others, m.whole = near, []*pattern.Piece{far}, true
	m.claims = append(m.claims, claim{kind: change.PieceSplit, names: []string{nearName, farName}, line: &[2]geom.Point{c.at, c.to}, allowance: &allowance})
	m.allow(change.NameChanged, m.from.Name)
	m.linesLost(change.MarkRemoved, m.from, near, far)
	return true
}

// linesLost allows a diff to tell of reference lines of the whole piece that
// neither part has, as they ran across both.
func (m *making) linesLost(told change.Kind, whole, near, far *pattern.Piece) {
	if len(near.Lines)+len(far.Lines) < len(whole.Lines) {
		m.allow(told)
	}
}

// join is the way back: two pieces, the second perhaps lying elsewhere on the
// sheet, become one.
func join(m *making) bool {
	c, ok := m.across()
	if !ok || len(m.claims) > 0 {
		return false
	}
	near, far, ok := m.divided(c)
	if !ok {
		return false
	}
	there := [2]geom.Point{c.at, c.to}
	if m.coin() {
		motion := anyMotion(m.rng, false)
		far = stored(far.Moved(motion))
		there = [2]geom.Point{motion.Apply(c.at), motion.Apply(c.to)}
	}
	m.now, m.from, m.olds, m.whole = m.from.Clone(), near, []*pattern.Piece{far}, true
	allowance := newAllowance
	whole := claim{kind: change.PieceJoined, names: []string{nearName, farName}, line: &[2]geom.Point{c.at, c.to}, allowance: &allowance}
	whole.or = []claim{{kind: change.PieceJoined, names: whole.names, line: &there, allowance: &allowance}} // where the other part lay
	m.claims = append(m.claims, whole)
	m.allow(change.NameChanged, nearName)
	m.linesLost(change.MarkAdded, m.now, near, far)
	return true
}

// mirror turns a piece over for the wearer's other side.
func mirror(m *making) bool {
	if m.from.Cut == pattern.CutOnFold || len(m.claims) > 0 {
		return false
	}
	from := m.from.Clone()
	from.Cut, from.Side = pattern.CutOne, "left"
	centre := geom.Path(ringOf(from)).Box().Centre()
	now := stored(from.Moved(geom.Motion{Mirror: true, Shift: geom.Pt(2*centre.X, 0)}))
	now.Side = "right"
	m.from, m.now, m.whole = from, now, true
	m.claims = append(m.claims, claim{kind: change.PieceMirrored})
	m.allow(change.CuttingChanged)
	return true
}
