package render

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern/change"
	"toile/pattern/units"
)

// arrowShares are the places along an edge, as shares of its length, at which
// arrows show how it moved; on an edge too short for them the middle alone.
var arrowShares = []float64{0.5, 0.2, 0.8}

// leastForArrows is the length in letter sizes from which an edge has room for
// them.
const leastForArrows = 9

// edgeMoved draws how far an edge moved: one length along the grain, one
// length square to it, or a length that tapers from one end to the other, and
// the figures at both ends.
func (o *overlay) edgeMoved(c change.Change) {
	before, after := o.edgePaths(c)
	ends := endsOf(c)
	if len(before) == 0 || len(after) == 0 || ends == nil {
		return
	}
	length := before.Length()
	way := func(share float64) geom.Point { return o.moveAt(c, before, share, ends) }
	o.say(movedWords(o.drawing, c), before.PointAt(length/2).Add(way(0.5).Mul(0.5)), way(0.5).Unit().Left(), 0)
	last := &o.labels[len(o.labels)-1]
	for i, share := range arrowShares {
		if i > 0 && length < leastForArrows*o.pen.text {
			break
		}
		share = o.offGrain(before, share)
		from := before.PointAt(length * share)
		to := from.Add(way(share))
		if from.Dist(to) > 1e-6 {
			o.legend.use(legendMoved)
			o.arrow(from, to, purple, o.pen.wide)
			last.also = append(last.also, from, from.Lerp(to, 0.25), from.Lerp(to, 0.75), to)
		}
	}
	for k, at := range []geom.Point{before.Start(), before.End()} {
		o.movedEnd(c, at, way(float64(k)), ends[k], [2]geom.Point{before.StartTangent().Mul(-1), before.EndTangent()}[k])
	}
}

// taperedPart is a taper from a place within an edge as a move of the part beyond that.
func taperedPart(c change.Change) change.Change {
	length, ends := c.OldPath.Length(), [2]float64{0, c.Taper.By}
	from, to := c.Taper.Start, length
	if c.Taper.Far == 0 {
		from, to, ends = 0, length-c.Taper.Start, [2]float64{c.Taper.By, 0}
	}
	c.Kind, c.How, c.Ends, c.OldPath = change.EdgeMoved, change.HowTapered, &ends, c.OldPath.BetweenLengths(from, to)
	return c
}

// offGrain is the share of an edge's length nearest to a given one at which an
// arrow does not lie on the grain line.
func (o *overlay) offGrain(before geom.Path, share float64) float64 {
	if o.new == nil || o.new.piece.Grain == nil {
		return share
	}
	g := o.new.piece.Grain
	along := g.To.Sub(g.From).Unit()
	const step, tries = 0.04, 5
	for k := range tries {
		s := share + step*float64(k)
		if off := before.PointAt(before.Length() * s).Sub(g.From).Cross(along); math.Abs(off) > 0.8*o.pen.text {
			return s
		}
	}
	return share
}

// endsOf is how far both ends of a moved edge moved, nil where nothing says so.
func endsOf(c change.Change) *[2]float64 {
	if c.Ends == nil && c.By != nil {
		return &[2]float64{*c.By, *c.By}
	}
	return c.Ends
}

// moveAt is how far and whereto the place at a share of an edge's length moved.
func (o *overlay) moveAt(c change.Change, before geom.Path, share float64, ends *[2]float64) geom.Point {
	length := before.Length()
	if c.How == change.HowShifted && o.old != nil {
		down := o.old.piece.GrainDirection()
		if down.Dot(before.TangentAt(length/2).Left()) < 0 {
			down = down.Mul(-1)
		}
		return down.Mul(ends[0])
	}
	square := before.TangentAt(length * share).Left()
	if share == 0 {
		square = before.StartTangent().Left()
	}
	return square.Mul(ends[0] + (ends[1]-ends[0])*share)
}

// movedWords name an edge that moved and by how much; a taper has its figures
// at its ends.
func movedWords(d *drawing, c change.Change) string {
	if c.By == nil || c.How == change.HowTapered || c.Ends != nil {
		return named(c, "tapered")
	}
	return named(c, d.signed(*c.By))
}

