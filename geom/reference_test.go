package geom

import (
	"math"
	"math/big"
	"slices"
)

// Slow and obvious references for the curve primitives. None of them uses the
// code they are held against: points and derivatives are evaluated from the
// power basis, in math/big where digits matter.

const bigPrec = 320

func bf(v float64) *big.Float { return new(big.Float).SetPrec(bigPrec).SetFloat64(v) }

func bmul(a, b *big.Float) *big.Float { return bf(0).Mul(a, b) }
func badd(a, b *big.Float) *big.Float { return bf(0).Add(a, b) }
func bsub(a, b *big.Float) *big.Float { return bf(0).Sub(a, b) }
func bquo(a, b *big.Float) *big.Float { return bf(0).Quo(a, b) }

func toFloat(x *big.Float) float64 { v, _ := x.Float64(); return v }

// bigPoint is a point or vector in many digits.
type bigPoint struct{ x, y *big.Float }

func bigOf(p Point) bigPoint                 { return bigPoint{bf(p.X), bf(p.Y)} }
func (p bigPoint) sub(q bigPoint) bigPoint   { return bigPoint{bsub(p.x, q.x), bsub(p.y, q.y)} }
func (p bigPoint) dot(q bigPoint) *big.Float { return badd(bmul(p.x, q.x), bmul(p.y, q.y)) }
func (p bigPoint) cross(q bigPoint) *big.Float {
	return bsub(bmul(p.x, q.y), bmul(p.y, q.x))
}
func (p bigPoint) len() float64 { return toFloat(bf(0).Sqrt(p.dot(p))) }

// bigCubic holds the power basis of a cubic, lowest power first.
type bigCubic [4]bigPoint

func newBigCubic(c Cubic) bigCubic {
	p := [4]bigPoint{bigOf(c.P0), bigOf(c.P1), bigOf(c.P2), bigOf(c.P3)}
	lin := func(k ...float64) bigPoint {
		s := bigPoint{bf(0), bf(0)}
		for i, f := range k {
			s.x, s.y = badd(s.x, bmul(bf(f), p[i].x)), badd(s.y, bmul(bf(f), p[i].y))
		}
		return s
	}
	return bigCubic{lin(1), lin(-3, 3), lin(3, -6, 3), lin(-1, 3, -3, 1)}
}

// at returns the point and the first two derivatives.
func (c bigCubic) at(t *big.Float) (p, d, d2 bigPoint) {
	eval := func(a ...*big.Float) *big.Float {
		s := bf(0)
		for i := len(a) - 1; i >= 0; i-- {
			s = badd(bmul(s, t), a[i])
		}
		return s
	}
	times := func(k float64, x *big.Float) *big.Float { return bmul(bf(k), x) }
	p = bigPoint{eval(c[0].x, c[1].x, c[2].x, c[3].x), eval(c[0].y, c[1].y, c[2].y, c[3].y)}
	d = bigPoint{eval(c[1].x, times(2, c[2].x), times(3, c[3].x)), eval(c[1].y, times(2, c[2].y), times(3, c[3].y))}
	d2 = bigPoint{eval(times(2, c[2].x), times(6, c[3].x)), eval(times(2, c[2].y), times(6, c[3].y))}
	return p, d, d2
}

// meetFrom refines a meeting of two curves by Newton's method in many digits;
// it fails when that does not settle.
func (c bigCubic) meetFrom(d bigCubic, t, u float64) (x, y *big.Float, ok bool) {
	x, y = bf(t), bf(u)
	for range 60 {
		p, dp, _ := c.at(x)
		q, dq, _ := d.at(y)
		f, det := p.sub(q), dp.cross(dq)
		if det.Sign() == 0 {
			return x, y, false
		}
		dx, dy := bquo(f.cross(dq), det), bquo(f.cross(dp), det)
		x, y = bsub(x, dx), bsub(y, dy)
		if math.Abs(toFloat(dx))+math.Abs(toFloat(dy)) < 1e-40 {
			return x, y, true
		}
		if math.Abs(toFloat(x)-t) > 0.2 || math.Abs(toFloat(y)-u) > 0.2 {
			return x, y, false
		}
	}
	return x, y, false
}

