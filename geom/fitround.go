package geom

import "math"

const (
	// leastRound and mostRound are the first and the last radius tried for a
	// rounded corner, in mm, and roundStep the ratio of each to the one before.
	leastRound = 2.0
	mostRound  = 200.0
	roundStep  = 1.2
	// roundUnknowns are those of two lines and a radius.
	roundUnknowns = 5
)

// roundedCorner is two straight sides, the corner between them rounded by a
// circle.
type roundedCorner struct {
	cost  float64   // the sum of the squared distances, in mm²
	depth float64   // by how much the tip is cut off, in mm
	off   []float64 // the points' distances
}

// bestRounded returns the rounding that explains points best; points[:from]
// and points[to:] are the sides as they were found. The cost is infinite when
// there is none.
func bestRounded(points []Point, from, to int) roundedCorner {
	best := roundedCorner{cost: math.Inf(1)}
	for r := leastRound; r <= mostRound; r *= roundStep {
		c, ok := roundedBy(points, from, to, r)
		if !ok {
			break
		}
		if c.cost < best.cost {
			best = c
		}
	}
	return best
}

// roundedBy rounds by a radius: the lines are those of least squares through
// the points beyond the arc.
func roundedBy(points []Point, from, to int, r float64) (roundedCorner, bool) {
	var start, end, in, out, centre, tip Point
	for range 2 {
		a, b := leastLine(points[:from])
		c, d := leastLine(points[to:])
		in, out = b.Sub(a).Unit(), d.Sub(c).Unit()
		turn := AngleBetween(in, out)
		if math.Abs(turn) < leastBreak || math.Abs(turn) > math.Pi-leastBreak {
			return roundedCorner{}, false
		}
		tip = a.Add(in.Mul(c.Sub(a).Cross(out) / in.Cross(out)))
		tangent := r * tan(math.Abs(turn)/2)
		start, end = tip.Sub(in.Mul(tangent)), tip.Add(out.Mul(tangent))
		centre = start.Add(in.Right().Mul(math.Copysign(r, turn)))
		from, to = 0, len(points)
		for from < len(points) && points[from].Sub(start).Dot(in) < 0 {
			from++
		}
		for to > 0 && points[to-1].Sub(end).Dot(out) > 0 {
			to--
		}
		if from < 3 || to > len(points)-3 {
			return roundedCorner{}, false
		}
	}
	c := roundedCorner{depth: tip.Dist(centre) - r}
	side := math.Copysign(1, in.Cross(out))
	for i, p := range points {
		off := side * (r - p.Dist(centre))
		if i < from {
			off = in.Cross(p.Sub(start))
		} else if i >= to {
			off = out.Cross(p.Sub(end))
		}
		c.off = append(c.off, off)
		c.cost += float64(off * off)
	}
	return c, true
}
