package geom

import (
	"cmp"
	"math"
	"slices"
)

const (
	// leastBreak is the turn in radians (3°) below which a break is none.
	leastBreak = 3 * math.Pi / 180
	// clearBreak is how many deviations of its own scatter a break turns by at
	// least.
	clearBreak = 3.0
	// breakGain is by how many variances a break has to explain the points
	// better than a smooth curve with as many coefficients: there are as many
	// places to look at as points.
	breakGain = 10.0
	// steepBreak is the turn (75°) from which no smooth curve is compared: its
	// graph would be too steep; steepGain stands for what a break gains then.
	steepBreak = 75 * math.Pi / 180
	steepGain  = 1000.0
	// breakApart is the least number of points between breaks.
	breakApart = 3

	// sideDegree is the greatest degree of a side of a break.
	sideDegree = 3
	// sideReach is how far in mm a side is looked at.
	sideReach = 120.0
	// sideSlope is the greatest slope, about 27°, of a side against its own
	// direction, so that the graph of a polynomial can follow it.
	sideSlope = 0.5
)

// sideCounts are the numbers of points of which sides are tried.
var sideCounts = []int{3, 4, 5, 6, 8, 10, 13, 17, 22, 28, 36, 46, 60}

// breakSide is a stretch of points that ends or begins at a break, as the
// graph of a polynomial over its own direction.
type breakSide struct {
	points []Point
	origin Point
	dir    Point // of travel
	poly   polynomial
	degree int
	square float64 // the sum of the squared residuals
}

// breakFound is a place at which the outline does not run smoothly: before the
// point with index at.
type breakFound struct {
	at      int
	turn    float64 // radians, its size
	scatter float64 // of the turn, one deviation
	gain    float64 // in variances
	place   Point
}

// breaks returns where a closed run of points, of noise sigma, does not run
// smoothly: the indices of the points after each break, rising.
//
// Method: the run is divided into straight stretches; where two of them meet,
// each side is explained by the longest polynomial that leaves noise only. A
// break stands where the two directions differ by more than their scatter and
// the sides explain the points better than one polynomial with as many
// coefficients would.
func breaks(points []Point, sigma float64) []int {
	n := len(points)
	var found []breakFound
	for _, at := range dividedStraight(points, sigma) {
		if b, ok := breakAt(points, at, sigma); ok {
			found = append(found, b)
		}
	}
	slices.SortStableFunc(found, func(a, b breakFound) int { return cmp.Compare(b.gain, a.gain) })
	var out []int
	for _, b := range found {
		near := func(at int) bool { d := (b.at - at + n) % n; return min(d, n-d) < breakApart }
		if !slices.ContainsFunc(out, near) {
			out = append(out, b.at)
		}
	}
	slices.Sort(out)
	return out
}

// breakAt tries a break before the point with the given index, and, as the
// sides that it lays may divide the points elsewhere, there and one point to
// either side; the best counts.
func breakAt(points []Point, at int, sigma float64) (best breakFound, ok bool) {
	var tried []int
	for next := []int{at - 1, at + 1, at}; len(next) > 0 && len(tried) < 6; {
		i := next[len(next)-1]
		next = next[:len(next)-1]
		if slices.Contains(tried, i) {
			continue
		}
		tried = append(tried, i)
		in, laid := grownSide(points, i-1, -1, sigma)
		if !laid {
			continue
		}
		on, laid := grownSide(points, i, 1, sigma)
		if !laid {
			continue
		}
		b := meetingOf(in, on, sigma)
		b.at = (i + len(points)) % len(points)
		b.gain = smoothGain(in, on, sigma)
		if b.turn > steepBreak {
			b.gain = max(b.gain, steepGain)
		}
		if b.turn >= leastBreak && b.turn >= clearBreak*b.scatter && b.gain >= breakGain && (!ok || b.gain > best.gain) {
			best, ok = b, true
		}
		_, u, _ := in.at(b.place)
		_, w, _ := on.at(b.place)
		next = append(next, dividedAt(points, i, b.place, u.Add(w)))
	}
	return best, ok
}

// dividedAt moves an index by at most two, so that the points before it lie
// before a place, and the others behind it, in the given direction.
func dividedAt(points []Point, at int, place, dir Point) int {
	n := len(points)
	before := func(i int) bool { return points[(i+n)%n].Sub(place).Dot(dir) < 0 }
	next := at
	for next < at+2 && before(next) {
		next++
	}
	for next > at-2 && next <= at && !before(next-1) {
		next--
	}
	return next
}

