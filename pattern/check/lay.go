package check

import (
	"math"
	"regexp"
	"slices"
	"sync"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/match"
)

// laid is an inner piece as it lies on its outer.
type laid struct {
	piece  *pattern.Piece
	motion geom.Motion
	edges  []geom.Path // on the outer's sheet, clockwise as seen
	on     []int       // for each edge the outer's edge it belongs to, −1 where none
	fits   float64     // how much of the outline lies on the outer, each edge counted with its weight
	named  float64     // the same of the edges alone that are known to belong to one of the outer
	worst  float64     // how far the worst of those lies off in mm, what is declared left out
	centre geom.Path   // the centre line of the outer, where side is not 0
	side   int         // 1 or 2 where it lies on one half of its outer, or with one of its own; 0 else
	sure   int         // how many edges do within the tolerance; those known to belong to it count twice
	lie    int         // how many of those that are known to belong to it do
	exact  int         // how many of them do but for a pencil line
	astray astrayEdges
	meant  []float64 // for each edge what it shows of declared differences, in mm
	beyond float64   // by how many mm its centre line lies beyond the outer's, as declared
	shows  []bool    // the declared differences that this shows
	off    []bool    // the edges that lie on the other half alone; nil where none do
}

// automaticName is the name an edge has before somebody gives it one.
var automaticName = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^edge \d+$`) })

// namesake is the edge of another piece that is called as an edge of this one,
// −1 where there is none or nobody named it.
func namesake(q *pattern.Piece, i int, other *pattern.Piece) int {
	name := q.Edges[i].Name
	if automaticName().MatchString(name) {
		return -1
	}
	return slices.IndexFunc(other.Edges, func(e pattern.Edge) bool { return e.Name == name })
}

// lay finds how an inner piece lies on its outer: as the edges that are called
// alike or sewn together would have it, else as its shape would. The pose that
// puts most of the outline on the outer wins; what edges say counts double, and
// edges sewn to what lies beside it on the outer do not count. Drawn in its place
// on the sheet it lies there, unless fewer of the edges that are known to belong to
// the outer are out elsewhere: that a free edge of it, as a facing's inner one,
// would fit on some edge of the outer says nothing. What neither piece changed since
// the last version decides over what one did.
func (c *checker) lay(inner, outer *pattern.Piece, layer pattern.Layer) laid {
	known := c.partners(inner, outer, layer)
	motions := []geom.Motion{{}}
	for i := range inner.Edges {
		if known[i] < 0 {
			continue
		}
		a, b := outer.EdgePath(known[i]), inner.EdgePath(i)
		motions = append(motions, onto(b.Start(), b.StartTangent(), a.Start(), a.StartTangent(), false), onto(b.End(), b.EndTangent(), a.End(), a.EndTangent(), false),
			onto(b.End(), b.EndTangent().Mul(-1), a.Start(), a.StartTangent(), true), onto(b.Start(), b.StartTangent().Mul(-1), a.End(), a.EndTangent(), true))
	}
	motions = append(motions, c.byShape(inner, outer)...)
	best := laid{fits: -1}
	by := laying{known: known, differences: layer.Differences, witnesses: c.witnesses(inner, known, layer.Inner)}
	by.weights, by.moved = c.weights(inner, outer, known)
	for _, m := range motions {
		if l := c.laidBy(inner, outer, m, by); l.fits > best.fits+1e-6 {
			best = l
		}
	}
	best, way := c.keptCentred(inner, outer, best, by)
	best = c.laidAnyway(inner, outer, best, motions, by)
	if drawn := c.laidBy(inner, outer, geom.Motion{}, by); c.staysDrawn(drawn, best) {
		best = drawn
	}
	best.on = c.belongs(best, outer, known)
	return c.shifted(best, &layering{checker: c, layer: layer, outer: outer}, by, way)
}

// asDrawn is the share of what the known edges of a piece count at best with
// which it lies as it is drawn on the sheet: less by a thousandth is about 0.05 mm
// off, the stored digits and a pencil line.
const asDrawn = 0.999

// lostShare is the share of what the known edges of a piece count under which none
// of them lies on its edge: about ten tolerances off.
const lostShare = 0.01

// laidAnyway lays a piece of which no known edge lies where it belongs, as one that
// bulges the other way than its outer: by these edges, ends over ends, where they
// are least off. That its free edges would fit somewhere says nothing then.
func (c *checker) laidAnyway(inner, outer *pattern.Piece, best laid, motions []geom.Motion, by laying) laid {
	all := 0.0
	for i, k := range by.known {
		if k < 0 {
			continue
		}
		all += by.weights[i]
		a, b := outer.EdgePath(k), inner.EdgePath(i)
		from, to := b.End().Sub(b.Start()), a.End().Sub(a.Start())
		motions = append(motions, onto(b.Start(), from, a.Start(), to, false), onto(b.End(), from.Mul(-1), a.Start(), to, true))
	}
	if best.named >= lostShare*all {
		return best
	}
	least := astray(best, outer, by.known)
	for _, m := range motions {
		l := c.laidBy(inner, outer, m, by)
		if off := astray(l, outer, by.known); off < least-1e-6 {
			best, least = l, off
		}
	}
	return best
}

// astray is how far in mm at most the known edges of a laid piece lie from theirs,
// measured at equal shares of both, whichever way they run.
func astray(l laid, outer *pattern.Piece, known []int) float64 {
	most := 0.0
	for i, k := range known {
		if k < 0 {
			continue
		}
		path, on := l.edges[i], outer.EdgePath(k)
		for _, share := range []float64{0, 0.25, 0.5, 0.75, 1} {
			most = math.Max(most, path.PointAt(share*path.Length()).Dist(on.PointAt(share*on.Length())))
		}
	}
	return most
}

// alteredShare is the share of its weight with which an edge that was altered
// since the last version tells where exactly a piece lies: it decides only where
// nothing else does. The rest says that it lies no further off than it was
// altered.
const alteredShare = 0.05

// weights is what each edge of an inner piece counts with where it lies on the
// outer: the root of its length, so that one long straight seam that was altered
// does not turn a piece away from several others on which it lies. moved is by
// how many mm at most the edge and the one it belongs to were altered.
func (c *checker) weights(inner, outer *pattern.Piece, known []int) (weights, moved []float64) {
	weights, moved = make([]float64, len(inner.Edges)), make([]float64, len(inner.Edges))
	for i := range inner.Edges {
		weights[i] = math.Sqrt(inner.EdgePath(i).Length())
		if known[i] >= 0 && !outer.Edges[known[i]].Fold { // a pleat lies at the fold rather than at a seam
			weights[i] *= 2
		}
		moved[i] = c.moved(inner, i)
		if known[i] >= 0 {
			moved[i] += c.moved(outer, known[i])
		}
	}
	return weights, moved
}

// moved is how far in mm an edge strays at most from where it ran in the last
// version, though perhaps cut shorter or run on; 0 where it does not, or was not
// there then. Of outers laid together it is the most of the edges that make one.
func (c *checker) moved(q *pattern.Piece, edge int) float64 {
	if c.options.Before == nil {
		return 0
	}
	if refs, ok := c.wholes[q]; ok {
		most := 0.0
		for ref, k := range refs {
			if k == edge {
				most = math.Max(most, c.moved(ref.piece, ref.edge))
			}
		}
		return most
	}
	old, i := c.edgeBefore(q, edge)
	if old == nil {
		return 0
	}
	long, short := old.EdgePath(i), q.EdgePath(edge)
	if long.Length() < short.Length() {
		long, short = short, long
	}
	most := 0.0
	for _, d := range places(short.Length()) {
		p := short.PointAt(d)
		place, _ := long.Nearest(p)
		most = math.Max(most, long.At(place).Dist(p))
	}
	if most <= 0.01 {
		return 0
	}
	return most
}

// joinedBeside stands for an edge that lies on none of the outer, being sewn to
// another inner piece of its layer.
const joinedBeside = -2

// sewnBeside reports whether an edge is sewn to another piece of those that lie
// beside each other.
func (c *checker) sewnBeside(inner *pattern.Piece, i int, beside []string) bool {
	for _, w := range c.walks {
		for side := range w.sides {
			for _, own := range w.sides[side].Parts {
				if own.Piece != inner || own.Edge != i {
					continue
				}
				for _, other := range w.sides[1-side].Parts {
					if other.Piece != inner && slices.Contains(beside, other.Piece.Name) {
						return true
					}
				}
			}
		}
	}
	return false
}

// partner is the outer's edge that an inner piece's edge is sewn to or called
// as; hems belong together too.
func (c *checker) partner(inner *pattern.Piece, i int, outer *pattern.Piece) int {
	for _, w := range c.walks {
		for side := range w.sides {
			a, b := w.sides[side].Parts, w.sides[1-side].Parts
			if len(a) == 1 && len(b) == 1 && a[0].Piece == inner && a[0].Edge == i {
				if k := c.edgeOn(outer, b[0].Piece, b[0].Edge); k >= 0 {
					return k
				}
			}
		}
	}
	if k := namesake(inner, i, outer); k >= 0 {
		return k
	}
	if saidHem(inner.Edges[i]) {
		for k := range outer.Edges {
			if saidHem(outer.Edges[k]) {
				return k
			}
		}
	}
	return -1
}

// shapeWithin is the tolerance in mm with which outlines are laid over each
// other by their shape.
const shapeWithin = 0.5

func (c *checker) byShape(inner, outer *pattern.Piece) []geom.Motion {
	a, errA := outer.Outline()
	b, errB := inner.Outline()
	if errA != nil || errB != nil {
		return nil
	}
	best, others, err := match.LayOver(a.Ring, b.Ring, shapeWithin, match.Options{AllowMirror: true})
	if err != nil {
		return nil
	}
	motions := []geom.Motion{best.Motion}
	for _, o := range others {
		motions = append(motions, o.Motion)
	}
	return motions
}

// laying is what a piece is laid by: the outer's edge that each edge is known to
// belong to, what each counts with, by how much it was altered, the layer's declared
// differences, and where it is drawn sewn to other inner pieces.
type laying struct {
	known          []int
	weights, moved []float64
	differences    []pattern.Difference
	witnesses      []witness
}

// counts is what edge i counts with that lies so many mm off where it is meant to
// lie, within a tolerance.
func (y laying) counts(i int, off, tol float64) float64 {
	near := func(off float64) float64 { return 1 / (1 + (off/tol)*(off/tol)) }
	switch {
	case y.moved[i] == 0:
		return y.weights[i] * near(off)
	case y.known[i] < 0:
		return y.weights[i] * alteredShare * near(off)
	}
	return y.weights[i] * (alteredShare*near(off) + (1-alteredShare)*near(math.Max(0, off-y.moved[i])))
}

// declared lists by how much in mm, square to an edge of the outer at its middle, an
// inner piece is meant to be larger there: sums of what is declared, 0 among them.
func (y laying) declared(inner, outer *pattern.Piece, edge int) []float64 {
	v := layering{layer: pattern.Layer{Differences: y.differences}, outer: outer}
	path := outer.EdgePath(edge)
	return v.sumsOf(inner, edge, path.PointAt(path.Length()/2))
}

// laidBy lays the piece by a motion and says how much of it lies well: each
// edge counts with its weight, less the further it is off.
func (c *checker) laidBy(inner, outer *pattern.Piece, m geom.Motion, y laying) laid {
	l := laid{piece: inner, motion: m, meant: make([]float64, len(inner.Edges))}
	for i := range inner.Edges {
		path := inner.EdgePath(i).Moved(m)
		if m.Mirror {
			path = path.Reverse()
		}
		l.edges = append(l.edges, path)
	}
	for i, path := range l.edges {
		if k := y.known[i]; k >= 0 {
			l.sure += 2
			off, meant := c.offMeant(path, outer.EdgePath(k), y.declared(inner, outer, k)...)
			lies := y.counts(i, off, c.tol)
			l.fits, l.named, l.worst = l.fits+lies, l.named+lies, math.Max(l.worst, off)
			l.astray.add(off-y.moved[i], c.tol, inner.Edges[i].Fold && outer.Edges[k].Fold)
			if off <= c.tol {
				l.lie, l.meant[i] = l.lie+1, meant
			}
			if off <= pencilLine {
				l.exact++
			}
			continue
		}
		if y.known[i] == joinedBeside {
			continue
		}
		least := math.Inf(1)
		for k := range outer.Edges {
			least = math.Min(least, c.off(path, outer.EdgePath(k)))
		}
		l.fits += y.counts(i, least, c.tol)
		if least <= c.tol {
			l.sure++
		}
	}
	l.astray.leave(c.mostApart(l, y.witnesses), c.tol)
	return l
}

// off is the greatest distance in mm of a line from another; +Inf where it does not
// run beside it.
func (c *checker) off(path, on geom.Path) float64 {
	off, _ := c.offMeant(path, on, 0)
	return off
}

// offMeant is the greatest distance in mm of a line from where it is meant to lie
// off another, and which of the distances it may be meant to lie off is nearest;
// +Inf where it does not run beside it.
func (c *checker) offMeant(path, on geom.Path, meant ...float64) (off, nearest float64) {
	d, _, ok := apart(path, on)
	off = math.Inf(1)
	if !ok {
		return off, 0
	}
	for _, by := range meant {
		if more := math.Abs(d - by); more < off {
			off, nearest = more, by
		}
	}
	return off, nearest
}

// sameDirection is the cosine of the angle between lines up to which one may
// belong to the other.
var sameDirection = math.Cos(geom.Degrees(20))

// apart is the greatest distance of a line from another, in mm, positive to the
// left of the other, and where that is; over the places that lie beside the
// other. It is not ok where there are none, or the two do not run the same way.
func apart(path, on geom.Path) (off float64, where geom.Point, ok bool) {
	for _, d := range places(path.Length()) {
		q := path.PointAt(d)
		place, _ := on.Nearest(q)
		foot, way := on.At(place), on[place.Curve].Tangent(place.T)
		if v := q.Sub(foot); math.Abs(v.Dot(way)) > 1e-3*(1+v.Len()) {
			continue // beyond an end
		}
		if path.TangentAt(d).Dot(way) < sameDirection {
			continue
		}
		ok = true
		if s := q.Sub(foot).Dot(way.Left()); math.Abs(s) > math.Abs(off) {
			off, where = s, q
		}
	}
	return off, where, ok
}

// besides is how far in mm an edge that nothing names may lie from the outer's
// edge that it belongs to.
const besides = 30

// belongs says which edge of the outer each edge belongs to: the known one,
// else the nearest one that nothing else belongs to and that it runs along from
// end to end.
func (c *checker) belongs(l laid, outer *pattern.Piece, known []int) []int {
	on := slices.Clone(known)
	for i, path := range l.edges {
		if on[i] >= 0 {
			continue
		}
		least := besides + 1e-9
		for k := range outer.Edges {
			if slices.Contains(on, k) {
				continue
			}
			d, _, ok := apart(path, outer.EdgePath(k))
			if ok && math.Abs(d) < least && runsAlong(path, outer.EdgePath(k)) {
				least, on[i] = math.Abs(d), k
			}
		}
	}
	return on
}

// runsAlong reports whether the middle and, but for a tenth at either end, the
// whole of a line lie beside another and in its direction.
func runsAlong(path, on geom.Path) bool {
	length := path.Length()
	for _, share := range []float64{0.1, 0.3, 0.5, 0.7, 0.9} {
		q := path.PointAt(length * share)
		place, _ := on.Nearest(q)
		way := on[place.Curve].Tangent(place.T)
		v := q.Sub(on.At(place))
		if path.TangentAt(length*share).Dot(way) < sameDirection || math.Abs(v.Dot(way)) > 1e-3*(1+v.Len()) {
			return false
		}
	}
	return true
}
