package check

import (
	"fmt"
	"math"
	"slices"

	"toile/pattern"
	"toile/pattern/change"
)

// leastShown is at how many further edges of an inner piece a difference has to
// show for it to be missed at one: an inset is drawn all round.
const leastShown = 2

// lostInsets finds edges of an inner piece that lie too near the outer's sewing
// line where an inset is declared all round, as of an interfacing that is to stay
// out of the seams and reaches into one: by more than the tolerance, or by more
// than half of the inset. Beyond the tolerance it is a mismatch. What lies off its
// edge itself beyond the tolerance is told as a gap.
func (v *layering) lostInsets(gaps []gap) {
	if v.lost {
		return
	}
	for _, g := range gaps {
		if g.other >= 0 || math.Abs(g.off) > v.tol {
			continue
		}
		inner := v.lie[g.lie].piece
		meant := 0.0
		for _, by := range v.ofEdge(inner, g.against, g.where) {
			meant += by
		}
		if meant >= 0 || v.shownBeside(g, gaps) < leastShown {
			continue
		}
		over := v.offMeant(g)
		if over <= v.tol && over <= -meant/2+1e-3 {
			continue
		}
		v.add(v.lostInset(g, meant, over))
		for i, d := range v.layer.Differences { // told here
			v.used[i] = v.used[i] || v.isAt(d, inner, g.against)
		}
	}
}

// isAt reports whether a difference is declared for an inner piece at an edge of
// the outer.
func (v *layering) isAt(d pattern.Difference, inner *pattern.Piece, edge int) bool {
	return d.At(inner.Name, v.outer.Edges[edge].Name)
}

// offMeant is how far in mm an edge lies outside of where it is declared to lie.
func (v *layering) offMeant(g gap) float64 {
	more := g.off
	for _, by := range v.ofEdge(v.lie[g.lie].piece, g.against, g.where) {
		more -= by
	}
	return more
}

// shownBeside is at how many further edges of a gap's piece the same is declared in
// the same words as at the gap's, and there, nearer than half of it.
func (v *layering) shownBeside(g gap, gaps []gap) int {
	inner, shown := v.lie[g.lie].piece, 0
	same := func(edge int) bool {
		return slices.ContainsFunc(v.layer.Differences, func(d pattern.Difference) bool {
			return v.isAt(d, inner, edge) && slices.ContainsFunc(v.layer.Differences, func(own pattern.Difference) bool {
				return v.isAt(own, inner, g.against) && own.What == d.What && own.By == d.By
			})
		})
	}
	for _, o := range gaps {
		if o.lie != g.lie || o.other >= 0 || o.against == g.against || !same(o.against) {
			continue
		}
		if math.Abs(v.offMeant(o)) <= math.Abs(o.off-v.offMeant(o))/2 {
			shown++
		}
	}
	return shown
}

// lostInset is the finding of an edge that lies over mm outside of where it is
// declared to lie, meant mm from the outer's edge.
func (v *layering) lostInset(g gap, meant, over float64) change.Finding {
	q := v.lie[g.lie].piece
	outer, edge := v.layer.Outer, v.outer.Edges[g.against].Name
	lies := fmt.Sprintf("%s inside it", v.length(g.off))
	switch {
	case math.Abs(g.off) < 0.05:
		lies = "on it"
	case g.off > 0:
		lies = fmt.Sprintf("%s outside of it", v.length(g.off))
	}
	f := change.Finding{Kind: change.LayerOff, Mismatch: over > v.tol, MM: over, Where: edgeWords(q, g.edge), Pieces: append(slices.Clone(v.outers), q.Name), At: at(g.where),
		Says: fmt.Sprintf("laid on %s, %s is declared to lie %s inside of %q, and lies %s: it reaches towards the seam, while at its other edges the inset is there",
			v.outer.Name, edgeWords(q, g.edge), v.length(meant), edge, lies),
		Do: fmt.Sprintf("move %q of %s in by %s", q.Edges[g.edge].Name, q.Name, v.length(over))}
	if len(v.outers) == 1 && v.options.Carries != nil && v.options.Carries(outer, edge, q.Name) {
		f.Do = fmt.Sprintf("bring the change over with `toile alter carry %q %q --to %q`, or %s", outer, edge, q.Name, f.Do)
	}
	return f
}
