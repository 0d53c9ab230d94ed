package geom

import "math"

// polynomial is a least-squares polynomial through points (x, y), in all
// degrees up to a greatest one. Method: polynomials orthogonal over the points
// by their three-term recurrence (Forsythe, Generation and use of orthogonal
// polynomials for data-fitting with a digital computer, 1957), stable where
// normal equations of powers are not.
type polynomial struct {
	centre, half      float64 // x runs over centre ± half
	alpha, beta, norm []float64
	weight            []float64 // of each orthogonal polynomial
	square            []float64 // the sum of the squared residuals in each degree
}

// newPolynomial fits degrees 0 to degree; fewer when there are no more
// different values of x.
func newPolynomial(x, y []float64, degree int) polynomial {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range x {
		low, high = min(low, v), max(high, v)
	}
	p := polynomial{centre: (low + high) / 2, half: (high - low) / 2}
	if !(p.half > 0) {
		p.half = 1
	}
	n := len(x)
	before, now, rest := make([]float64, n), make([]float64, n), append([]float64{}, y...)
	for i := range now {
		now[i] = 1
	}
	for k := 0; k <= degree && k < n; k++ {
		norm, mean, weight := 0.0, 0.0, 0.0
		for i, v := range now {
			norm += float64(v * v)
			mean += float64(float64(v*v) * (x[i] - p.centre) / p.half)
			weight += float64(v * rest[i])
		}
		if !(norm > 1e-20*float64(n)) {
			break
		}
		p.extend(norm, mean/norm, weight/norm)
		square := 0.0
		for i, v := range now {
			rest[i] -= float64(p.weight[k] * v)
			square += float64(rest[i] * rest[i])
			next := float64(((x[i]-p.centre)/p.half-p.alpha[k])*v) - float64(p.beta[k]*before[i])
			now[i], before[i] = next, v
		}
		p.square = append(p.square, square)
	}
	return p
}

// extend adds the orthogonal polynomial of the next degree.
func (p *polynomial) extend(norm, alpha, weight float64) {
	beta := 0.0
	if k := len(p.norm); k > 0 {
		beta = norm / p.norm[k-1]
	}
	p.alpha, p.beta = append(p.alpha, alpha), append(p.beta, beta)
	p.norm, p.weight = append(p.norm, norm), append(p.weight, weight)
}

// degree is the greatest degree the points could tell.
func (p polynomial) degree() int { return len(p.square) - 1 }

// at returns the value and slope at x in the given degree, and the variance of
// the slope for points of variance 1.
func (p polynomial) at(x float64, degree int) (value, slope, variance float64) {
	u := (x - p.centre) / p.half
	before, now, dBefore, dNow := 0.0, 1.0, 0.0, 0.0
	for k := 0; k <= degree; k++ {
		value += float64(p.weight[k] * now)
		slope += float64(p.weight[k] * dNow)
		variance += float64(dNow*dNow) / p.norm[k]
		next := float64((u-p.alpha[k])*now) - float64(p.beta[k]*before)
		dNext := now + float64((u-p.alpha[k])*dNow) - float64(p.beta[k]*dBefore)
		before, now, dBefore, dNow = now, next, dNow, dNext
	}
	return value, slope / p.half, variance / float64(p.half*p.half)
}
