package render

import (
	"fmt"
	"math"
	"strings"

	"toile/geom"
	"toile/pattern/change"
	"toile/pattern/units"
)

// beneath draws what lies under the outlines: a band along the part that moved
// as one where a piece was opened or folded out.
func (o *overlay) beneath() {
	for _, c := range o.diff.Changes {
		if c.Kind == change.Spread && len(c.NewPath) > 0 {
			o.legend.use(legendPart)
			o.path(o.pathData(c.NewPath, false, true, lineDecimals), o.bandLine()...)
		}
	}
}

// spread draws the line along which a piece was opened or folded out, where it
// lies now on the part that moved, the opening at both ends, the angle, and
// the part that moved.
func (o *overlay) spread(c change.Change) {
	if len(c.Lines) == 0 {
		return
	}
	o.legend.use(legendOpened)
	for _, l := range c.Lines {
		o.openedLine(l[0].Point(), l[1].Point())
	}
	m, ok := motionOf(c.OldPath, c.NewPath)
	if !ok || c.Open == nil {
		return
	}
	a, b := c.Lines[0][0].Point(), c.Lines[0][1].Point()
	toA, toB := m.Apply(a), m.Apply(b)
	o.gap(a, b, toB, toA)
	o.openedLine(toA, toB)
	wider := 0.35
	if math.Abs(c.Open[1]) > math.Abs(c.Open[0]) {
		wider = 0.65
	}
	o.opening(c, a.Lerp(b, wider), m)
	out := a.Sub(b).Unit()
	o.openedEnd(a, toA, out, c.Open[0], o.lineFrom(c, 0))
	o.openedEnd(b, toB, out.Mul(-1), c.Open[1], o.lineFrom(c, 1))
	o.movedPart(c)
}

// lineFrom says how far along its edge an end of the line lies from the corner
// that stayed.
func (o *overlay) lineFrom(c change.Change, end int) string {
	if end >= len(c.From) {
		return ""
	}
	return ", " + o.amount(c.From[end].Far) + " from " + c.From[end].Edge
}

// openedLine is one side of the line along which a piece was opened.
func (o *overlay) openedLine(a, b geom.Point) {
	o.line(a, b, o.twoDotLine()...)
	o.drawn = append(o.drawn, segment{a, b})
}

// gap tints what lies between the two sides.
func (o *overlay) gap(corners ...geom.Point) {
	o.path(o.pathData(geom.Polygon(corners...), true, true, lineDecimals), attr("class", "gap"),
		attr("fill", purple), attr("fill-opacity", "0.2"), attr("stroke", "none"))
}

// motionOf finds the rigid motion that brings a path onto another of the same
// shape.
func motionOf(before, after geom.Path) (geom.Motion, bool) {
	if len(before) == 0 || len(after) == 0 {
		return geom.Motion{}, false
	}
	const steps = 8
	var from, to []geom.Point
	p, q := before.Length(), after.Length()
	for k := 0; k <= steps; k++ {
		share := float64(k) / steps
		from, to = append(from, before.PointAt(p*share)), append(to, after.PointAt(q*share))
	}
	return geom.FitMotion(from, to, false), true
}

// opening draws the way from a place on the line to where that lies now, on the
// arc it turned along, and says the angle.
func (o *overlay) opening(c change.Change, from geom.Point, m geom.Motion) {
	verb := "opened"
	if c.Open[0]+c.Open[1] < 0 {
		verb = "folded out"
	}
	to := m.Apply(from)
	turn := 0.0
	if c.Turn != nil {
		turn = geom.Degrees(*c.Turn)
	}
	if math.Abs(turn) < leastTurn {
		o.moved(from, to, verb)
		return
	}
	text := verb + " by " + units.FormatAngle(math.Abs(turn))
	chord := to.Sub(from)
	// The centre lies square to the chord's middle: at chord/2 over the tangent
	// of half the angle, on the side to which the part turned.
	centre := from.Add(chord.Mul(0.5)).Add(chord.Right().Mul(0.5 / math.Tan(m.Turn/2)))
	if !(centre.Dist(from) < farthest) {
		o.moved(from, to, text)
		return
	}
	start := from.Sub(centre).Angle()
	radius := centre.Dist(from)
	o.legend.use(legendMoved)
	o.angleArc(centre, radius, start, m.Turn)
	at := centre.Add(geom.Pt(radius, 0).Turn(start + m.Turn/2))
	o.say(text, at, from.Sub(centre).Unit(), 0)
}