// movedEnd dimensions an end of an edge that moved, on the side away from the
// edge. Where a neighbour was cut or run on, that is the figure of the end; a
// taper has its own.
func (o *overlay) movedEnd(c change.Change, at, way geom.Point, amount float64, side geom.Point) {
	tapered, runs := c.How == change.HowTapered || c.Ends != nil, o.runsAt(at)
	switch {
	case tapered && math.Abs(amount) < leastAmount:
		o.say("as it was", at, side, 1)
	case tapered && runs:
		o.dimension(at, at.Add(way), side, beyondOff*o.pen.text, named(c, o.signed(amount)))
	case tapered:
		o.dimension(at, at.Add(way), side, dimensionOff*o.pen.text, named(c, o.signed(amount)))
	case !runs:
		o.dimension(at, at.Add(way), side, dimensionOff*o.pen.text, named(c, o.amount(amount)))
	}
}

// runsAt reports whether an edge was cut or run on at a corner.
func (o *overlay) runsAt(corner geom.Point) bool {
	return slices.ContainsFunc(o.diff.Changes, func(c change.Change) bool {
		return c.Kind == change.EdgeRun && c.By != nil && c.At != nil && c.At.Point().Dist(corner) < 1e-3
	})
}

// edgeSwung draws the pivot and its distance along the edge, the two
// directions to the far end, the angle and the chord.
func (o *overlay) edgeSwung(c change.Change) {
	if c.Pivot == nil {
		return
	}
	pivot := c.Pivot.Point()
	o.pivot(pivot)
	before, after := o.edgePaths(c)
	if len(before) == 0 || c.Turn == nil {
		return
	}
	far := swungEnd(c, before, after)
	turn, radius, reached := swungTurn(c, before, far), far.Dist(pivot), reachedEnd(c, before, far)
	if middle := pivot.Lerp(far, 0.5); !near(before, middle, o.pen.text/4) { // else the outlines show it
		for _, end := range []geom.Point{far, reached} {
			o.line(pivot, end, o.narrowLine()...)
			o.drawn = append(o.drawn, segment{pivot, end})
		}
	}
	if c.By != nil {
		o.moved(far, reached, named(c, o.signed(*c.By)))
	}
	o.reachesTo(after, far == before.End(), reached)
	start := far.Sub(pivot).Angle()
	o.angleArc(pivot, radius*0.55, start, turn)
	middle := pivot.Add(geom.Pt(radius*0.55, 0).Turn(start + turn/2))
	o.say(units.FormatAngle(math.Abs(turn)), middle, geom.Pt(1, 0).Turn(start+turn/2), 0)
	o.sayPivot(c, before, pivot, far == before.End())
}

// reachesTo leads a swung edge that was cut shorter as well on to where its end
// would lie, so that the arrow of the swing points to something.
func (o *overlay) reachesTo(after geom.Path, atEnd bool, reached geom.Point) {
	if len(after) == 0 {
		return
	}
	end, way := after.Start(), after.StartTangent().Mul(-1)
	if atEnd {
		end, way = after.End(), after.EndTangent()
	}
	on := reached.Sub(end)
	if on.Len() < 0.3*o.pen.text || on.Dot(way) < 0.9*on.Len() {
		return
	}
	o.line(end, reached, o.dashedLine(o.pen.narrow)...)
	o.drawn = append(o.drawn, segment{end, reached})
}

// swungTurn is the turn of a swing, clockwise positive. Outward is positive in
// a change: to the left of the way clockwise round the piece, so anticlockwise
// where the edge runs from the pivot to its far end.
func swungTurn(c change.Change, before geom.Path, far geom.Point) float64 {
	if far == before.End() {
		return -geom.Degrees(*c.Turn)
	}
	return geom.Degrees(*c.Turn)
}

// reachedEnd is where a swing brings the far end.
func reachedEnd(c change.Change, before geom.Path, far geom.Point) geom.Point {
	pivot := c.Pivot.Point()
	return pivot.Add(far.Sub(pivot).Turn(swungTurn(c, before, far)))
}

// leastOff is the distance in mm from which a pivot does not lie at the end of
// its edge.
const leastOff = 0.5

