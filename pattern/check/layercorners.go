package check

import (
	"fmt"
	"math"
	"slices"

	"toile/pattern"
	"toile/pattern/change"
)

// corners finds corners of the outer that are rounded otherwise than those of
// an inner piece that lie on them: a facing with a sharp corner under a rounded
// one cannot be turned out.
func (v *layering) corners(i int) {
	l := v.lie[i]
	n, m := len(v.outer.Edges), len(l.piece.Edges)
	for e := range l.edges {
		next := (e + 1) % m
		a, b, corner := l.on[e], l.on[next], next
		if l.motion.Mirror { // the laid edges run the other way
			a, b = b, a
		}
		if a < 0 || b < 0 || (a+1)%n != b || !v.liesOn(l, e) || !v.liesOn(l, next) {
			continue
		}
		want, has := v.outer.Corners[b].Round, l.piece.Corners[corner].Round
		off := roundsOff(v.outer, b, has) - roundsOff(v.outer, b, want)
		if math.Abs(off) <= v.tol {
			continue
		}
		v.add(v.cornerFinding(l.piece, corner, b, -off))
	}
}

// liesOn reports whether an edge of a laid piece lies on its edge of the outer
// within the tolerance, or by a declared difference off it.
func (v *layering) liesOn(l laid, e int) bool {
	off, where, ok := apart(l.edges[e], v.outer.EdgePath(l.on[e]))
	meant, _ := explained(v.ofEdge(l.piece, l.on[e], where), off, v.tol, nil)
	return ok && meant
}

// roundsOff is how far in mm a rounding of radius r keeps from the sharp
// corner, between straight lines: r·(1/sin(θ/2) − 1).
func roundsOff(q *pattern.Piece, corner int, r float64) float64 {
	s := math.Sin(insideAngle(q, corner) / 2)
	if r == 0 || s <= 0 {
		return 0
	}
	return r * (1/s - 1)
}

// cornerFinding tells of a corner at which an inner piece is larger by mm.
func (v *layering) cornerFinding(q *pattern.Piece, corner, outer int, by float64) change.Finding {
	want, has := v.outer.Corners[outer].Round, q.Corners[corner].Round
	words := func(r float64) string {
		if r == 0 {
			return "sharp"
		}
		return "rounded by " + v.length(r)
	}
	name, edge := q.CornerName(corner), v.outer.Edges[outer].Name
	do := fmt.Sprintf("round it alike with `toile alter round-corner %q %q %s`", q.Name, name, v.p.Unit.Typed(want))
	if want == 0 {
		do = fmt.Sprintf("make it sharp with `toile alter restore-corner %q %q`", q.Name, name)
	}
	if v.options.Carries != nil && v.options.Carries(v.layer.Outer, edge, q.Name) {
		do = fmt.Sprintf("bring the outer's corner over with `toile alter carry %q %q --to %q`, or %s", v.layer.Outer, edge, q.Name, do)
	}
	return change.Finding{Kind: change.LayerOff, Mismatch: true, MM: by, Where: fmt.Sprintf("%s, corner %q", q.Name, name), Pieces: append(slices.Clone(v.outers), q.Name), At: at(v.outer.Corners[outer].At),
		Says: fmt.Sprintf("laid on %s, its corner is %s, and %q of %s is %s: they lie %s apart there", v.outer.Name, words(has), v.outer.CornerName(outer), v.outer.Name, words(want), v.length(by)),
		Do:   do}
}
