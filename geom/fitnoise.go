package geom

import (
	"cmp"
	"math"
	"slices"
)

const (
	// fitWindow is the number of distances in a row whose mean is tested.
	fitWindow = 8
	// unknownPrice is what an unknown costs, in variances of the noise, when
	// fits are compared: between Akaike's 2 and the logarithm of the number of
	// points (Schwarz, Estimating the dimension of a model, 1978).
	unknownPrice = 4.0
	// curvePrice is what a curve that is not straight costs besides, so that
	// straight edges come back straight.
	curvePrice = 6.0
)

// noiseModel is what the distances of points from the true outline look like:
// their deviation in mm, and by how much the variance of means of neighbours
// is greater than if each point were by itself.
type noiseModel struct{ sigma, together float64 }

// unit is the variance in which costs are counted.
func (m noiseModel) unit() float64 { return m.sigma * m.sigma * m.together }

// ok reports whether distances from curves with some unknowns look like this
// noise: their mean square within three deviations of its own scatter, no mean
// of fitWindow in a row beyond four, none of them beyond five. worst is the
// middle of the window with the greatest mean.
func (m noiseModel) ok(off []float64, unknowns int) (ok bool, worst int) {
	n := len(off)
	wide := min(fitWindow, n)
	square, sum, most := 0.0, 0.0, 0.0
	ok = true
	for i, d := range off {
		square += float64(d * d)
		ok = ok && math.Abs(d) <= 5*m.sigma
		sum += d
		if i >= wide {
			sum -= off[i-wide]
		}
		if mean := math.Abs(sum) / float64(wide); i >= wide-1 && mean > most {
			worst, most = i-wide/2, mean
		}
	}
	ok = ok && most <= 4*m.sigma*math.Sqrt(min(1, m.together/float64(wide)))
	free := max(1, float64(n-unknowns))
	return ok && square <= m.sigma*m.sigma*(free+float64(3*math.Sqrt(2*free*m.together))+3), worst
}

// price is the cost of a fit with its unknowns and curves, in variances.
func (m noiseModel) price(s *spline) float64 {
	price := s.cost()/m.unit() + float64(unknownPrice*float64(s.unknowns()))
	for _, line := range s.lines {
		if !line {
			price += curvePrice
		}
	}
	return price
}

// fitter accepts what looks like this noise.
func (m noiseModel) fitter() fitter {
	return fitter{ok: m.ok, score: m.price, care: fitCare{enough: m.sigma * m.sigma / 50, hopeless: 10 * m.unit(), tame: true}}
}

// outlineNoise estimates the noise of a closed run of points, each by itself:
// the distances of five points in a row from the parabola nearest to them
// leave two degrees of freedom, and the median of chi squared is 1.3863 then.
// The median, so that corners do not count.
func outlineNoise(points []Point) float64 {
	n := len(points)
	sizes := make([]float64, n)
	x, y := make([]float64, 5), make([]float64, 5)
	for i, a := range points {
		dir := points[(i+4)%n].Sub(a).Unit()
		for k := range x {
			d := points[(i+k)%n].Sub(a)
			x[k], y[k] = d.Dot(dir), dir.Cross(d)
		}
		p := newPolynomial(x, y, 2)
		sizes[i] = p.square[p.degree()]
	}
	slices.Sort(sizes)
	return math.Sqrt(sizes[n/2] / 1.3863)
}

// Waves, errors that move neighbouring points together, are looked for in
// stretches of the runs between breaks, at first of up to waveReaches[0] mm.
const (
	// waveTurn is the angle (45°) a stretch may turn through: there one cubic
	// stays within a thousandth of a millimetre of an arc, so that what it
	// leaves is noise.
	waveTurn = math.Pi / 4
	// waveTrim is the share of a run left out at either end, where a corner may
	// be rounded, and waveShortest the least length of a stretch in mm.
	waveTrim     = 0.05
	waveShortest = 37.0
	// waveShare is the share of the stretches, by length, whose noise is no
	// greater than the estimate. Less than half, so that much of the outline
	// may well be too much for one cubic; and waveCover is the share of the
	// outline that the stretches have to make up.
	waveShare = 0.4
	waveCover = 1. / 3
	// waveMost is the greatest deviation in mm that is taken for waves; what is
	// greater is shape, and shorter stretches are looked at.
	waveMost = 0.35
	// waveLeast is the ratio of the variance found to that of each point by
	// itself below which there are no waves.
	waveLeast = 1.25
)

