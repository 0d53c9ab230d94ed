package geom

import (
	"math"
	"math/rand/v2"
)

// pieceMaker draws pieces such as patterns have, and worse: four to a dozen
// edges, each with an allowance of its own, curved or straight, with obtuse
// and concave corners, small steps, edges that meet smoothly, rounded corners,
// folds, and every style of corner.
type pieceMaker struct {
	r        *rand.Rand
	straight bool // no curves but those of rounded corners

	points  []Point
	fold    int // the edge on the fold, or −1
	edges   []OffsetEdge
	smooth  []bool // whether an edge starts at a smooth point
	corners []OffsetCorner
}

// variedPiece returns a piece whose outline does not cross itself.
func variedPiece(r *rand.Rand, straight bool) ([]OffsetEdge, []OffsetCorner) {
	for {
		m := pieceMaker{r: r, straight: straight}
		m.corner()
		m.edge()
		m.style()
		ring := outline(m.edges)
		if _, _, _, found := ring.SelfCrossing(); ring.Area() > 2e4 && !found {
			return m.edges, m.corners
		}
	}
}

func (m *pieceMaker) chance(p float64) bool { return m.r.Float64() < p }

func (m *pieceMaker) allowance() float64 {
	return []float64{6, 8, 10, 12, 15, 20, 25, 40}[m.r.IntN(8)]
}

// corner draws the corners, about an ellipse of 360×660 mm.
func (m *pieceMaker) corner() {
	n := 4 + m.r.IntN(5)
	for i := range n {
		f := 2 * math.Pi * (float64(i) + 0.5*(m.r.Float64()-0.5)) / float64(n)
		s := 0.7 + 0.6*m.r.Float64()
		m.points = append(m.points, Pt(180*s*math.Cos(f), 330*s*math.Sin(f)))
	}
	if m.chance(0.3) { // an obtuse corner in a side, at times a concave one
		i, p, q := m.side()
		out := p.Dist(q) / 4 * math.Tan(Degrees(m.r.Float64()*70-10)/2)
		m.insert(i, p.Lerp(q, 0.3+0.4*m.r.Float64()).Add(q.Sub(p).Unit().Left().Mul(out)))
	}
	m.fold = m.foldEdge()
	if m.chance(0.15) { // a small step in a side, outward or inward
		i, p, q := m.side()
		if i == m.fold {
			return
		}
		u, a := q.Sub(p).Unit(), p.Lerp(q, 0.3+0.4*m.r.Float64())
		b := a.Add(u.Left().Mul((3 + 12*m.r.Float64()) * float64(1-2*m.r.IntN(2))))
		m.insert(i, a, b, b.Add(u.Mul(3+20*m.r.Float64())), a.Add(u.Mul(3+20*m.r.Float64())))
		if i < m.fold {
			m.fold += 4
		}
	}
}

// side chooses a side.
func (m *pieceMaker) side() (i int, p, q Point) {
	i = m.r.IntN(len(m.points))
	return i, m.points[i], m.points[(i+1)%len(m.points)]
}

func (m *pieceMaker) insert(after int, points ...Point) {
	rest := append(points, m.points[after+1:]...)
	m.points = append(m.points[:after+1:after+1], rest...)
}

// foldEdge chooses a side for the fold, or −1: long, between corners that turn
// by 45° or more.
func (m *pieceMaker) foldEdge() int {
	n, i := len(m.points), m.r.IntN(len(m.points))
	at := func(k int) Point { return m.points[(k+n)%n] }
	along := at(i + 1).Sub(at(i))
	a, b := AngleBetween(at(i).Sub(at(i-1)), along), AngleBetween(along, at(i+2).Sub(at(i+1)))
	if m.chance(0.4) || along.Len() < 80 || math.Min(a, b) < math.Pi/4 {
		return -1
	}
	return i
}

