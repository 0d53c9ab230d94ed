package trace

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern/units"
)

// What tells noisy points from a drawn outline. Each point lies off the cubic
// through the two points before it and the two after it, over the length along
// the outline, so that neither bends nor uneven spacing count; divided by what
// an error of 1 mm of each point by itself leaves of it on average. On exact
// polylines through curves this is small or changes slowly; for independent
// errors neighbouring values have a correlation near −0.8. Outlines of garment
// parts as polygons have some 36 corners at most, far apart.
const (
	denseCount    = 60   // straight lines, at least
	denseLength   = 20.0 // mm, their mean length at most: 60 points on a pocket, 100 on a sleeve
	noisyLikeness = -0.4 // correlation of neighbours, at most
	noisyLeast    = 0.01 // mm, deviation of the points, at least
	noisyMost     = 2.0  // mm, at most: what is greater are teeth and no error
	outlying      = 4.0  // medians; what is greater is a corner and no error
)

// smoothNoise puts a fitted outline in the place of dense, noisy points.
func (t *tracing) smoothNoise() {
	if t.declared() || !(noisy(t.o.Ring) || (t.r.DrawnWithin > 0 && dense(t.o.Ring))) {
		return
	}
	points := make([]geom.Point, len(t.o.Ring))
	for i, c := range t.o.Ring {
		points[i] = c.P0
	}
	ring, corners, noise := geom.FitOutline(points, geom.FitOptions{CornerTurn: t.r.Corner})
	if len(ring) == 0 {
		return
	}
	t.says("%d points with an error of about %s mm: curves were laid through them", len(points), units.Number(noise, 2))
	t.o.Ring, t.noise, t.fixed, t.points = ring, noise, corners, points
	if t.fixed == nil {
		t.fixed = []int{}
	}
}

// dense reports whether a ring is a polyline through dense points.
func dense(r geom.Ring) bool {
	n := len(r)
	return n > denseCount && r.Length() <= denseLength*float64(n) &&
		!slices.ContainsFunc(r, func(c geom.Cubic) bool { return !c.IsStraight(storedStraight) })
}

// noisy reports whether a ring is a polyline through dense points that
// scatter.
func noisy(r geom.Ring) bool {
	n := len(r)
	if !dense(r) {
		return false
	}
	wavering := besideNeighbours(r)
	sizes := make([]float64, n)
	for i, w := range wavering {
		sizes[i] = math.Abs(w)
	}
	slices.Sort(sizes)
	most := outlying * sizes[n/2]
	square, product, count := 0.0, 0.0, 0
	for i, w := range wavering {
		if next := wavering[(i+1)%n]; math.Abs(w) <= most && math.Abs(next) <= most {
			square, product, count = square+w*w, product+w*next, count+1
		}
	}
	sigma := math.Sqrt(square / float64(count))
	return count > n/2 && sigma >= noisyLeast && sigma <= noisyMost && product <= noisyLikeness*square
}

// besideNeighbours gives for each node how far in mm it lies to the left of the
// cubic through its four neighbours, by what errors of 1 mm leave of that.
func besideNeighbours(r geom.Ring) []float64 {
	n := len(r)
	out := make([]float64, n)
	for i := range r {
		near := [5]geom.Point{}
		along := [5]float64{}
		for k := range near {
			near[k] = r[(i+k-2+n)%n].P0
			if k > 0 {
				along[k] = along[k-1] + near[k].Dist(near[k-1])
			}
		}
		off, square := near[2], 1.0
		for _, k := range [4]int{0, 1, 3, 4} {
			w := 1.0 // of Lagrange's interpolation
			for _, j := range [4]int{0, 1, 3, 4} {
				if j != k {
					w *= (along[2] - along[j]) / (along[k] - along[j])
				}
			}
			off, square = off.Sub(near[k].Mul(w)), square+w*w
		}
		if v := near[4].Sub(near[0]).Unit().Left().Dot(off) / math.Sqrt(square); math.Abs(v) < math.Inf(1) {
			out[i] = v // points on one another tell nothing
		}
	}
	return out
}