// grownSide returns the longest side, among the numbers of points tried, that
// a polynomial explains, of the points from start on, forward or backward.
func grownSide(points []Point, start, step int, sigma float64) (best breakSide, found bool) {
	n := len(points)
	for _, count := range sideCounts {
		if count > n/2 {
			break
		}
		part := make([]Point, count)
		for k := range part {
			part[k] = points[(start+k*step+n)%n]
		}
		if found && polylineLength(part) > sideReach {
			break
		}
		if step < 0 {
			slices.Reverse(part)
		}
		if s, ok := newSide(part, sigma); ok {
			best, found = s, true
		} else if count >= 5 {
			break
		}
	}
	return best, found
}

// newSide fits the least degree that the points ask for; ok is false when none
// will do for noise of deviation sigma.
func newSide(points []Point, sigma float64) (s breakSide, ok bool) {
	n := len(points)
	s.points = points
	s.origin, s.dir = principal(points)
	x, y := graphOver(points, s.origin, s.dir)
	top := sideDegree
	switch {
	case n < 5:
		top = 1
	case n < 8:
		top = 2
	}
	s.poly = newPolynomial(x, y, top)
	best := math.Inf(1)
	for d := 1; d <= s.poly.degree(); d++ {
		square, free := s.poly.square[d]/(sigma*sigma), float64(n-d-1)
		if square > free+float64(3*math.Sqrt(2*free))+5 {
			continue
		}
		_, first, _ := s.poly.at(x[0], d)
		_, last, _ := s.poly.at(x[n-1], d)
		if max(math.Abs(first), math.Abs(last)) > sideSlope {
			continue
		}
		if score := square + float64(unknownPrice*float64(d+1)); score < best {
			best, s.degree, s.square, ok = score, d, s.poly.square[d], true
		}
	}
	return s, ok
}

// graphOver returns the points' coordinates along a direction and to its
// right, from an origin.
func graphOver(points []Point, origin, dir Point) (x, y []float64) {
	x, y = make([]float64, len(points)), make([]float64, len(points))
	for i, p := range points {
		d := p.Sub(origin)
		x[i], y[i] = dir.Dot(d), dir.Cross(d)
	}
	return x, y
}

// at returns the side's point and direction nearest to q, and the variance of
// the direction for points of variance 1.
func (s breakSide) at(q Point) (at, dir Point, variance float64) {
	x := q.Sub(s.origin).Dot(s.dir)
	y, slope, v := s.poly.at(x, s.degree)
	across := s.dir.Right()
	at = s.origin.Add(s.dir.Mul(x)).Add(across.Mul(y))
	return at, s.dir.Add(across.Mul(slope)).Unit(), v / (1 + float64(slope*slope))
}

// meetingOf finds where two sides meet, at most one and a half times the
// distance of the points beside it from the middle between them.
func meetingOf(in, on breakSide, sigma float64) (b breakFound) {
	last, first := in.points[len(in.points)-1], on.points[0]
	mid, reach := last.Lerp(first, 0.5), 1.5*last.Dist(first)
	b.place = mid
	variance := 0.0
	for range 4 {
		p, u, v := in.at(b.place)
		q, w, x := on.at(b.place)
		b.turn, variance = math.Abs(AngleBetween(u, w)), v+x
		b.place = p.Lerp(q, 0.5)
		if cross := u.Cross(w); math.Abs(cross) > 0.03 {
			b.place = p.Add(u.Mul(q.Sub(p).Cross(w) / cross))
		}
		if d := b.place.Dist(mid); d > reach {
			b.place = mid.Lerp(b.place, reach/d)
		}
	}
	b.scatter = sigma * math.Sqrt(variance)
	return b
}

// smoothGain is by how many variances two sides explain their points better
// than one polynomial with at most as many coefficients.
func smoothGain(in, on breakSide, sigma float64) float64 {
	points := append(append([]Point{}, in.points...), on.points...)
	count := in.degree + on.degree + 2
	origin, dir := principal(points)
	x, y := graphOver(points, origin, dir)
	best := math.Inf(1)
	for d, square := range newPolynomial(x, y, count-1).square {
		best = min(best, square/(sigma*sigma)+float64(unknownPrice*float64(d+1)))
	}
	return best - (in.square+on.square)/(sigma*sigma) - float64(unknownPrice*float64(count))
}