// edge draws the edges between the corners.
func (m *pieceMaker) edge() {
	for i, p := range m.points {
		q := m.points[(i+1)%len(m.points)]
		c, by := Line(p, q), m.allowance()
		switch d := q.Sub(p); {
		case i == m.fold:
			m.add(0, false, c)
			continue
		case !m.straight && d.Len() > 40 && m.chance(0.6):
			a, b := (m.r.Float64()-0.5)*0.9, (m.r.Float64()-0.5)*0.9
			if m.chance(0.7) {
				b = a
			}
			c.P1, c.P2 = p.Add(d.Turn(a).Mul(0.35)), q.Sub(d.Turn(-b).Mul(0.35))
		}
		switch x, y := c.Split(0.3 + 0.4*m.r.Float64()); {
		case p.Dist(q) < 80 || m.chance(0.75):
			m.add(by, false, c)
		case m.chance(0.7): // two edges that meet smoothly
			m.add(by, false, x)
			m.add(m.allowance(), true, y)
		default: // two curves in one edge
			m.add(by, false, x, y)
		}
	}
}

func (m *pieceMaker) add(by float64, smooth bool, curves ...Cubic) {
	m.edges = append(m.edges, OffsetEdge{curves, by})
	m.smooth = append(m.smooth, smooth)
}

// style rounds some corners and gives styles to others.
func (m *pieceMaker) style() {
	m.corners = make([]OffsetCorner, len(m.edges))
	for i := range m.edges {
		h := (i + len(m.edges) - 1) % len(m.edges)
		switch {
		case m.smooth[i]:
		case m.edges[h].By > 0 && m.edges[i].By > 0 && m.chance(0.25):
			m.round(h, i)
		case m.chance(0.3):
			s := CornerStyle(m.r.IntN(6))
			if s >= FoldedBack && !m.foldable(h, i) {
				s = Extended
			}
			m.corners[i].Style = s
		}
	}
}

// foldable reports whether a hem can be folded back at a corner: the edges are
// long and their angle is not far from a right one.
func (m *pieceMaker) foldable(h, i int) bool {
	a, b := m.edges[h].Path, m.edges[i].Path
	turn := AngleBetween(a.EndTangent(), b.StartTangent())
	return turn > math.Pi/3 && turn < 0.7*math.Pi && math.Min(a.Length(), b.Length()) > 60
}

// round rounds the corner between edges h and i; each takes its half.
func (m *pieceMaker) round(h, i int) {
	a, b := m.edges[h].Path, m.edges[i].Path
	arc, x, y, err := RoundCorner(a, b, 10+70*m.r.Float64())
	if err != nil || x > a.Length()/3 || y > b.Length()/3 {
		return
	}
	half := arc.Length() / 2
	before := append(a.BetweenLengths(0, a.Length()-x), arc.BetweenLengths(0, half)...)
	after := append(append(Path{}, arc.BetweenLengths(half, 2*half)...), b.BetweenLengths(y, b.Length())...)
	for _, p := range []Path{before, after} {
		for k := 1; k < len(p); k++ {
			p[k].P0 = p[k-1].P3
		}
	}
	after[0].P0 = before.End()
	m.edges[h].Path, m.edges[i].Path = before, after
}

// besides is a piece, to look at what its edges lie beside.
type besides struct {
	edges   []OffsetEdge
	corners []OffsetCorner
}

func (b besides) before(i int) int { return (i + len(b.edges) - 1) % len(b.edges) }
func (b besides) after(i int) int  { return (i + 1) % len(b.edges) }

// excused reports whether a place may be nearer to edge i than its distance:
// on or beyond the line of a neighbour with distance 0, or beside a corner
// folded back, where the seam is mirrored.
func (b besides) excused(i int, q Point) bool {
	e, prev, next := b.edges[i], b.edges[b.before(i)], b.edges[b.after(i)]
	start, end := e.Path.Start(), e.Path.End()
	if prev.By == 0 && prev.Path.EndTangent().Left().Dot(q.Sub(start)) > -1e-6 ||
		next.By == 0 && next.Path.StartTangent().Left().Dot(q.Sub(end)) > -1e-6 {
		return true
	}
	return b.folded(i) && q.Dist(start) < 4*(prev.By+e.By) || b.folded(b.after(i)) && q.Dist(end) < 4*(next.By+e.By)
}

func (b besides) folded(corner int) bool {
	return cornerAt(b.corners, corner).Style >= FoldedBack
}