// exactArea is a ring's signed area by Green's theorem in rational arithmetic:
// half the integral of x·y′ − y·x′ over each curve's power basis.
func exactArea(r Ring) *big.Rat {
	rat := func(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }
	power := func(a, b, c, d float64) [4]*big.Rat {
		lin := func(k ...int64) *big.Rat {
			s := new(big.Rat)
			for i, f := range k {
				s.Add(s, new(big.Rat).Mul(big.NewRat(f, 1), rat([]float64{a, b, c, d}[i])))
			}
			return s
		}
		return [4]*big.Rat{lin(1), lin(-3, 3), lin(3, -6, 3), lin(-1, 3, -3, 1)}
	}
	sum := new(big.Rat)
	for _, c := range r {
		x, y := power(c.P0.X, c.P1.X, c.P2.X, c.P3.X), power(c.P0.Y, c.P1.Y, c.P2.Y, c.P3.Y)
		for i := range 4 {
			for j := 1; j < 4; j++ {
				// ∫ tⁱ·j·tʲ⁻¹ = j/(i+j)
				w := new(big.Rat).Sub(new(big.Rat).Mul(x[i], y[j]), new(big.Rat).Mul(y[i], x[j]))
				sum.Add(sum, w.Mul(w, big.NewRat(int64(j), int64(2*(i+j)))))
			}
		}
	}
	return sum
}

// legendre returns the nodes and weights of the n-point Gauss rule on [−1, 1],
// by Newton's method on the Legendre polynomials' recurrence.
func legendre(n int) (x, w []float64) {
	for i := range n {
		z := math.Cos(math.Pi * (float64(i) + 0.75) / (float64(n) + 0.5))
		slope := 0.0
		for range 50 {
			p, before := 1.0, 0.0
			for k := range n {
				p, before = ((2*float64(k)+1)*z*p-float64(k)*before)/float64(k+1), p
			}
			slope = float64(n) * (z*p - before) / (z*z - 1)
			z -= p / slope
		}
		x, w = append(x, z), append(w, 2/((1-z*z)*slope*slope))
	}
	return x, w
}

var gauss48, gaussWeight48 = legendre(48)

// referenceLength integrates the speed over panels that shrink by halves
// towards each place where the speed is least, so that on none of them a
// branch point of the speed is nearer than the panel is long; 48-point Gauss
// rule, compensated sums.
func referenceLength(c Cubic, t0, t1 float64) float64 {
	speed := func(t float64) float64 {
		a, b, d := c.P1.Sub(c.P0), c.P2.Sub(c.P1), c.P3.Sub(c.P2)
		s := 1 - t
		return 3 * math.Hypot(s*s*a.X+2*s*t*b.X+t*t*d.X, s*s*a.Y+2*s*t*b.Y+t*t*d.Y)
	}
	cuts := []float64{t0, t1}
	for _, m := range leastAt(speed, 512) {
		cuts = append(cuts, m)
		for h := 0.5; h > 1e-14; h /= 2 {
			cuts = append(cuts, m-h, m+h)
		}
	}
	for i := range 33 {
		cuts = append(cuts, t0+(t1-t0)*float64(i)/32)
	}
	slices.Sort(cuts)
	sum, rest := 0.0, 0.0
	for i := 1; i < len(cuts); i++ {
		a, b := math.Max(cuts[i-1], t0), math.Min(cuts[i], t1)
		if a >= b {
			continue
		}
		part := 0.0
		for k, x := range gauss48 {
			part += gaussWeight48[k] * speed((a+b)/2+(b-a)/2*x)
		}
		part = part*(b-a)/2 - rest
		rest, sum = (sum+part)-sum-part, sum+part
	}
	return sum
}

// leastAt lists the places in [0, 1] where f has a local minimum, the ends
// included, seen on n samples and refined by golden section.
func leastAt(f func(float64) float64, n int) []float64 {
	at := func(i int) float64 { return float64(i) / float64(n) }
	var out []float64
	for i := range n + 1 {
		y := f(at(i))
		if (i > 0 && f(at(i-1)) < y) || (i < n && f(at(i+1)) < y) {
			continue
		}
		out = append(out, golden(f, math.Max(0, at(i-1)), math.Min(1, at(i+1))))
	}
	return out
}

