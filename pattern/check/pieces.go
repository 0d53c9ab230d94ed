package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/match"
)

// cutCounts finds seams whose sides are not there equally often: a pair sewn to
// a single piece. A piece that the seam names several times shares its number
// out.
func (c *checker) cutCounts() {
	for _, w := range c.walks {
		counts, shared := map[float64]bool{}, map[float64]bool{}
		var words, pieces []string
		for side := range w.sides {
			for _, part := range w.sides[side].Parts {
				n := float64(part.Piece.Cut.Count()) / float64(w.times(part))
				counts[n] = true
				shared[float64(part.Piece.Cut.Count())/float64(c.timesInAll(w, part))] = true
				words = with(words, fmt.Sprintf("%s, cut %s", part.Piece.Name, part.Piece.Cut))
				pieces = with(pieces, part.Piece.Name)
			}
		}
		if len(counts) < 2 || len(shared) < 2 {
			continue
		}
		c.add(change.Finding{Kind: change.CutCounts, Where: fmt.Sprintf("seam %q", w.seam.Name), Seam: w.seam.Name, Pieces: pieces,
			Says: fmt.Sprintf("its pieces are not there equally often: %s", strings.Join(words, "; ")),
			Do:   "cut the one as often as the other; or, where one piece spans both halves, name the halves in the seam one after the other"})
	}
}

// timesInAll is how often a seam and those beside it name a place of an edge: a
// piece opened out, or one of two sides, is sewn in two seams to the two that a
// pair is. Seams to other pieces do not count: a facing lies on the neckline that
// the collar is sewn to.
func (c *checker) timesInAll(w walk, part pattern.WalkedPart) int {
	n := 0
	for _, o := range c.walks {
		if o.seam == w.seam || slices.ContainsFunc(w.others(part), func(q *pattern.Piece) bool {
			return slices.ContainsFunc(o.others(part), func(r *pattern.Piece) bool { return q == r || otherSide(q, r) })
		}) {
			n += o.times(part)
		}
	}
	return n
}

// others are the other pieces of a seam.
func (w walk) others(part pattern.WalkedPart) []*pattern.Piece {
	var all []*pattern.Piece
	for _, side := range w.sides {
		for _, o := range side.Parts {
			if o.Piece != part.Piece {
				all = append(all, o.Piece)
			}
		}
	}
	return all
}

// times is how often a seam names a place of an edge.
func (w walk) times(part pattern.WalkedPart) int {
	n := 0
	for _, side := range w.sides {
		for _, o := range side.Parts {
			if o.Piece == part.Piece && o.Edge == part.Edge && math.Min(o.To, part.To)-math.Max(o.From, part.From) > 0.5 {
				n++
			}
		}
	}
	return n
}

// meantApart is how far in mm halves may differ and still be meant to be alike:
// what is further off, as an underlap, is there on purpose. leastSame is the
// share of the outline that has to be alike for the rest to be held against it:
// one corner out of place takes four edges of two halves away.
const (
	meantApart = 10
	leastSame  = 0.2
)

// halves finds pieces drawn whole, and left and right pieces, whose halves are
// nearly each other's mirror image but not quite.
func (c *checker) halves() {
	var pairs [][2]*pattern.Piece
	for i, q := range c.p.Pieces {
		if q.Cut == pattern.CutOne && q.Side == "" {
			pairs = append(pairs, [2]*pattern.Piece{q, q})
		}
		for _, o := range c.p.Pieces[i+1:] {
			if otherSide(q, o) {
				pairs = append(pairs, [2]*pattern.Piece{q, o})
			}
		}
	}
	found := make([]*change.Finding, len(pairs))
	pattern.AtOnce(len(pairs), func(i int) { found[i] = c.mirrored(pairs[i][0], pairs[i][1]) })
	for _, f := range found {
		if f != nil {
			c.add(*f)
		}
	}
}

// otherSide reports whether two pieces are a left and a right of one thing.
func otherSide(q, o *pattern.Piece) bool {
	return q.Side != "" && o.Side != "" && q.Side != o.Side && baseName(q) == baseName(o)
}

// baseName is a piece's name without the side.
func baseName(q *pattern.Piece) string {
	return strings.Join(strings.Fields(strings.NewReplacer("left", "", "right", "").Replace(strings.ToLower(q.Name))), " ")
}

// mirrored lays the mirror image of one outline over another; nil where nothing
// is found.
func (c *checker) mirrored(q, o *pattern.Piece) *change.Finding {
	a, errA := q.Outline()
	b, errB := o.Outline()
	if errA != nil || errB != nil {
		return nil
	}
	laid, ok := mirrorLaid(q, o, a.Ring, b.Ring)
	if !ok {
		return nil
	}
	tol := math.Max(c.tol, 3*math.Max(q.DrawnWithin, o.DrawnWithin))
	off, where := furthest(a.Ring, laid)
	if back, _ := furthest(laid, a.Ring); back > off {
		off = back
	}
	if off <= tol || off > meantApart {
		return nil
	}
	f := change.Finding{Kind: change.HalvesDiffer, MM: off, At: at(where), Where: q.Name, Pieces: with([]string{q.Name}, o.Name),
		Says: fmt.Sprintf("its two halves differ by %s where they are furthest apart", c.length(off)),
		Do:   "make one half the mirror image of the other; or draw half of it on the fold"}
	if q != o {
		f.Where = q.Name + " and " + o.Name
		f.Says = fmt.Sprintf("turned over they differ by %s where they are furthest apart", c.length(off))
		f.Do = "make one the mirror image of the other, if they are meant to be alike"
	}
	return &f
}

// mirrorLaid is the mirror image of an outline laid on another: of a piece's own in the
// reference line that says it is its middle, else where most of the two coincides. ok is false where
// less than leastSame does.
func mirrorLaid(q, o *pattern.Piece, a, b geom.Ring) (laid geom.Ring, ok bool) {
	if q == o {
		if k := q.MiddleLine(); k >= 0 && q.SaysMiddle(k) {
			return b.Moved(q.Lines[k].Mirror()).Reverse(), true
		}
	}
	flipped := b.Moved(geom.Motion{Mirror: true}).Reverse()
	pose, _, err := match.LayOver(a, flipped, shapeWithin, match.Options{})
	if err != nil || pose.Matched < leastSame {
		return nil, false
	}
	return flipped.Moved(pose.Motion), true
}

// furthest is the greatest distance of an outline from another, looked at in
// places at most 5 mm apart and at every node.
func furthest(a, b geom.Ring) (off float64, where geom.Point) {
	for _, k := range a {
		for _, d := range places(k.Length()) {
			p := geom.Path{k}.PointAt(d)
			if _, near := geom.Path(b).Nearest(p); near > off {
				off, where = near, p
			}
		}
	}
	return off, where
}
