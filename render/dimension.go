package render

import (
	"math"

	"toile/geom"
	"toile/pattern/units"
)

// rotation is a transform that turns about a point, clockwise as seen.
func (c *canvas) rotation(angle float64, about geom.Point) string {
	n := func(v float64) string { return units.Number(c.num(v), lineDecimals) }
	return "rotate(" + n(geom.InDegrees(angle)) + " " + n(about.X) + " " + n(about.Y) + ")"
}

// head draws a filled arrow head with its tip at a point.
func (d *drawing) head(tip, direction geom.Point, length float64, color string) {
	u := direction.Unit()
	back, side := tip.Sub(u.Mul(length)), u.Left().Mul(length*0.28)
	ring := geom.Polygon(tip, back.Add(side), back.Sub(side))
	d.path(d.pathData(ring, true, true, lineDecimals), attr("fill", color), attr("stroke", "none"))
}

// arrow draws from a to b with a head at b; over a short way the head shrinks.
func (d *drawing) arrow(a, b geom.Point, color string, width float64) {
	way := b.Sub(a)
	if way.Len() < 1e-6 {
		return
	}
	length := math.Min(d.pen.head, way.Len()*0.7)
	d.line(a, b.Sub(way.Unit().Mul(length*0.8)), d.stroke(color, width)...)
	d.head(b, way, length, color)
	d.drawn = append(d.drawn, segment{a, b})
}

// moved draws the purple arrow of something that moved, with its distance.
func (d *drawing) moved(from, to geom.Point, text string) {
	if from.Dist(to) < 1e-6 {
		return
	}
	d.legend.use(legendMoved)
	d.arrow(from, to, purple, d.pen.wide)
	d.say(text, from.Lerp(to, 0.5), to.Sub(from).Unit().Left(), 0)
	d.labels[len(d.labels)-1].also = []geom.Point{from, from.Lerp(to, 0.25), from.Lerp(to, 0.75), to}
}

// say asks for a label beside a place.
func (d *drawing) say(text string, at, outward geom.Point, order int) {
	d.labels = append(d.labels, label{text: text, anchor: at, outward: outward, away: 0.5 * d.pen.text,
		size: d.pen.text, widest: 14 * d.pen.text, order: order})
}

// sayAlong asks for a label that runs along an edge, at least away from it.
func (d *drawing) sayAlong(text string, at, along, outward geom.Point, away float64, order int) {
	d.labels = append(d.labels, label{text: text, anchor: at, outward: outward, along: along,
		away: away, size: d.pen.text, widest: 16 * d.pen.text, order: order})
}

// dimension measures from a to b on a line set off to the side, with its
// figure.
func (d *drawing) dimension(a, b, side geom.Point, off float64, text string) {
	way := b.Sub(a)
	if way.Len() < 1e-6 || d.brief {
		return
	}
	d.legend.use(legendDimension)
	shift := side.Unit().Mul(off)
	from, to := a.Add(shift), b.Add(shift)
	start, past := side.Unit().Mul(0.25*d.pen.text), side.Unit().Mul(0.3*d.pen.text)
	thin := d.narrowLine()
	d.line(a.Add(start), from.Add(past), thin...)
	d.line(b.Add(start), to.Add(past), thin...)
	u := way.Unit()
	if length := d.pen.head * 0.8; way.Len() > 2.6*length {
		d.line(from, to, thin...)
		d.head(to, u, length, black)
		d.head(from, u.Mul(-1), length, black)
	} else { // too narrow for heads inside: they point inwards from outside
		tail := u.Mul(2.2 * length)
		d.line(from.Sub(tail), to.Add(tail), thin...)
		d.head(from, u, length, black)
		d.head(to, u.Mul(-1), length, black)
	}
	d.drawn = append(d.drawn, segment{a.Add(start), from.Add(past)}, segment{b.Add(start), to.Add(past)}, segment{from, to})
	d.say(text, from.Lerp(to, 0.5), side, 1)
}

// angleArc draws an arc about the pivot from one direction to another with a
// head at its end.
func (d *drawing) angleArc(pivot geom.Point, r, from, sweep float64) {
	if math.Abs(sweep) < 1e-6 || r <= 0 {
		return
	}
	arc := geom.Arc(pivot, r, from, sweep)
	d.path(d.pathData(arc, false, true, lineDecimals), d.stroke(purple, d.pen.wide)...)
	d.keepOff(arc)
	length := math.Min(d.pen.head, math.Abs(sweep)*r*0.7)
	d.head(arc.End(), arc.EndTangent(), length, purple)
}

// pivot draws the point something swings about.
func (d *drawing) pivot(at geom.Point) {
	d.legend.use(legendPivot)
	r := 0.4 * d.pen.text
	d.circle(at, r, d.stroke(black, d.pen.narrow, attr("class", "pivot"))...)
	d.circle(at, d.pen.narrow, attr("fill", black))
}
