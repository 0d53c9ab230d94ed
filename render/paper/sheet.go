package paper

import (
	"fmt"
	"math"
	"strings"

	"toile/geom"
	"toile/pattern/units"
)

// Sizes of what stands around a picture, in mm. The words of a sheet stand in
// its margin: 6 mm from the edge, which most printers reach.
const (
	headLetters  = 2.6
	leastLetters = 1.6
	headLine     = Margin - 1.0 // base line of the words above, from the top edge
	footLine     = 3.4          // the same of those below, below the picture
	crossArm     = 4.0
	thin         = 0.18
	tick         = 3.0
)

// frameInk is that of the frame around what a sheet shows, thinner and lighter
// than any line of a pattern.
func frameInk() Stroke { return Stroke{Color: grey, Width: 0.12} }

// drawSheet draws one sheet: its words, frame, crosses and check lines, then
// what it shows.
func (b *book) drawSheet(number, of int, s sheet) {
	b.page(b.job.Paper, s.level)
	use := usable(b.job.Paper, s.level, b.by)
	area := geom.Box{Min: geom.Pt(Margin, Margin), Max: geom.Pt(Margin, Margin).Add(b.scaled(use))}
	b.sheetWords(number, of, s, area)
	for _, p := range s.parts {
		plot := &b.job.Plots[p.plot]
		place := func(q geom.Point) geom.Point {
			return geom.Pt(Margin, Margin).Add(b.scaled(p.at.Add(q.Sub(p.window.Min))))
		}
		// Half of a line at the very edge of a picture lies beyond it.
		shown := geom.Box{Min: place(p.window.Min), Max: place(p.window.Max)}.Grow(itemReach / 2)
		b.clipped(shown, func() {
			b.within(plot.Within, place, func() { b.picture(plot.Picture, p.window.Grow(itemReach/2), place) })
			b.picture(plot.Beside, p.window.Grow(itemReach/2), place)
			if s.rows*s.cols > 1 {
				b.joints(s, p, place)
			}
		})
	}
}

// scaled brings a picture's mm to the paper's.
func (b *book) scaled(p geom.Point) geom.Point { return geom.Pt(p.X*b.by.x, p.Y*b.by.y) }

// sheetWords say on every sheet which one it is.
func (b *book) sheetWords(number, of int, s sheet, area geom.Box) {
	var names []string
	for _, p := range s.parts {
		names = append(names, b.job.Plots[p.plot].Name)
	}
	where := fmt.Sprintf("sheet %d of %d · row %d of %d, column %d of %d", number, of, s.row, s.rows, s.col, s.cols)
	wide := area.Size().X
	right := style{size: headLetters, bold: true, align: 1}
	taken := b.width(where, right)
	b.text(geom.Pt(area.Max.X, headLine), where, right)
	says := strings.Join(names, "; ")
	if len(names) > 1 && b.width(says, style{size: headLetters, bold: true}) > wide-taken-3 {
		says = b.firstWords(s.parts)
	}
	name, how := b.fitted(says, style{size: headLetters, bold: true}, leastLetters, wide-taken-3)
	b.text(geom.Pt(area.Min.X, headLine), name, how)
	foot, how := b.fitted(b.job.Foot(), style{size: headLetters}, leastLetters, wide)
	b.text(geom.Pt(area.Min.X, area.Max.Y+footLine), foot, how)
}

// joints draws the frame of the sheet's window, the crosses that neighbouring
// sheets share, and the check lines.
func (b *book) joints(s sheet, p part, place func(geom.Point) geom.Point) {
	b.box(geom.Box{Min: place(p.window.Min), Max: place(p.window.Max)}, frameInk())
	pen := Stroke{Color: black, Width: thin}
	for _, at := range s.joints.crosses() {
		if !p.window.Grow(itemReach).Holds(at) {
			continue
		}
		for _, arm := range []geom.Point{geom.Pt(crossArm, 0), geom.Pt(0, crossArm)} {
			b.line(place(at.Sub(arm)), place(at.Add(arm)), pen)
		}
	}
	if len(s.checks) == 0 {
		return
	}
	drawn := s.drawn.near(p.window)
	for _, at := range s.joints.crosses() {
		for _, arm := range []geom.Point{geom.Pt(crossArm, 0), geom.Pt(0, crossArm)} {
			drawn = append(drawn, crowded{at.Sub(arm), at.Add(arm), 1})
		}
	}
	for _, c := range s.checks {
		b.checkLine(c, p.window, place, drawn)
	}
}

