package geom

import "math"

// Functions of this file take the place of math.Hypot, Sincos, Atan2 and
// their kin, whose last digits depend on the processor: on some they are
// written in assembly, on others the compiler fuses products with sums inside
// them. These use only +, −, ·, / and the square root, which IEEE 754 fixes to
// the last bit, with every product rounded before it is added. All are within
// 1e-15 of the true value, relative for hypot, absolute in radians or as a
// ratio for the others (TestPortableFunctions, against math/big).

// hypot returns √(x² + y²). Not a number passes through; an infinite
// argument gives +Inf.
func hypot(x, y float64) float64 {
	s := float64(x*x) + float64(y*y)
	if s > 1e-280 && s < math.MaxFloat64 {
		return math.Sqrt(s)
	}
	return hypotScaled(x, y)
}

// hypotScaled is hypot where the squares leave the range of numbers.
func hypotScaled(x, y float64) float64 {
	x, y = math.Abs(x), math.Abs(y)
	if math.IsInf(x, 1) || math.IsInf(y, 1) {
		return math.Inf(1)
	}
	_, e := math.Frexp(math.Max(x, y))
	x, y = math.Ldexp(x, -e), math.Ldexp(y, -e)
	return math.Ldexp(math.Sqrt(float64(x*x)+float64(y*y)), e)
}

// π/2 in three parts: the first two of 30 bits, so that their products with a
// number of quarter turns up to 2²³ are exact.
const (
	quarter1 = 0x1.921fb54p+0
	quarter2 = 0x1.10b46118p-30
	quarter3 = 0x1.313198a2e037p-61
)

// sincos returns the sine and cosine of x radians. Method: reduction by
// multiples of π/2 in parts (Cody and Waite, Software Manual for the
// Elementary Functions, 1980), then the Taylor polynomials on ±π/4, whose
// next terms are below 1e-19. Angles beyond 1e6 are first taken modulo the
// nearest number to 2π and are only as good as that; those that are not finite
// give NaN.
func sincos(x float64) (sin, cos float64) {
	if !(math.Abs(x) <= 1e6) {
		x = math.Mod(x, 2*math.Pi)
	}
	k := math.Round(x * (2 / math.Pi))
	hi, lo := twoSum(x-float64(k*quarter1), -float64(k*quarter2))
	hi, lo = twoSum(hi, lo-float64(k*quarter3))
	s, c := sinTaylor(hi, lo), cosTaylor(hi, lo)
	switch int64(k) & 3 {
	case 1:
		return c, -s
	case 2:
		return -s, -c
	case 3:
		return -c, s
	}
	return s, c
}

// twoSum returns a + b and what its rounding leaves over (Knuth, The Art of
// Computer Programming, volume 2, section 4.2.2).
func twoSum(a, b float64) (sum, rest float64) {
	sum = a + b
	v := sum - a
	return sum, (a - (sum - v)) + (b - v)
}

// sinTaylor is the sine of x + rest, |x| ≤ π/4, rest below the last digit
// of x.
func sinTaylor(x, rest float64) float64 {
	z := float64(x * x)
	p := 1. / 355687428096000
	for _, c := range [...]float64{-1. / 1307674368000, 1. / 6227020800, -1. / 39916800, 1. / 362880, -1. / 5040, 1. / 120, -1. / 6} {
		p = c + float64(p*z)
	}
	return x + (float64(float64(p*z)*x) + rest)
}

// cosTaylor is the cosine of x + rest.
func cosTaylor(x, rest float64) float64 {
	z := float64(x * x)
	p := -1. / 6402373705728000
	for _, c := range [...]float64{1. / 20922789888000, -1. / 87178291200, 1. / 479001600, -1. / 3628800, 1. / 40320, -1. / 720, 1. / 24} {
		p = c + float64(p*z)
	}
	half := float64(z / 2)
	w := 1 - half
	return w + (((1 - w) - half) + (float64(float64(p*z)*z) - float64(x*rest)))
}

// tan returns the tangent of x radians; beside its poles it is only as good
// as the cosine.
func tan(x float64) float64 {
	s, c := sincos(x)
	return s / c
}

// atanSixteenth holds the arctangents of 0, 1/16 … 1.
var atanSixteenth = [17]float64{
	0, 0.062418809995957348473979, 0.124354994546761435031354, 0.185347949995694764886025,
	0.244978663126864154172082, 0.302884868374971405560556, 0.358770670270572220395920, 0.412410441597387306899791,
	0.463647609000806116214256, 0.512389460310737706666601, 0.558599315343562435971508, 0.602287346134964181682122,
	0.643501108793284386802809, 0.682316554874748078256429, 0.718829999621624505417014, 0.753151280962194389524739,
	0.785398163397448309615660,
}

// atan2 returns the angle of the vector (x, y), in (−π, π]: on the negative x
// axis π, whatever the sign of a zero y, and 0 for the zero vector. Method:
// the ratio of the smaller to the greater coordinate, brought within ±1/32 of
// zero by the nearest sixteenth and the addition theorem of the tangent, then
// the Taylor polynomial. An infinite coordinate outweighs a finite one; not
// a number passes through.
func atan2(y, x float64) float64 {
	ax, ay := math.Abs(x), math.Abs(y)
	if math.IsNaN(x) || math.IsNaN(y) {
		return math.NaN()
	}
	if math.IsInf(x, 0) || math.IsInf(y, 0) {
		y, x = infinities(y), infinities(x)
		ax, ay = math.Abs(x), math.Abs(y)
	}
	if y == 0 && x >= 0 {
		return 0
	}
	if ax > 1e300 || ay > 1e300 {
		ax, ay = ax/4, ay/4 // their sum stays finite
	}
	a := 0.0
	if ay <= ax {
		a = atanRatio(ay, ax)
	} else {
		a = math.Pi/2 - atanRatio(ax, ay)
	}
	if x < 0 {
		a = math.Pi - a
	}
	if y < 0 {
		a = -a
	}
	return a
}

// infinities is v's sign if it is infinite, else 0.
func infinities(v float64) float64 {
	if math.IsInf(v, 0) {
		return math.Copysign(1, v)
	}
	return 0
}

// atanRatio is the arctangent of p/q, 0 ≤ p ≤ q, q > 0.
func atanRatio(p, q float64) float64 {
	k := math.Round(p / q * 16)
	c := k / 16
	r := (p - float64(c*q)) / (q + float64(c*p))
	z := float64(r * r)
	t := -1. / 11
	for _, c := range [...]float64{1. / 9, -1. / 7, 1. / 5, -1. / 3} {
		t = c + float64(t*z)
	}
	return atanSixteenth[int(k)] + (r + float64(float64(t*z)*r))
}