// sayPivot says how far the pivot lies from the end that stays, which is told
// by the neighbour there.
func (o *overlay) sayPivot(c change.Change, before geom.Path, pivot geom.Point, fromStart bool) {
	at, _ := before.Nearest(pivot)
	along := before.LengthTo(at)
	out := before.TangentAt(along).Left()
	step := -1
	if !fromStart {
		along, step = before.Length()-along, 1
	}
	if along <= leastOff || o.old == nil || len(c.Edges) == 0 {
		return
	}
	n := len(o.old.piece.Edges)
	if i := edgeIndex(o.old.piece, c.Edges[0]); i >= 0 {
		o.say("pivot "+o.amount(along)+" from "+o.old.piece.Edges[(i+step+n)%n].Name, pivot, out, 2)
	}
}

// swungEnd is the old far end of a swung edge: the one the change names, else
// the one that moved further. A pivot amid the edge may lie nearer to it than
// to the end that stays.
func swungEnd(c change.Change, before, after geom.Path) geom.Point {
	start, end := before.Start(), before.End()
	var stays bool
	switch {
	case c.At != nil:
		at := c.At.Point()
		stays = at.Dist(start) > at.Dist(end)
	case len(after) > 0:
		stays = start.Dist(after.Start()) < end.Dist(after.End())
	default:
		stays = start.Dist(c.Pivot.Point()) < end.Dist(c.Pivot.Point())
	}
	if stays {
		return end
	}
	return start
}

// near reports whether a path passes a place within a distance.
func near(path geom.Path, at geom.Point, within float64) bool {
	_, dist := path.Nearest(at)
	return dist <= within
}

// edgeRun dimensions by how much an edge was cut or run on, along the edge.
func (o *overlay) edgeRun(c change.Change) {
	before, after := o.edgePaths(c)
	if c.By == nil || len(before) == 0 || len(after) == 0 {
		return
	}
	atEnd := before.Start().Dist(after.Start()) <= before.End().Dist(after.End())
	if c.At != nil {
		atEnd = c.At.Point().Dist(before.End()) < c.At.Point().Dist(before.Start())
	}
	path := after
	if *c.By < 0 {
		path = before
	}
	length, by := path.Length(), math.Abs(*c.By)
	stretch := path.BetweenLengths(0, math.Min(by, length))
	if atEnd {
		stretch = path.BetweenLengths(math.Max(length-by, 0), length)
	}
	o.dimensionAlong(stretch, dimensionOff*o.pen.text, named(c, runWords(c, o.amount(*c.By))))
}

// runWords say how an edge was cut or run on.
func runWords(c change.Change, amount string) string {
	if *c.By < 0 {
		return "cut " + amount + " shorter"
	}
	if c.How == change.HowDrawn {
		return "drawn on by " + amount
	}
	return "runs on by " + amount
}

// edgeRedrawn points out where the edge departs most from what it was. One
// that is new, or gone, is measured from the other outline.
func (o *overlay) edgeRedrawn(c change.Change) {
	before, after := o.edgePaths(c)
	if c.Max == nil || c.At == nil {
		return
	}
	words := "redrawn, up to "
	switch {
	case len(before) == 0 && len(after) == 0:
		o.say(named(c, words+o.amount(*c.Max)), c.At.Point(), geom.Point{}, 0)
		return
	case len(before) == 0 && len(c.From) == 1:
		middle := after.Length() / 2
		along := after.TangentAt(middle)
		o.sayAlong(named(c, "new, up to "+o.amount(*c.Max)+" from "+c.From[0].Edge), after.PointAt(middle), along, along.Right(), 0.5*o.pen.text, 0)
		return
	case len(before) == 0:
		words, before = "new, up to ", o.old.sharp()
	case len(after) == 0:
		words, after = "gone, up to ", o.new.sharp()
	}
	words = named(c, words+o.amount(*c.Max))
	at := c.At.Point()
	if len(before) == 0 || len(after) == 0 {
		o.say(words, at, geom.Point{}, 0)
		return
	}
	from, fromFar := before.Nearest(at)
	to, toFar := after.Nearest(at)
	a, b := before.At(from), after.At(to)
	if fromFar < toFar { // the place is on the old edge: measure from there
		to, _ = after.Nearest(a)
		b = after.At(to)
	} else {
		from, _ = before.Nearest(b)
		a = before.At(from)
	}
	o.moved(a, b, words)
}