// golden narrows the least value of f between lo and hi (Kiefer 1953).
func golden(f func(float64) float64, lo, hi float64) float64 {
	const g = 0.6180339887498949
	a, b := hi-g*(hi-lo), lo+g*(hi-lo)
	fa, fb := f(a), f(b)
	for range 90 { // 0.618⁹⁰ = 2e-19
		if fa <= fb {
			hi, b, fb = b, a, fa
			a = hi - g*(hi-lo)
			fa = f(a)
		} else {
			lo, a, fa = a, b, fb
			b = lo + g*(hi-lo)
			fb = f(b)
		}
	}
	best := (lo + hi) / 2
	for _, t := range []float64{lo, hi} {
		if f(t) < f(best) {
			best = t
		}
	}
	return best
}

// referenceNearest is the least distance from q over dense samples, denser
// about the places of least speed, refined by golden section.
func referenceNearest(c Cubic, q Point) float64 {
	dist := func(t float64) float64 { return c.At(t).Dist(q) }
	ts := make([]float64, 0, 600)
	for i := range 401 {
		ts = append(ts, float64(i)/400)
	}
	for _, m := range leastAt(func(t float64) float64 { return c.Deriv(t).Len() }, 64) {
		for h := 0.05; h > 1e-9; h /= 1.5 {
			ts = append(ts, math.Max(0, m-h), math.Min(1, m+h))
		}
	}
	slices.Sort(ts)
	best := math.Inf(1)
	for i, t := range ts {
		lo, hi := ts[max(i-1, 0)], ts[min(i+1, len(ts)-1)]
		if y := dist(t); y <= dist(lo) && y <= dist(hi) {
			best = math.Min(best, math.Min(y, dist(golden(dist, lo, hi))))
		}
	}
	return best
}

// referenceLineRoots isolates the parameters at which the curve crosses the
// line, by halving the Bernstein form of the distance in many digits until
// there is one sign change and then to 1e-40; ok is false where two roots, or a
// touch that is none, are closer than 1e-6.
func referenceLineRoots(c Cubic, a, b Point) (roots []*big.Float, ok bool) {
	dir := bigOf(b).sub(bigOf(a))
	var f [4]*big.Float
	for i, p := range [4]Point{c.P0, c.P1, c.P2, c.P3} {
		f[i] = dir.cross(bigOf(p).sub(bigOf(a)))
	}
	ok = true
	var look func(f [4]*big.Float, lo, hi *big.Float, depth int)
	look = func(f [4]*big.Float, lo, hi *big.Float, depth int) {
		changes := 0
		for i := range 3 {
			if f[i].Sign() != f[i+1].Sign() {
				changes++
			}
		}
		switch {
		case changes == 0:
			return
		case changes > 1 && depth == 20:
			ok = false
			return
		case depth == 140:
			roots = append(roots, lo)
			return
		}
		half := bf(0.5)
		mid := func(x, y *big.Float) *big.Float { return bmul(half, badd(x, y)) }
		ab, bc, cd := mid(f[0], f[1]), mid(f[1], f[2]), mid(f[2], f[3])
		abc, bcd := mid(ab, bc), mid(bc, cd)
		m, t := mid(abc, bcd), mid(lo, hi)
		look([4]*big.Float{f[0], ab, abc, m}, lo, t, depth+1)
		look([4]*big.Float{m, bcd, cd, f[3]}, t, hi, depth+1)
	}
	look(f, bf(0), bf(1), 0)
	return roots, ok
}

// turnsAround is the winding number of a ring about q by the whole turn of the
// direction to it along fine chords.
func turnsAround(r Ring, q Point) int {
	turn := 0.0
	for _, c := range r {
		const n = 400
		for i := range n {
			a, b := c.At(float64(i)/n).Sub(q), c.At(float64(i+1)/n).Sub(q)
			turn += math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y)
		}
	}
	return int(math.Round(turn / (2 * math.Pi)))
}
