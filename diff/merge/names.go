package merge

import (
	"fmt"
	"slices"

	"toile/pattern"
	"toile/pattern/change"
)

// names brings the names of pieces and edges to those of the result, on all
// sides, so that what speaks of them speaks of the same ones.
func (m *merging) names() {
	for _, was := range slices.Clone(m.shared.Pieces) {
		here, there := byID(m.sides[Here], was), byID(m.sides[There], was)
		if here == nil || there == nil {
			m.follow(was, here)
			m.follow(was, there)
			continue
		}
		shared := was.Name
		name := plain(m, shared, here.Name, there.Name, func() change.Conflict {
			return change.Conflict{Where: shared + "/name", Piece: shared, Shared: was, Here: here, There: there,
				Says: fmt.Sprintf("%s: it is called %s here and %s there", shared, here.Name, there.Name)}
		})
		m.edgeNames(was, here, there)
		renamePiece(m.shared, was, name)
		renamePiece(m.sides[Here], here, name)
		renamePiece(m.sides[There], there, name)
	}
}

// follow renames the shared piece as the one side that still has it does.
func (m *merging) follow(was, now *pattern.Piece) {
	if now != nil && now.Name != was.Name {
		renamePiece(m.shared, was, now.Name)
	}
}

// edgeNames brings the names of a piece's edges together.
func (m *merging) edgeNames(was, here, there *pattern.Piece) {
	for i := range was.Edges {
		e := was.Edges[i]
		h, t := here.EdgeByID(e.ID), there.EdgeByID(e.ID)
		if h < 0 || t < 0 {
			continue
		}
		name := plain(m, e.Name, here.Edges[h].Name, there.Edges[t].Name, func() change.Conflict {
			return change.Conflict{Where: was.Name + "/" + e.Name, Piece: was.Name, Edges: []string{e.Name}, Shared: was, Here: here, There: there,
				Says: fmt.Sprintf("%s: the edge %q is called %q here and %q there", was.Name, e.Name, here.Edges[h].Name, there.Edges[t].Name)}
		})
		for _, side := range []struct {
			p *pattern.Pattern
			q *pattern.Piece
			i int
		}{{m.shared, was, i}, {m.sides[Here], here, h}, {m.sides[There], there, t}} {
			if side.q.Edges[side.i].Name != name {
				side.p.RenameEdge(side.q, side.i, name)
			}
		}
	}
}

// renamePiece renames a piece and whatever names it.
func renamePiece(p *pattern.Pattern, q *pattern.Piece, to string) {
	was := q.Name
	if was == to {
		return
	}
	q.Name = to
	set := func(name *string) {
		if *name == was {
			*name = to
		}
	}
	p.EachStretch(func(st *pattern.Stretch) { set(&st.Piece) })
	for i := range p.Seams {
		for k := range p.Seams[i].Sections {
			set(&p.Seams[i].Sections[k].First.Piece)
			set(&p.Seams[i].Sections[k].Second.Piece)
		}
	}
	for i := range p.Layers {
		l := &p.Layers[i]
		set(&l.Outer)
		for k := range l.Inner {
			set(&l.Inner[k])
		}
		for k := range l.Differences {
			set(&l.Differences[k].Piece)
		}
	}
	for _, f := range p.Fittings {
		for k := range f.Notes {
			set(&f.Notes[k].Piece)
		}
	}
}
