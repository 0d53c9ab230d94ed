package diff

import (
	"math"

	"toile/geom"
	"toile/pattern"
)

// runsOn is the bend in radians up to which an edge runs on over the fold into
// its mirror image as one: a corner is found where a line turns by more.
var runsOn = geom.Degrees(20)

// joinOverFold makes one edge of an edge of a piece that was opened out and its
// mirror image, where they run on into each other: a hem that meets the fold
// square is one hem. The second edge follows the first.
func joinOverFold(p *pattern.Piece, first int) {
	n := len(p.Edges)
	second := (first + 1) % n
	a, b := p.EdgePath(first), p.EdgePath(second)
	e, mirror := p.Edges[first], p.Edges[second]
	if len(e.Name) > len(mirror.Name) {
		e, mirror = mirror, e // the one on this side keeps its name
	}
	if e.Name+mirroredName != mirror.Name || math.Abs(geom.AngleBetween(a.EndTangent(), b.StartTangent())) > runsOn || p.Corners[second].Round > 0 {
		return
	}
	before, after := p.Edges[first].Name, p.Edges[second].Name
	for i := range p.Notches {
		m := &p.Notches[i]
		switch {
		case m.Edge == before && m.FromEnd:
			m.At += b.Length()
		case m.Edge == after && !m.FromEnd:
			m.At += a.Length()
		}
		if m.Edge == before || m.Edge == after {
			m.Edge = e.Name
		}
	}
	for i := range p.Marks {
		m := &p.Marks[i]
		if m.Edge == after {
			m.From, m.To = m.From+a.Length(), m.To+a.Length()
		}
		if m.Edge == before || m.Edge == after {
			m.Edge = e.Name
		}
	}
	e.SetPath(append(append(geom.Path{}, a...), b...))
	p.Edges[first] = e
	p.Edges = append(p.Edges[:second], p.Edges[second+1:]...)
	p.Corners = append(p.Corners[:second], p.Corners[second+1:]...)
}
