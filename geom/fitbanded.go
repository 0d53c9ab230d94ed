package geom

import "math"

// bandWidth is the number of unknowns a curve of a spline can depend on at
// most: two units with six each.
const bandWidth = 12

// banded is a system of normal equations whose unknowns depend on neighbours
// only: element (i, j), j ≤ i, is m[i*bandWidth+i−j].
type banded struct {
	n              int
	m, right       []float64
	factor, answer []float64
}

func newBanded(n int) *banded {
	return &banded{n: n, m: make([]float64, n*bandWidth), right: make([]float64, n),
		factor: make([]float64, n*bandWidth), answer: make([]float64, n)}
}

func (b *banded) clear() {
	clear(b.m)
	clear(b.right)
}

// add adds an equation: the sum over the effects' unknowns, weighted by row,
// is to be value.
func (b *banded) add(effects []effect, row []float64, value float64) {
	for i := range effects {
		r, at := row[i], effects[i].unknown
		if r == 0 {
			continue
		}
		for j := range effects {
			if d := at - effects[j].unknown; d >= 0 {
				b.m[at*bandWidth+d] += float64(r * row[j])
			}
		}
		b.right[at] += float64(r * value)
	}
}

// solve returns the unknowns by Cholesky's method, with a share of each
// diagonal element added to it, and 1e-14 of the greatest for unknowns that
// nothing depends on. It fails where the equations are not positive definite
// for all that. The answer is valid until the next call.
func (b *banded) solve(damping float64) ([]float64, bool) {
	const w = bandWidth
	most := 0.0
	for i := range b.n {
		most = max(most, b.m[i*w])
	}
	f := b.factor
	copy(f, b.m)
	for i := range b.n {
		f[i*w] += float64(damping*f[i*w]) + float64(1e-14*most) + 1e-300
		for j := max(0, i-w+1); j <= i; j++ {
			sum := f[i*w+i-j]
			for k := max(0, i-w+1, j-w+1); k < j; k++ {
				sum -= float64(f[i*w+i-k] * f[j*w+j-k])
			}
			if i != j {
				f[i*w+i-j] = sum / f[j*w]
				continue
			}
			if !(sum > 0) {
				return nil, false
			}
			f[i*w] = math.Sqrt(sum)
		}
	}
	return b.solveAgain()
}

// solveAgain returns the unknowns for another right side with the factors of
// the last solve.
func (b *banded) solveAgain() ([]float64, bool) {
	const w = bandWidth
	f, x := b.factor, b.answer
	for i := range b.n {
		sum := b.right[i]
		for k := max(0, i-w+1); k < i; k++ {
			sum -= float64(f[i*w+i-k] * x[k])
		}
		x[i] = sum / f[i*w]
	}
	for i := b.n - 1; i >= 0; i-- {
		sum := x[i]
		for k := i + 1; k < min(b.n, i+w); k++ {
			sum -= float64(f[k*w+k-i] * x[k])
		}
		x[i] = sum / f[i*w]
	}
	for _, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, false
		}
	}
	return x, true
}