// crosses are where the middles of the shared strips meet each other and, at a
// plot's rim, 5 mm inside of it.
func (g grid) crosses() []geom.Point {
	middles := func(from float64, count int, step, use float64) (at []float64, joint []bool) {
		at, joint = []float64{from + Overlap/2}, []bool{false}
		for i := 1; i < count; i++ {
			at, joint = append(at, from+float64(i)*step+Overlap/2), append(joint, true)
		}
		return append(at, from+float64(count-1)*step+use-Overlap/2), append(joint, false)
	}
	xs, joinedX := middles(g.origin.X, g.cols, g.use.X-Overlap, g.use.X)
	ys, joinedY := middles(g.origin.Y, g.rows, g.use.Y-Overlap, g.use.Y)
	var out []geom.Point
	for i, x := range xs {
		for k, y := range ys {
			if joinedX[i] || joinedY[k] {
				out = append(out, geom.Pt(x, y))
			}
		}
	}
	return out
}

// checkLine draws a long line with a tick at both ends and at every 10 cm, and
// its length in words on every sheet it crosses.
func (b *book) checkLine(c checkLine, window geom.Box, place func(geom.Point) geom.Point, drawn crowd) {
	if !segmentMeets(c.from, c.to, window) {
		return
	}
	pen := Stroke{Color: grey, Width: thin, Dashes: []float64{0.6, 1.4}}
	b.line(place(c.from), place(c.to), pen)
	pen.Dashes = nil
	ticks := c.ticks()
	for i, t := range ticks {
		if pen.Color = grey; i == 0 || i == len(ticks)-1 {
			pen.Color = black
		}
		b.line(place(t.from), place(t.to), pen)
	}
	b.checkWords(c, window, place, append(drawn, ticks...))
}

const (
	checkLetters = 2.0 // mm
	checkAway    = 0.8 // mm from the line to the words
)

// checkWords says how long a check line is, beside it, on the side and at the
// place of this sheet where least is drawn.
func (b *book) checkWords(c checkLine, window geom.Box, place func(geom.Point) geom.Point, drawn crowd) {
	words := "check line, " + b.job.Unit.Format(c.long())
	if b.job.Unit == units.Inch {
		words += " (" + units.Centimetre.Format(c.long()) + ")" // it is a whole number of those
	}
	words += " from long tick to long tick"
	how := style{size: checkLetters, color: grey}
	way := c.to.Sub(c.from).Unit()
	how.angle = way.Angle()
	up := geom.Pt(0, -1).Turn(how.angle)
	long := b.width(words, how)
	room := window.Grow(-Overlap)
	start, end := math.Max(c.from.Dot(way), room.Min.Dot(way)), math.Min(c.to.Dot(way), room.Max.Dot(way))
	type spot struct {
		at   geom.Point // where the base line starts
		over geom.Box
	}
	var spots []spot
	for at := start; at == start || at+long <= end; at += 4 {
		on := c.from.Add(way.Mul(at - c.from.Dot(way)))
		for _, high := range [2]float64{checkAway, -checkAway - 0.75*checkLetters} {
			base := on.Add(up.Mul(high))
			spots = append(spots, spot{base, boxAlong(base, base.Add(way.Mul(long)), 0.5, 0.5).
				Union(boxAlong(base.Add(up.Mul(checkLetters)), base.Add(up.Mul(checkLetters)).Add(way.Mul(long)), 0, 0))})
		}
	}
	best, _ := leastCost(spots, func(s spot) float64 {
		cost := drawn.cost(s.over)
		if !window.Holds(s.over.Min) || !window.Holds(s.over.Max) {
			cost += long
		}
		return cost
	})
	b.text(place(best.at), words, how)
}
