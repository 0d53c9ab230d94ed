package alter

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern"
)

// squareWithin is the angle in radians off a right one up to which a seam meets a
// fold square, so that it runs smoothly over to the other half: as check has it.
const squareWithin = 3 * math.Pi / 180

// fromFold refuses a line that begins and ends on the fold, and says where one that
// begins there makes a point over it: both parts stay on the fold, each with its piece.
func (m *making) fromFold(line geom.Path, first, second crossing) error {
	a, b := m.piece.Edges[first.edge].Fold, m.piece.Edges[second.edge].Fold
	at := first
	switch {
	case a && b:
		return fmt.Errorf("%s: the line begins and ends on the fold, and one part would have two pieces of it; unfold the piece first with `toile alter unfold %q`", m.piece.Name, m.piece.Name)
	case b:
		at = second
	case !a:
		return nil
	}
	fold := m.piece.EdgePath(at.edge)
	turn := math.Abs(geom.AngleBetween(fold.TangentAt(at.along), line[at.on.Curve].Tangent(at.on.T)))
	if off := math.Abs(turn - math.Pi/2); off > squareWithin {
		m.say("the new seam meets the fold at %.1f°, and has a point there where the piece lies open; square to the fold it runs on smoothly", geom.InDegrees(math.Min(turn, math.Pi-turn)))
	}
	return nil
}

// foldEdge is the fold of a piece, −1 where it has none.
func foldEdge(q *pattern.Piece) int {
	for i, e := range q.Edges {
		if e.Fold {
			return i
		}
	}
	return -1
}

// foldsRunOn reports whether two pieces on the fold, laid together along an edge of
// each, have folds that meet at one end of it, and whether these run on from each other
// in one straight line: a yoke and the back it was cut off. off is by how many mm at
// most they keep from that line.
func foldsRunOn(q *pattern.Piece, i int, laid *pattern.Piece, j int) (meet bool, off float64) {
	f, g := foldEdge(q), foldEdge(laid)
	n, k := len(q.Edges), len(laid.Edges)
	switch {
	case f < 0 || g < 0:
		return false, 0
	case (i+n-1)%n == f && (j+1)%k == g:
		return true, bentBy(q.EdgePath(f), laid.EdgePath(g))
	case (i+1)%n == f && (j+k-1)%k == g:
		return true, bentBy(laid.EdgePath(g), q.EdgePath(f))
	}
	return false, 0
}

// bentBy is how far in mm the place where one straight line runs on into another lies
// off the line from end to end; +Inf where it turns back.
func bentBy(a, b geom.Path) float64 {
	if a.EndTangent().Dot(b.StartTangent()) <= 0 {
		return math.Inf(1)
	}
	way := b.End().Sub(a.Start()).Unit()
	return math.Max(math.Abs(a.End().Sub(a.Start()).Cross(way)), math.Abs(b.Start().Sub(a.Start()).Cross(way)))
}

// cutOfFolded is how the whole of two pieces on the fold is cut: on the fold, where
// their folds are one line. Else the refusal names what works.
func (m *making) cutOfFolded(q *pattern.Piece, i int, laid *pattern.Piece, j int) (pattern.Cut, error) {
	meet, off := foldsRunOn(q, i, laid, j)
	switch {
	case meet && off <= joinWithin && m.has("cut") && pattern.Cut(m.text("cut")) != pattern.CutOnFold:
		return "", fmt.Errorf("%s and %s are both cut on the fold, and so is the whole, which has their folds as one; leave --cut out", q.Name, laid.Name)
	case meet && off <= joinWithin:
		return pattern.CutOnFold, nil
	case meet && !math.IsInf(off, 1):
		return "", fmt.Errorf("%s and %s are both cut on the fold, and laid together along %q and %q their folds do not run on in one straight line: they are %s off it; alter the angle of one of them there first, or unfold both with `toile alter unfold` and join them then",
			q.Name, laid.Name, q.Edges[i].Name, laid.Edges[j].Name, m.format(off))
	}
	return "", fmt.Errorf("%s and %s are both cut on the fold, and the whole would have two; unfold both first with `toile alter unfold %q` and `toile alter unfold %q`, or have a seam in place of one fold with `toile edge %q %q --fold=false`, and join them then with --cut \"one on fold\"",
		q.Name, laid.Name, q.Name, laid.Name, laid.Name, laid.Edges[foldEdge(laid)].Name)
}
