package alter

import (
	"math"
	"slices"

	"toile/pattern"
)

// sayFacingsApart says where a facing that was drafted does not end, at a seam of its
// outer, where the facing of the piece that is sewn on there ends: facings of one width
// do not meet where the seam leaves the faced edges at different angles.
func (m *making) sayFacingsApart(o *outer, p *pattern.Piece) {
	for j, e := range p.Edges {
		chain := o.at[e.Name]
		i, err := o.piece.EdgeIndex(e.Name)
		if e.Fold || err != nil || len(chain) != 1 || !chain[0].Whole() {
			continue
		}
		end, long := endCovered(p.EdgePath(j).Start().Dist(o.piece.EdgePath(i).Start()), p.EdgePath(j).End().Dist(o.piece.EdgePath(i).End())), p.Length(j)
		if end < 0 {
			continue // it is faced along all of it, or ends elsewhere
		}
		for _, s := range m.pattern.SeamsOf(chain[0].Piece, e.Name) {
			there, at, ok := sewnAcross(s, chain[0], end)
			if !ok {
				continue
			}
			for _, other := range m.facingsOf(there.Piece) {
				length, ok := m.endsAlong(other, there, at)
				if apart := math.Abs(length - long); ok && apart > m.pattern.Tolerances.Section {
					m.say("%s takes up %s of %q and %s %s of %q there: sewn in seam %q they end %s apart; let out or take in the inner edge of one of them, with --to %q, where they are to meet",
						p.Name, m.format(long), e.Name, other.Name, m.format(length), there.Edge, s.Name, m.format(apart), e.Name)
				}
			}
		}
	}
}

// endCovered is the end of an edge, 0 or 1, from which a facing takes up a part of it;
// −1 where it takes up all or begins at neither. The distances in mm are those of its
// ends from the edge's.
func endCovered(start, end float64) int {
	switch atStart, atEnd := start <= sameWithin, end <= sameWithin; {
	case atStart && !atEnd:
		return 0
	case atEnd && !atStart:
		return 1
	}
	return -1
}

// sewnAcross is the stretch that a whole edge is sewn to, edge to edge, and which end of
// it lies at an end of the first.
func sewnAcross(s *pattern.Seam, st pattern.Stretch, end int) (there pattern.Stretch, at int, ok bool) {
	if len(s.First) != 1 || len(s.Second) != 1 {
		return there, 0, false
	}
	there = s.Second[0]
	if there.Piece == st.Piece && there.Edge == st.Edge {
		there = s.First[0]
	}
	at = 1 - end
	if s.SameWay != (there.Turned != st.Turned) {
		at = end
	}
	return there, at, there.Whole() && there.Piece != st.Piece
}

// facingsOf lists the inner pieces of an outer that are cut from facing cloth.
func (m *making) facingsOf(outer string) (found []*pattern.Piece) {
	for _, l := range m.pattern.Layers {
		if l.Band || l.Outer != outer {
			continue
		}
		for _, name := range l.Inner {
			if q, err := m.pattern.Piece(name); err == nil && q.Cloth == facingCloth && !slices.Contains(found, q) {
				found = append(found, q)
			}
		}
	}
	return found
}

// endsAlong is for how many mm a facing takes up an edge of its outer from one end of it,
// both as they are drawn.
func (m *making) endsAlong(facing *pattern.Piece, st pattern.Stretch, end int) (float64, bool) {
	q, err := m.pattern.Piece(st.Piece)
	if err != nil {
		return 0, false
	}
	i, errOuter := q.EdgeIndex(st.Edge)
	j, errInner := facing.EdgeIndex(st.Edge)
	if errOuter != nil || errInner != nil {
		return 0, false
	}
	edge, part := q.EdgePath(i), facing.EdgePath(j)
	return part.Length(), endCovered(part.Start().Dist(edge.Start()), part.End().Dist(edge.End())) == end
}
