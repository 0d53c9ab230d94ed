package geom

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
)

// bigSinCos returns sine and cosine of x by their Taylor series in 200 bits
// after halving the angle eight times (sin 2x = 2·sin x·cos x).
func bigSinCos(x float64) (sin, cos *big.Float) {
	const halvings = 8
	num := func(v float64) *big.Float { return new(big.Float).SetPrec(300).SetFloat64(v) }
	mul := func(a, b *big.Float) *big.Float { return num(0).Mul(a, b) }
	a := num(math.Ldexp(x, -halvings))
	s, c, term := num(0), num(0), num(1)
	for n := range 200 {
		switch n % 4 {
		case 0:
			c.Add(c, term)
		case 1:
			s.Add(s, term)
		case 2:
			c.Sub(c, term)
		case 3:
			s.Sub(s, term)
		}
		term = num(0).Quo(mul(term, a), num(float64(n+1)))
	}
	for range halvings {
		s, c = mul(num(2), mul(s, c)), num(0).Sub(mul(c, c), mul(s, s))
	}
	return s, c
}

// off returns how far got is from want.
func off(got float64, want *big.Float) float64 {
	d, _ := new(big.Float).SetPrec(300).Sub(new(big.Float).SetFloat64(got), want).Float64()
	return math.Abs(d)
}

func TestPortableFunctions(t *testing.T) {
	r := seeded(t, 170)
	sinOff, atanOff, tanOff, hypotOff := 0.0, 0.0, 0.0, 0.0
	for i := range 1000 {
		x := (2*r.Float64() - 1) * []float64{1e-9, 1, 4, 100, 3000}[i%5]
		if i < 200 {
			x = float64(i-100) * math.Pi / 8 // the seams of the reduction
		}
		s, c := sincos(x)
		bs, bc := bigSinCos(x)
		sinOff = max(sinOff, off(s, bs), off(c, bc))
		if math.Abs(c) > 0.5 {
			tanOff = max(tanOff, off(tan(x), new(big.Float).Quo(bs, bc)))
		}
		// The vector (x, y) has the angle a when x·sin a = y·cos a.
		p, q := (2*r.Float64()-1)*math.Pow(10, float64(r.IntN(9)-4)), 2*r.Float64()-1
		a := atan2(q, p)
		as, ac := bigSinCos(a)
		cross := new(big.Float).Sub(
			new(big.Float).Mul(as, new(big.Float).SetFloat64(p)), new(big.Float).Mul(ac, new(big.Float).SetFloat64(q)))
		miss, _ := cross.Float64()
		atanOff = max(atanOff, math.Abs(miss)/math.Hypot(p, q))
		assert.InDelta(t, math.Atan2(q, p), a, 1e-15)
		square := new(big.Float).SetPrec(300).SetFloat64(p)
		square.Mul(square, square)
		other := new(big.Float).SetPrec(300).SetFloat64(q)
		square.Sqrt(square.Add(square, other.Mul(other, other)))
		h, _ := square.Float64()
		hypotOff = max(hypotOff, off(hypot(p, q), square)/h)
	}
	t.Logf("greatest error: sine and cosine %.2g, tangent %.2g, arctangent %.2g, hypot %.2g", sinOff, tanOff, atanOff, hypotOff)
	assert.Less(t, sinOff, 2e-16)
	assert.Less(t, tanOff, 1e-15)
	assert.Less(t, atanOff, 1e-15)
	assert.Less(t, hypotOff, 3e-16)
}

func TestPortableCorners(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	assert.InEpsilon(t, 5e200, hypot(3e200, -4e200), 3e-16)
	assert.InDelta(t, 1, hypot(3e-200, 4e-200)/5e-200, 1e-15)
	assert.Equal(t, 0.0, hypot(0, 0))
	assert.Equal(t, inf, hypot(nan, -inf))
	assert.True(t, math.IsNaN(hypot(nan, 1)))
	for _, x := range []float64{inf, -inf, nan} {
		s, c := sincos(x)
		assert.True(t, math.IsNaN(s) && math.IsNaN(c))
	}
	s, c := sincos(1e300)
	assert.InDelta(t, 1, s*s+c*c, 1e-15)
	s, _ = sincos(math.Copysign(0, -1))
	assert.True(t, s == 0)
	for _, zero := range []float64{0, math.Copysign(0, -1)} {
		assert.Equal(t, math.Pi, atan2(zero, -1), "(−π, π]: never −π")
		assert.Equal(t, 0.0, atan2(zero, 1))
		assert.Equal(t, 0.0, atan2(zero, 0))
	}
	assert.Equal(t, math.Pi/2, atan2(1, 0))
	assert.Equal(t, -math.Pi/2, atan2(-1, 0))
	assert.Equal(t, math.Pi/4, atan2(1e308, 1e308))
	assert.Equal(t, math.Pi/4, atan2(inf, inf))
	assert.Equal(t, -math.Pi/2, atan2(-inf, 1e300))
	assert.Equal(t, math.Pi, atan2(1, -inf))
	for _, x := range []float64{1, inf, nan} {
		assert.True(t, math.IsNaN(atan2(nan, x)) && math.IsNaN(atan2(x, nan)))
	}
	assert.InDelta(t, 1e-320, atan2(1e-320, 1), 1e-322)
}
