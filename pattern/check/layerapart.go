package check

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// apartUnder finds outers that are sewn to each other under an inner piece which
// lies across their seam, and that do not lie together there: something was let in
// or taken out at one place of it and not at another, which the flat inner piece
// cannot have. What is declared at either edge of the seam is meant.
func (c *checker) apartUnder() {
	c.p.InnerOfTwo(func(a, b pattern.Layer, inner string) {
		if c.piece(inner) != nil {
			c.apartAt(a, b, inner)
		}
	})
}

// apartAt is apartUnder for two layers of one inner piece.
func (c *checker) apartAt(a, b pattern.Layer, inner string) {
	for _, w := range c.walks {
		for side := range w.sides {
			if _, _, ok := w.seam.SewsTwo(); !ok || c.p.LiesElsewhere(inner, w.seam) {
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
			if l := c.lay(c.piece(inner), x.Piece, a); l.sure >= leastSure {
				on, path = c.under(on, path, l, y.Piece, b)
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

// under is the stretch of two lines sewn to each other over which an inner piece
// lies, laid on the outer of the first: a facing at one end of the seam cares for
// that end alone. It is the whole where that cannot be told, and where the other
// outer, laid on along that stretch, is not where the inner piece has it.
func (c *checker) under(on, path geom.Path, l laid, other *pattern.Piece, layer pattern.Layer) (geom.Path, geom.Path) {
	var ring geom.Ring
	for _, e := range l.edges {
		ring = append(ring, e...)
	}
	length := math.Min(on.Length(), path.Length())
	lo, hi := length, 0.0
	for _, d := range places(length) {
		at := on.PointAt(d)
		if _, off := geom.Path(ring).Nearest(at); off <= c.tol || ring.Holds(at) {
			lo, hi = math.Min(lo, d), math.Max(hi, d)
		}
	}
	if hi-lo < leastUnder {
		return on, path
	}
	a, b := on.BetweenLengths(lo, hi), path.BetweenLengths(lo, hi)
	lies, known := c.fitsUnder(l, other, layer, onto(b.Start(), b.End().Sub(b.Start()), a.Start(), a.End().Sub(a.Start()), false))
	if !lies || !known {
		return on, path
	}
	return a, b
}

// fitsUnder reports whether the edges of an inner piece that belong to an outer
// lie on it where a motion lays that; known is false where none does.
func (c *checker) fitsUnder(l laid, outer *pattern.Piece, layer pattern.Layer, m geom.Motion) (lies, known bool) {
	for i, path := range l.edges {
		k := c.partner(l.piece, i, outer)
		if k < 0 || declaredAtEdge(layer, l.piece.Name, pattern.WalkedPart{Piece: outer, Edge: k}) {
			continue
		}
		off, _, ok := apart(path, outer.EdgePath(k).Moved(m))
		if !ok || math.Abs(off) > c.tol {
			return false, true
		}
		known = true
	}
	return known, known
}

// leastUnder is how many mm of a seam an inner piece lies over at least where it
// is laid rightly.
const leastUnder = 5

// declaredAtEdge reports whether a difference is declared for an inner piece at an
// edge of its outer.
func declaredAtEdge(l pattern.Layer, inner string, part pattern.WalkedPart) bool {
	_, any := l.Declared(inner, part.Piece.Edges[part.Edge].Name)
	return any
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
