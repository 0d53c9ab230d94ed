package check

import (
	"math"

	"toile/geom"
	"toile/pattern"
)

// astrayEdges is what of a laid piece does not lie where it belongs: how many of
// the edges that are known to belong somewhere lie further off than the tolerance
// and than they were altered since the last version, by how many mm together, and
// how many of them are folds that belong to a fold.
type astrayEdges struct {
	count, folds int
	sum          float64
}

// add counts an edge that lies so many mm off where it belongs.
func (a *astrayEdges) add(off, tol float64, fold bool) {
	if off <= tol {
		return
	}
	a.count, a.sum = a.count+1, a.sum+off
	if fold {
		a.folds++
	}
}

// leave counts as one edge that the piece comes so many mm off others of its layer
// with which it was drawn: these may lie elsewhere too.
func (a *astrayEdges) leave(off, tol float64) {
	if off > tol {
		a.count++
	}
}

// witness is an edge of an inner piece that lies on the edge of another one to
// which it is sewn, as the two are drawn on the sheet.
type witness struct {
	edge int
	line geom.Path // of the other piece, running as the edge does
}

// witnesses are the edges of an inner piece at which it is drawn sewn to others of
// its layer: they say that these were drawn together.
func (c *checker) witnesses(inner *pattern.Piece, known []int, beside []string) []witness {
	var found []witness
	for i, k := range known {
		if k != joinedBeside {
			continue
		}
		for _, name := range beside {
			other := c.piece(name)
			if other == nil || other == inner {
				continue
			}
			for j := range other.Edges {
				line := other.EdgePath(j).Reverse()
				if c.off(inner.EdgePath(i), line) <= c.tol && runsAlong(inner.EdgePath(i), line) {
					found = append(found, witness{i, line})
				}
			}
		}
	}
	return found
}

// mostApart is how far in mm at most a laid piece comes off those with which it was
// drawn.
func (c *checker) mostApart(l laid, all []witness) float64 {
	most := 0.0
	for _, w := range all {
		most = math.Max(most, c.off(l.edges[w.edge], w.line))
	}
	return most
}

// hiding is what of a piece laid otherwise than it is drawn is astray, the declared
// differences among it that it shows as it is drawn and no longer shows: a pleat is
// not laid flat to make room for what is missing at the other side.
func hiding(drawn, other laid, tol float64) astrayEdges {
	all := other.astray
	for i, by := range drawn.meant {
		if by != 0 && other.meant[i] != by {
			all.add(math.Abs(other.meant[i]-by), tol, false)
		}
	}
	return all
}

// pencilLine is how far in mm an edge that was not altered lies off its own at most
// where a piece lies in its place: stored digits, a fitted curve, a pencil line.
const pencilLine = 0.2

// leastHeld is how many edges that lie so hold a piece where it is drawn.
const leastHeld = 2

// staysDrawn reports whether an inner piece lies as it is drawn on the sheet of its
// outer rather than by another pose. It does where all that is known of it lies
// well there, or as well; where two edges of it lie there but for a pencil line, and no
// more do elsewhere, though what is out were shared out among the others within the
// tolerance; and else, drawn in its place, unless the other leaves fewer
// edges astray, and less in all, without taking a fold off its fold: what was
// altered on its outer is astray there, and the piece itself was not moved.
func (c *checker) staysDrawn(drawn, other laid) bool {
	if drawn.named <= 0 {
		return false
	}
	if drawn.worst <= c.tol || drawn.named >= asDrawn*other.named {
		return true
	}
	if drawn.lie == 0 || math.IsInf(drawn.worst, 1) { // it is not drawn on its outer
		return false
	}
	if drawn.exact >= leastHeld && drawn.exact >= other.exact {
		return true
	}
	a, b := drawn.astray, hiding(drawn, other, c.tol)
	if b.count == 0 && other.worst <= c.tol {
		return false // nothing at all is out there
	}
	if b.folds > a.folds {
		return true
	}
	if a.count == b.count && drawn.worst > besides {
		return a.sum <= b.sum
	}
	return b.count >= a.count || b.sum >= a.sum
}
