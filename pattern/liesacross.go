package pattern

import "slices"

// SewsTwo are the two stretches of a seam that sews one whole edge of a piece to one of
// another, opposite ways, so that both can be laid together along it.
func (s *Seam) SewsTwo() (a, b Stretch, ok bool) {
	if s.SameWay || len(s.First) != 1 || len(s.Second) != 1 || !s.First[0].Whole() || !s.Second[0].Whole() {
		return a, b, false
	}
	return s.First[0], s.Second[0], true
}

// LiesElsewhere reports whether an inner piece of two outers is known to lie across
// another seam of theirs than this one, as the facing of a neckline lies across the
// shoulder and not the side: there, and not here, it is sewn to the edges that go on
// from one outer to the other.
func (p *Pattern) LiesElsewhere(inner string, s *Seam) bool {
	a, b, ok := s.SewsTwo()
	if !ok || p.crosses(inner, a, b) {
		return false
	}
	return slices.ContainsFunc(p.Seams, func(o Seam) bool {
		c, d, ok := o.SewsTwo()
		if ok && c.Piece != a.Piece {
			c, d = d, c
		}
		return ok && c.Piece == a.Piece && d.Piece == b.Piece && p.crosses(inner, c, d)
	})
}

// crosses reports whether an inner piece is sewn, at an end of two edges sewn to each
// other, to the edge before the one and then to that behind the other.
func (p *Pattern) crosses(inner string, a, b Stretch) bool {
	for _, pair := range [2][2]Stretch{{a, b}, {b, a}} {
		before, ok := p.besideEdge(pair[0], -1)
		behind, okToo := p.besideEdge(pair[1], 1)
		if ok && okToo && p.runsOnUnder(inner, before, behind) {
			return true
		}
	}
	return false
}

// besideEdge is the edge so many after another one of its piece.
func (p *Pattern) besideEdge(st Stretch, step int) (Stretch, bool) {
	q, err := p.Piece(st.Piece)
	if err != nil {
		return st, false
	}
	i, err := q.EdgeIndex(st.Edge)
	n := len(q.Edges)
	if err != nil {
		return st, false
	}
	return Stretch{Piece: q.Name, Edge: q.Edges[(i+step+n)%n].Name}, true
}

// runsOnUnder reports whether an inner piece is sewn to one edge and then, the way
// outlines run, to another: in a chain, or with its next edge.
func (p *Pattern) runsOnUnder(inner string, first, then Stretch) bool {
	q, err := p.Piece(inner)
	if err != nil {
		return false
	}
	sewn := map[Stretch]int{} // to which edge of the inner piece
	for _, s := range p.Seams {
		for side, pair := range [2][2]Chain{{s.First, s.Second}, {s.Second, s.First}} {
			chain, to := pair[0], pair[1]
			if len(to) != 1 || to[0].Piece != inner {
				continue
			}
			i, err := q.EdgeIndex(to[0].Edge)
			if err != nil {
				continue
			}
			for k, st := range chain {
				next := k + 1
				if (side == 1 && !s.SameWay) != st.Turned {
					next = k - 1
				}
				if onEdge(st, first) && next >= 0 && next < len(chain) && onEdge(chain[next], then) {
					return true
				}
				sewn[Stretch{Piece: st.Piece, Edge: st.Edge}] = i + 1
			}
		}
	}
	i, j := sewn[first], sewn[then]
	return i > 0 && j > 0 && j-1 == i%len(q.Edges)
}

func onEdge(a, b Stretch) bool { return a.Piece == b.Piece && a.Edge == b.Edge }
