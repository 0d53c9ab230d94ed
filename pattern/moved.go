package pattern

import "toile/geom"

// Moved returns the piece after a rigid motion of its sheet. A mirror turns
// the outline's direction, so corners and edges are listed the other way
// round to keep it clockwise, and anchors change their ends.
func (p *Piece) Moved(m geom.Motion) *Piece {
	c := p.Clone()
	for i := range c.Corners {
		c.Corners[i].At = m.Apply(c.Corners[i].At)
	}
	for i := range c.Edges {
		e := &c.Edges[i]
		for k := range e.Nodes {
			e.Nodes[k] = m.Apply(e.Nodes[k])
		}
		for _, h := range e.Handles {
			if h != nil {
				h.First, h.Second = m.Apply(h.First), m.Apply(h.Second)
			}
		}
	}
	if c.Grain != nil {
		c.Grain.From, c.Grain.To = m.Apply(c.Grain.From), m.Apply(c.Grain.To)
	}
	for i := range c.Marks {
		c.Marks[i].At, c.Marks[i].Path = m.Apply(c.Marks[i].At), c.Marks[i].Path.Moved(m)
	}
	for i := range c.Lines {
		c.Lines[i].Path = c.Lines[i].Path.Moved(m)
	}
	if m.Mirror {
		c.turnOutline()
	}
	return c
}

// turnOutline lists the outline the other way round from the same corner.
func (p *Piece) turnOutline() {
	n := len(p.Edges)
	lengths := make(map[string]float64, n)
	for i, e := range p.Edges {
		lengths[e.Name] = p.EdgePath(i).Length()
	}
	corners, edges := make([]Corner, n), make([]Edge, n)
	for i := range n {
		corners[i] = p.Corners[(n-i)%n]
		edges[i] = p.Edges[n-1-i].turned()
	}
	p.Corners, p.Edges = corners, edges
	for i := range p.Corners {
		switch p.Corners[i].Style {
		case CornerSquareBefore:
			p.Corners[i].Style = CornerSquareAfter
		case CornerSquareAfter:
			p.Corners[i].Style = CornerSquareBefore
		}
	}
	for i := range p.Notches {
		p.Notches[i].FromEnd = !p.Notches[i].FromEnd
	}
	for i := range p.Marks {
		m := &p.Marks[i]
		if m.Edge != "" {
			m.From, m.To = lengths[m.Edge]-m.To, lengths[m.Edge]-m.From
		}
		switch m.Direction {
		case towardsStart:
			m.Direction = towardsEnd
		case towardsEnd:
			m.Direction = towardsStart
		}
	}
}

// turned lists the edge's inner shape from its other end.
func (e Edge) turned() Edge {
	r := e.clone()
	for i, q := range e.Nodes {
		r.Nodes[len(e.Nodes)-1-i] = q
	}
	for i, h := range e.Handles {
		k := len(e.Handles) - 1 - i
		r.Handles[k] = nil
		if h != nil {
			r.Handles[k] = &Handles{h.Second, h.First}
		}
	}
	return r
}
