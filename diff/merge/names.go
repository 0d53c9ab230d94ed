package merge

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/change"
)

// names brings the names of pieces and edges to those of the result, on all
// sides, so that what speaks of them speaks of the same ones.
func (m *merging) names() {
	m.called, m.names3, m.wholeNames = map[string]string{}, map[string][3]string{}, map[string]string{}
	var trios [][3]*pattern.Piece
	var all []naming
	for _, was := range slices.Clone(m.shared.Pieces) {
		here, there := byID(m.sides[Here], was), byID(m.sides[There], was)
		name := m.pieceName(was, here, there)
		m.called[was.ID] = was.Name
		called := [3]string{was.Name}
		for i, q := range []*pattern.Piece{here, there} {
			if q != nil {
				called[i+1] = q.Name
			}
		}
		m.names3[was.ID] = called
		if here != nil && there != nil {
			m.edgeNames(was, here, there)
		}
		if name != "" {
			trios, all = append(trios, [3]*pattern.Piece{was, here, there}), append(all, naming{was: was.Name, now: name})
		}
	}
	fresh, owners := m.freshNames()
	all = append(all, fresh...)
	distinct(all, func(was, now string) {
		m.says = append(m.says, fmt.Sprintf("two pieces would be called %q: one of them is %q now", was, now))
	})
	// Through names that nobody has, for two pieces may have changed theirs.
	for _, pass := range []func(i int) string{func(i int) string { return fmt.Sprintf("\x00%d", i) }, func(i int) string { return all[i].now }} {
		for i, trio := range trios {
			for k, p := range []*pattern.Pattern{m.shared, m.sides[Here], m.sides[There]} {
				if q := trio[k]; q != nil {
					renamePiece(p, q, pass(i))
				}
			}
		}
		for k, o := range owners {
			renamePiece(m.sides[o.side], o.piece, pass(len(trios)+k))
		}
	}
}

// pieceName is what a piece of the shared version is to be called, empty where it
// is in the result on neither side.
func (m *merging) pieceName(was, here, there *pattern.Piece) string {
	switch {
	case here == nil && there == nil:
		return ""
	case here == nil && samePiece(there, was), there == nil && samePiece(here, was):
		return ""
	case here == nil:
		return there.Name
	case there == nil:
		return here.Name
	}
	return plain(m, was.Name, here.Name, there.Name, func() change.Conflict {
		return change.Conflict{Where: was.Name + "/name", Piece: was.Name, Shared: was, Here: here, There: there,
			Says: fmt.Sprintf("%s: it is called %s here and %s there", was.Name, here.Name, there.Name)}
	})
}

// known is what an answer names, with the name that a piece in question has in the
// result where the answer says one that it has on a side.
func (m *merging) known(where, piece string) string {
	name, rest, within := strings.Cut(where, "/")
	q, err := m.shared.Piece(piece)
	if err != nil || name == piece {
		return where
	}
	if called := m.names3[q.ID]; !slices.Contains(called[:], name) {
		return where
	}
	for _, p := range []*pattern.Pattern{m.shared, m.sides[Here], m.sides[There]} {
		if _, err := p.Piece(name); err == nil {
			return where // another one is called so
		}
	}
	if within {
		return piece + "/" + rest
	}
	return piece
}

// nameWholes gives pieces that an answer kept whole the names that they have on that
// side, where the name was no question of its own and nothing else is called so.
func (m *merging) nameWholes(out *pattern.Pattern) {
	for _, id := range slices.Sorted(maps.Keys(m.wholeNames)) {
		name := m.wholeNames[id]
		asked := slices.ContainsFunc(m.answered, func(a Answered) bool { return a.Where == m.called[id]+"/name" })
		_, err := out.Piece(name)
		if i := slices.IndexFunc(out.Pieces, func(q *pattern.Piece) bool { return q.ID == id }); i >= 0 && !asked && err != nil {
			renamePiece(out, out.Pieces[i], name)
		}
	}
}

// ownedPiece is a piece that one side brought in.
type ownedPiece struct {
	side  Side
	piece *pattern.Piece
}

// freshNames are the names of pieces that one side brought in, by their ids.
func (m *merging) freshNames() (all []naming, owners []ownedPiece) {
	for side, p := range m.sides {
		for _, q := range p.Pieces {
			if byID(m.shared, q) == nil && byID(m.sides[1-side], q) == nil {
				owners = append(owners, ownedPiece{Side(side), q})
			}
		}
	}
	slices.SortStableFunc(owners, func(a, b ownedPiece) int { return strings.Compare(a.piece.ID, b.piece.ID) })
	owners = slices.DeleteFunc(owners, func(o ownedPiece) bool { // of two divisions of one piece only one will be kept
		return o.side == There && o.piece.Was != "" && slices.ContainsFunc(m.sides[Here].Pieces, func(q *pattern.Piece) bool {
			return q.Was == o.piece.Was && q.Name == o.piece.Name && byID(m.shared, q) == nil
		})
	})
	for _, o := range owners {
		all = append(all, naming{was: o.piece.Name, now: o.piece.Name})
	}
	return all, owners
}

// edgeNames brings the names of a piece's edges together.
func (m *merging) edgeNames(was, here, there *pattern.Piece) {
	var all []naming
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
		all = append(all, naming{e.Name, name, [3]int{i, h, t}})
	}
	distinct(all, func(name, now string) {
		m.says = append(m.says, fmt.Sprintf("%s: two edges would be called %q: one of them is %q now", was.Name, name, now))
	})
	if !slices.ContainsFunc(all, func(n naming) bool {
		return n.was != n.now || here.Edges[n.of[1]].Name != n.now || there.Edges[n.of[2]].Name != n.now
	}) {
		return
	}
	patterns, pieces := [3]*pattern.Pattern{m.shared, m.sides[Here], m.sides[There]}, [3]*pattern.Piece{was, here, there}
	// Through names that nobody has, for two edges may have changed theirs.
	for _, pass := range []func(i int) string{func(i int) string { return fmt.Sprintf("\x00%d", i) }, func(i int) string { return all[i].now }} {
		for i, n := range all {
			for k := range patterns {
				patterns[k].RenameEdge(pieces[k], n.of[k], pass(i))
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
