package geom

import (
	"math"
	"slices"
)

const (
	// polygonPiece is what a stretch of the dividing polygon costs, in variances
	// of the noise: one more has to explain that much. Twice the logarithm of a
	// thousand points is 14.
	polygonPiece = 12.0
	// polygonLongest is the number of points of a stretch at most, which keeps
	// the division linear in the number of points.
	polygonLongest = 160
	// polygonLeast is the deviation in mm below which exact points are taken to
	// scatter all the same, so that curves are not divided from point to point.
	polygonLeast = 0.05
)

// dividedStraight divides a closed run of points into stretches that are
// straight but for noise of deviation sigma, and returns the rising indices at
// which the stretches begin. Method: dynamic programming over all divisions,
// least squares and a price per stretch (Bellman, On the approximation of
// curves by line segments using dynamic programming, 1961).
func dividedStraight(points []Point, sigma float64) []int {
	// An open division first, begun at its sharpest bend once more.
	n := len(points)
	first := dividedOpen(points, sigma)
	best, from := -1.0, 0
	for k, i := range first {
		before := points[first[(k+len(first)-1)%len(first)]]
		after := points[first[(k+1)%len(first)]]
		if turn := math.Abs(AngleBetween(points[i].Sub(before), after.Sub(points[i]))); i > 0 && turn > best {
			best, from = turn, i
		}
	}
	turned := append(append(make([]Point, 0, n), points[from:]...), points[:from]...)
	var out []int
	for _, i := range dividedOpen(turned, sigma) {
		out = append(out, (i+from)%n)
	}
	slices.Sort(out)
	return out
}

// dividedOpen is dividedStraight for an open run; the first index is 0.
func dividedOpen(points []Point, sigma float64) []int {
	n := len(points)
	variance := max(sigma, polygonLeast) * max(sigma, polygonLeast)
	sums := newLineSums(points)
	least := make([]float64, n+1)
	from := make([]int, n+1)
	for j := 1; j <= n; j++ {
		least[j] = math.Inf(1)
		for i := max(0, j-polygonLongest); i <= j-2 || i == 0 && j == 1; i++ {
			if c := least[i] + sums.square(i, j)/variance + polygonPiece; c < least[j] {
				least[j], from[j] = c, i
			}
		}
	}
	var at []int
	for j := n; j > 0; j = from[j] {
		at = append(at, from[j])
	}
	slices.Reverse(at)
	return at
}

// straightOn joins neighbouring stretches of an open run that one line
// explains nearly as well; ends holds where they begin and the number of
// points.
func straightOn(points []Point, ends []int, sigma float64) []int {
	sums := newLineSums(points)
	out := []int{ends[0]}
	for k := 1; k+1 < len(ends); k++ {
		from, mid, to := out[len(out)-1], ends[k], ends[k+1]
		gain := sums.square(from, to) - sums.square(from, mid) - sums.square(mid, to)
		if gain > 2*polygonPiece*sigma*sigma {
			out = append(out, mid)
		}
	}
	return append(out, ends[len(ends)-1])
}

// lineSums hold running sums of the points' moments, about their mean.
type lineSums [][5]float64

func newLineSums(points []Point) lineSums {
	centre, _ := principal(points)
	s := make(lineSums, len(points)+1)
	for i, p := range points {
		d := p.Sub(centre)
		s[i+1] = [5]float64{s[i][0] + d.X, s[i][1] + d.Y,
			s[i][2] + float64(d.X*d.X), s[i][3] + float64(d.X*d.Y), s[i][4] + float64(d.Y*d.Y)}
	}
	return s
}

// square is the sum of the squared distances of points[i:j] from the line
// nearest to them: the lesser eigenvalue of their scatter.
func (s lineSums) square(i, j int) float64 {
	n := float64(j - i)
	x, y := s[j][0]-s[i][0], s[j][1]-s[i][1]
	xx := s[j][2] - s[i][2] - float64(x*x)/n
	xy := s[j][3] - s[i][3] - float64(x*y)/n
	yy := s[j][4] - s[i][4] - float64(y*y)/n
	return max(0, (xx+yy-hypot(xx-yy, 2*xy))/2)
}

// leastLine returns the ends of the line of least squares through points: the
// feet of the first and the last.
func leastLine(points []Point) (a, b Point) {
	centre, dir := principal(points)
	foot := func(p Point) Point { return centre.Add(dir.Mul(p.Sub(centre).Dot(dir))) }
	return foot(points[0]), foot(points[len(points)-1])
}

// principal returns the mean of points and the direction of their greatest
// spread, from the first towards the last.
func principal(points []Point) (centre, dir Point) {
	for _, p := range points {
		centre = centre.Add(p)
	}
	centre = centre.Mul(1 / float64(len(points)))
	var xx, xy, yy float64
	for _, p := range points {
		d := p.Sub(centre)
		xx, xy, yy = xx+float64(d.X*d.X), xy+float64(d.X*d.Y), yy+float64(d.Y*d.Y)
	}
	dir = Pt(1, 0).Turn(atan2(2*xy, xx-yy) / 2)
	if dir.Dot(points[len(points)-1].Sub(points[0])) < 0 {
		dir = dir.Mul(-1)
	}
	return centre, dir
}

// polylineLength returns the length of the lines through the points.
func polylineLength(points []Point) float64 {
	sum := 0.0
	for i := 1; i < len(points); i++ {
		sum += points[i].Dist(points[i-1])
	}
	return sum
}
