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

// pathArrow is an arrow along a path.
func (d *drawing) pathArrow(path geom.Path, color string, width float64) {
	length := path.Length()
	if length < 1e-6 {
		return
	}
	head := math.Min(d.pen.head, length*0.7)
	shaft := path.BetweenLengths(0, length-head*0.8)
	d.path(d.pathData(shaft, false, true, lineDecimals), d.stroke(color, width)...)
	d.head(path.End(), path.End().Sub(path.PointAt(length-head)), head, color)
	d.keepOff(path)
}

// span is a narrow line along a path with a head at both ends. Where it is too
// short for heads inside they point inwards from outside.
func (d *drawing) span(path geom.Path) {
	length := path.Length()
	if length < 1e-6 || d.brief {
		return
	}
	d.legend.use(legendDimension)
	head := d.pen.head * 0.8
	a, b, u, v := path.Start(), path.End(), path.StartTangent(), path.EndTangent()
	if length <= 2.6*head {
		a, b = a.Sub(u.Mul(2.2*head)), b.Add(v.Mul(2.2*head))
		d.line(a, path.Start(), d.narrowLine()...)
		d.line(path.End(), b, d.narrowLine()...)
		u, v = u.Mul(-1), v.Mul(-1)
		d.drawn = append(d.drawn, segment{a, path.Start()}, segment{path.End(), b})
	}
	d.path(d.pathData(path, false, true, lineDecimals), d.narrowLine()...)
	d.head(path.End(), v, head, black)
	d.head(path.Start(), u.Mul(-1), head, black)
	d.keepOff(path)
}

// helper is the narrow line that leads from what is measured to its dimension.
func (d *drawing) helper(from, to geom.Point) {
	u := to.Sub(from).Unit()
	a, b := from.Add(u.Mul(0.25*d.pen.text)), to.Add(u.Mul(0.3*d.pen.text))
	d.line(a, b, d.narrowLine()...)
	d.drawn = append(d.drawn, segment{a, b})
}

// How far off dimensions are drawn, in letter sizes: beside what they measure,
// and beyond another.
const (
	dimensionOff = 1.7
	beyondOff    = 4.2
)

// dimension measures from a to b on a line set off to the side, with its
// figure.
func (d *drawing) dimension(a, b, side geom.Point, off float64, text string) {
	if a.Dist(b) < 1e-6 {
		return
	}
	shift := side.Unit().Mul(off)
	from, to := a.Add(shift), b.Add(shift)
	if !d.brief {
		d.helper(a, from)
		d.helper(b, to)
		d.span(geom.Polyline(from, to))
	}
	d.say(text, from.Lerp(to, 0.5), side, 1)
}

// dimensionAlong measures a stretch of an edge along it, on a line outside of
// it.
func (d *drawing) dimensionAlong(stretch geom.Path, off float64, text string) {
	length := stretch.Length()
	if length < 1e-6 {
		return
	}
	line, err := stretch.Offset(off, allowanceWithin)
	if err != nil || line.Length() > 2*length+off || stretch.Start().Dist(stretch.End()) < length/2 {
		d.dimension(stretch.Start(), stretch.End(), stretch.TangentAt(length/2).Left(), off, text)
		return
	}
	if !d.brief {
		d.helper(stretch.Start(), line.Start())
		d.helper(stretch.End(), line.End())
		d.span(line)
	}
	d.say(text, line.PointAt(line.Length()/2), stretch.TangentAt(length/2).Left(), 1)
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
