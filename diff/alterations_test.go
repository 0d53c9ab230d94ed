package diff_test

import (
	"math"
	"math/rand/v2"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// The alterations of this file are made by their own formulas, not by the
// program's code: only offsets, fits, roundings, carriers and meetings are the
// geometry kernel's, whose accuracy is held elsewhere.

// The least of what is done, and the most.
const (
	leastMM      = 3.0
	leastDegrees = 0.5
	mostChord    = 90.0
	mostDegrees  = 12.0
)

// making is a piece being altered, and what a diff should say of it.
type making struct {
	rng       *rand.Rand
	from, now *pattern.Piece
	others    []*pattern.Piece // what else the new pattern holds: the other part of a split
	olds      []*pattern.Piece // what else the old pattern held: the other part of a join
	claims    []claim
	changed   map[int]bool // edges that were moved, swung or redrawn
	locked    map[int]bool // edges whose neighbours have to stay as well
	allowed   []allowance
	keepNames bool    // the names are what was changed
	stage     int     // of the last change
	blur      float64 // mm within which lines are the same, for one traced with noise; 0: as stored
	whole     bool    // the edges are no longer the same ones: no runs are asked for
}

// allowance lets a diff say something that follows from what was done, and
// does not ask for it.
type allowance struct {
	kind  change.Kind
	names []string // an edge, notch, mark or piece it may be said of; nil: any
}

func newMaking(rng *rand.Rand, p *pattern.Piece) *making {
	return &making{rng: rng, from: p, now: p.Clone(), changed: map[int]bool{}, locked: map[int]bool{}}
}

// try makes an alteration, or leaves everything as it was.
func (m *making) try(w way) bool {
	from, now, claims, allowed := m.from.Clone(), m.now.Clone(), len(m.claims), len(m.allowed)
	if w.do(m) {
		return true
	}
	m.from, m.now, m.claims, m.allowed = from, now, m.claims[:claims], m.allowed[:allowed]
	return false
}

// put gives the altered piece another outline.
func (m *making) put(paths []geom.Path) bool {
	q, ok := withPaths(m.now, paths)
	if ok {
		m.now = q
	}
	return ok
}

func (m *making) n() int                 { return len(m.from.Edges) }
func (m *making) next(i int) int         { return (i + 1) % m.n() }
func (m *making) prev(i int) int         { return (i + m.n() - 1) % m.n() }
func (m *making) coin() bool             { return m.rng.IntN(2) == 0 }
func (m *making) sign() float64          { return float64(2*m.rng.IntN(2) - 1) }
func (m *making) pick(n int) int         { return m.rng.IntN(n) }
func (m *making) id() string             { return randomID(m.rng) }
func (m *making) u(a, b float64) float64 { return a + (b-a)*m.rng.Float64() }

// amount is between least and most, small ones as likely as great ones.
func (m *making) amount(least, most float64) float64 {
	if most <= least {
		return least
	}
	return least * math.Pow(most/least, m.rng.Float64())
}

// free reports whether an edge may be moved, swung or redrawn: it is no fold,
// was not changed before, and no neighbour forbids it.
func (m *making) free(i int) bool {
	return !m.from.Edges[i].Fold && !m.changed[i] && !m.locked[i] && !m.locked[m.prev(i)] && !m.locked[m.next(i)]
}

// cornered reports whether the corner at the start of edge i is one at which a
// moved edge can meet its neighbour: neither smooth nor a spike.
func cornered(paths []geom.Path, i int) bool {
	turn := math.Abs(cornerTurn(paths, i))
	return turn > geom.Degrees(25) && turn < geom.Degrees(150)
}

func (m *making) name(i int) string { return m.from.Edges[i].Name }

// shiftHem moves the hem along the grain; out is positive.
func shiftHem(m *making) bool {
	i := m.from.HemEdge()
	paths := pathsOf(m.now)
	if !m.free(i) || !cornered(paths, i) || !cornered(paths, m.next(i)) {
		return false
	}
	by := m.moveBy(paths, i)
	outward := outwardAlongGrain(m.from, paths[i])
	if outward.Dot(outwardAtMiddle(paths[i])) < 0.5 {
		return false
	}
	out, ok := rejoined(paths, i, shifted(paths[i], outward.Mul(by)), [2]bool{})
	if !ok || !m.put(out) || !m.pivotsLeft() {
		return false
	}
	m.changed[i] = true
	c := claim{kind: change.EdgeMoved, how: change.HowShifted, edges: []string{m.name(i)}, by: &by}
	m.claims = append(m.claims, m.orParallel(c, i))
	return true
}

// outwardAlongGrain is the unit vector along the grain that leads outward at
// an edge.
func outwardAlongGrain(p *pattern.Piece, edge geom.Path) geom.Point {
	down := p.GrainDirection()
	if down.Dot(outwardAtMiddle(edge)) < 0 {
		return down.Mul(-1)
	}
	return down
}

// moveBy is an amount the edge's neighbours have room for.
func (m *making) moveBy(paths []geom.Path, i int) float64 {
	room := math.Min(paths[m.prev(i)].Length(), paths[m.next(i)].Length())
	if m.coin() {
		return -m.amount(leastMM, math.Min(120, 0.4*room))
	}
	return m.amount(leastMM, math.Min(100, 0.6*room))
}

func outwardAtMiddle(p geom.Path) geom.Point { return p.TangentAt(p.Length() / 2).Left() }

// parallelEdge moves a seam edge out or in at equal distance; parallelHem the
// hem.
func parallelEdge(m *making) bool {
	i := m.pick(m.n())
	return i != m.from.HemEdge() && m.parallel(i)
}

func parallelHem(m *making) bool { return m.parallel(m.from.HemEdge()) }

func (m *making) parallel(i int) bool {
	paths, old := pathsOf(m.now), m.from.EdgePath(i)
	if !m.free(i) || !cornered(paths, i) || !cornered(paths, m.next(i)) || !smoothInside(old) {
		return false
	}
	by := m.moveBy(paths, i)
	moved, err := old.Offset(by, 1e-4)
	if err != nil || !smoothInside(moved) {
		return false
	}
	out, ok := rejoined(paths, i, moved, [2]bool{})
	if !ok || !m.put(out) {
		return false
	}
	m.changed[i] = true
	c := claim{kind: change.EdgeMoved, how: change.HowParallel, edges: []string{m.name(i)}, by: &by}
	m.claims = append(m.claims, m.orShifted(c, i))
	return true
}

// sameLine in mm: outlines that lie within it are the same as stored.
const sameLine = 0.01

// within is the distance in mm within which two readings are one.
func (m *making) within() float64 { return math.Max(m.blur, 2*sameLine) }

// orParallel adds the other reading of a shifted hem, where that is as well at
// equal distance from its carrier, as every straight one is.
func (m *making) orParallel(c claim, i int) claim {
	low, high := math.Inf(1), math.Inf(-1)
	carrier := geom.Carrier(m.from.EdgePath(i), reach)
	now := m.now.EdgePath(i)
	for k := range 40 {
		q := now.PointAt(now.Length() * (float64(k) + 0.5) / 40)
		at, d := carrier.Nearest(q)
		if q.Sub(carrier.At(at)).Dot(carrier[at.Curve].Tangent(at.T).Left()) < 0 {
			d = -d
		}
		low, high = math.Min(low, d), math.Max(high, d)
	}
	if high-low <= m.within() {
		by := (low + high) / 2
		c.or = append(c.or, claim{kind: c.kind, how: change.HowParallel, edges: c.edges, by: &by})
	}
	return c
}

// orShifted adds the other reading of a parallel move, where a shift along the
// grain gives the same line.
func (m *making) orShifted(c claim, i int) claim {
	old := m.from.EdgePath(i)
	down, normal := outwardAlongGrain(m.from, old), outwardAtMiddle(old)
	if down.Dot(normal) < 0.3 {
		return c
	}
	by := *c.by / down.Dot(normal)
	far, _ := departure(m.now.EdgePath(i), geom.Carrier(shifted(old, down.Mul(by)), reach))
	if far <= m.within() {
		c.or = append(c.or, claim{kind: c.kind, how: change.HowShifted, edges: c.edges, by: &by})
	}
	return c
}

// taper moves an edge by an amount that is linear in its length, 0 at one end
// or not.
func taper(m *making) bool {
	i := m.pick(m.n())
	paths, old := pathsOf(m.now), m.from.EdgePath(i)
	if !m.free(i) || !smoothInside(old) {
		return false
	}
	room := math.Min(60, 0.15*old.Length())
	ends := [2]float64{m.sign() * m.amount(2*leastMM, room), 0}
	if m.pick(3) == 0 {
		ends[1] = ends[0] * m.u(-0.3, 0.6)
	}
	if m.coin() {
		ends[0], ends[1] = ends[1], ends[0]
	}
	var held [2]bool
	for end, corner := range []int{i, m.next(i)} {
		held[end] = ends[end] == 0 && m.now.Corners[corner].At == m.from.Corners[corner].At
		if !held[end] && !cornered(paths, corner) {
			return false
		}
	}
	if math.Abs(ends[0]-ends[1]) < leastMM {
		return false
	}
	moved, ok := tapered(old, ends)
	if !ok {
		return false
	}
	out, ok := rejoined(paths, i, moved, held)
	if !ok || !m.put(out) {
		return false
	}
	m.changed[i] = true
	c := claim{kind: change.EdgeMoved, how: change.HowTapered, edges: []string{m.name(i)}, ends: &ends}
	m.claims = append(m.claims, m.orSwung(c, i))
	return true
}

// tapered is the line at a distance from p that is linear in p's length. A
// straight p gives a straight line; a curved one a fit within 0.001 mm.
func tapered(p geom.Path, ends [2]float64) (geom.Path, bool) {
	length := p.Length()
	at := func(s float64) geom.Point {
		return p.PointAt(s).Add(p.TangentAt(s).Left().Mul(ends[0] + (ends[1]-ends[0])*s/length))
	}
	if straight(p) {
		return geom.Path{geom.Line(at(0), at(length))}, true
	}
	var points []geom.Point
	const places = 200
	for k := range places + 1 {
		points = append(points, at(length*float64(k)/places))
	}
	// The direction at an end: the old one turned by the slope, the curvature
	// stretching the step along it.
	direction := func(end int) *geom.Point {
		c, t := p[0], 0.0
		if end == 1 {
			c, t = p[len(p)-1], 1
		}
		u := c.Tangent(t)
		d := u.Mul(1 + ends[end]*c.Curvature(t)).Add(u.Left().Mul((ends[1] - ends[0]) / length)).Unit()
		return &d
	}
	q := geom.Fit(points, direction(0), direction(1), 1e-3)
	if len(q) == 0 {
		return nil, false
	}
	for _, s := range points {
		if _, d := q.Nearest(s); d > 2e-3 {
			return nil, false
		}
	}
	return q, true
}

// orSwung adds the other reading of a taper that is 0 at a corner: a swing
// about that corner, where the edge kept its length as a swing keeps it.
func (m *making) orSwung(c claim, i int) claim {
	old, now := m.from.EdgePath(i), m.now.EdgePath(i)
	if !straight(old) || (c.ends[0] != 0 && c.ends[1] != 0) || math.Abs(now.Length()-old.Length()) > m.within() {
		return c
	}
	end := 0
	if c.ends[0] == 0 {
		end = 1
	}
	c.or = append(c.or, swingClaim(m.from, i, end, 0, math.Atan(c.ends[end]/old.Length())))
	return c
}