var waveReaches = []float64{600, 300, 150, 75, waveShortest + 0.5}

// waveBlocks are the numbers of distances in a row whose means tell how far
// neighbours move together.
var waveBlocks = [4]int{fitWindow, 2 * fitWindow, 4 * fitWindow, 8 * fitWindow}

// leftOver is what one cubic leaves of a stretch: the variance of the
// distances, and by how much that of the means of some in a row is greater
// than if each were by itself.
type leftOver struct{ length, square, together float64 }

// runNoise estimates the noise of runs of points between breaks, that of
// neighbours together included; alone is that of each by itself.
func runNoise(runs [][]Point, alone float64) noiseModel {
	model := noiseModel{alone, 1}
	whole := 0.0
	for _, run := range runs {
		whole += polylineLength(run)
	}
	for _, reach := range waveReaches {
		left, length := leftOvers(runs, reach, model.fitter())
		if length < waveCover*whole {
			continue
		}
		square := lesserShare(left, func(l leftOver) float64 { return l.square })
		switch {
		case square > float64(alone*alone)+float64(waveMost*waveMost):
			continue
		case square > waveLeast*alone*alone:
			together := lesserShare(left, func(l leftOver) float64 { return l.together })
			return noiseModel{math.Sqrt(square), max(1, together)}
		}
		break
	}
	return model
}

// leftOvers is what single cubics leave of stretches of runs, and the length
// of the stretches together.
func leftOvers(runs [][]Point, reach float64, f fitter) (left []leftOver, length float64) {
	for _, run := range runs {
		trim := int(waveTrim * float64(len(run)))
		for _, part := range stretches(run[trim:len(run)-trim], reach) {
			s := f.oneCurve(part, fitEnds{}, false)
			if c := s.cutTo()[0]; c.controlTurn() > waveTurn {
				continue
			}
			l := newLeftOver(s.off(), polylineLength(part))
			left, length = append(left, l), length+l.length
		}
	}
	return left, length
}

// lesserShare is the value below which a share of waveShare lies, by length.
func lesserShare(left []leftOver, value func(leftOver) float64) float64 {
	slices.SortStableFunc(left, func(a, b leftOver) int { return cmp.Compare(value(a), value(b)) })
	whole, sum := 0.0, 0.0
	for _, l := range left {
		whole += l.length
	}
	for _, l := range left {
		if sum += l.length; sum >= waveShare*whole {
			return value(l)
		}
	}
	return 0
}

// controlTurn is by how much the control polygon turns, one way and the other.
func (c Cubic) controlTurn() float64 {
	u, v, w := c.P1.Sub(c.P0), c.P2.Sub(c.P1), c.P3.Sub(c.P2)
	return math.Abs(AngleBetween(u, v)) + math.Abs(AngleBetween(v, w))
}

// stretches divides a run into equal parts no longer than reach, none shorter
// than waveShortest or of fewer than twelve points.
func stretches(run []Point, reach float64) [][]Point {
	length := polylineLength(run)
	count := int(math.Ceil(math.Min(length/reach, float64(len(run)+1))))
	if length < waveShortest*float64(count) || count > len(run) {
		return nil
	}
	var out [][]Point
	for k := range count {
		part := run[k*len(run)/count : (k+1)*len(run)/count]
		if len(part) >= 12 {
			out = append(out, part)
		}
	}
	return out
}

// newLeftOver sums up the distances of a stretch's points from a cubic, which
// takes six degrees of freedom.
func newLeftOver(off []float64, length float64) leftOver {
	n := len(off)
	sums := make([]float64, n+1)
	l := leftOver{length: length}
	for i, d := range off {
		l.square += float64(d * d)
		sums[i+1] = sums[i] + d
	}
	l.square /= float64(n - 6)
	for _, block := range waveBlocks {
		if 2*block > n || l.square == 0 {
			break
		}
		square := 0.0
		for i := block; i <= n; i++ {
			mean := (sums[i] - sums[i-block]) / float64(block)
			square += float64(mean * mean)
		}
		square /= float64(n - block + 1)
		l.together = max(l.together, square*float64(block)/l.square)
	}
	return l
}