// leastTurn is the angle in radians below which nothing turned, that of the
// last digit people read.
const leastTurn = 0.005 * math.Pi / 180

// openedEnd dimensions the opening at an end of the line, away from it. An end
// that stayed is a hinge.
func (o *overlay) openedEnd(at, to, out geom.Point, open float64, from string) {
	if math.Abs(open) < leastAmount {
		o.legend.use(legendPivot)
		o.pivot(at)
		o.say("hinged here"+from, at, out, 1)
		return
	}
	word := " open"
	if open < 0 {
		word = " closed"
	}
	o.dimension(at, to, out, dimensionOff*o.pen.text, o.amount(open)+word+from)
}

// movedPart draws arrows from where the part that moved lay, and names it.
func (o *overlay) movedPart(c change.Change) {
	before, after := c.OldPath, c.NewPath
	p, q := before.Length(), after.Length()
	o.legend.use(legendMoved)
	for _, share := range []float64{0, 0.5, 1} {
		if from, to := before.PointAt(p*share), after.PointAt(q*share); from.Dist(to) > 1e-6 {
			o.arrow(from, to, purple, o.pen.wide)
		}
	}
	if len(c.Moved) == 0 {
		return
	}
	along := after.TangentAt(q / 2)
	o.say(strings.Join(c.Moved, ", ")+" moved as one", after.PointAt(q/2), along.Left(), 2)
}

// parting is the change that split or joined the piece.
func (o *overlay) parting() (change.Change, bool) {
	for _, c := range o.diff.Changes {
		if c.Kind == change.PieceSplit && o.diff.State == change.Split || c.Kind == change.PieceJoined && o.diff.State == change.Joined {
			return c, true
		}
	}
	return change.Change{}, false
}

// parted reports whether the piece was split or joined, or is one of the parts.
func (o *overlay) parted() bool {
	_, ok := o.parting()
	return ok || o.parent != nil
}

// partNames name the part that is the outline of the state with two parts, and
// the other.
func (o *overlay) partNames(c change.Change) [2]string {
	names, own := c.Into, o.new
	if c.Kind == change.PieceJoined {
		names, own = c.Of, o.old
	}
	if len(names) != 2 {
		return [2]string{"this part", "the other"}
	}
	if own != nil && own.piece.Name == names[1] {
		return [2]string{names[1], names[0]}
	}
	return [2]string{names[0], names[1]}
}

// otherPart draws the part that is a piece of its own: the rest of the whole.
// Nothing was added or removed by it.
func (o *overlay) otherPart() {
	c, ok := o.parting()
	if !ok || o.old == nil || o.new == nil {
		return
	}
	rest, class, line := o.diff.Overlap.Removed, "new", o.wideLine()
	own := o.new
	if c.Kind == change.PieceJoined {
		rest, class, line, own = o.diff.Overlap.Added, "old", o.chainLine(), o.old
		o.legend.use(legendOld)
	}
	names := o.partNames(c)
	o.sayPart(c, names[0], own.outline.Ring)
	for _, r := range seen(rest) {
		o.sayPart(c, names[1], r.Rings[0])
		for _, ring := range r.Rings {
			for _, run := range awayFrom(ring, linePath(c)) {
				o.outlinePath(class, run.ring, run.closed, line)
			}
		}
	}
}

// awayFrom leaves out of a ring what lies on a line.
func awayFrom(ring geom.Ring, line geom.Path) []run {
	const on = 0.05
	if len(line) == 0 {
		return []run{{ring, true}}
	}
	number := make([]int, len(ring))
	for i := range number {
		number[i] = i
	}
	return runs(ring, number, func(i int) bool {
		return near(line, ring[i].P0, on) && near(line, ring[i].At(0.5), on) && near(line, ring[i].P3, on)
	})
}

