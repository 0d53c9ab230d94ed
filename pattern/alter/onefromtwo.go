package alter

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

// movesAside reports whether a kind moves an edge to the side.
func movesAside(kind string) bool {
	return slices.Contains([]string{"let-out", "take-in", "flare"}, kind)
}

// runningOn is the edge that one runs on to in one line, sewn with it in a chain, as the
// other part of an edge that was divided, at its start or, with atEnd, its end; -1 where
// there is none. k is the corner between them.
func runningOn(p *pattern.Pattern, q *pattern.Piece, i int, atEnd bool) (other, k int) {
	n := len(q.Edges)
	other, k = (i+n-1)%n, i
	if atEnd {
		other, k = (i+1)%n, (i+1)%n
	}
	a, b := q.EdgePath((k+n-1)%n), q.EdgePath(k)
	if math.Abs(geom.AngleBetween(a.EndTangent(), b.StartTangent())) >= leastMeeting {
		return -1, k
	}
	for _, s := range p.SeamsOf(q.Name, q.Edges[i].Name) {
		for _, chain := range []pattern.Chain{s.First, s.Second} {
			of := func(edge int) bool {
				return slices.ContainsFunc(chain, func(st pattern.Stretch) bool { return st.Piece == q.Name && st.Edge == q.Edges[edge].Name })
			}
			if of(i) && of(other) {
				return other, k
			}
		}
	}
	return -1, k
}

// oneFromTwo adds to the refusal of a move of an edge that it may be one with the next.
func (m *making) oneFromTwo(before *pattern.Pattern, err error) error {
	q, i, ok := edgeOf(before, pattern.Stretch{Piece: m.piece.Name, Edge: m.text("edge")})
	if !ok || !movesAside(m.recipe.Kind) || strings.Contains(err.Error(), " --with ") {
		return err
	}
	for _, atEnd := range []bool{false, true} {
		if other, _ := runningOn(before, q, i, atEnd); other >= 0 {
			first, then := i, other
			if !atEnd {
				first, then = other, i
			}
			return fmt.Errorf("%w; or %s", err, begin(q).makeOne(first, then))
		}
	}
	return err
}

// sayPartMoved says that an edge was moved where the next one runs on from it in one
// line, which was not moved with it.
func (m *making) sayPartMoved(before *pattern.Pattern) {
	st := pattern.Stretch{Piece: m.piece.Name, Edge: m.text("edge")}
	q, i, ok := edgeOf(before, st)
	now, j, still := edgeOf(m.pattern, st)
	if !ok || !still || i != j || len(q.Edges) != len(now.Edges) || !movesAside(m.recipe.Kind) {
		return
	}
	for _, atEnd := range []bool{false, true} {
		other, k := runningOn(before, q, i, atEnd)
		if other < 0 || q.Corners[k].At.Dist(now.Corners[k].At) < leastPart {
			continue
		}
		m.say("%s, %q, runs on from %q in one line and is not moved with it; to move both as one, make them one edge with `toile edge %q %q --with %q`", q.Name, q.Edges[other].Name, q.Edges[i].Name, q.Name, q.Edges[i].Name, q.Edges[other].Name)
	}
}
