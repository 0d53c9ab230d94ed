package export

import (
	"math"

	"toile/geom"
)

// vertex is a point of a line as DXF holds it: a turn point, or one that lies
// on a curve.
type vertex struct {
	at   geom.Point
	turn bool
}

const (
	// chordWithin is how far in mm the lines between the points may lie from the
	// curve: the standard's 0.05 with room for rounding.
	chordWithin = 0.04

	// curveWithin is how far in mm the smooth curve that a reader lays through
	// the points (geom.Through) may lie from the true one: a fifth of what
	// outlines are told apart by.
	curveWithin = 0.002

	// finer is by how much chordWithin is divided from one try to the next, and
	// mostTries how often: half the spacing leaves a sixteenth of the error. Of
	// several curves after partAfter tries the bend leaps somewhere, and only
	// parting helps.
	finer     = 4
	mostTries = 6
	partAfter = 2

	// kink in radians: where a line turns by more, a smooth curve through it
	// would lie beside it.
	kink = 0.002

	// straightWithin is how far in mm a line may be from straight.
	straightWithin = 1e-4
)

// vertices turns a line into points. Between two turn points with nothing
// between them it is straight, else the smooth curve through the points, within
// curveWithin; the chords lie within chordWithin. A closed line ends where it
// starts, and its last point is left out. Where arc tells that a curve rounds
// another corner than the one before, or none, there is a turn point too.
func vertices(p geom.Path, closed bool, arc []int) []vertex {
	n := len(p)
	turns := make([]bool, n)
	first := -1
	for i := range p {
		before := (i + n - 1) % n
		turns[i] = (i == 0 && !closed) || turnsAt(p[before], p[i]) || (arc != nil && arc[before] != arc[i])
		if turns[i] && first < 0 {
			first = i
		}
	}
	if first < 0 {
		return loop(p)
	}
	var out []vertex
	for from := 0; from < n; {
		to := from + 1
		for to < n && !turns[(first+to)%n] {
			to++
		}
		stretch := make(geom.Path, 0, to-from)
		for k := from; k < to; k++ {
			stretch = append(stretch, p[(first+k)%n])
		}
		out = append(out, along(stretch)...)
		from = to
	}
	if !closed {
		out = append(out, vertex{p.End(), true})
	}
	return out
}

// turnsAt reports whether the line turns from one curve to the next, or goes
// from straight to curved.
func turnsAt(c, d geom.Cubic) bool {
	return math.Abs(geom.AngleBetween(c.Tangent(1), d.Tangent(0))) > kink || straightLine(c) != straightLine(d)
}

func straightLine(c geom.Cubic) bool { return c.IsStraight(straightWithin) }

// along gives the points of a stretch without its end. Where no number of
// points will do, as where a curve's bend leaps, the stretch is parted there.
func along(p geom.Path) []vertex {
	if len(p) == 1 && straightLine(p[0]) {
		return []vertex{{p[0].P0, true}}
	}
	within := chordWithin
	for try := 0; ; try++ {
		points, source := spread(p, within)
		if off := strays(p, geom.Through(points), source); off <= curveWithin || (try == mostTries && len(p) == 1) {
			return marked(points[:len(points)-1])
		}
		if try == partAfter && len(p) > 1 {
			break
		}
		within /= finer
	}
	at := sharpestLeap(p)
	return append(along(p[:at]), along(p[at:])...)
}

func marked(points []geom.Point) []vertex {
	out := make([]vertex, len(points))
	for i, q := range points {
		out[i] = vertex{q, i == 0}
	}
	return out
}

// loop gives the points of a line that is smooth all round.
func loop(p geom.Path) []vertex {
	within := chordWithin
	for try := 0; ; try++ {
		points, source := spread(p, within)
		points = points[:len(points)-1]
		if strays(p, geom.ThroughClosed(points), source) <= curveWithin || try == mostTries {
			out := make([]vertex, len(points))
			for i, q := range points {
				out[i] = vertex{q, false}
			}
			return out
		}
		within /= finer
	}
}

// spread gives points along a path, both ends and every node among them, and
// for each stretch between two the curve it is of. Curves are divided into three
// at least, unless straight, so that the smooth curve has something to go by.
func spread(p geom.Path, within float64) (points []geom.Point, source []int) {
	points = append(points, p.Start())
	for i, c := range p {
		n := 1
		if !straightLine(c) {
			n = max(3, len(c.Flatten(within))-1)
		}
		for k := 1; k <= n; k++ {
			points = append(points, c.At(float64(k)/float64(n)))
			source = append(source, i)
		}
	}
	return points, source
}

// strays is how far the curve through the points lies from the true one.
func strays(p, through geom.Path, source []int) float64 {
	most := 0.0
	for k, c := range through {
		for _, t := range [3]float64{0.25, 0.5, 0.75} {
			_, d := p[source[k]].Nearest(c.At(t))
			most = max(most, d)
		}
		if most > curveWithin {
			return most
		}
	}
	return most
}

// sharpestLeap is the inner node at which the bend changes most.
func sharpestLeap(p geom.Path) int {
	best, most := 1, -1.0
	for i := 1; i < len(p); i++ {
		turn := math.Abs(geom.AngleBetween(p[i-1].Tangent(1), p[i].Tangent(0)))
		leap := math.Abs(p[i].Curvature(0)-p[i-1].Curvature(1)) + turn/kink
		if leap > most {
			best, most = i, leap
		}
	}
	return best
}
