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

// checkStep is what a check line is a whole number of, in mm.
const checkStep = 10.0

// addChecks gives a plot's sheets one check line across and one down, each
// along the longest run of sheets that are printed. They run in the strips that
// neighbouring sheets share, or as near to the edge of the paper, where least
// of the picture lies.
func addChecks(sheets []sheet) {
	if len(sheets) < 2 {
		return
	}
	g := sheets[0].joints
	there := map[[2]int]bool{}
	for _, s := range sheets {
		there[[2]int{s.col - 1, s.row - 1}] = true
	}
	var lines []checkLine
	if row, from, to := longestRun(g.rows, g.cols, func(i, k int) bool { return there[[2]int{k, i}] }); to > from {
		lines = append(lines, checkAlong(g.window(from, row), g.window(to, row), geom.Pt(1, 0)))
	}
	if col, from, to := longestRun(g.cols, g.rows, func(i, k int) bool { return there[[2]int{i, k}] }); to > from {
		lines = append(lines, checkAlong(g.window(col, from), g.window(col, to), geom.Pt(0, 1)))
	}
	for i := range sheets {
		sheets[i].checks = lines
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

// checkAlong is the check line from the first window to the last, 5 mm inside.
func checkAlong(first, last geom.Box, way geom.Point) checkLine {
	from := first.Min.Add(geom.Pt(Overlap/2, Overlap/2))
	room := last.Max.Sub(first.Min).Dot(way) - Overlap
	return checkLine{from, from.Add(way.Mul(math.Floor(room/checkStep) * checkStep))}
}
