package check

import (
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

// edgeRef is an edge of a stored piece.
type edgeRef struct {
	piece *pattern.Piece
	edge  int
}

// wholeEdge is an edge of outers laid together, and the edges that make it.
type wholeEdge struct {
	corner pattern.Corner // at its start
	edge   pattern.Edge
	path   geom.Path
	from   []edgeRef
}

// laidTogether are the layers that begin with layer i of those left: itself
// and each that shares an inner piece with it and whose outer can be laid to
// its outer along a seam, as where an outer was split under its facing. Their
// outers are one, and they are one layer. The others stay in rest.
func (c *checker) laidTogether(l pattern.Layer, left []pattern.Layer) (layering, []pattern.Layer) {
	v := layering{checker: c, layer: l, outer: c.piece(l.Outer), outers: []string{l.Outer}}
	v.layer.Inner, v.layer.Differences = slices.Clone(l.Inner), slices.Clone(l.Differences)
	whole := wholeOf(v.outer)
	for k := 0; k < len(left); k++ {
		o := left[k]
		shared := func(name string) bool { return slices.Contains(v.layer.Inner, name) }
		if !slices.ContainsFunc(o.Inner, shared) || slices.Contains(v.outers, o.Outer) {
			continue
		}
		joined, ok := c.laidTo(whole, c.piece(o.Outer), o.Inner[slices.IndexFunc(o.Inner, shared)])
		if !ok {
			continue
		}
		whole = joined
		v.outers = append(v.outers, o.Outer)
		for _, name := range o.Inner {
			if !slices.Contains(v.layer.Inner, name) {
				v.layer.Inner = append(v.layer.Inner, name)
			}
		}
		for _, d := range o.Differences {
			if !slices.Contains(v.layer.Differences, d) {
				v.layer.Differences = append(v.layer.Differences, d)
			}
		}
		left = slices.Delete(slices.Clone(left), k, k+1)
		k = -1 // what was passed over may lie on what was added
	}
	if len(v.outers) > 1 {
		v.outer = c.wholePiece(whole, v.outer, v.outers)
	}
	v.used = make([]bool, len(v.layer.Differences))
	return v, left
}

// wholeOf is a piece as outers laid together begin.
func wholeOf(q *pattern.Piece) []wholeEdge {
	var whole []wholeEdge
	for i := range q.Edges {
		whole = append(whole, wholeEdge{q.Corners[i], q.Edges[i], q.EdgePath(i), []edgeRef{{q, i}}})
	}
	return whole
}

// laidTo lays a further outer to those laid together, along a seam of one
// whole edge each that fits within the tolerance, across which an inner piece of both
// may lie. Edges of one name that run
// on smoothly across it are one edge.
func (c *checker) laidTo(whole []wholeEdge, q *pattern.Piece, inner string) ([]wholeEdge, bool) {
	for _, w := range c.walks {
		if _, _, ok := w.seam.SewsTwo(); !ok || c.p.LiesElsewhere(inner, w.seam) {
			continue
		}
		for side := range w.sides {
			a, b := w.sides[side].Parts[0], w.sides[1-side].Parts[0]
			if b.Piece != q || a.Piece == q {
				continue
			}
			i := slices.IndexFunc(whole, func(e wholeEdge) bool { return slices.Equal(e.from, []edgeRef{{a.Piece, a.Edge}}) })
			if i < 0 {
				continue
			}
			if motion, ok := c.congruent(whole[i].path, q.EdgePath(b.Edge).Reverse()); ok {
				return joinedAt(whole, i, wholeOf(q.Moved(motion)), wholeOf(q), b.Edge), true
			}
		}
	}
	return nil, false
}

// congruent finds the motion that takes one line onto another, without turning
// it over, to within the tolerance.
func (c *checker) congruent(on, path geom.Path) (geom.Motion, bool) {
	const samples = 16
	var from, to []geom.Point
	for k := range samples + 1 {
		f := float64(k) / samples
		from, to = append(from, path.PointAt(f*path.Length())), append(to, on.PointAt(f*on.Length()))
	}
	motion := geom.FitMotion(from, to, false)
	for k := range from {
		if motion.Apply(from[k]).Dist(to[k]) > c.tol {
			return motion, false
		}
	}
	return motion, true
}

// joinedAt is the outline of both without the edges i and j along which they
// lie; stored says which edges the laid ones are.
func joinedAt(whole []wholeEdge, i int, laid, stored []wholeEdge, j int) []wholeEdge {
	var out []wholeEdge
	add := func(edges []wholeEdge, after int) {
		for k := 1; k < len(edges); k++ {
			out = append(out, edges[(after+k)%len(edges)])
		}
	}
	for k := range laid {
		laid[k].from = stored[k].from
	}
	add(whole, i)
	second := len(out)
	add(laid, j)
	if out[second].path.Start().Dist(out[second-1].path.End()) > 0 { // a seam fits within the tolerance
		out[second].path = startingAt(out[second].path, out[second-1].path.End())
	}
	last := len(out) - 1
	out[0].path = startingAt(out[0].path, out[last].path.End())
	if runOn(out[last], out[0]) {
		out[0] = oneEdge(out[last], out[0])
		out = out[:last]
		second = min(second, len(out)-1)
	}
	if second > 0 && runOn(out[second-1], out[second]) {
		out[second-1] = oneEdge(out[second-1], out[second])
		out = slices.Delete(out, second, second+1)
	}
	return out
}

// startingAt is a line with its start moved onto a point near it.
func startingAt(p geom.Path, at geom.Point) geom.Path {
	q := slices.Clone(p)
	if q[0].IsStraight(1e-6) {
		q[0] = geom.Line(at, q[0].P3)
	} else {
		q[0].P0 = at
	}
	return q
}

// smoothTurn is the turn in radians up to which a line runs on smoothly across
// a seam, as in joining.
var smoothTurn = geom.Degrees(0.5)

func runOn(a, b wholeEdge) bool {
	return a.edge.Name == b.edge.Name && math.Abs(geom.AngleBetween(a.path.EndTangent(), b.path.StartTangent())) <= smoothTurn
}

func oneEdge(a, b wholeEdge) wholeEdge {
	a.path, a.from = slices.Concat(a.path, b.path), slices.Concat(a.from, b.from)
	return a
}

// wholePiece makes a piece of outers laid together, called by all of them, on
// the sheet of the first. What names an edge of one of them is found on it.
func (c *checker) wholePiece(whole []wholeEdge, first *pattern.Piece, names []string) *pattern.Piece {
	p := first.Clone()
	p.Name = strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
	p.Corners, p.Edges, p.Notches, p.Marks = nil, nil, nil, nil
	if c.wholes == nil {
		c.wholes = map[*pattern.Piece]map[edgeRef]int{}
	}
	c.wholes[p] = map[edgeRef]int{}
	for k, e := range whole {
		e.corner.At = e.path.Start()
		e.edge.SetPath(e.path)
		p.Corners, p.Edges = append(p.Corners, e.corner), append(p.Edges, e.edge)
		for _, ref := range e.from {
			c.wholes[p][ref] = k
		}
	}
	return p
}

// edgeOn is the edge of an outer that an edge of a stored piece is, −1 where it
// is none of it.
func (c *checker) edgeOn(outer, q *pattern.Piece, edge int) int {
	if q == outer {
		return edge
	}
	if k, ok := c.wholes[outer][edgeRef{q, edge}]; ok {
		return k
	}
	return -1
}
