package render

import "toile/geom"

// legendItem is a kind of line or sign that a legend explains.
type legendItem int

// In the order a legend lists them.
const (
	legendNew legendItem = iota
	legendOld
	legendSewing
	legendCutting
	legendUncut
	legendAdded
	legendRemoved
	legendMoved
	legendPart
	legendOpened
	legendUnfolded
	legendCut
	legendOldCut
	legendDimension
	legendRadius
	legendPivot
	legendNotch
	legendOldNotch
	legendMark
	legendSlit
	legendPlacement
	legendFoldLine
	legendDart
	legendPleat
	legendOldMark
	legendReference
	legendGrain
	legendFold
	legendNote
	legendPinned
	legendNumber
	legendLaid
	legendJoint
	legendLong
	legendShort
	legendEase
	legendDrift
	legendOpening
	legendHere
	legendThere
	legendShared
	legendConflict
	legendOutline
	legendRim
	legendLeader
	legendCount
)

var legendWords = [legendCount]string{
	legendNew: "sewing line now", legendOld: "was: sewing line before", legendSewing: "sewing line",
	legendCutting: "cutting line", legendUncut: "sewing line, cut without allowance",
	legendPart: "part that moved as one", legendOpened: "opened or folded out between these lines",
	legendUnfolded: "fold it was opened out at", legendCut: "cutting line", legendOldCut: "was: cutting line before",
	legendAdded: "added", legendRemoved: "removed", legendMoved: "moved, with the distance",
	legendDimension: "distance", legendRadius: "rounding: centre and radius", legendPivot: "turned about this point",
	legendNotch: "notch", legendOldNotch: "notch as it was",
	legendMark: "button or dot", legendSlit: "buttonhole or slit", legendPlacement: "placement line",
	legendFoldLine: "fold line", legendDart: "dart", legendPleat: "pleat, with the way it is laid",
	legendOldMark: "mark or grain as it was", legendReference: "line to measure from",
	legendGrain: "grain", legendFold: "on fold", legendNote: "note pinned, by its letter: filled while open", legendPinned: "note, by its number: filled while open", legendNumber: "change, by its number in the list",
	legendLaid: "sewing line, laid out straight", legendJoint: "two edges follow each other",
	legendLong: "too long", legendShort: "missing", legendEase: "ease-in that is meant",
	legendDrift: "ends to meet", legendOpening: "left open",
	legendHere: "sewing line here", legendThere: "sewing line there", legendShared: "sewing line as both had it",
	legendConflict: "to be decided",
	legendOutline:  "sewing line",
	legendRim:      "rim of a strip, with its margin for the glue",
	legendLeader:   "from words to what they name",
}

// legend collects what a drawing uses.
type legend struct{ used [legendCount]bool }

func (l *legend) use(item legendItem) { l.used[item] = true }

// legendBlock lists what the drawing used, each with a sample.
func (d *drawing) legendBlock(width float64) block {
	var items []legendItem
	for i, used := range d.legend.used {
		if used {
			items = append(items, legendItem(i))
		}
	}
	if len(items) == 0 {
		return block{}
	}
	t := d.pen.text
	row, sample := 1.6*t, 3.2*t
	high := row
	words := make([][]string, len(items))
	for i, item := range items {
		words[i] = wrap(d.legendText(item), t, false, width-sample-0.8*t, 0)
		high += row + float64(len(words[i])-1)*lineHeight*t
	}
	return block{high: high, draw: func(at geom.Point) {
		d.heading(at, "Lines and signs", width)
		d.group(attr("class", "legend"))
		wrapped := 0.0
		for i, item := range items {
			y := at.Y + (float64(i)+1.1)*row + wrapped
			d.sample(item, geom.Box{Min: geom.Pt(at.X, y), Max: geom.Pt(at.X+sample, y+0.9*row)})
			d.canvas.lines(geom.Pt(at.X+sample+0.8*t, y+0.07*t), words[i], t, false)
			wrapped += float64(len(words[i])-1) * lineHeight * t
		}
		d.ungroup()
	}}
}

// sample draws a legend's sample in a box.
func (d *drawing) sample(item legendItem, b geom.Box) {
	mid, size := b.Centre(), b.Size()
	left, right := geom.Pt(b.Min.X, mid.Y), geom.Pt(b.Max.X, mid.Y)
	across := func(line []string) { d.line(left, right, line...) }
	switch item {
	case legendNew, legendCutting, legendUncut, legendLaid, legendHere, legendOutline:
		across(d.wideLine())
	case legendOld, legendOldMark, legendDrift, legendShared:
		across(d.chainLine())
	case legendCut:
		across(d.narrowLine())
	case legendThere:
		across(d.dashedLine(d.pen.wide))
	case legendConflict:
		across(d.bandLine())
	case legendPart:
		across(d.bandLine())
		across(d.wideLine())
	case legendOpened, legendRim:
		across(d.twoDotLine())
	case legendSewing, legendOldCut:
		across(d.dashedLine(d.pen.narrow))
	case legendAdded, legendLong:
		d.swatch(b.Grow(-0.1*size.Y), blue, risingHatch)
	case legendRemoved, legendShort:
		d.swatch(b.Grow(-0.1*size.Y), vermillion, fallingHatch)
	case legendMoved:
		d.arrow(left, right, purple, d.pen.wide)
	case legendDimension:
		d.line(left, right, d.narrowLine()...)
		d.head(right, geom.Pt(1, 0), d.pen.head*0.8, black)
		d.head(left, geom.Pt(-1, 0), d.pen.head*0.8, black)
	case legendReference, legendFoldLine, legendUnfolded:
		across(d.longDashes())
	case legendPlacement, legendOpening:
		across(d.dottedLine())
	default:
		d.signSample(item, b)
	}
}

