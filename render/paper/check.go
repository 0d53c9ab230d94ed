package paper

import (
	"math"

	"toile/geom"
)

// checkLine is a long line across several sheets, from tick to tick a whole
// number of centimetres.
type checkLine struct{ from, to geom.Point }

// long is its length in mm.
func (c checkLine) long() float64 { return c.from.Dist(c.to) }

// checkTicks is the distance of the small ticks of a check line in mm.
const checkTicks = 100.0

// ticks are across the line, long ones at its ends and small ones every 10 cm.
func (c checkLine) ticks() crowd {
	var out crowd
	way := c.to.Sub(c.from).Unit()
	for at := 0.0; at < c.long()+checkTicks; at += checkTicks {
		at, size := math.Min(at, c.long()), tick/2
		if at == 0 || at == c.long() {
			size = tick
		}
		on := c.from.Add(way.Mul(at))
		out = append(out, crowded{on.Sub(way.Left().Mul(size)), on.Add(way.Left().Mul(size)), 1})
	}
	return out
}

// checkStep is what a check line is a whole number of, in mm.
const checkStep = 10.0

// addChecks gives a plot's sheets one check line across and one down, each
// along the longest run of sheets that are printed, and there where it and its
// words lie over least of the picture.
func addChecks(sheets []sheet, p Picture) {
	if len(sheets) < 2 {
		return
	}
	g := sheets[0].joints
	there := map[[2]int]bool{}
	for _, s := range sheets {
		there[[2]int{s.col - 1, s.row - 1}] = true
	}
	drawn := p.crowd()
	var lines []checkLine
	if row, from, to := longestRun(g.rows, g.cols, func(i, k int) bool { return there[[2]int{k, i}] }); to > from {
		lines = append(lines, checkAlong(g.window(from, row), g.window(to, row), geom.Pt(1, 0), drawn))
	}
	if col, from, to := longestRun(g.cols, g.rows, func(i, k int) bool { return there[[2]int{i, k}] }); to > from {
		lines = append(lines, checkAlong(g.window(col, from), g.window(col, to), geom.Pt(0, 1), drawn))
	}
	for i := range sheets {
		sheets[i].checks, sheets[i].drawn = lines, drawn
	}
}

// longestRun finds the line with the longest run of places that are there, and
// where the run begins and ends.
func longestRun(lines, places int, there func(line, place int) bool) (line, from, to int) {
	from, to = 0, -1
	for i := 0; i < lines; i++ {
		start := 0
		for k := 0; k < places; k++ {
			if !there(i, k) {
				start = k + 1
			} else if k-start > to-from {
				line, from, to = i, start, k
			}
		}
	}
	return line, from, to
}

const (
	// checkRoom is what has to be free on either side of a check line in mm: it
	// is dotted, and hardly seen beside another line. checkClear is what should
	// be, where there is room: in an allowance its ticks look like notches.
	checkRoom, checkClear = 2.0, 8.0

	// checkBeside is what a mm of line within checkRoom costs, one within
	// checkClear alone costing 1.
	checkBeside = 100.0

	// checkReach and checkShift are how far from the edge of the sheets a check
	// line may be moved in mm, and by how much at a time; checkMoved is what a
	// mm of that costs, in mm of line covered.
	checkReach = 60.0
	checkShift = 2.5
	checkMoved = 0.01
)

// checkAlong is the check line from the first window to the last, 5 mm inside
// of either end, at the distance from one of their sides where it lies over
// least of what is drawn.
func checkAlong(first, last geom.Box, way geom.Point, drawn crowd) checkLine {
	side := geom.Pt(way.Y, way.X)
	across := last.Max.Sub(first.Min).Dot(side)
	room := last.Max.Sub(first.Min).Dot(way) - Overlap
	at := func(in float64) checkLine {
		from := first.Min.Add(way.Mul(Overlap / 2)).Add(side.Mul(in))
		return checkLine{from, from.Add(way.Mul(math.Floor(room/checkStep) * checkStep))}
	}
	drawn = drawn.near(geom.Box{Min: first.Min, Max: last.Max})
	var places []float64
	for in := Overlap / 2; in <= min(checkReach, across/2); in += checkShift {
		places = append(places, in, across-in)
	}
	in, _ := leastCost(places, func(in float64) float64 {
		c := at(in)
		return checkBeside*drawn.cost(boxAlong(c.from, c.to, checkRoom, checkRoom)) +
			drawn.cost(boxAlong(c.from, c.to, checkClear, checkClear)) + checkMoved*(min(in, across-in)-Overlap/2)
	})
	return at(in)
}
