package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// fusedCloth is what is stuck on rather than sewn.
const fusedCloth = "interfacing"

// layerSeams reminds of seams at which outer pieces are sewn and what is inside
// them, of one cloth and with an edge called alike that lies along the same stretch of
// the seam, is not: the facings of a front and a back at the side seam, their linings,
// those of a yoke and of what is sewn to it where the seam runs over both. One
// reminder a seam.
func (c *checker) layerSeams() {
	for _, w := range c.walks {
		first, second := c.innersAlong(w.sides[0]), c.innersAlong(w.sides[1])
		var outers [2][]string
		var words, pieces []string
		do := ""
		for _, x := range first {
			for _, y := range second {
				if x.outer == y.outer || x.piece == y.piece || x.piece.Cloth != y.piece.Cloth || !x.overlaps(y) || c.sewnAt(x, y) {
					continue
				}
				words, pieces = append(words, edgeWords(x.piece, x.edge)+" to "+edgeWords(y.piece, y.edge)), with(pieces, x.piece.Name, y.piece.Name)
				outers[0], outers[1] = with(outers[0], x.outer.Name), with(outers[1], y.outer.Name)
				if do == "" {
					do = c.sewInners(w.seam, x, y, first, second)
				}
			}
		}
		if len(words) == 0 {
			continue
		}
		is := map[bool]string{true: "is", false: "are"}[len(outers[0]) == 1]
		c.add(change.Finding{Kind: change.LayersNotSewn, Where: fmt.Sprintf("seam %q", w.seam.Name), Seam: w.seam.Name, Pieces: slices.Concat(outers[0], outers[1], pieces),
			Says: fmt.Sprintf("%s %s sewn to %s there, but nothing sews %s", listed(outers[0]), is, listed(outers[1]), listed(words)), Do: do + ", so that they are held against each other too"})
	}
}

// innerEdge is an edge of an inner piece, the outer that it lies on there, and how far
// along a seam of that it lies, in mm.
type innerEdge struct {
	outer, piece *pattern.Piece
	edge         int
	from, to     float64
	forwards     bool // its outline runs the way the seam is sewn
	beyond       bool // it runs on where its outer is not sewn
}

// overlaps reports whether two inner edges meet along the seam by half of the shorter: a
// facing of the waist and one of the hem do not.
func (e innerEdge) overlaps(o innerEdge) bool {
	return math.Min(e.to, o.to)-math.Max(e.from, o.from) > math.Min(e.to-e.from, o.to-o.from)/2
}

// typed is the edge as a stretch of a chain, which is sewn the way its outline runs or
// against it.
func (e innerEdge) typed(forwards bool) string {
	return pattern.Stretch{Piece: e.piece.Name, Edge: e.piece.Edges[e.edge].Name, Turned: e.forwards != forwards}.String()
}

// innersAlong are the edges of inner pieces along one side of a seam.
func (c *checker) innersAlong(side pattern.Walked) []innerEdge {
	var found []innerEdge
	for _, part := range side.Parts {
		if !c.isInner(part.Piece.Name) {
			found = append(found, c.innersAt(part)...)
		}
	}
	return found
}

// innersAt are the edges of inner pieces that are called as an edge of their
// outer and lie along the part of it that is sewn; what is stuck on and bands are left
// out.
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
			lie := c.layHalves(q, part.Piece, l)
			for i := range q.Edges {
				if namesake(q, i, part.Piece) == part.Edge {
					lies := laidOn(lie, i, part.Edge)
					at := func(p geom.Point) float64 {
						place, _ := line.Nearest(p)
						return line.LengthTo(place)
					}
					if e, ok := innerAlong(part, at(lies.edges[i].Start()), at(lies.edges[i].End())); ok {
						e.outer, e.piece, e.edge, e.forwards = part.Piece, q, i, e.forwards != lies.motion.Mirror
						found = append(found, e)
					}
				}
			}
		}
	}
	return found
}

