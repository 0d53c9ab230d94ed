package check

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// apartUnder finds outers that are sewn to each other under an inner piece which
// lies across their seam, and that do not lie together there: something was let in
// or taken out at one place of it and not at another, which the flat inner piece
// cannot have. What is declared at either edge of the seam is meant.
func (c *checker) apartUnder() {
	for i, a := range c.p.Layers {
		for _, b := range c.p.Layers[i+1:] {
			if a.Band || b.Band || a.Outer == b.Outer {
				continue
			}
			for _, name := range a.Inner {
				if slices.Contains(b.Inner, name) && c.piece(name) != nil {
					c.apartAt(a, b, name)
				}
			}
		}
	}
}

// apartAt is apartUnder for two layers of one inner piece.
func (c *checker) apartAt(a, b pattern.Layer, inner string) {
	for _, w := range c.walks {
		for side := range w.sides {
			if len(w.sides[0].Parts) != 1 || len(w.sides[1].Parts) != 1 || w.seam.SameWay || !w.seam.First[0].Whole() || !w.seam.Second[0].Whole() {
				continue
			}
			x, y := w.sides[side].Parts[0], w.sides[1-side].Parts[0]
			if x.Piece.Name != a.Outer || y.Piece.Name != b.Outer || declaredAtEdge(a, inner, x) || declaredAtEdge(b, inner, y) {
				continue
			}
			on, path := x.Piece.EdgePath(x.Edge), y.Piece.EdgePath(y.Edge).Reverse()
			if _, ok := c.congruent(on, path); ok {
				continue
			}
			off, where := apartMost(on, path)
			if off <= c.tol || math.IsInf(off, 1) {
				continue
			}
			c.add(change.Finding{Kind: change.LayerOff, Mismatch: true, MM: off, Where: fmt.Sprintf("%s across seam %q", inner, w.seam.Name), Seam: w.seam.Name,
				Pieces: []string{a.Outer, b.Outer, inner}, At: at(where),
				Says: fmt.Sprintf("%s lies across the seam of %s and %s, and laid together along it these come %s apart: %s cannot have lain flat on both", inner, edgeWords(x.Piece, x.Edge), edgeWords(y.Piece, y.Edge), c.length(off), inner),
				Do: fmt.Sprintf("make on %s what was let in or taken out there, with `toile alter spread` or `close`, and declare it with `toile layers %q %q --difference \"shaped seam@%s=%s\"`",
					inner, a.Outer, inner, x.Piece.Edges[x.Edge].Name, c.p.Unit.Typed(off))})
		}
	}
}

// declaredAtEdge reports whether a difference is declared for an inner piece at an
// edge of its outer.
func declaredAtEdge(l pattern.Layer, inner string, part pattern.WalkedPart) bool {
	return slices.ContainsFunc(l.Differences, func(d pattern.Difference) bool {
		return d.Edge == part.Piece.Edges[part.Edge].Name && (d.Piece == "" || d.Piece == inner)
	})
}

// apartMost is the most by which two lines come apart in mm, square to them, that
// are laid together at one end, in one direction, at whichever end that is less;
// and where. That one is longer is told with their seam.
func apartMost(on, path geom.Path) (off float64, where geom.Point) {
	off = math.Inf(1)
	for _, m := range []geom.Motion{
		onto(path.Start(), path.StartTangent(), on.Start(), on.StartTangent(), false),
		onto(path.End(), path.EndTangent(), on.End(), on.EndTangent(), false),
	} {
		if by, place, ok := apart(path.Moved(m), on); ok && math.Abs(by) < off {
			off, where = math.Abs(by), place
		}
	}
	return off, where
}
