package alter

import (
	"cmp"
	"fmt"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// joinedWithin is how far in mm two lines may stand apart and be one line or lie in one
// place: coordinates are stored at 0.001, and a parallel line is drawn within
// offsetWithin. Where an inner edge runs on from one outer to another these may stand
// apart by fitsWithin, to which lengths are typed.
const joinedWithin = 0.05

// acrossOuters is the line of an inner edge that lies along edges of several
// outers, as where an outer was split under its lining: the one given on the
// outer at hand, in the inner piece's place, and the present ones of the others,
// one after the other. The error says which do not meet.
func (t *transfer) acrossOuters(inner, k int, line geom.Path) (geom.Path, error) {
	parts := []lineOf{{t.m.piece.Name, t.m.text("edge"), line}}
	for _, l := range t.m.pattern.Layers {
		if l.Band || l.Outer == t.m.piece.Name || !slices.Contains(l.Inner, t.w.piece.Name) {
			continue
		}
		edge, on, err := t.onOther(l.Outer, inner)
		if err != nil {
			return nil, err
		}
		if on != nil {
			parts = append(parts, lineOf{l.Outer, edge, on})
		}
	}
	old := t.w.piece.EdgePath(k)
	along := func(p lineOf) float64 {
		at, _ := old.Nearest(p.line.PointAt(p.line.Length() / 2))
		return old.LengthTo(at)
	}
	slices.SortStableFunc(parts, func(a, b lineOf) int { return cmp.Compare(along(a), along(b)) })
	whole := parts[0].line
	for i, p := range parts[1:] {
		if gap := whole.End().Dist(p.line.Start()); gap > fitsWithin {
			return nil, t.standApart(parts[i], p, gap)
		}
		whole = joinedLines(whole, p.line)
	}
	return whole, nil
}

// lineOf is the line of an edge of an outer, in the inner piece's place.
type lineOf struct {
	piece, edge string
	line        geom.Path
}

// onOther is the present line, in the inner piece's place, of the edge of another
// outer along which an edge of the inner piece lay; nil where it lay along none.
func (t *transfer) onOther(outer string, inner int) (edge string, line geom.Path, err error) {
	q, err := t.m.pattern.Piece(outer)
	if err != nil {
		return "", nil, err
	}
	then := samePiece(t.before, q)
	if then == nil {
		return t.onSplitOff(q)
	}
	old := t.then.inner.EdgePath(inner)
	was, is, lies := t.beside(then, q)
	for j := range then.Edges {
		now := sameEdge(then, j, q)
		if now < 0 || then.Edges[j].Fold != t.then.inner.Edges[inner].Fold {
			continue
		}
		by := declared(t.m.pattern, q, now, t.w.piece)
		line, err := then.EdgeMoved(j, by)
		if err != nil || !runsAlongIn(line.Moved(was.Then(t.back)), old) {
			continue
		}
		if !lies {
			return "", nil, fmt.Errorf("%s lies across %s and %s, and these lie otherwise to each other than they did, for something was let in or taken out at their seam: make that on %s with `toile alter spread` or `close`",
				t.w.piece.Name, t.m.piece.Name, outer, t.w.piece.Name)
		}
		moved, err := q.EdgeMoved(now, by)
		return q.Edges[now].Name, moved.Moved(is.Then(t.back)), err
	}
	return "", nil, nil
}

// onSplitOff is onOther for an outer that was split since then off the one at hand:
// the edge of it that is called alike goes on where the inner edge did. The two are
// laid together at the other end of their seam, so that a step shows.
func (t *transfer) onSplitOff(q *pattern.Piece) (edge string, line geom.Path, err error) {
	_, _, errSewn := seamUnder(t.m.pattern, t.m.piece.Name, q.Name)
	now, errEdge := q.EdgeIndex(t.m.text("edge"))
	if errSewn != nil || errEdge != nil {
		return "", nil, nil
	}
	moved, err := q.EdgeMoved(now, declared(t.m.pattern, q, now, t.w.piece))
	if err != nil {
		return "", nil, err
	}
	beside := besideMotions(t.m.pattern, q, t.m.piece)
	own := t.m.piece.EdgePath(slices.Index(t.m.piece.EdgeNames(), t.m.text("edge")))
	gap := func(m geom.Motion) float64 {
		on := q.EdgePath(now).Moved(m)
		return min(own.End().Dist(on.Start()), on.End().Dist(own.Start()))
	}
	is := slices.MaxFunc(beside, func(a, b geom.Motion) int { return cmp.Compare(gap(a), gap(b)) })
	return q.Edges[now].Name, moved.Moved(is.Then(t.back)), nil
}

// runsAlongIn reports whether a line lies on another's carrier and, over at least
// leastPart, on that line itself: within fitsWithin, for where a line runs on from one
// outer to the next its end is moved by as much.
func runsAlongIn(line, other geom.Path) bool {
	if !keepsWithin(line, geom.Carrier(other, 4*reach), fitsWithin) {
		return false
	}
	const samples = 64
	on := 0
	for k := range samples + 1 {
		if _, d := other.Nearest(line.PointAt(line.Length() * float64(k) / samples)); d <= fitsWithin {
			on++
		}
	}
	return float64(on-1)/samples*line.Length() >= leastPart
}

// besideMotions lay a piece beside another along the one edge that sews them to
// each other, from either end of it; where there is none, they lie on one sheet
// as they are drawn.
func besideMotions(p *pattern.Pattern, q, to *pattern.Piece) []geom.Motion {
	edge, at, err := seamUnder(p, to.Name, q.Name)
	if err != nil {
		return []geom.Motion{{}}
	}
	i, errTo := to.EdgeIndex(edge)
	j, errQ := q.EdgeIndex(at)
	if errTo != nil || errQ != nil {
		return []geom.Motion{{}}
	}
	a, b := to.EdgePath(i), q.EdgePath(j).Reverse()
	m := geom.Motion{Turn: geom.AngleBetween(b.End().Sub(b.Start()), a.End().Sub(a.Start()))}
	first, last := m, m
	first.Shift = a.Start().Sub(m.Apply(b.Start()))
	last.Shift = a.End().Sub(m.Apply(b.End()))
	return []geom.Motion{first, last}
}

// beside lays a further outer to the one at hand, as it lay before the change and
// as it lies now. ok is false where these differ: then something was let in or
// taken out between them.
func (t *transfer) beside(then, now *pattern.Piece) (was, is geom.Motion, ok bool) {
	was = besideMotions(t.before, then, t.then.outer)[0]
	ring, _ := now.SharpRing()
	for _, is = range besideMotions(t.m.pattern, now, t.m.piece) {
		far := 0.0
		for _, c := range ring {
			far = max(far, was.Apply(c.P0).Dist(is.Apply(c.P0)))
		}
		if far <= joinedWithin {
			return was, is, true
		}
	}
	return was, is, false
}

// joinedLines runs one line on into another; straight ends in line are one line.
func joinedLines(a, b geom.Path) geom.Path {
	b = slices.Clone(b)
	b[0].P0 = a.End()
	if b[0].IsStraight(joinedWithin) && a[len(a)-1].IsStraight(1e-6) {
		b[0] = geom.Line(a.End(), b[0].P3)
		if last := a[len(a)-1]; inLine(last, b[0]) {
			return append(append(slices.Clone(a[:len(a)-1]), geom.Line(last.P0, b[0].P3)), b[1:]...)
		}
	}
	return append(slices.Clone(a), b...)
}

// acrossOuter reports whether an inner piece finishes to more outers than one.
func acrossOuter(p *pattern.Pattern, inner string) bool {
	if _, ok := pairUnderSides(p, inner); ok {
		return false
	}
	count := 0
	for _, l := range p.Layers {
		if !l.Band && slices.Contains(l.Inner, inner) {
			count++
		}
	}
	return count > 1
}
