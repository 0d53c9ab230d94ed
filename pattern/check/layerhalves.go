package check

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// layHalves finds how an inner piece lies on its outer of which one is drawn whole
// and of the other the half up to its fold: with its fold or centre line on that of
// the outer, and held against both halves. Any other is laid as lay does.
func (c *checker) layHalves(inner, outer *pattern.Piece, layer pattern.Layer) []laid {
	on, under, ok := centreLines(inner, outer)
	if !ok {
		if both, ok := c.layBoth(inner, outer, layer); ok {
			return both
		}
		return []laid{c.lay(inner, outer, layer)}
	}
	known := c.partners(inner, outer, layer)
	if inner.Cut == pattern.CutOne {
		for i := range known {
			if image := imageOf(inner, i, on); known[i] < 0 && image >= 0 && image != i && known[image] >= 0 {
				known[i] = joinedBeside // of the half that lies beyond the fold
			}
		}
	}
	by := laying{known: known, differences: layer.Differences, witnesses: c.witnesses(inner, known, layer.Inner)}
	by.weights, by.moved = c.weights(inner, outer, known)
	first := c.laidCentred(inner, outer, centredBeyond(inner, outer, on, under, known, layer), by)
	if first.sure < leastSure {
		return []laid{c.lay(inner, outer, layer)}
	}
	first.on, first.side, first.centre = c.belongs(first, outer, known), 1, under
	way := under.End().Sub(under.Start()).Unit()
	first = c.shifted(first, &layering{checker: c, layer: layer, outer: outer}, by, &way)
	by.known = otherKnown(inner, outer, on, under, known)
	by.weights, by.moved = c.weights(inner, outer, by.known)
	turn := under // what lies beyond the fold, of a whole inner piece beyond its own centre line
	if inner.Cut == pattern.CutOne {
		turn = on.Moved(first.motion)
	}
	second := c.laidBy(inner, outer, first.motion.Then(geom.MirrorIn(turn.Start(), turn.End())), by)
	second.on, second.side, second.centre, second.beyond = c.belongs(second, outer, by.known), 2, under, first.beyond
	for i, e := range inner.Edges {
		if e.Fold {
			first.on[i], second.on[i] = -1, -1
		}
	}
	return []laid{first, second}
}

// laidCentred is the best of the ways to lay an inner piece with its centre line on
// the outer's: as it is drawn, where it stays there.
func (c *checker) laidCentred(inner, outer *pattern.Piece, ways []centredWay, by laying) laid {
	first, drawn := laid{fits: -1}, laid{}
	for _, w := range ways {
		l := c.laidBy(inner, outer, w.motion, by)
		l.beyond = w.beyond
		if l.fits > first.fits+1e-6 {
			first = l
		}
		if !w.motion.Identity() {
			continue
		}
		if drawn = l; l.named > 0 && l.worst <= c.tol {
			break
		}
	}
	if c.staysDrawn(drawn, first) {
		return drawn
	}
	return first
}

// partners are the edges of the outer that those of an inner piece are known to
// belong to, as lay takes them.
func (c *checker) partners(inner, outer *pattern.Piece, layer pattern.Layer) []int {
	known := make([]int, len(inner.Edges))
	for i := range inner.Edges {
		known[i] = c.partner(inner, i, outer)
		if known[i] < 0 && c.sewnBeside(inner, i, layer.Inner) {
			known[i] = joinedBeside
		}
	}
	return known
}

// centreLines are the lines of an inner piece and its outer that lie on each other
// where one is drawn whole, to be cut once, and of the other a half: the half's fold,
// and of the whole the reference line that is called alike, else the line in which
// most of it is its own mirror image. ok is false where they are otherwise.
func centreLines(inner, outer *pattern.Piece) (on, under geom.Path, ok bool) {
	half, whole := inner, outer
	if inner.Cut == pattern.CutOne {
		half, whole = outer, inner
	}
	f := slices.IndexFunc(half.Edges, func(e pattern.Edge) bool { return e.Fold })
	if f < 0 || half.Cut != pattern.CutOnFold || whole.Cut != pattern.CutOne {
		return nil, nil, false
	}
	fold, centre := half.EdgePath(f), centreOf(whole, half.Edges[f].Name)
	if centre == nil {
		return nil, nil, false
	}
	if half == inner {
		return fold, centre, true
	}
	return centre, fold, true
}

// centreOf is the centre line of a piece that is drawn whole; nil where it has none.
func centreOf(q *pattern.Piece, name string) geom.Path {
	for _, l := range q.Lines {
		if l.Name == name && len(l.Path) == 1 && l.Path[0].IsStraight(0.01) {
			return l.Path
		}
	}
	return symmetry(q)
}

// mirroredShare is the share of an outline that has to be its own mirror image in a
// line for that to be its centre line: one of the sides may have been altered.
const mirroredShare = 0.6