// laidOn is the way an inner piece lies, of the one or of one to each half of its
// outer, in which its edge lies on that edge of the outer; the first where none does.
func laidOn(lie []laid, edge, on int) laid {
	k := slices.IndexFunc(lie, func(l laid) bool { return l.on[edge] == on && (l.off == nil || !l.off[edge]) })
	return lie[max(k, 0)]
}

// innerAlong is where an inner edge that runs between two places along its outer's, in
// mm from the start of that, lies along the seam; ok is false where it lies beside no
// sewn part.
func innerAlong(part pattern.WalkedPart, a, b float64) (e innerEdge, ok bool) {
	within := func(at float64) float64 { return math.Min(math.Max(at, part.From), part.To) }
	from, to := part.Along(within(a)), part.Along(within(b))
	e = innerEdge{from: math.Min(from, to), to: math.Max(from, to), forwards: from < to,
		beyond: math.Max(math.Abs(within(a)-a), math.Abs(within(b)-b)) > innersMeet}
	return e, e.to > e.from
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

// innersMeet is how far in mm apart the ends of inner edges may lie along a seam to be
// one place: a hem that is finished shorter, not the depth of a facing.
const innersMeet = 5

// sewInners is what to do where nothing sews two inner edges to each other: the seam of
// both, each with what lies beside it on its own side until the two run from and to the
// same places. Where nothing there completes them no command is named.
func (c *checker) sewInners(seam *pattern.Seam, x, y innerEdge, first, second []innerEdge) string {
	a, b := []innerEdge{x}, []innerEdge{y}
	ok := !x.beyond && !y.beyond
	for ok {
		if gap := a[0].from - b[0].from; gap > innersMeet {
			a, ok = c.run(a, first, second, false)
		} else if gap < -innersMeet {
			b, ok = c.run(b, second, first, false)
		} else if gap := a[len(a)-1].to - b[len(b)-1].to; gap < -innersMeet {
			a, ok = c.run(a, first, second, true)
		} else if gap > innersMeet {
			b, ok = c.run(b, second, first, true)
		} else {
			break
		}
	}
	if !ok {
		return fmt.Sprintf("say what is sewn with `toile seam`, together with what lies beside them there, for %s and %s do not run from and to the same places of the seam", edgeWords(x.piece, x.edge), edgeWords(y.piece, y.edge))
	}
	chain := func(edges []innerEdge, forwards bool) string {
		var parts []string
		for _, e := range edges {
			parts = append(parts, e.typed(forwards))
		}
		return strings.Join(parts, "+")
	}
	do := fmt.Sprintf("say what is sewn with `toile seam %q %q %q", seam.Name+" of "+x.piece.Cloth, chain(a, true), chain(b, seam.SameWay))
	if seam.SameWay {
		do += " --same-way"
	}
	return do + "`"
}

// run lets a run of inner edges go on at its start or end with one of the same side
// that meets it there and that no seam sews to the other side: one of the same cloth,
// else of another. ok is false where there is none.
func (c *checker) run(edges, own, others []innerEdge, atEnd bool) (longer []innerEdge, ok bool) {
	last := edges[0]
	if atEnd {
		last = edges[len(edges)-1]
	}
	best := -1
	for i, e := range own {
		apart, more := e.to-last.from, last.from-e.from
		if atEnd {
			apart, more = e.from-last.to, e.to-last.to
		}
		if e.beyond || math.Abs(apart) > innersMeet || more <= innersMeet || slices.ContainsFunc(others, func(o innerEdge) bool { return c.sewnAt(e, o) }) {
			continue
		}
		if best < 0 || own[best].piece.Cloth != last.piece.Cloth && e.piece.Cloth == last.piece.Cloth {
			best = i
		}
	}
	switch {
	case best < 0:
		return edges, false
	case atEnd:
		return append(edges, own[best]), true
	}
	return append([]innerEdge{own[best]}, edges...), true
}
