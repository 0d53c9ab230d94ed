package render

import (
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// corner shows a rounding: the centre, a radius to the middle of the arc and
// its figure; where both were round the old one as well, in a chain line.
func (o *overlay) corner(c change.Change) {
	if c.At == nil || c.Radius == nil {
		return
	}
	was, is := c.Radius[0], c.Radius[1]
	text := "radius " + o.amount(is)
	s := o.new
	switch {
	case is == 0:
		text, s = "sharp again, "+o.oldLabel()+" radius "+o.amount(was), o.old
	case was != 0:
		text += ", " + o.oldLabel() + " " + o.amount(was)
	}
	i := o.roundedCorner(s, c)
	if i < 0 {
		o.say(text, c.At.Point(), geom.Point{}, 0)
		return
	}
	if is == 0 {
		o.radius(s, i, o.chainLine())
	} else {
		o.radius(s, i, o.narrowLine())
	}
	_, middle, in := s.rounding(i)
	o.say(text, middle, in.Mul(-1), 1)
	if k := o.roundedCorner(o.old, c); k >= 0 && is != 0 && was != 0 {
		o.radius(o.old, k, o.chainLine())
	}
}

// roundedCorner is the corner that a change is about, where it is round: the
// one between the two edges, else the nearest; −1 for none.
func (o *overlay) roundedCorner(s *shape, c change.Change) int {
	if s == nil || c.At == nil {
		return -1
	}
	if len(c.Edges) == 2 {
		i := edgeIndex(s.piece, c.Edges[1])
		if s == o.new {
			i = o.edgeNow(c.Edges[1])
		}
		if i >= 0 && len(s.outline.Radius[i]) > 0 {
			return i
		}
	}
	best, dist := -1, math.Inf(1)
	for i, k := range s.piece.Corners {
		if far := k.At.Dist(c.At.Point()); len(s.outline.Radius[i]) > 0 && far < dist {
			best, dist = i, far
		}
	}
	return best
}

// rounding is the centre of the rounding of corner i, the middle of its arc,
// and the unit vector from there to the centre.
func (s *shape) rounding(i int) (centre, middle, in geom.Point) {
	arc := s.outline.Radius[i]
	half := arc.Length() / 2
	middle, in = arc.PointAt(half), arc.TangentAt(half).Right()
	if geom.AngleBetween(arc.StartTangent(), arc.EndTangent()) < 0 {
		in = in.Mul(-1)
	}
	return middle.Add(in.Mul(s.piece.Corners[i].Round)), middle, in
}

// radius draws the centre and a radius of the rounding of corner i.
func (d *drawing) radius(s *shape, i int, line []string) {
	centre, middle, _ := s.rounding(i)
	way := middle.Sub(centre)
	length := math.Min(d.pen.head, way.Len()*0.7)
	d.legend.use(legendRadius)
	d.cross(centre, 0.3*d.pen.text, d.narrowLine())
	d.line(centre, middle.Sub(way.Unit().Mul(length*0.8)), line...)
	d.head(middle, way, length, black)
	d.drawn = append(d.drawn, segment{centre, middle})
}

// notchChange shows a notch where it was, hollow, and where it is.
func (o *overlay) notchChange(c change.Change) {
	from, fromAlong, was := notchOf(o.old, c.Notch)
	to, toAlong, is := notchOf(o.new, c.Notch)
	if was != nil && c.Kind != change.NotchAdded {
		o.notch(from, fromAlong, was.Count, o.pen.tick, true)
	}
	name := plain(c.Notch)
	switch {
	case c.Kind == change.NotchMoved && was != nil && is != nil:
		o.notchMoved(c, was, is)
	case c.Kind == change.NotchAdded && is != nil:
		o.say(name+", "+o.only(1)+", "+o.notchWords(is), to.Add(toAlong.Left().Mul(o.pen.tick)), toAlong.Left(), 1)
	case c.Kind == change.NotchRemoved && was != nil:
		o.say(name+", "+o.only(0)+", "+o.notchWas(was), from.Add(fromAlong.Left().Mul(o.pen.tick)), fromAlong.Left(), 1)
	case c.At != nil:
		o.say(name, c.At.Point(), geom.Point{}, 1)
	}
}

// notchWords say where on its edge a notch sits.
func (o *overlay) notchWords(n *pattern.Notch) string {
	if n.FromEnd {
		return o.amount(n.At) + " from the end"
	}
	return o.amount(n.At) + " from the start"
}

// notchWas is notchWords for a notch that is gone: counted from the start, as
// nobody measures from it any more.
func (o *overlay) notchWas(n *pattern.Notch) string {
	_, _, along, err := o.old.piece.NotchPlace(*n)
	if err != nil {
		return "elsewhere"
	}
	return o.amount(along) + " from the start"
}

// notchMoved draws the way a notch went: along the edge as it is now, as far
// as it moved along it, outside of the notches' feet.
func (o *overlay) notchMoved(c change.Change, was, is *pattern.Notch) {
	to, along, place, _ := o.new.piece.NotchPlace(*is)
	from, _, _ := notchOf(o.old, c.Notch)
	name := plain(c.Notch)
	edge := o.new.edge(is.Edge)
	if c.By == nil || math.Abs(*c.By) < leastAmount {
		o.moved(from, to, name)
		return
	}
	by := *c.By
	if was.FromEnd {
		by = -by
	}
	start := math.Max(0, math.Min(edge.Length(), place-by))
	way, err := edge.BetweenLengths(math.Min(start, place), math.Max(start, place)).Offset(0.6*o.pen.tick, allowanceWithin)
	if err != nil || len(way) == 0 {
		o.moved(from, to, name+" moved "+o.amount(by))
		return
	}
	if start > place {
		way = way.Reverse()
	}
	o.legend.use(legendMoved)
	o.pathArrow(way, purple, o.pen.wide)
	length := way.Length()
	o.say(name+" moved "+o.amount(by), way.PointAt(length/2), along.Left(), 0)
	o.labels[len(o.labels)-1].also = []geom.Point{way.Start(), way.PointAt(length / 4), way.PointAt(length * 0.75), way.End()}
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
func (o *overlay) markChange(c change.Change) {
	var at, by geom.Point
	if c.At != nil {
		at = c.At.Point()
	}
	if c.ByVector != nil {
		by = c.ByVector.Point()
	}
	from, was := markOf(o.old, c.Mark, at.Sub(by))
	to, is := markOf(o.new, c.Mark, at)
	if c.Kind != change.MarkAdded {
		o.oldMark(c, was)
	}
	place, found := to, is != nil
	if c.Kind == change.MarkRemoved {
		place, found = from, was != nil
	}
	if !found { // a reference line, the grain, or a notch cut otherwise
		place, found = at, c.At != nil
	}
	if !found {
		return
	}
	name := plain(c.Mark)
	if name == "" {
		name = plain(c.Notch)
	}
	if c.Kind == change.MarkMoved && c.ByVector != nil {
		o.moved(place.Sub(by), place, name+" moved "+o.amount(by.Len()))
		return
	}
	o.say(marked(name, o.markWord(c)), place, geom.Point{}, 1)
	o.measured(place, c.From)
}

// measured dimensions how far a new mark lies from the edges beside it.
func (o *overlay) measured(place geom.Point, from []change.EdgeDistance) {
	for _, e := range from {
		way := e.At.Sub(place)
		if e.Far < leastAmount {
			continue
		}
		o.span(geom.Polyline(place, e.At))
		o.say(o.amount(e.Far), place.Lerp(e.At, 0.5), way.Unit().Left(), 2)
	}
}

// oldMark draws a mark as it was, in a chain line; a text is only moved.
func (o *overlay) oldMark(c change.Change, was *pattern.Mark) {
	switch {
	case was != nil && was.Kind != pattern.MarkText && (c.Kind != change.MarkChanged || redrawnMark(c)):
		o.mark(o.old, *was, true)
	case was == nil && len(c.OldPath) > 0:
		o.legend.use(legendOldMark)
		o.path(o.pathData(c.OldPath, false, true, lineDecimals), o.chainLine()...)
		o.keepOff(c.OldPath)
	}
}

// redrawnMark reports whether a mark has another line than it had.
func redrawnMark(c change.Change) bool { return len(c.OldPath) > 0 && len(c.NewPath) > 0 }

// markWord says what became of a mark.
func (o *overlay) markWord(c change.Change) string {
	switch {
	case c.Kind == change.MarkAdded:
		return o.only(1)
	case c.Kind == change.MarkRemoved:
		return o.only(0)
	case c.Before == "" || c.After == "":
		return "changed"
	case c.Notch != "":
		return "cut " + plain(c.After) + " times, " + o.oldLabel() + " " + plain(c.Before)
	}
	return plain(c.Before) + " → " + plain(c.After)
}

// marked puts the name of a mark before words.
func marked(name, words string) string {
	if name == "" {
		return words
	}
	return name + ", " + words
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

// grainTurned shows the old grain in a chain line and the angle between the
// two.
func (o *overlay) grainTurned(c change.Change) {
	if o.old == nil || o.old.piece.Grain == nil || o.new == nil || o.new.piece.Grain == nil {
		return
	}
	was, is := o.old.piece.Grain, o.new.piece.Grain
	o.grain(was, true)
	from, to := was.To.Sub(was.From), is.To.Sub(is.From)
	turn := geom.AngleBetween(from, to)
	text := "grain turned by " + units.FormatAngle(turn)
	if c.Turn != nil {
		text = "grain turned by " + units.FormatAngle(geom.Degrees(*c.Turn))
	}
	about, ok := grainMeeting(was, is)
	radius := 0.6 * math.Min(about.Dist(is.To), about.Dist(was.To))
	if !ok { // they do not meet: the old direction is drawn once more
		about, radius = is.From.Lerp(is.To, 0.5), math.Min(0.4*to.Len(), wideTurnReach*o.pen.text)
		reach := about.Add(from.Unit().Mul(1.2 * radius))
		o.line(about, reach, o.chainLine()...)
		o.drawn = append(o.drawn, segment{about, reach})
	}
	if math.Abs(turn) > wideTurn {
		radius = math.Min(radius, wideTurnReach*o.pen.text)
	}
	o.angleArc(about, radius, from.Angle(), turn)
	middle := about.Add(geom.Pt(radius, 0).Turn(from.Angle() + turn/2))
	o.say(text, middle, middle.Sub(about).Unit(), 1)
}

// An arc of more than wideTurn bulges far out from between its arms: it is
// drawn no larger than wideTurnReach letter sizes.
const (
	wideTurn      = math.Pi / 6
	wideTurnReach = 5
)

// grainMeeting is where two grain lines meet, unless that is near an end of
// either.
func grainMeeting(a, b *pattern.Grain) (geom.Point, bool) {
	p, q := geom.Line(a.From, a.To), geom.Line(b.From, b.To)
	const end = 0.75
	for _, m := range geom.Meet(p, q) {
		if m.T < end && m.U < end {
			return m.At, true
		}
	}
	return geom.Point{}, false
}