// signSample draws the samples of signs on a short piece of line.
func (d *drawing) signSample(item legendItem, b geom.Box) {
	mid, t := b.Centre(), d.pen.text
	foot := geom.Pt(mid.X, b.Max.Y-0.15*t)
	switch item {
	case legendPivot:
		d.pivot(mid)
	case legendNotch, legendOldNotch:
		d.line(geom.Pt(b.Min.X, foot.Y), geom.Pt(b.Max.X, foot.Y), d.narrowLine()...)
		d.notch(foot, geom.Pt(1, 0), 1, 0.9*t, item == legendOldNotch)
	case legendRadius:
		centre := geom.Pt(b.Min.X+0.5*t, mid.Y)
		d.cross(centre, 0.3*t, d.narrowLine())
		d.arrow(centre, geom.Pt(b.Max.X, mid.Y), black, d.pen.narrow)
	case legendSlit, legendDart, legendPleat:
		d.cutSample(item, b)
	case legendMark:
		d.circle(mid, 0.28*t, d.narrowLine()...)
		d.cross(mid, 0.48*t, d.narrowLine())
	case legendGrain:
		d.line(geom.Pt(b.Min.X, mid.Y), geom.Pt(b.Max.X, mid.Y), d.narrowLine()...)
		d.head(geom.Pt(b.Max.X, mid.Y), geom.Pt(1, 0), d.pen.head, black)
		d.head(geom.Pt(b.Min.X, mid.Y), geom.Pt(-1, 0), d.pen.head, black)
	case legendFold:
		top := b.Min.Y + 0.3*t
		d.line(geom.Pt(b.Min.X, top), geom.Pt(b.Max.X, top), d.narrowLine()...)
		for _, x := range []float64{b.Min.X, b.Max.X} {
			d.arrow(geom.Pt(x, top), geom.Pt(x, b.Max.Y), black, d.pen.narrow)
		}
		d.line(geom.Pt(b.Min.X, b.Max.Y), b.Max, d.longDashes()...)
	case legendNote, legendPinned:
		d.circle(mid, 0.3*t, attr("fill", black))
	case legendNumber:
		d.circle(mid, 0.7*t, attr("fill", white), attr("stroke", black), d.length("stroke-width", d.pen.narrow))
		d.canvas.lines(geom.Pt(mid.X-0.3*t, mid.Y-0.6*t), []string{"1"}, t, true)
	case legendJoint:
		d.line(geom.Pt(b.Min.X, mid.Y), geom.Pt(b.Max.X, mid.Y), d.wideLine()...)
		d.line(geom.Pt(mid.X, mid.Y-0.4*t), geom.Pt(mid.X, mid.Y+0.4*t), d.narrowLine()...)
	case legendLeader:
		at := geom.Pt(b.Min.X+leaderDot, mid.Y)
		d.circle(at, leaderDot, attr("fill", paleLeader), attr("stroke", "none"))
		d.line(at, geom.Pt(b.Max.X, mid.Y), attr("stroke", paleLeader), d.length("stroke-width", d.pen.narrow*0.7))
	case legendEase:
		d.rect(b.Grow(-0.2*t), d.dashedLine(d.pen.narrow)...)
	}
}

// cutSample draws the samples of a slit, a dart and a pleat.
func (d *drawing) cutSample(item legendItem, b geom.Box) {
	mid, t := b.Centre(), d.pen.text
	thin := d.narrowLine()
	left, right := geom.Pt(mid.X-0.6*t, b.Min.Y), geom.Pt(mid.X+0.6*t, b.Min.Y)
	switch item {
	case legendSlit:
		path := geom.Polyline(geom.Pt(left.X, mid.Y), geom.Pt(right.X, mid.Y))
		d.path(d.pathData(path, false, true, lineDecimals), thin...)
		d.endBars(path, thin)
	case legendDart:
		point := geom.Pt(mid.X, b.Max.Y-0.3*t)
		d.line(left, point, thin...)
		d.line(right, point, thin...)
		d.circle(point, 0.2*t, thin...)
	case legendPleat:
		d.line(left, geom.Pt(left.X, b.Max.Y), thin...)
		d.line(right, geom.Pt(right.X, b.Max.Y), thin...)
		d.arrow(geom.Pt(left.X, mid.Y), geom.Pt(right.X, mid.Y), black, d.pen.narrow)
	}
}

// swatch is a hatched patch.
func (d *drawing) swatch(b geom.Box, color string, angle float64) {
	d.rect(b, attr("fill", color), attr("fill-opacity", "0.12"))
	ring := geom.Polygon(b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y))
	lines := hatchLines([]geom.Ring{ring}, angle, d.pen.hatch, d.pen.narrow/4)
	d.path(d.segmentData(lines), d.stroke(color, d.pen.narrow)...)
}
