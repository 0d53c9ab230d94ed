package check

import (
	"fmt"
	"math"

	"toile/pattern"
	"toile/pattern/change"
)

// addingUp adds what sections are out within the tolerance, over seams that run
// on into each other across other seams, as the parts of a waist do, with pairs
// and folds counted. More than twice the tolerance in all is told.
func (c *checker) addingUp() {
	group := make([]int, len(c.walks)) // of each seam, the first of its run
	sign := make([]float64, len(c.walks))
	linked := make([]bool, len(c.walks))
	for i := range group {
		group[i], sign[i] = i, 1
	}
	for _, j := range c.joints {
		for _, x := range c.seamsAt(j.a) {
			for _, y := range c.seamsAt(j.b) {
				if x.walk == y.walk {
					continue
				}
				linked[x.walk], linked[y.walk] = true, true
				// The two lie on the same side of the run where they are the same sides
				// of their seams.
				flip := sign[x.walk] * sign[y.walk]
				if x.side != y.side {
					flip = -flip
				}
				c.join(group, sign, x.walk, y.walk, flip)
			}
		}
	}
	for first := range c.walks {
		c.addUp(group, sign, linked, first)
	}
}

// join puts the run of one seam into that of another, turned where flip is −1.
func (c *checker) join(group []int, sign []float64, a, b int, flip float64) {
	into, from := group[a], group[b]
	if into == from {
		return
	}
	if from < into {
		into, from = from, into
	}
	for k := range group {
		if group[k] == from {
			group[k] = into
			sign[k] *= flip
		}
	}
}

// seamSide is one side of a seam.
type seamSide struct{ walk, side int }

// seamsAt lists the seams, and their sides, that the edge going on from a corner
// is sewn in from there.
func (c *checker) seamsAt(e ending) []seamSide {
	var found []seamSide
	for i, w := range c.walks {
		for side := range w.sides {
			for k, part := range w.sides[side].Parts {
				if ends(part, e, true) && k == 0 || ends(part, e, false) && k == len(w.sides[side].Parts)-1 {
					found = append(found, seamSide{i, side})
				}
			}
		}
	}
	return found
}

func (c *checker) addUp(group []int, sign []float64, linked []bool, first int) {
	var sum float64
	var seams, pieces []string
	sections := 0
	for i, w := range c.walks {
		if group[i] != first {
			continue
		}
		times := 1.0
		if linked[i] || endsAtFold(w) {
			times = float64(w.sides[0].Parts[0].Piece.Cut.Count())
		}
		for _, s := range w.sections {
			if math.Abs(s.left()) <= c.tol && math.Abs(s.left()) > 1e-3 {
				sum += sign[i] * times * s.left()
				sections++
				seams = with(seams, fmt.Sprintf("%q", w.seam.Name))
				for _, side := range w.sides {
					for _, part := range side.Parts {
						pieces = with(pieces, part.Piece.Name)
					}
				}
			}
		}
	}
	if sections < 2 || math.Abs(sum) <= 2*c.tol {
		return
	}
	c.add(change.Finding{Kind: change.AddingUp, MM: sum, Where: "seam " + listed(seams), Pieces: pieces,
		Says: fmt.Sprintf("each section is within %s, but one after the other, round the garment, they are %s out", c.length(c.tol), c.length(sum)),
		Do:   "true the sections one by one, so that they do not all err the same way"})
}

// endsAtFold reports whether the line of a seam runs on over a fold.
func endsAtFold(w walk) bool {
	for _, first := range []bool{true, false} {
		for _, side := range w.sides {
			if e, ok := endingOf(side, first); ok && e.piece.Edges[e.next].Fold && e.piece.Cut == pattern.CutOnFold {
				return true
			}
		}
	}
	return false
}
