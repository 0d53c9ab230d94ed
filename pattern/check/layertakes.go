package check

import (
	"fmt"
	"math"

	"toile/pattern"
	"toile/pattern/change"
)

// intakes compares what darts and pleats take out of an edge of an inner piece with
// what they take out of that edge of its outer: laid flat the two lie on each other,
// and sewn up they would not. An edge that is longer or shorter than the outer's, as of
// a facing drafted with the dart closed, is judged by its line alone; interfacing is cut
// out at a dart.
func (c *checker) intakes(l pattern.Layer) {
	outer := c.piece(l.Outer)
	for _, name := range l.Inner {
		inner := c.piece(name)
		if inner == nil || inner.Cloth == fusedCloth {
			continue
		}
		for i, e := range inner.Edges {
			j, err := outer.EdgeIndex(e.Name)
			if err != nil || e.Fold {
				continue
			}
			own, under := intake(inner, i), intake(outer, j)
			paper := inner.EdgePath(i).Length() - outer.EdgePath(j).Length()
			if math.Abs(own-under) <= c.tol || math.Abs(paper) > 2*c.tol {
				continue
			}
			if declared, _ := l.Declared(name, e.Name); math.Abs(under-own-declared) <= c.tol {
				continue
			}
			c.add(change.Finding{Kind: change.LayerOff, Mismatch: true, MM: under - own, Where: edgeWords(inner, i), Pieces: []string{outer.Name, name},
				Says: fmt.Sprintf("its darts and pleats take up %s, and those on %q of %s %s: sewn up it is %s %s", c.length(own), e.Name, outer.Name, c.length(under),
					c.length(under-own), longer[under > own]),
				Do: fmt.Sprintf("mark darts and pleats on it that take up as much, with `toile alter mark %q dart` or `pleat`, or take away what is too much with `toile alter remove`", name)})
		}
	}
}

// intake is what the darts and pleats on an edge take up together, in mm along it.
func intake(q *pattern.Piece, i int) (sum float64) {
	for _, g := range q.FoldedOut(i) {
		sum += g[1] - g[0]
	}
	return sum
}

var longer = map[bool]string{true: "longer", false: "shorter"}
