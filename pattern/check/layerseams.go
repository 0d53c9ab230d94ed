package check

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// fusedCloth is what is stuck on rather than sewn.
const fusedCloth = "interfacing"

// layerSeams reminds of seams at which two outer pieces are sewn and what is
// inside them, of one cloth and with an edge called alike there, is not: the
// facings of a front and a back at the side seam, their linings. One reminder a
// seam.
func (c *checker) layerSeams() {
	for _, w := range c.walks {
		if len(w.sides[0].Parts) != 1 || len(w.sides[1].Parts) != 1 {
			continue
		}
		a, b := w.sides[0].Parts[0], w.sides[1].Parts[0]
		if a.Piece == b.Piece || c.isInner(a.Piece.Name) || c.isInner(b.Piece.Name) {
			continue
		}
		var words, pieces []string
		do := ""
		for _, x := range c.innersAt(a) {
			for _, y := range c.innersAt(b) {
				if x.piece == y.piece || x.piece.Cloth != y.piece.Cloth || !x.overlaps(y) || c.sewnAt(x, y) {
					continue
				}
				words, pieces = append(words, edgeWords(x.piece, x.edge)+" to "+edgeWords(y.piece, y.edge)), with(pieces, x.piece.Name, y.piece.Name)
				if do == "" {
					do = fmt.Sprintf("say what is sewn with `toile seam %q \"%s/%s\" \"%s/%s\"", w.seam.Name+" of "+x.piece.Cloth, x.piece.Name, x.piece.Edges[x.edge].Name, y.piece.Name, y.piece.Edges[y.edge].Name)
				}
			}
		}
		if len(words) == 0 {
			continue
		}
		if w.seam.SameWay {
			do += " --same-way"
		}
		c.add(change.Finding{Kind: change.LayersNotSewn, Where: fmt.Sprintf("seam %q", w.seam.Name), Seam: w.seam.Name, Pieces: append([]string{a.Piece.Name, b.Piece.Name}, pieces...),
			Says: fmt.Sprintf("%s is sewn to %s there, but nothing sews %s", a.Piece.Name, b.Piece.Name, listed(words)), Do: do + "`, so that they are held against each other too"})
	}
}

// innerEdge is an edge of an inner piece, and how far along a seam of its outer it lies,
// in mm.
type innerEdge struct {
	piece    *pattern.Piece
	edge     int
	from, to float64
}

// overlaps reports whether two inner edges meet along the seam by half of the shorter: a
// facing of the waist and one of the hem do not.
func (e innerEdge) overlaps(o innerEdge) bool {
	return math.Min(e.to, o.to)-math.Max(e.from, o.from) > math.Min(e.to-e.from, o.to-o.from)/2
}

// innersAt are the edges of inner pieces that are called as an edge of their
// outer; what is stuck on and bands are left out.
func (c *checker) innersAt(part pattern.WalkedPart) []innerEdge {
	var found []innerEdge
	line := part.Piece.EdgePath(part.Edge)
	for _, l := range c.p.Layers {
		if l.Band || l.Outer != part.Piece.Name {
			continue
		}
		for _, name := range l.Inner {
			q := c.piece(name)
			if q == nil || q.Cloth == fusedCloth {
				continue
			}
			lies := c.lay(q, part.Piece, l)
			for i := range q.Edges {
				if namesake(q, i, part.Piece) == part.Edge {
					along := func(p geom.Point) float64 {
						at, _ := line.Nearest(p)
						return part.Along(line.LengthTo(at))
					}
					a, b := along(lies.edges[i].Start()), along(lies.edges[i].End())
					found = append(found, innerEdge{q, i, math.Min(a, b), math.Max(a, b)})
				}
			}
		}
	}
	return found
}

// sewnAt reports whether any seam sews two edges to each other.
func (c *checker) sewnAt(x, y innerEdge) bool {
	on := func(w pattern.Walked, e innerEdge) bool {
		return slices.ContainsFunc(w.Parts, func(p pattern.WalkedPart) bool { return p.Piece == e.piece && p.Edge == e.edge })
	}
	return slices.ContainsFunc(c.walks, func(w walk) bool {
		return on(w.sides[0], x) && on(w.sides[1], y) || on(w.sides[0], y) && on(w.sides[1], x)
	})
}
