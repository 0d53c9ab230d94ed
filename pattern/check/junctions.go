package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

// ending is a corner of a piece at which a seam ends, with the edge sewn in the
// seam and the one that goes on from the corner.
type ending struct {
	piece      *pattern.Piece
	sewn, next int
	corner     int
}

// inside is the angle of the piece at the corner, in radians.
func (e ending) inside() float64 { return insideAngle(e.piece, e.corner) }

func (e ending) meant() bool {
	c := e.piece.Corners[e.corner]
	return c.Meant || c.Round > 0
}

// insideAngle is the angle inside a piece at a corner, sharp, in radians.
func insideAngle(q *pattern.Piece, corner int) float64 {
	n := len(q.Edges)
	in, out := q.EdgePath((corner+n-1)%n).EndTangent(), q.EdgePath(corner).StartTangent()
	return math.Pi - geom.AngleBetween(in, out)
}

// junction is an end of a seam at which two pieces lie beside each other.
type junction struct {
	seam *pattern.Seam
	a, b ending
}

// atEnd is how near in mm to a corner a seam has to end to end there.
const atEnd = 0.05

// junctions lists the ends of all seams at which both sides end at a corner. A
// facing lies on its outer, not beside it, and has none there; two pieces drawn
// with the seam on the same side are sewn the same way too, and have.
func (c *checker) junctions() []junction {
	var all []junction
	for _, w := range c.walks {
		for _, first := range []bool{true, false} {
			a, okA := endingOf(w.sides[0], first)
			b, okB := endingOf(w.sides[1], first)
			if !okA || !okB || (w.seam.SameWay && c.liesUnder(a, b)) {
				continue
			}
			all = append(all, junction{w.seam, a, b})
		}
	}
	return all
}

// liesUnder reports whether one of two pieces sewn the same way lies on the
// other rather than beside it: it is a layer of it, in steps too, is cut from
// other cloth, as a facing is, or is sewn to it round the corner as well.
func (c *checker) liesUnder(a, b ending) bool {
	switch {
	case a.piece == b.piece:
		return false
	case a.piece.Cloth != b.piece.Cloth, c.layerOf(a.piece.Name, b.piece.Name, nil), c.layerOf(b.piece.Name, a.piece.Name, nil):
		return true
	}
	return slices.ContainsFunc(c.walks, func(w walk) bool {
		return w.seam.SameWay && (sewsEdge(w.sides[0], a) && sewsEdge(w.sides[1], b) || sewsEdge(w.sides[0], b) && sewsEdge(w.sides[1], a))
	})
}

// sewsEdge reports whether a walked chain holds the edge that goes on from a
// corner.
func sewsEdge(w pattern.Walked, e ending) bool {
	return slices.ContainsFunc(w.Parts, func(p pattern.WalkedPart) bool { return p.Piece == e.piece && p.Edge == e.next })
}

// layerOf reports whether a piece finishes to the size of another, or of one
// that does. over are the pieces looked at before.
func (c *checker) layerOf(inner, outer string, over []string) bool {
	return slices.ContainsFunc(c.p.Layers, func(l pattern.Layer) bool {
		return !l.Band && slices.Contains(l.Inner, inner) && !slices.Contains(over, l.Outer) &&
			(l.Outer == outer || c.layerOf(l.Outer, outer, append(over, inner)))
	})
}

// endingOf is the corner at which a walked chain starts or ends, if it is one.
func endingOf(w pattern.Walked, first bool) (ending, bool) {
	part := w.Parts[0]
	if !first {
		part = w.Parts[len(w.Parts)-1]
	}
	n := len(part.Piece.Edges)
	e := ending{piece: part.Piece, sewn: part.Edge}
	if first != part.Backwards { // at the start of the edge
		e.corner, e.next = part.Edge, (part.Edge+n-1)%n
		return e, part.From <= atEnd
	}
	e.corner, e.next = (part.Edge+1)%n, (part.Edge+1)%n
	return e, part.To >= part.Piece.EdgePath(part.Edge).Length()-atEnd
}

// roles are the lines that run on over a seam, by the words of their names.
var roles = [][]string{{"hem"}, {"neck"}, {"waist"}, {"armhole", "armscye", "arm hole"}}

func roleOf(name string) int {
	return slices.IndexFunc(roles, func(words []string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(strings.ToLower(name), w) })
	})
}

// isHem reports whether an edge is a hem: set or named as one; or, in a piece
// that has none such, the lowest, if it is not sewn to anything. The lowest edge
// of a facing is its free inner edge, and no hem; that of a sleeve's lining goes
// into the seam of the cuff.
func (c *checker) isHem(q *pattern.Piece, i int) bool {
	e := q.Edges[i]
	if saidHem(e) {
		return true
	}
	return q.HemEdge() == i && !e.Fold && len(c.p.SeamsOf(q.Name, e.Name)) == 0 && (q.Cloth == liningCloth || !c.isInner(q.Name)) && !c.outerSewn(q.Name, e.Name)
}

// outerSewn reports whether the edge of that name is sewn on a piece that another
// finishes to.
func (c *checker) outerSewn(inner, edge string) bool {
	return slices.ContainsFunc(c.p.Layers, func(l pattern.Layer) bool {
		return !l.Band && slices.Contains(l.Inner, inner) && len(c.p.SeamsOf(l.Outer, edge)) > 0
	})
}

// liningCloth is what a lining is cut from: of what lies inside an outer piece
// it alone has a hem of its own.
const liningCloth = "lining"

// isInner reports whether a piece finishes to the size of another.
func (c *checker) isInner(name string) bool {
	return slices.ContainsFunc(c.p.Layers, func(l pattern.Layer) bool { return !l.Band && slices.Contains(l.Inner, name) })
}

// saidHem reports whether an edge is set or named as a hem.
func saidHem(e pattern.Edge) bool { return e.Hem || roleOf(e.Name) == 0 }

// line says which line of the garment runs over a junction: the hem, a
// neckline, a waist, an armhole, or edges that are sewn as one; "" where the
// two edges that go on are no one line.
func (c *checker) line(j junction) string {
	a, b := j.a.piece.Edges[j.a.next], j.b.piece.Edges[j.b.next]
	switch {
	case a.Fold || b.Fold:
		return ""
	case c.isHem(j.a.piece, j.a.next) && c.isHem(j.b.piece, j.b.next):
		return "hem"
	case roleOf(a.Name) > 0 && roleOf(a.Name) == roleOf(b.Name):
		return roles[roleOf(a.Name)][0]
	}
	if name := c.follow(j.a, j.b); name != "" {
		return fmt.Sprintf("line sewn in seam %q", name)
	}
	return ""
}

// follow is the seam in whose chain the edges that go on from two corners come
// one after the other, and meet there; "" where there is none.
func (c *checker) follow(a, b ending) string {
	for _, w := range c.walks {
		for _, side := range w.sides {
			for k := 1; k < len(side.Parts); k++ {
				p, q := side.Parts[k-1], side.Parts[k]
				if (ends(p, a, false) && ends(q, b, true)) || (ends(p, b, false) && ends(q, a, true)) {
					return w.seam.Name
				}
			}
		}
	}
	return ""
}

// ends reports whether a walked part is the edge that goes on from a corner,
// and begins or else ends there.
func ends(part pattern.WalkedPart, e ending, begins bool) bool {
	if part.Piece != e.piece || part.Edge != e.next {
		return false
	}
	if begins != part.Backwards {
		return e.corner == e.next && part.From <= atEnd
	}
	return e.corner != e.next && part.To >= e.piece.EdgePath(part.Edge).Length()-atEnd
}
