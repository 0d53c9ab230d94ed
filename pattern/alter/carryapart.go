package alter

import (
	"fmt"
	"slices"

	"toile/pattern"
)

// standApart says that the edges of two outers, which an inner edge lies along one after
// the other, end apart by so many mm at their seam, and how they come to meet: a seam
// that fits may end so where both were given the same at different angles.
func (t *transfer) standApart(a, b lineOf, gap float64) error {
	next, p := "make the same on both first", t.m.pattern.Clone()
	if edge, at, err := seamUnder(p, a.piece, b.piece); err == nil && gap <= p.Tolerances.Section {
		for _, s := range p.SeamsOf(a.piece, edge) {
			if r, ok := toMeet(p, s, pattern.Stretch{Piece: b.piece, Edge: at}, a.edge, b.edge); ok {
				next = fmt.Sprintf("have them meet first with `toile alter %s`", Typed(r))
			}
		}
	}
	return fmt.Errorf("%s lies across %s and %s, but %q and %q stand %s apart where these are sewn to each other; %s, or draw %s by hand",
		t.w.piece.Name, a.piece, b.piece, a.edge, b.edge, t.m.format(gap), next, t.w.piece.Name)
}

// toMeet is an alteration of one of two edges, beside the seam that sews one whole edge
// to another, by which that is as long as is meant to the tenth of a millimetre.
func toMeet(p *pattern.Pattern, s *pattern.Seam, sewn pattern.Stretch, edges ...string) (Recipe, bool) {
	a, b, two := s.SewsTwo()
	if !two || !sameStretch(a, sewn) && !sameStretch(b, sewn) {
		return Recipe{}, false
	}
	tolerance := p.Tolerances.Section
	p.Tolerances.Section = fitsWithin
	w, out := worstSection(p, s)
	p.Tolerances.Section = tolerance
	if !out {
		return Recipe{}, false
	}
	w.before = map[string][]float64{s.Name: w.before[s.Name]} // the inner piece has yet to follow
	for side := range 2 {
		for _, e := range w.ends(side) {
			if !slices.Contains(edges, e.piece.Edges[e.next].Name) {
				continue
			}
			if r, ok := w.movedTo(e, e.endOfNext()); ok {
				return r, true
			}
		}
	}
	return Recipe{}, false
}

// sameStretch reports whether two stretches are of one edge.
func sameStretch(a, b pattern.Stretch) bool { return a.Piece == b.Piece && a.Edge == b.Edge }
