package check

import (
	"fmt"
	"math"
	"slices"

	"toile/pattern"
	"toile/pattern/change"
)

// bandSeam reports whether a seam sews a band to what it follows.
func (c *checker) bandSeam(w walk) bool {
	has := func(side int, name string) bool {
		return slices.ContainsFunc(w.sides[side].Parts, func(p pattern.WalkedPart) bool { return p.Piece.Name == name })
	}
	for _, l := range c.p.Layers {
		for _, inner := range l.Inner {
			if l.Band && (has(0, l.Outer) && has(1, inner) || has(1, l.Outer) && has(0, inner)) {
				return true
			}
		}
	}
	return false
}

// bands measures the bands that no seam sews to what they follow: edges called
// alike have to have the same length but for the declared differences. What a
// seam sews is walked with the seams.
func (c *checker) bands() {
	for _, l := range c.p.Layers {
		outer := c.piece(l.Outer)
		for _, name := range l.Inner {
			inner := c.piece(name)
			if !l.Band || outer == nil || inner == nil || c.sewn(outer, inner) {
				continue
			}
			pairs := 0
			for i := range inner.Edges {
				if k := namesake(inner, i, outer); k >= 0 {
					pairs++
					c.band(l, outer, k, inner, i)
				}
			}
			if pairs == 0 {
				c.add(change.Finding{Kind: change.BandOff, Where: fmt.Sprintf("%s on %s", inner.Name, outer.Name), Pieces: []string{outer.Name, inner.Name},
					Says: fmt.Sprintf("%s follows %s in length, but no seam and no edges called alike say where", inner.Name, outer.Name),
					Do:   fmt.Sprintf("say which edges are sewn together with `toile seam`, or call the edge of %s as that of %s", inner.Name, outer.Name)})
			}
		}
	}
}

// sewn reports whether a seam joins two pieces.
func (c *checker) sewn(a, b *pattern.Piece) bool {
	for _, w := range c.walks {
		for side := range w.sides {
			if slices.ContainsFunc(w.sides[side].Parts, func(p pattern.WalkedPart) bool { return p.Piece == a }) &&
				slices.ContainsFunc(w.sides[1-side].Parts, func(p pattern.WalkedPart) bool { return p.Piece == b }) {
				return true
			}
		}
	}
	return false
}

func (c *checker) band(l pattern.Layer, outer *pattern.Piece, k int, inner *pattern.Piece, i int) {
	want, got := sewnLength(outer, k), sewnLength(inner, i)
	off := got - want
	if ok, _ := explained(ofBand(l, outer.Edges[k].Name, inner.Name), off, c.tol, nil); ok {
		return
	}
	c.add(change.Finding{Kind: change.BandOff, Mismatch: true, MM: off, Where: edgeWords(inner, i), Pieces: []string{inner.Name, outer.Name},
		Says: fmt.Sprintf("%s is %s long, and %s is %s: %s %s", edgeWords(inner, i), c.length(got), edgeWords(outer, k), c.length(want),
			c.length(off), map[bool]string{true: "too long", false: "too short"}[off > 0]),
		Do: fmt.Sprintf("alter the length of %s by %s, or declare the difference with `toile layers %q %q --band --difference %q`", inner.Name, c.length(off),
			l.Outer, inner.Name, longer[off > 0]+"="+c.p.Unit.Typed(off))})
}

// sewnLength is an edge's length without what darts and pleats take out.
func sewnLength(q *pattern.Piece, i int) float64 {
	l := q.Length(i)
	for _, g := range q.FoldedOut(i) {
		l -= g[1] - g[0]
	}
	return l
}

// ofBand lists the differences declared for a band that follows an edge of the
// outer, in mm, those that name no edge or piece among them.
func ofBand(l pattern.Layer, edge, inner string) []float64 {
	var amounts []float64
	for _, d := range l.Differences {
		if d.Follows(inner, edge) {
			amounts = append(amounts, d.By)
		}
	}
	return amounts
}

// mostDifferences is how many declared differences are tried together.
const mostDifferences = 8

// explained reports whether an amount is nothing, or the sum of some of the
// declared amounts, in mm, within the tolerance; and marks those that it took in
// used, which may be nil. Amounts of 0 take part in no sum.
func explained(amounts []float64, off, tol float64, used []bool) (bool, []bool) {
	var of []int
	for i, by := range amounts {
		if by != 0 && len(of) < mostDifferences {
			of = append(of, i)
		}
	}
	best, found := math.Inf(1), -1
	for set := range 1 << len(of) {
		sum := 0.0
		for k, i := range of {
			if set&(1<<k) != 0 {
				sum += amounts[i]
			}
		}
		if d := math.Abs(off - sum); d <= tol && d < best-1e-9 {
			best, found = d, set
		}
	}
	if found < 0 {
		return false, used
	}
	for k, i := range of {
		if used != nil && found&(1<<k) != 0 {
			used[i] = true
		}
	}
	return true, used
}
