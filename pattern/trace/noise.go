package trace

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern/units"
)

// What tells noisy points from a drawn outline. Each point lies beside the
// line between its neighbours; of that distance, the difference from the mean
// of its neighbours' is taken, in which even bends cancel. On exact polylines
// through curves this is small or changes slowly; for independent errors of
// the points, neighbouring values have the correlation −0.8. Outlines of
// garment parts as polygons have some 36 corners at most, far apart.
const (
	denseCount    = 60   // straight lines, at least
	denseLength   = 20.0 // mm, their mean length at most
	noisyLikeness = -0.4 // correlation of neighbours, at most
	noisyLeast    = 0.02 // mm, root mean square, at least: points out by 0.01
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
	wavering := differences(besideNeighbours(r))
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
	return count > n/2 && math.Sqrt(square/float64(count)) >= noisyLeast && product <= noisyLikeness*square
}

// besideNeighbours gives for each node how far it lies to the right of the
// line from the node before to the node after.
func besideNeighbours(r geom.Ring) []float64 {
	out := make([]float64, len(r))
	for i, c := range r {
		before := r[(i+len(r)-1)%len(r)].P0
		out[i] = c.P3.Sub(before).Unit().Cross(c.P0.Sub(before))
	}
	return out
}

// differences gives each value less the mean of its neighbours.
func differences(v []float64) []float64 {
	n := len(v)
	out := make([]float64, n)
	for i, x := range v {
		out[i] = x - (v[(i+n-1)%n]+v[(i+1)%n])/2
	}
	return out
}
