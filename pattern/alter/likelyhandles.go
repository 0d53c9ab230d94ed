package alter

import (
	"math"
	"slices"

	"toile/geom"
)

// handleReach is how many thousandths of a millimetre a handle that was counted back
// from two parts of a cubic may be off, and storedWithin how far in mm what is stored at
// 0.001 mm may lie from what it was before.
const (
	handleReach  = 3
	storedWithin = 0.0007
)

// likelyHandles is the cubic that two were cut from at t, about as given, with the
// handles that give these parts as stored, for some place of the cut: of all at 0.001 mm
// that do, those with the fewest decimals, as somebody drew them, else the nearest. Where
// none do it stays as given.
func likelyHandles(whole geom.Cubic, t float64, a, b geom.Cubic) geom.Cubic {
	var tried [4][]float64
	for k, v := range [4]float64{whole.P1.X, whole.P1.Y, whole.P2.X, whole.P2.Y} {
		for by := -handleReach; by <= handleReach; by++ {
			tried[k] = append(tried[k], math.Round(v*1000+float64(by))/1000)
		}
		if drawn := math.Round(v*10) / 10; math.Abs(drawn-v) < 3*handleReach/1000.0 && !slices.Contains(tried[k], drawn) {
			tried[k] = append(tried[k], drawn)
		}
	}
	best, least := whole, math.Inf(1)
	for _, x1 := range tried[0] {
		for _, y1 := range tried[1] {
			for _, x2 := range tried[2] {
				for _, y2 := range tried[3] {
					c := geom.Cubic{P0: whole.P0, P1: geom.Pt(x1, y1), P2: geom.Pt(x2, y2), P3: whole.P3}
					if cost := unlikely(c, t, a, b); cost < least {
						best, least = c, cost
					}
				}
			}
		}
	}
	return best
}

// unlikely tells how little a cubic agrees with two parts of it as stored, cut at about
// t: infinite where it does not, else the squares of what they are off, and more for
// each coordinate of a handle that has more than one decimal.
func unlikely(c geom.Cubic, t float64, a, b geom.Cubic) float64 {
	const step = 1e-6
	off, on := partsOff(c, t, a, b), partsOff(c, t+step, a, b)
	along, speed := 0.0, 0.0 // the cut slid by one step of Gauss and Newton
	for k := range off {
		slope := (on[k] - off[k]) / step
		along += float64(slope * off[k])
		speed += float64(slope * slope)
	}
	off = partsOff(c, t-along/speed, a, b)
	cost := 0.0
	for _, v := range off {
		if !(math.Abs(v) <= storedWithin) {
			return math.Inf(1)
		}
		cost += float64(v * v)
	}
	for _, v := range [4]float64{c.P1.X, c.P1.Y, c.P2.X, c.P2.Y} {
		if math.Abs(v*10-math.Round(v*10)) > 1e-6 {
			cost++
		}
	}
	return cost
}

// partsOff is by how many mm the parts of a cubic cut at t lie off two others.
func partsOff(c geom.Cubic, t float64, a, b geom.Cubic) [10]float64 {
	x, y := c.Split(t)
	var off [10]float64
	for k, d := range [5]geom.Point{x.P1.Sub(a.P1), x.P2.Sub(a.P2), x.P3.Sub(a.P3), y.P1.Sub(b.P1), y.P2.Sub(b.P2)} {
		off[2*k], off[2*k+1] = d.X, d.Y
	}
	return off
}
