package diff

import (
	"math"
	"slices"
	"strings"

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

// calledAsNow calls edges, notches and marks beyond the fold of a piece that was
// opened out as the new state does, where it calls them as unfolding names them.
func calledAsNow(whole, now *pattern.Piece) {
	as := func(name string, has func(string) bool) string {
		own, mirrored := strings.CutSuffix(name, mirroredName)
		if mirrored && has(pattern.OtherHalf+own) {
			return pattern.OtherHalf + own
		}
		return name
	}
	edge := func(name string) bool { return edgeNamed(now, name) >= 0 && edgeNamed(whole, name) < 0 }
	notch := func(name string) bool { return now.NotchByName(name) >= 0 && whole.NotchByName(name) < 0 }
	mark := func(name string) bool {
		called := func(k pattern.Mark) bool { return k.Name == name }
		return slices.ContainsFunc(now.Marks, called) && !slices.ContainsFunc(whole.Marks, called)
	}
	for i := range whole.Notches {
		n := &whole.Notches[i]
		n.Name, n.Edge = as(n.Name, notch), as(n.Edge, edge)
	}
	for i := range whole.Marks {
		k := &whole.Marks[i]
		k.Name, k.Edge = as(k.Name, mark), as(k.Edge, edge)
	}
	for i := range whole.Edges {
		whole.Edges[i].Name = as(whole.Edges[i].Name, edge)
	}
}
