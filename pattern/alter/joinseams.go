package alter

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"toile/pattern"
)

// sewsOnly reports whether a seam sews one edge to the other, and nothing
// else.
func sewsOnly(s pattern.Seam, piece, edge, other, at string) bool {
	is := func(c pattern.Chain, piece, edge string) bool {
		return len(c) == 1 && c[0].Piece == piece && c[0].Edge == edge
	}
	return is(s.First, piece, edge) && is(s.Second, other, at) || is(s.First, other, at) && is(s.Second, piece, edge)
}

// sayClosed says which openings of the seam between two edges are gone when these are
// joined, and the notches that go with them.
func (m *making) sayClosed(q *pattern.Piece, i int, other *pattern.Piece, j int) {
	for _, s := range m.pattern.Seams {
		if !sewsOnly(s, q.Name, q.Edges[i].Name, other.Name, other.Edges[j].Name) || len(s.Openings) == 0 {
			continue
		}
		var gone, notches []string
		for _, o := range s.Openings {
			gone = append(gone, fmt.Sprintf("its opening %q of %s", o.Name, m.format(o.To-o.From)))
		}
		for _, side := range []struct {
			piece *pattern.Piece
			edge  string
		}{{q, q.Edges[i].Name}, {other, other.Edges[j].Name}} {
			for _, n := range side.piece.Notches {
				if words := strconv.Quote(n.Name); n.Edge == side.edge && !slices.Contains(notches, words) {
					notches = append(notches, words)
				}
			}
		}
		if len(notches) > 0 {
			gone = append(gone, "the notches there, "+strings.Join(notches, ", "))
		}
		m.say("gone with the seam between %s and %s: %s; mark on the whole what is still to be cut there", q.Name, other.Name, strings.Join(gone, "; "))
	}
}

// sewnElsewhere refuses to join edges of which one is sewn to something besides
// the other: joined, it lies inside the whole, and that seam would have nothing
// to hold on to.
func (m *making) sewnElsewhere(q *pattern.Piece, i int, other *pattern.Piece, j int) error {
	edge, at := q.Edges[i].Name, other.Edges[j].Name
	for _, s := range m.pattern.Seams {
		if st, ok := sewsBesides(s, q.Name, edge, other.Name, at); ok {
			return fmt.Errorf("%s, %q, and %s, %q, cannot be joined: %s, %q is sewn in the seam %q too, and would lie inside the whole; sew that seam to another edge first with `toile seam %q A/EDGE C/EDGE`, or take it away with `toile seam %q --unpick`",
				q.Name, edge, other.Name, at, st.Piece, st.Edge, s.Name, s.Name, s.Name)
		}
	}
	return nil
}

// sewsBesides reports whether a seam sews one of two edges, and not just the one
// to the other; st is where.
func sewsBesides(s pattern.Seam, piece, edge, other, at string) (st pattern.Stretch, ok bool) {
	if sewsOnly(s, piece, edge, other, at) {
		return st, false
	}
	for _, st = range slices.Concat(s.First, s.Second) {
		if st.Piece == piece && st.Edge == edge || st.Piece == other && st.Edge == at {
			return st, true
		}
	}
	return st, false
}

// sewOnlyTogether takes away the seams that sew two edges to anything but each
// other, on a copy of a pattern on which their pieces are laid together.
func sewOnlyTogether(p *pattern.Pattern, piece, edge, other, at string) {
	p.Seams = slices.DeleteFunc(p.Seams, func(s pattern.Seam) bool {
		_, ok := sewsBesides(s, piece, edge, other, at)
		return ok
	})
}
