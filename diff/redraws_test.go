package diff_test

import (
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// redraw makes the way that draws an edge anew between its corners.
func redraw(draw func(m *making, p geom.Path) geom.Path) func(m *making) bool {
	return func(m *making) bool {
		i := m.pick(m.n())
		if !m.mayRedraw(i) {
			return false
		}
		paths := pathsOf(m.now)
		paths[i] = draw(m, paths[i])
		if paths[i] == nil || !m.put(joined(paths)) {
			return false
		}
		return m.redrawn(i)
	}
}

// mayRedraw asks for neighbours that stay as they are: the departure of a
// redrawn edge has no one meaning where its ends were cut besides.
func (m *making) mayRedraw(i int) bool {
	return m.free(i) && !m.changed[m.prev(i)] && !m.changed[m.next(i)]
}

// redrawn claims that edge i was redrawn.
func (m *making) redrawn(i int) bool {
	old, now := m.from.EdgePath(i), m.now.EdgePath(i)
	far, _ := departure(now, old)
	back, _ := departure(old, now)
	if math.Max(far, back) < leastMM {
		return false
	}
	before, after := pathsOf(m.from), pathsOf(m.now)
	for _, corner := range []int{i, m.next(i)} { // drawn smoothly into its neighbour it would be one with it
		if cornered(before, corner) && !cornered(after, corner) {
			return false
		}
	}
	m.changed[i], m.locked[i] = true, true
	m.claims = append(m.claims, claim{kind: change.EdgeRedrawn, edges: []string{m.name(i)}, most: []float64{far, back}, was: old, is: now})
	return true
}

// newHandles draws one cubic with other handles.
func newHandles(m *making, p geom.Path) geom.Path {
	a, b := p.Start(), p.End()
	u := p.StartTangent().Turn(m.sign() * m.u(0.05, 0.35))
	v := p.EndTangent().Turn(m.sign() * m.u(0.05, 0.35))
	l := a.Dist(b)
	return geom.Path{{P0: a, P1: a.Add(u.Mul(l * m.u(0.25, 0.45))), P2: b.Sub(v.Mul(l * m.u(0.25, 0.45))), P3: b}}
}

// bulge draws a part of an edge anew, as a bump or a scoop that leaves and
// joins the old line smoothly.
func bulge(m *making, p geom.Path) geom.Path {
	length := p.Length()
	from := length * m.u(0.1, 0.4)
	to := from + (length-from)*m.u(0.5, 0.85)
	a, b := p.PointAt(from), p.PointAt(to)
	high := m.sign() * m.amount(leastMM*1.1, math.Max(leastMM*1.2, 0.25*(to-from)))
	mid := p.PointAt((from + to) / 2).Add(p.TangentAt((from + to) / 2).Left().Mul(high))
	u, v := p.TangentAt(from), p.TangentAt(to)
	w := b.Sub(a).Unit()
	h := (to - from) / 6
	first := geom.Cubic{P0: a, P1: a.Add(u.Mul(h)), P2: mid.Sub(w.Mul(h)), P3: mid}
	second := geom.Cubic{P0: mid, P1: mid.Add(w.Mul(h)), P2: b.Sub(v.Mul(h)), P3: b}
	return append(append(p.BetweenLengths(0, from), first, second), p.BetweenLengths(to, length)...)
}

// newPath draws three cubics through places beside the old line, as a drawn
// path would.
func newPath(m *making, p geom.Path) geom.Path {
	length := p.Length()
	most := math.Max(1.5*leastMM, 0.12*length)
	points := []geom.Point{p.Start()}
	for k := 1; k <= 2; k++ {
		s := length * (float64(k)/3 + m.u(-0.06, 0.06))
		points = append(points, p.PointAt(s).Add(p.TangentAt(s).Left().Mul(m.sign()*m.amount(1.2*leastMM, most))))
	}
	points = append(points, p.End())
	along := []geom.Point{p.StartTangent().Turn(m.u(-0.3, 0.3)), points[2].Sub(points[0]).Unit(), points[3].Sub(points[1]).Unit(), p.EndTangent().Turn(m.u(-0.3, 0.3))}
	var out geom.Path
	for k := range 3 {
		a, b := points[k], points[k+1]
		h := a.Dist(b) / 3
		out = append(out, geom.Cubic{P0: a, P1: a.Add(along[k].Mul(h)), P2: b.Sub(along[k+1].Mul(h)), P3: b})
	}
	return out
}

// redrawWithEnd draws an edge anew to another place on its neighbour, which is
// cut or run on to there.
func redrawWithEnd(m *making) bool {
	i := m.pick(m.n())
	if !m.mayRedraw(i) {
		return false
	}
	paths := pathsOf(m.now)
	j := m.next(i)
	if !cornered(paths, j) {
		return false
	}
	neighbour := carrierOf(paths[j])
	by := m.moveBy(paths, i)
	before, _ := geom.CarrierEnds(paths[j], reach)
	if before.Length()+by < 1 {
		return false
	}
	at := neighbour.path.PlaceAt(before.Length() - by) // outward: back along the neighbour's carrier
	if !later(neighbour.end, at) {
		return false
	}
	p := paths[i]
	end := neighbour.path.At(at)
	u, v := p.StartTangent().Turn(m.sign()*m.u(0.05, 0.3)), end.Sub(p.Start()).Unit().Turn(m.sign()*m.u(0.1, 0.4))
	l := p.Start().Dist(end)
	paths[i] = geom.Path{{P0: p.Start(), P1: p.Start().Add(u.Mul(l / 3)), P2: end.Sub(v.Mul(l / 3)), P3: end}}
	paths[j] = neighbour.from(at)
	if !m.put(joined(paths)) {
		return false
	}
	m.locked[m.prev(i)], m.locked[j] = true, true
	return m.redrawn(i)
}

// mayRound picks a corner that is one, and a radius that fits it.
func (m *making) mayRound() (corner int, radius float64, ok bool) {
	i := m.pick(m.n())
	paths := pathsOf(m.now)
	turn := math.Abs(cornerTurn(paths, i))
	if turn < geom.Degrees(25) || turn > geom.Degrees(150) {
		return 0, 0, false
	}
	room := 0.45 * math.Min(paths[m.prev(i)].Length(), paths[i].Length()) / math.Tan(turn/2)
	if room < leastMM {
		return 0, 0, false
	}
	return i, units.Round(m.amount(leastMM, math.Min(80, room)), 1), true
}

// rounded sets a corner's radius where that fits.
func rounded(p *pattern.Piece, corner int, radius float64) (*pattern.Piece, bool) {
	q := p.Clone()
	q.Corners[corner].Round = radius
	return q, q.Validate() == nil
}

// corner claims a change of a corner's radius.
func (m *making) corner(i int, kind change.Kind, before, after float64) {
	m.claims = append(m.claims, claim{kind: kind, edges: []string{m.name(m.prev(i)), m.name(i)},
		radius: &[2]float64{before, after}, at: []geom.Point{m.from.Corners[i].At, m.now.Corners[i].At}})
}

func roundCorner(m *making) bool {
	i, radius, ok := m.mayRound()
	if !ok || m.now.Corners[i].Round != 0 || m.from.Corners[i].Round != 0 {
		return false
	}
	q, ok := rounded(m.now, i, radius)
	if !ok {
		return false
	}
	m.now = q
	m.corner(i, change.CornerRounded, 0, radius)
	return true
}

// rounding gives both states a rounded corner, if none is there.
func (m *making) rounding() (i int, ok bool) {
	i, radius, ok := m.mayRound()
	if !ok || m.from.Corners[i].Round != m.now.Corners[i].Round {
		return i, false
	}
	if m.from.Corners[i].Round != 0 {
		return i, true
	}
	from, ok := rounded(m.from, i, radius)
	now, ok2 := rounded(m.now, i, radius)
	if !ok || !ok2 {
		return i, false
	}
	m.from, m.now = from, now
	return i, true
}

func restoreCorner(m *making) bool {
	i, ok := m.rounding()
	if !ok || m.from.Corners[i].Round < leastMM {
		return false
	}
	q, ok := rounded(m.now, i, 0)
	if !ok {
		return false
	}
	m.now = q
	m.corner(i, change.CornerRestored, m.from.Corners[i].Round, 0)
	return true
}

func changeRadius(m *making) bool {
	i, ok := m.rounding()
	if !ok {
		return false
	}
	before := m.from.Corners[i].Round
	after := units.Round(before+m.sign()*m.amount(leastMM, 40), 1)
	if after < leastMM {
		return false
	}
	q, ok := rounded(m.now, i, after)
	if !ok {
		return false
	}
	m.now = q
	m.corner(i, change.CornerRounded, before, after)
	return true
}

// roundAsDrawn rounds a corner the way a drawing of it reads when nobody knew
// the piece: both edges and the arc between them are one edge.
func roundAsDrawn(m *making) bool {
	i, radius, ok := m.mayRound()
	prev := m.prev(i)
	if !ok || m.now.Corners[i].Round != 0 || i == 0 || len(m.changed) > 0 || m.from.Edges[i].Fold || m.from.Edges[prev].Fold ||
		m.n() < 4 || m.from.Corners[prev].Round+m.from.Corners[m.next(i)].Round > 0 || m.marksOn(m.name(i), m.name(prev)) {
		return false
	}
	before, after := m.now.EdgePath(prev), m.now.EdgePath(i)
	arc, cutBefore, cutAfter, err := geom.RoundCorner(before, after, radius)
	if err != nil {
		return false
	}
	path := append(append(before.BetweenLengths(0, before.Length()-cutBefore), arc...), after.BetweenLengths(cutAfter, after.Length())...)
	q := m.now.Clone()
	q.Edges[prev].SetPath(path)
	q.Corners, q.Edges = append(q.Corners[:i:i], q.Corners[i+1:]...), append(q.Edges[:i:i], q.Edges[i+1:]...)
	q = stored(q)
	if q.Validate() != nil {
		return false
	}
	m.now, m.whole = q, true
	m.claims = append(m.claims, claim{kind: change.CornerRounded, edges: []string{m.name(prev), m.name(i)},
		radius: &[2]float64{0, radius}, at: []geom.Point{m.from.Corners[i].At}})
	m.allow(change.NameChanged)
	m.allow(change.AllowanceChanged, m.name(i))
	m.allow(change.CuttingChanged, m.name(i), m.name(prev))
	return true
}

// marksOn reports whether a notch, dart or pleat lies on one of the edges.
func (m *making) marksOn(edges ...string) bool {
	for _, e := range edges {
		for _, n := range m.now.Notches {
			if n.Edge == e {
				return true
			}
		}
		for _, k := range m.now.Marks {
			if k.Edge == e {
				return true
			}
		}
	}
	return false
}

func (m *making) allow(kind change.Kind, names ...string) {
	m.allowed = append(m.allowed, allowance{kind, names})
}