// symmetry is the line in which most of a piece is its own mirror image, across the
// piece; nil where less than mirroredShare is. It is square to the middle between two
// corners, or runs through the two.
func symmetry(q *pattern.Piece) geom.Path {
	ring, _ := q.SharpRing()
	outline := geom.Path(ring)
	var best geom.Path
	most := mirroredShare
	for i, a := range q.Corners {
		for _, b := range q.Corners[i+1:] {
			middle, way := a.At.Add(b.At).Mul(0.5), b.At.Sub(a.At)
			if way.Len() < 1 {
				continue
			}
			for _, line := range []geom.Path{{geom.Line(middle, middle.Add(way.Left()))}, {geom.Line(a.At, b.At)}} {
				if share := mirrored(outline, line); share > most+1e-6 {
					best, most = line, share
				}
			}
		}
	}
	return best
}

// mirrored is the share of an outline that lies on it as its mirror image in a line.
func mirrored(outline, line geom.Path) float64 {
	const samples, within = 120, 0.5
	m, on := geom.MirrorIn(line.Start(), line.End()), 0
	for k := range samples {
		if _, d := outline.Nearest(m.Apply(outline.PointAt(outline.Length() * float64(k) / samples))); d <= within {
			on++
		}
	}
	return float64(on) / samples
}

// centreWithin is how far in mm a centre line may be drawn beside the outer's for the
// piece to be drawn in its place: a pencil line.
const centreWithin = 0.5

// sameShift is by how many mm two shifts along a centre line differ at most for one
// of them to be tried alone: far less than the tolerance of a layer.
const sameShift = 0.005

// centred are the ways to lay an inner piece with its centre line on the outer's: as
// they are drawn where they lie so, else shifted along it so that ends of the lines,
// or of edges that are known to belong together, meet.
func centred(inner, outer *pattern.Piece, on, under geom.Path, known []int) []geom.Motion {
	var ways []geom.Motion
	to := under.End().Sub(under.Start()).Unit()
	lies := func(p geom.Point) bool { return math.Abs(p.Sub(under.Start()).Dot(to.Left())) <= centreWithin }
	if lies(on.Start()) && lies(on.End()) {
		ways = append(ways, geom.Motion{})
	}
	for _, way := range []geom.Point{to, to.Mul(-1)} {
		for _, mirror := range []bool{false, true} {
			m := onto(on.Start(), on.End().Sub(on.Start()), under.Start(), way, mirror)
			var tried []float64
			shifted := func(from, at geom.Point) {
				by := at.Sub(m.Apply(from)).Dot(to)
				if !slices.ContainsFunc(tried, func(other float64) bool { return math.Abs(other-by) < sameShift }) {
					tried, ways = append(tried, by), append(ways, m.Then(geom.Motion{Shift: to.Mul(by)}))
				}
			}
			for _, from := range crossings(inner, on) {
				for _, at := range crossings(outer, under) {
					shifted(from, at)
				}
			}
			for i, k := range known {
				if k >= 0 {
					a, b := outer.EdgePath(k), inner.EdgePath(i)
					shifted(b.Start(), a.Start())
					shifted(b.End(), a.End())
				}
			}
		}
	}
	return ways
}

// crossings are the places where a centre line, run on, crosses the outline, and its
// own ends.
func crossings(q *pattern.Piece, line geom.Path) []geom.Point {
	ring, _ := q.SharpRing()
	found := []geom.Point{line.Start(), line.End()}
	way := line.End().Sub(line.Start())
	for _, c := range ring {
		for _, t := range c.MeetLine(line.Start(), line.Start().Add(way)) {
			found = append(found, c.At(t))
		}
	}
	return found
}

// otherKnown is known for the other half: of a whole outer the edge that is most like
// the mirror image of the known one, of a whole inner piece what its own edge on the
// other side is known as.
func otherKnown(inner, outer *pattern.Piece, on, under geom.Path, known []int) []int {
	other := make([]int, len(known))
	for i, k := range known {
		other[i] = k
		switch {
		case inner.Cut == pattern.CutOne:
			if image := imageOf(inner, i, on); image >= 0 {
				other[i] = known[image]
			}
		case k >= 0:
			other[i] = imageOf(outer, k, under)
		}
	}
	return other
}

// imageOf is the edge of a piece on which the mirror image of edge i in its centre
// line lies best, running the same way; −1 where none does.
func imageOf(q *pattern.Piece, i int, centre geom.Path) int {
	path := q.EdgePath(i).Moved(geom.MirrorIn(centre.Start(), centre.End())).Reverse()
	best, least := -1, math.Inf(1)
	for k := range q.Edges {
		on, off := q.EdgePath(k), 0.0
		for _, share := range []float64{0.1, 0.3, 0.5, 0.7, 0.9} {
			place, d := on.Nearest(path.PointAt(share * path.Length()))
			if on[place.Curve].Tangent(place.T).Dot(path.TangentAt(share*path.Length())) < 0 {
				d = math.Inf(1)
			}
			off += d
		}
		if off < least {
			best, least = k, off
		}
	}
	return best
}
