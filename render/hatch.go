package render

import (
	"math"
	"sort"
	"strings"

	"toile/geom"
	"toile/pattern/units"
)

// The directions of the hatches, clockwise from +x as seen, y running down:
// +45° as one reads an angle on paper rises to the right.
const (
	risingHatch  = -math.Pi / 4
	fallingHatch = math.Pi / 4
)

// hatchMost is the greatest number of lines of one hatch: a region too large
// for its hatch gets wider gaps instead of a file too large to open.
const hatchMost = 400

// hatchLines returns the lines of a hatch inside the rings by the even-odd
// rule: parallel to the direction, every step mm from the sheet's origin, so
// that neighbouring regions share their lines. Method: the rings, flattened
// within tol and turned so that the hatch is level, cut by level lines.
func hatchLines(rings []geom.Ring, angle, step, tol float64) []segment {
	var polygons [][]geom.Point
	low, high := math.Inf(1), math.Inf(-1)
	for _, ring := range rings {
		var points []geom.Point
		for _, p := range geom.Path(ring).Flatten(tol) {
			q := p.Turn(-angle)
			low, high = math.Min(low, q.Y), math.Max(high, q.Y)
			points = append(points, q)
		}
		polygons = append(polygons, points)
	}
	if !(high > low) || math.IsInf(high-low, 0) {
		return nil // nothing to hatch, or coordinates that finish refuses
	}
	for (high-low)/step > hatchMost {
		step *= 2
	}
	var lines []segment
	for k := math.Ceil(low / step); k*step <= high; k++ {
		y := k * step
		xs := levelCuts(polygons, y)
		for i := 0; i+1 < len(xs); i += 2 {
			if xs[i+1]-xs[i] > tol {
				lines = append(lines, segment{geom.Pt(xs[i], y).Turn(angle), geom.Pt(xs[i+1], y).Turn(angle)})
			}
		}
	}
	return lines
}

// levelCuts returns where closed polygons cross the level y, in order.
func levelCuts(polygons [][]geom.Point, y float64) []float64 {
	var xs []float64
	for _, points := range polygons {
		for i, p := range points {
			q := points[(i+1)%len(points)]
			if (p.Y <= y) != (q.Y <= y) {
				xs = append(xs, p.X+(q.X-p.X)*(y-p.Y)/(q.Y-p.Y))
			}
		}
	}
	sort.Float64s(xs)
	return xs
}

// segmentData writes segments as path data.
func (c *canvas) segmentData(lines []segment) string {
	var b strings.Builder
	for i, s := range lines {
		if i > 0 {
			b.WriteByte(' ')
		}
		for k, p := range []geom.Point{s.a, s.b} {
			b.WriteString([]string{"M", " L"}[k])
			b.WriteString(units.Number(c.num(p.X), 2) + " " + units.Number(c.num(p.Y), 2))
		}
	}
	return b.String()
}
