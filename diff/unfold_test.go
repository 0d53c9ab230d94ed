package diff_test

import (
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// side is an edge with its shape and the corner before it.
type side struct {
	path   geom.Path
	edge   pattern.Edge
	corner pattern.Corner
}

func foldOf(p *pattern.Piece) int {
	for i, e := range p.Edges {
		if e.Fold {
			return i
		}
	}
	return -1
}

// mirrorIn is the mirror in the line through two places.
func mirrorIn(a, b geom.Point) geom.Motion {
	d := b.Sub(a)
	m := geom.Motion{Mirror: true, Turn: 2*d.Angle() - math.Pi} // x → −x, then turned so that d stays
	m.Shift = a.Sub(m.Apply(a))
	return m
}

// unfold draws a folded piece whole. Edges that run smoothly across the fold
// are one edge then.
func unfold(m *making) bool {
	fold := foldOf(m.from)
	if fold < 0 || len(m.claims) > 0 {
		return false
	}
	half := m.sides(fold)
	n := len(half) / 2
	q := m.from.Clone()
	q.Cut = pattern.CutOne
	if smoothJoint(half[n-1], half[n]) { // across the fold's start
		half[n-1].path = append(append(geom.Path{}, half[n-1].path...), half[n].path...)
		reanchor(q, half[n-1].edge.Name, m.from, false)
		half = append(half[:n:n], half[n+1:]...)
	}
	if last := len(half) - 1; smoothJoint(half[last], half[0]) { // across its end
		half[0].path = append(append(geom.Path{}, half[last].path...), half[0].path...)
		half[0].corner = half[last].corner
		reanchor(q, half[0].edge.Name, m.from, true)
		half = half[:last]
	}
	q.Corners, q.Edges = nil, nil
	for _, s := range half {
		s.corner.At = s.path.Start()
		s.edge.SetPath(s.path)
		q.Corners, q.Edges = append(q.Corners, s.corner), append(q.Edges, s.edge)
	}
	axis := m.from.EdgePath(fold)
	m.copyMarks(q, mirrorIn(axis.Start(), axis.End()))
	m.now, m.whole = stored(q), true
	m.claims = append(m.claims, claim{kind: change.PieceUnfolded})
	m.allow(change.CuttingChanged)
	return m.now.Validate() == nil
}

// copyMarks gives the other half the images of the notches and marks.
func (m *making) copyMarks(q *pattern.Piece, flip geom.Motion) {
	for _, n := range m.from.Notches {
		at, _, _, err := m.from.NotchPlace(n)
		if err != nil {
			continue
		}
		for i := range q.Edges {
			path := q.EdgePath(i)
			if on, d := path.Nearest(flip.Apply(at)); d < 1e-3 {
				n.Name, n.Edge, n.FromEnd, n.At = "other "+n.Name, q.Edges[i].Name, false, path.LengthTo(on)
				q.Notches = append(q.Notches, n)
				break
			}
		}
	}
	for _, k := range m.from.Marks {
		if placed(k) {
			k.Name, k.At, k.Path = "other "+k.Name, flip.Apply(k.At), k.Path.Moved(flip)
			q.Marks = append(q.Marks, k)
		}
	}
	m.allow(change.NotchAdded)
	m.allow(change.MarkAdded)
}

// sides lists the edges of the whole piece: those of the half from the fold's
// end on, then their mirror images back to it.
func (m *making) sides(fold int) []side {
	p, n := m.from, m.n()
	axis := p.EdgePath(fold)
	flip := mirrorIn(axis.Start(), axis.End())
	var out []side
	for k := 1; k < n; k++ {
		i := (fold + k) % n
		out = append(out, side{p.EdgePath(i), p.Clone().Edges[i], p.Corners[i]})
	}
	for k := n - 1; k >= 1; k-- {
		i := (fold + k) % n
		e := p.Clone().Edges[i]
		e.Name, e.ID, e.Hem = "other "+e.Name, m.id(), false
		c := pattern.Corner{}
		if k < n-1 {
			c = p.Corners[(i+1)%n]
			c.Name = ""
		}
		out = append(out, side{p.EdgePath(i).Moved(flip).Reverse(), e, c})
	}
	return out
}

func smoothJoint(a, b side) bool {
	return math.Abs(geom.AngleBetween(a.path.EndTangent(), b.path.StartTangent())) < geom.Degrees(10)
}

// reanchor counts an edge's notches from one of its ends; their places stay.
func reanchor(q *pattern.Piece, edge string, old *pattern.Piece, fromEnd bool) {
	i, _ := old.EdgeIndex(edge)
	for k, n := range q.Notches {
		if n.Edge == edge {
			_, _, s, _ := old.NotchPlace(n)
			q.Notches[k] = anchoredTo(n, s, old.EdgePath(i).Length(), fromEnd)
		}
	}
}
