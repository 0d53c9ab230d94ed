package alter

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// joinedCut is how the whole of two pieces is cut and from what, the other laid to the
// first. Where they differ it has to be said, but for a side that is a pair, which
// joins a middle on the fold.
func (m *making) joinedCut(q *pattern.Piece, i int, other *pattern.Piece, j int) (cut pattern.Cut, cloth string, err error) {
	if q.Edges[i].Fold || other.Edges[j].Fold {
		p, k := q, i
		if !q.Edges[i].Fold {
			p, k = other, j
		}
		return "", "", fmt.Errorf("%s, %q, and %s, %q: %q is a fold, and nothing is sewn or joined there; unfold %s first, or let it be a seam with `toile edge %q %q --fold=false`",
			q.Name, q.Edges[i].Name, other.Name, other.Edges[j].Name, p.Edges[k].Name, p.Name, p.Name, p.Edges[k].Name)
	}
	if cut, err = m.howCut(q, i, other, j); err != nil {
		return "", "", err
	}
	cloth = q.Cloth
	switch {
	case m.has("cloth"):
		cloth = m.text("cloth")
	case q.Cloth != other.Cloth:
		return "", "", fmt.Errorf("%s is cut from %s and %s from %s; say with --cloth what the whole is cut from", q.Name, q.Cloth, other.Name, other.Cloth)
	}
	return cut, cloth, nil
}

// howCut is how the whole of two pieces is cut.
func (m *making) howCut(q *pattern.Piece, i int, other *pattern.Piece, j int) (pattern.Cut, error) {
	said := pattern.Cut(m.text("cut"))
	if m.has("cut") && !slices.Contains([]pattern.Cut{pattern.CutOne, pattern.CutPair, pattern.CutOnFold}, said) {
		return "", fmt.Errorf("cut: %q is no way to cut a piece; give one, a pair, or one on fold", said)
	}
	folded := []pattern.Cut{pattern.CutOnFold, pattern.CutPair}
	switch {
	case foldEdge(q) >= 0 && foldEdge(other) >= 0:
		return m.cutOfFolded(q, i, other, j)
	case m.has("cut"):
		return said, nil
	case q.Cut == other.Cut && q.Cut == pattern.CutOnFold:
		return "", fmt.Errorf("%s and %s are both cut on the fold, and not on both of them an edge is the fold; say with `toile edge` which it is", q.Name, other.Name)
	case q.Cut == other.Cut:
		return q.Cut, nil
	case slices.Contains(folded, q.Cut) && slices.Contains(folded, other.Cut):
		return pattern.CutOnFold, nil
	}
	return "", fmt.Errorf("%s is cut %s and %s %s; say with --cut how the whole is cut: one, a pair, or one on fold", q.Name, q.Cut, other.Name, other.Cut)
}

// markLaying marks on both pieces the line along which they are laid together.
func (m *making) markLaying(q *pattern.Piece, i int, other *pattern.Piece, j int) error {
	for _, side := range []struct {
		p    *pattern.Piece
		edge int
		to   *pattern.Piece
	}{{q, i, other}, {other, j, q}} {
		name := "laid to " + side.to.Name
		if slices.ContainsFunc(side.p.Marks, func(k pattern.Mark) bool { return k.Name == name }) {
			return fmt.Errorf("%s has a mark %q already; take it away first with `toile alter remove`", side.p.Name, name)
		}
		name, err := pattern.CleanName(name)
		if err != nil {
			return err
		}
		side.p.Marks = append(side.p.Marks, pattern.Mark{Kind: pattern.MarkPlacement, Name: name, Path: side.p.EdgePath(side.edge)})
		if err := side.p.Validate(); err != nil {
			return err
		}
	}
	m.say("%s and %s are laid together along %q and %q; both stay pieces of their own", q.Name, other.Name, q.Edges[i].Name, other.Edges[j].Name)
	return nil
}

// runTogether is a line and the one that runs on from it as one: two straight
// parts of one straight line, or two parts of one cubic, are one curve again.
func runTogether(a, b geom.Path) geom.Path {
	last, first := a[len(a)-1], b[0]
	one, ok := geom.Cubic{}, false
	switch {
	case last.IsStraight(1e-6) && first.IsStraight(1e-6):
		one = geom.Line(last.P0, first.P3)
		off := first.P0.Sub(one.P0).Cross(one.Tangent(0)) // of the place of the cut, stored at 0.001 mm, from the line
		ok = math.Abs(off) < oneCubicWithin && last.Tangent(1).Dot(first.Tangent(0)) > 0
	default:
		one, ok = oneCubic(last, first)
	}
	if !ok {
		return slices.Concat(a, b)
	}
	return slices.Concat(a[:len(a)-1], geom.Path{one}, b[1:])
}

// oneCubicWithin is how near in mm the parts of a cubic have to be to what it
// was cut into, and the place where a straight line was cut to that line: nodes
// and handles are stored at 0.001 mm.
const oneCubicWithin = 0.004

// oneCubic is the cubic that two are the parts of. Cut at t, the handles beside
// the cut are as long as t to 1−t, and the whole's are 1/t and 1/(1−t) of the
// outer ones (de Casteljau).
func oneCubic(a, b geom.Cubic) (geom.Cubic, bool) {
	before, after := a.P3.Dist(a.P2), b.P1.Dist(b.P0)
	if before+after < sameWithin {
		return geom.Cubic{}, false
	}
	t := before / (before + after)
	const least = 0.02 // nearer to an end its digits no longer tell
	if t < least || t > 1-least {
		return geom.Cubic{}, false
	}
	whole := geom.Cubic{P0: a.P0, P1: a.P0.Add(a.P1.Sub(a.P0).Mul(1 / t)), P2: b.P3.Add(b.P2.Sub(b.P3).Mul(1 / (1 - t))), P3: b.P3}
	if !partsOf(whole, t, a, b) {
		if t >= 0.5 {
			whole, t = runOnOver(a, b, t)
		} else {
			back, s := runOnOver(b.Reverse(), a.Reverse(), 1-t)
			whole, t = back.Reverse(), 1-s
		}
	}
	if !partsOf(whole, t, a, b) {
		return geom.Cubic{}, false
	}
	return likelyHandles(geom.Cubic{P0: whole.P0, P1: rounded(whole.P1), P2: rounded(whole.P2), P3: whole.P3}, t, a, b), true
}

// runOnOver is the longer part of a cubic run on by its own formula over the
// shorter one that follows it, and the parameter of the cut in it, about t: the
// handles of a short part have too few digits to tell the whole's.
func runOnOver(long, short geom.Cubic, t float64) (whole geom.Cubic, cut float64) {
	for range 5 {
		whole, _ = long.Split(1 / t)
		speed := 3 * whole.P3.Dist(whole.P2)
		t /= 1 + short.P3.Sub(whole.P3).Dot(whole.Tangent(1))/speed
	}
	whole.P3 = short.P3
	return whole, t
}

// partsOf reports whether a cubic cut at t is two others.
func partsOf(whole geom.Cubic, t float64, a, b geom.Cubic) bool {
	x, y := whole.Split(t)
	for _, d := range [...]float64{x.P1.Dist(a.P1), x.P2.Dist(a.P2), x.P3.Dist(a.P3), y.P1.Dist(b.P1), y.P2.Dist(b.P2)} {
		if !(d <= oneCubicWithin) {
			return false
		}
	}
	return true
}