// sayPart writes the name of a part into it.
func (o *overlay) sayPart(c change.Change, name string, ring geom.Ring) {
	if o.brief {
		return
	}
	if c.Kind == change.PieceJoined {
		name = o.oldLabel() + ": " + name
	}
	o.labels = append(o.labels, label{text: name, anchor: inside(ring), size: 1.3 * o.pen.text, bold: true,
		widest: 16 * o.pen.text, order: 3, bare: true, inside: ring, spare: true})
}

// inside is a place within a ring, as far from its border as its middle level
// allows: the middle of the longest level cut there.
func inside(ring geom.Ring) geom.Point {
	centre := ring.Box().Centre()
	points := geom.Path(ring).Flatten(0.1)
	xs := levelCuts([][]geom.Point{points}, centre.Y+1e-6)
	best, at := 0.0, centre
	for i := 0; i+1 < len(xs); i += 2 {
		if wide := xs[i+1] - xs[i]; wide > best {
			best, at = wide, geom.Pt((xs[i]+xs[i+1])/2, centre.Y)
		}
	}
	return at
}

// linePath is the line of a change as a path.
func linePath(c change.Change) geom.Path {
	if path := either(c.NewPath, c.OldPath); len(path) > 0 {
		return path
	}
	var points []geom.Point
	for _, at := range c.Line {
		points = append(points, at.Point())
	}
	if len(points) < 2 {
		return nil
	}
	return geom.Polyline(points...)
}

// parts draws the line between two parts, and the allowance on both sides of
// it. Both outlines run along the line already.
func (o *overlay) parts(c change.Change) {
	path := linePath(c)
	if len(path) == 0 {
		return
	}
	word := "split here"
	if c.Kind == change.PieceJoined {
		word = "joined here"
	}
	length := path.Length()
	along := path.TangentAt(length * 0.35)
	o.sayAlong(word, path.PointAt(length*0.35), along, along.Left(), 0.5*o.pen.text, 0)
	for _, line := range partLines(c) {
		o.legend.use(legendCut)
		o.path(o.pathData(line, false, true, lineDecimals), o.narrowLine()...)
		o.keepOff(line)
	}
	at, out := path.PointAt(length*0.65), path.TangentAt(length*0.65).Left()
	by := partAllowances(c)
	for k, amount := range by {
		if amount > 0 && (k == 0 || by[0] != by[1]) {
			end := at.Add(out.Mul(amount * float64(1-2*k)))
			o.span(geom.Polyline(at, end))
			o.say(fmt.Sprintf("allowance %s", o.amount(amount)), end, end.Sub(at).Unit(), 1)
		}
	}
}

// partAllowances are the allowances at the line of the parts to its left and to
// its right.
func partAllowances(c change.Change) [2]float64 {
	if c.PartAllowances == [2]float64{} && c.Allowance != nil {
		return [2]float64{*c.Allowance, *c.Allowance}
	}
	return c.PartAllowances
}

// partLines are the cutting lines of both parts beside the line between them.
func partLines(c change.Change) (lines []geom.Path) {
	path := linePath(c)
	if len(path) == 0 {
		return nil
	}
	by := partAllowances(c)
	for _, by := range []float64{by[0], -by[1]} {
		if by == 0 {
			continue
		}
		if line, err := path.Offset(by, allowanceWithin); err == nil && len(line) > 0 {
			lines = append(lines, line)
		}
	}
	return lines
}

// unfolded draws the fold at which a piece was opened out.
func (o *overlay) unfolded(c change.Change) {
	path := linePath(c)
	if len(path) == 0 {
		return
	}
	o.legend.use(legendUnfolded)
	o.path(o.pathData(path, false, true, lineDecimals), o.longDashes()...)
	o.keepOff(path)
	half := path.Length() / 2
	o.sayAlong("opened out at this fold", path.PointAt(half), path.TangentAt(half), path.TangentAt(half).Left(), 0.4*o.pen.text, 0)
}
