package check

import (
	"fmt"
	"math"
	"slices"

	"toile/pattern"
	"toile/pattern/change"
)

// RoundedEnds finds corners that are rounded where a seam ends at them, and not
// alike on the other side of the seam, and corners rounded at a fold. A valid
// pattern is expected.
func RoundedEnds(p *pattern.Pattern) ([]change.Finding, error) {
	c := &checker{p: p, tol: p.Tolerances.Section}
	if err := c.walkAll(); err != nil {
		return nil, err
	}
	c.roundedEnds()
	return c.found, nil
}

// roundedEnds looks after both ends of every seam. A rounding cuts the end of the
// seam off: walked, it counts to the sharp corner, so that its sections tell
// nothing of it.
func (c *checker) roundedEnds() {
	for _, w := range c.walks {
		for _, first := range []bool{true, false} {
			a, okA := endingOf(w.sides[0], first)
			b, okB := endingOf(w.sides[1], first)
			if okA && okB && !c.layered(a.piece.Name, b.piece.Name) {
				c.roundedEnd(w, a, b)
			}
		}
	}
	for _, q := range c.p.Pieces {
		n := len(q.Edges)
		for k, corner := range q.Corners {
			if corner.Round > 0 && (q.Edges[k].Fold || q.Edges[(k+n-1)%n].Fold) {
				c.add(change.Finding{Kind: change.RoundedEnd, MM: lostTo(q, k), Where: cornerWords(q, k), Pieces: []string{q.Name}, At: at(corner.At),
					Says: fmt.Sprintf("it lies on the fold and is rounded by %s: opened out the line makes a point there", c.length(corner.Round)),
					Do:   fmt.Sprintf("make it sharp with `toile alter restore-corner %q %q`", q.Name, q.CornerName(k))})
			}
		}
	}
}

// layered reports whether one piece is an inner piece of the other: their corners
// are looked after with the layer.
func (c *checker) layered(a, b string) bool {
	return slices.ContainsFunc(c.p.Layers, func(l pattern.Layer) bool {
		return !l.Band && (l.Outer == a && slices.Contains(l.Inner, b) || l.Outer == b && slices.Contains(l.Inner, a))
	})
}

func (c *checker) roundedEnd(w walk, a, b ending) {
	by := lostTo(a.piece, a.corner) - lostTo(b.piece, b.corner) // the second side is longer by
	if math.Abs(by) <= c.tol {
		return
	}
	round, other := a, b
	if by < 0 {
		round, other = b, a
	}
	has := "sharp"
	if r := other.piece.Corners[other.corner].Round; r > 0 {
		has = "rounded by " + c.length(r)
	}
	c.add(change.Finding{Kind: change.RoundedEnd, MM: by, Seam: w.seam.Name, Where: cornerWords(round.piece, round.corner), Pieces: with([]string{a.piece.Name}, b.piece.Name), At: at(round.piece.Corners[round.corner].At),
		Says: fmt.Sprintf("it is rounded by %s, which takes %s off the end of seam %q; corner %q of %s, which is sewn to it there, is %s",
			c.length(round.piece.Corners[round.corner].Round), c.length(by), w.seam.Name, other.piece.CornerName(other.corner), other.piece.Name, has),
		Do: fmt.Sprintf("round both alike, or make it sharp with `toile alter restore-corner %q %q`", round.piece.Name, round.piece.CornerName(round.corner))})
}

// lostTo is how much shorter in mm an edge is drawn than it counts, to the middle
// of the rounding at a corner: between straight lines r/tan(θ/2) − r·(π − θ)/2.
func lostTo(q *pattern.Piece, corner int) float64 {
	r, inside := q.Corners[corner].Round, insideAngle(q, corner)
	if r == 0 || inside <= 0 {
		return 0
	}
	return r*math.Abs(1/math.Tan(inside/2)) - r*math.Abs(math.Pi-inside)/2
}

// cornerWords names a corner.
func cornerWords(q *pattern.Piece, k int) string {
	return fmt.Sprintf("%s, corner %q", q.Name, q.CornerName(k))
}
