package render

import (
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// changes draws each change of a piece. What lacks the figures it needs is
// told in words only.
func (d *drawing) changes(p change.PieceDiff, old, new *shape) {
	for _, c := range p.Changes {
		d.group(attr("class", "change "+string(c.Kind)))
		d.change(c, old, new)
		d.ungroup()
	}
}

func (d *drawing) change(c change.Change, old, new *shape) {
	switch c.Kind {
	case change.EdgeMoved:
		d.edgeMoved(c, old, new)
	case change.EdgeSwung:
		d.edgeSwung(c, old, new)
	case change.EdgeRun:
		d.edgeRun(c, old, new)
	case change.EdgeRedrawn:
		d.edgeRedrawn(c, old, new)
	case change.CornerRounded, change.CornerRestored:
		d.corner(c, old, new)
	case change.NotchMoved, change.NotchAdded, change.NotchRemoved:
		d.notchChange(c, old, new)
	case change.MarkMoved, change.MarkAdded, change.MarkRemoved, change.MarkChanged:
		d.markChange(c, old, new)
	case change.AllowanceChanged:
		d.edgeSaying(c, old, new, allowanceWords(c)+beforeAfter(c))
	case change.GrainTurned:
		d.grainTurned(c, old, new)
	case change.NameChanged:
		d.edgeSaying(c, old, new, "now "+c.After)
	}
}

func beforeAfter(c change.Change) string { return plain(c.Before) + " → " + plain(c.After) }

// allowanceWords names the set where the change does.
func allowanceWords(c change.Change) string {
	if c.How == "" {
		return "allowance "
	}
	return plain(c.How) + " allowance "
}

// edgePaths returns the changed edge before and after, nil where it is not
// there.
func edgePaths(c change.Change, old, new *shape) (before, after geom.Path) {
	before, after = c.OldPath, c.NewPath
	if len(c.Edges) == 0 {
		return before, after
	}
	name := c.Edges[0]
	if before == nil {
		before = old.edge(name)
	}
	if after == nil && old != nil {
		if i := edgeIndex(old.piece, name); i >= 0 {
			after = new.edgeByID(old.piece.Edges[i].ID)
		}
	}
	if after == nil {
		after = new.edge(name)
	}
	return before, after
}

func edgeIndex(p *pattern.Piece, name string) int {
	for i := range p.Edges {
		if p.Edges[i].Name == name {
			return i
		}
	}
	return -1
}

// named puts the edge's name before a figure.
func named(c change.Change, figure string) string {
	if len(c.Edges) == 0 {
		return figure
	}
	return c.Edges[0] + " " + figure
}

// edgeMoved draws an arrow at the edge's middle and a dimension at both ends.
func (d *drawing) edgeMoved(c change.Change, old, new *shape) {
	before, after := edgePaths(c, old, new)
	if len(before) == 0 || len(after) == 0 {
		return
	}
	middle := before.PointAt(before.Length() / 2)
	place, _ := after.Nearest(middle)
	if c.By != nil {
		d.moved(middle, after.At(place), named(c, d.sheet.Unit.FormatSigned(*c.By)))
	}
	ends := c.Ends
	if ends == nil && c.By != nil {
		ends = &[2]float64{*c.By, *c.By}
	}
	if ends == nil {
		return
	}
	d.endDimension(before.Start(), after.Start(), before.StartTangent(), -1, ends[0])
	d.endDimension(before.End(), after.End(), before.EndTangent(), 1, ends[1])
}

// endDimension measures the move of an edge's end, on the side away from the
// edge. The figure is the amount square to the edge, so the dimension is drawn
// square to it too unless the end itself moved just that far.
func (d *drawing) endDimension(from, to, along geom.Point, sign, amount float64) {
	if math.Abs(amount) < 1e-6 {
		return
	}
	way := to.Sub(from)
	if math.Abs(way.Len()-math.Abs(amount)) > 0.005*math.Abs(amount) {
		to = from.Add(along.Left().Mul(amount))
	}
	d.dimension(from, to, along.Mul(sign), 2*d.pen.text, d.sheet.Unit.Format(math.Abs(amount)))
}

// edgeSwung draws the pivot, the two directions to the far end, the angle and
// the amount.
func (d *drawing) edgeSwung(c change.Change, old, new *shape) {
	if c.Pivot == nil {
		return
	}
	pivot := c.Pivot.Point()
	d.pivot(pivot)
	before, after := edgePaths(c, old, new)
	if len(before) == 0 || c.Turn == nil {
		return
	}
	far := swungEnd(c, before, after)
	// Outward is positive: to the left of the way clockwise round the piece, so
	// anticlockwise where the edge runs from the pivot to its far end.
	turn := geom.Degrees(*c.Turn)
	if far == before.End() {
		turn = -turn
	}
	radius := far.Dist(pivot)
	reached := pivot.Add(far.Sub(pivot).Turn(turn))
	if middle := pivot.Lerp(far, 0.5); !near(before, middle, d.pen.text/4) { // else the outlines show it
		for _, end := range []geom.Point{far, reached} {
			d.line(pivot, end, d.narrowLine()...)
			d.drawn = append(d.drawn, segment{pivot, end})
		}
	}
	start := far.Sub(pivot).Angle()
	d.angleArc(pivot, radius*0.55, start, turn)
	middle := pivot.Add(geom.Pt(radius*0.55, 0).Turn(start + turn/2))
	d.say(units.FormatAngle(math.Abs(turn)), middle, far.Sub(pivot).Unit(), 0)
	if c.By != nil {
		d.moved(far, reached, named(c, d.sheet.Unit.FormatSigned(*c.By)))
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

// edgeRun dimensions by how much an edge was cut or run on, unless the change
// that caused it is dimensioned there already.
func (d *drawing) edgeRun(c change.Change, old, new *shape) {
	before, after := edgePaths(c, old, new)
	if c.By == nil || c.CausedBy != "" || len(before) == 0 || len(after) == 0 {
		return
	}
	from, to, along := before.End(), after.End(), before.EndTangent()
	if s := before.Start().Dist(after.Start()); s > from.Dist(to) {
		from, to, along = before.Start(), after.Start(), before.StartTangent()
	}
	d.dimension(from, to, along.Left(), 2*d.pen.text, named(c, d.sheet.Unit.FormatSigned(*c.By)))
}

// edgeRedrawn points out where the edge departs most from what it was.
func (d *drawing) edgeRedrawn(c change.Change, old, new *shape) {
	before, after := edgePaths(c, old, new)
	if c.Max == nil || c.At == nil {
		return
	}
	at := c.At.Point()
	if len(before) == 0 || len(after) == 0 { // an edge on one side only
		d.say(named(c, "redrawn"), at, geom.Point{}, 0)
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
	d.moved(a, b, named(c, "redrawn, at most "+d.sheet.Unit.Format(*c.Max)))
}

// corner shows a rounding: the centre, a radius to the middle of the arc and
// its figure, before and after where both were round.
func (d *drawing) corner(c change.Change, old, new *shape) {
	if c.At == nil || c.Radius == nil {
		return
	}
	at := c.At.Point()
	was, is := c.Radius[0], c.Radius[1]
	text := "radius " + d.sheet.Unit.Format(is)
	switch {
	case is == 0:
		text = "sharp again, was radius " + d.sheet.Unit.Format(was)
	case was != 0:
		text = "radius " + d.sheet.Unit.Format(was) + " → " + d.sheet.Unit.Format(is)
	}
	s := new
	if is == 0 {
		s = old
	}
	d.radius(s, at, text)
}

// radius draws centre and radius of the rounding whose sharp corner is nearest
// to at, and says text there.
func (d *drawing) radius(s *shape, at geom.Point, text string) {
	if s == nil {
		return
	}
	best, dist := -1, math.Inf(1)
	for i, c := range s.piece.Corners {
		if _, round := s.outline.Radius[i]; round && c.At.Dist(at) < dist {
			best, dist = i, c.At.Dist(at)
		}
	}
	if best < 0 || len(s.outline.Radius[best]) == 0 {
		d.say(text, at, geom.Point{}, 0)
		return
	}
	d.radiusOf(s, best, text)
}

// radiusOf draws the radius of corner i.
func (d *drawing) radiusOf(s *shape, i int, text string) {
	arc, r := s.outline.Radius[i], s.piece.Corners[i].Round
	middle := arc.PointAt(arc.Length() / 2)
	along := arc.TangentAt(arc.Length() / 2)
	in := along.Right()
	if geom.AngleBetween(arc.StartTangent(), arc.EndTangent()) < 0 {
		in = along.Left()
	}
	centre := middle.Add(in.Mul(r))
	d.legend.use(legendRadius)
	d.cross(centre, 0.3*d.pen.text, d.narrowLine())
	d.arrow(centre, middle, black, d.pen.narrow)
	d.say(text, middle, in.Mul(-1), 1)
}

// notchChange shows a notch where it was, hollow, and where it is.
func (d *drawing) notchChange(c change.Change, old, new *shape) {
	from, fromAlong, was := notchOf(old, c.Notch)
	to, toAlong, is := notchOf(new, c.Notch)
	if was != nil && c.Kind != change.NotchAdded {
		d.notch(from, fromAlong, was.Count, d.pen.tick, true)
	}
	name := plain(c.Notch)
	switch {
	case c.Kind == change.NotchMoved && was != nil && is != nil:
		off := d.pen.tick * 0.6
		text := name
		if c.By != nil {
			text += " " + d.sheet.Unit.FormatSigned(*c.By)
		}
		d.moved(from.Add(fromAlong.Left().Mul(off)), to.Add(toAlong.Left().Mul(off)), text)
	case c.Kind == change.NotchAdded && is != nil:
		d.say(name+", added", to.Add(toAlong.Left().Mul(d.pen.tick)), toAlong.Left(), 1)
	case c.Kind == change.NotchRemoved && was != nil:
		d.say(name+", removed", from.Add(fromAlong.Left().Mul(d.pen.tick)), fromAlong.Left(), 1)
	case c.At != nil:
		d.say(name, c.At.Point(), geom.Point{}, 1)
	}
}

func notchOf(s *shape, name string) (at, along geom.Point, n *pattern.Notch) {
	if s == nil {
		return
	}
	i := s.piece.NotchByName(name)
	if i < 0 {
		return
	}
	at, along, _, err := s.piece.NotchPlace(s.piece.Notches[i])
	if err != nil {
		return geom.Point{}, geom.Point{}, nil
	}
	return at, along, &s.piece.Notches[i]
}

// markChange shows a mark where it was, in a chain line, and where it is. Of
// marks of one name the one nearest to the place the change gives counts.
func (d *drawing) markChange(c change.Change, old, new *shape) {
	var at, by geom.Point
	if c.At != nil {
		at = c.At.Point()
	}
	if c.ByVector != nil {
		by = c.ByVector.Point()
	}
	from, was := markOf(old, c.Mark, at.Sub(by))
	to, is := markOf(new, c.Mark, at)
	name := c.Mark
	if name == "" {
		name = c.Notch
	}
	if was != nil && (c.Kind == change.MarkMoved || c.Kind == change.MarkRemoved) && was.Kind != pattern.MarkText {
		d.mark(old, *was, true)
	}
	place, found := to, is != nil
	if c.Kind == change.MarkRemoved {
		place, found = from, was != nil
	}
	if !found { // a reference line, or a notch cut otherwise
		place, found = at, c.At != nil
	}
	if !found {
		return
	}
	if c.Kind == change.MarkMoved && c.ByVector != nil {
		d.moved(place.Sub(by), place, name+" "+d.sheet.Unit.Format(by.Len()))
		return
	}
	word := map[change.Kind]string{change.MarkAdded: "added", change.MarkRemoved: "removed"}[c.Kind]
	if word == "" {
		word = "changed"
	}
	if name != "" {
		word = name + ", " + word
	}
	d.say(word, place, geom.Point{}, 1)
}

// markOf finds a mark by name, the nearest to a place where several have it.
func markOf(s *shape, name string, near geom.Point) (place geom.Point, found *pattern.Mark) {
	if s == nil {
		return geom.Point{}, nil
	}
	for i := range s.piece.Marks {
		m := &s.piece.Marks[i]
		if m.Name != name || name == "" && m.Kind == pattern.MarkText {
			continue
		}
		if at, ok := s.markPlace(*m); ok && (found == nil || at.Dist(near) < place.Dist(near)) {
			place, found = at, m
		}
	}
	return place, found
}

// edgeSaying writes along the edge it is about.
func (d *drawing) edgeSaying(c change.Change, old, new *shape, text string) {
	before, after := edgePaths(c, old, new)
	path := after
	if len(path) == 0 {
		path = before
	}
	if len(path) == 0 {
		return
	}
	half := path.Length() / 2
	along := path.TangentAt(half)
	d.sayAlong(named(c, text), path.PointAt(half), along, along.Left(), 0.5*d.pen.text, 1)
}

// grainTurned shows the old grain in a chain line and the angle.
func (d *drawing) grainTurned(c change.Change, old, new *shape) {
	if old != nil && old.piece.Grain != nil {
		d.grain(old.piece.Grain, true)
	}
	if new == nil || new.piece.Grain == nil {
		return
	}
	g := new.piece.Grain
	d.say("grain "+beforeAfter(c), g.From.Lerp(g.To, 0.5), g.To.Sub(g.From).Unit().Left(), 1)
}
