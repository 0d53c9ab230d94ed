package diff

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// laidAlikeWithin is how far in mm a corner of an outer may lie from where it lay
// beside another for the two to lie to each other as they did: stored coordinates
// and parallel lines come to that.
const laidAlikeWithin = 0.05

// underSeams reminds of inner pieces that lie across the seam of two outers which
// came to lie otherwise to each other there, as where both were flared or taken in
// at it: the inner piece has no edge along that seam, so that no edge tells it.
func (f *across) underSeams() { f.to.InnerOfTwo(f.underSeam) }

// underSeam is underSeams for two layers of one inner piece.
func (f *across) underSeam(a, b pattern.Layer, inner string) {
	in := f.piece(inner)
	if in == nil || in.Old == nil || outlineChanged(in) {
		return
	}
	for i := range f.to.Seams {
		s := &f.to.Seams[i]
		x, y, ok := s.SewsTwo()
		if !ok || f.to.LiesElsewhere(inner, s) {
			continue
		}
		if x.Piece != a.Outer {
			x, y = y, x
		}
		if x.Piece != a.Outer || y.Piece != b.Outer || declaredAt(a, inner, x.Edge) || declaredAt(b, inner, y.Edge) {
			continue
		}
		of := x
		if !f.movedItself(x) {
			of = y
		}
		if f.movedItself(of) && !f.lieAsTheyDid(x, y) && !f.asItWasUnder(in, x, y) {
			f.d.NotFollowed = append(f.d.NotFollowed, change.NotFollowed{Piece: inner, Of: of.Piece + "/" + of.Edge, Why: change.LiesAcross,
				Says: fmt.Sprintf("%s lies across the seam of %s and %s, of which %q changed, so that they lie otherwise to each other; it has not", inner, a.Outer, b.Outer, of.Edge)})
		}
	}
}

// declaredAt reports whether a difference is declared for an inner piece at an
// edge of its outer.
func declaredAt(l pattern.Layer, inner, edge string) bool {
	_, any := l.Declared(inner, edge)
	return any
}

// movedItself reports whether an edge changed its line, not its ends alone.
func (f *across) movedItself(st pattern.Stretch) bool {
	p := f.sinceItWas(st.Piece)
	if p == nil {
		return false
	}
	edge := EdgeThen(*p, st.Edge)
	if edge == "" {
		edge = st.Edge // new at the line of a split, and told by its own name
	}
	return slices.ContainsFunc(p.Changes, func(ch change.Change) bool {
		return slices.Contains(outlineKinds, ch.Kind) && ch.Kind != change.EdgeRun && slices.Contains(ch.Edges, edge)
	})
}

// lieAsTheyDid reports whether two pieces laid together along the edges at which
// they are sewn to each other lie as they did: as they were sewn, or in the piece
// that they were split from.
func (f *across) lieAsTheyDid(x, y pattern.Stretch) bool {
	p, q := f.sinceItWas(x.Piece), f.sinceItWas(y.Piece)
	if p == nil || q == nil {
		return true
	}
	is := laidTogether(p.New, q.New, x.Edge, y.Edge)
	was := []geom.Motion{{}, {}}
	if Then(*p).ID != Then(*q).ID {
		was = laidTogether(Then(*p), Then(*q), EdgeThen(*p, x.Edge), EdgeThen(*q, y.Edge))
	}
	if is == nil || was == nil {
		return true
	}
	for k := range is {
		far := 0.0
		for _, c := range q.New.Corners {
			far = math.Max(far, is[k].Apply(c.At).Dist(was[k].Apply(c.At)))
		}
		if far <= laidAlikeWithin {
			return true
		}
	}
	return false
}

// asItWasUnder reports whether the stretch of the seam over which an inner piece
// lies is on both outers where it was: a facing at one end of the seam cares for
// that end alone.
func (f *across) asItWasUnder(in *change.PieceDiff, x, y pattern.Stretch) bool {
	p, q := f.piece(x.Piece), f.piece(y.Piece)
	if p == nil || q == nil || p.Old == nil || q.Old == nil {
		return false
	}
	outer, _ := p.Old.SharpRing()
	inner, _ := in.New.SharpRing()
	motion, ok := laidUnder(inner, outer)
	i, j := edgeNamed(p.Old, EdgeThen(*p, x.Edge)), edgeNamed(q.Old, EdgeThen(*q, y.Edge))
	k, l := edgeNamed(p.New, x.Edge), edgeNamed(q.New, y.Edge)
	if !ok || i < 0 || j < 0 || k < 0 || l < 0 {
		return false
	}
	on, path := p.Old.EdgePath(i), q.Old.EdgePath(j).Reverse()
	const samples = 200
	covered := 0
	for s := range samples + 1 {
		d := on.Length() * float64(s) / samples
		if at := motion.Apply(on.PointAt(d)); !inner.Holds(at) {
			if _, off := geom.Path(inner).Nearest(at); off > sameWithin {
				continue
			}
		}
		covered++
		_, off := p.New.EdgePath(k).Nearest(on.PointAt(d))
		_, its := q.New.EdgePath(l).Nearest(path.PointAt(math.Min(d, path.Length())))
		if math.Max(off, its) > laidAlikeWithin {
			return false
		}
	}
	return covered > 0
}

// laidTogether are the motions that lay a piece beside another along an edge of
// each, sewn in opposite directions, from either end of it; nil where one has no
// such edge.
func laidTogether(p, q *pattern.Piece, edge, its string) []geom.Motion {
	i, j := edgeNamed(p, edge), edgeNamed(q, its)
	if i < 0 || j < 0 {
		return nil
	}
	a, b := p.EdgePath(i), q.EdgePath(j).Reverse()
	m := geom.Motion{Turn: geom.AngleBetween(b.End().Sub(b.Start()), a.End().Sub(a.Start()))}
	first, last := m, m
	first.Shift = a.Start().Sub(m.Apply(b.Start()))
	last.Shift = a.End().Sub(m.Apply(b.End()))
	return []geom.Motion{first, last}
}
