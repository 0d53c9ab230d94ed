package geom

import "math"

// Constants of the nearest point.
const (
	// nearestNoise is the parameter range in which rounding may misjudge the
	// sign of the quintic's coefficients: at a cusp with the point on it, where
	// the quintic rises with the third power, 1e-15 of it is reached at 1e-5.
	nearestNoise = 1. / (1 << 15)
	// nearestFlat is the slope of the quintic, as a share of the control
	// polygon's length squared, below which that has to be feared.
	nearestFlat = 1e-6
	// nearestFine is the range below which several feet are not told apart by
	// halving.
	nearestFine = 1. / (1 << 20)
	// nearestRounds bounds Newton's method. Each step is at most half the one
	// before, or the range is halved: 60 reach the last digit.
	nearestRounds = 60
)

// Nearest returns the parameter in [0, 1] of the curve's point nearest to q,
// and its distance in mm; of several equally near, one. Accuracy 1e-12 mm on
// curves within 1000 mm of the origin, a cusp or a centre of curvature at q
// included.
//
// Method: the squared distance is least at an end or where its derivative, the
// quintic (c(t)−q)·c′(t), changes from negative to positive. In Bernstein form
// the number of sign changes of the coefficients bounds the number of roots
// (Descartes' rule of signs; the variation diminishing property), so that
// halving until there is at most one separates all of them and misses none;
// Newton's method with its bracket kept, on the curve itself, does the rest.
func (c Cubic) Nearest(q Point) (t, dist float64) {
	if c.evenlyStraight() {
		d := c.P3.Sub(c.P0)
		if l2 := d.Dot(d); l2 > 0 {
			t = math.Min(1, math.Max(0, q.Sub(c.P0).Dot(d)/l2))
		}
		return t, c.At(t).Dist(q)
	}
	n := nearest{c: c, q: q, t: 0, dist: c.P0.Dist(q)}
	n.try(1, c.P3.Dist(q))
	n.search(n.quintic(), 0, 1)
	return n.t, n.dist
}

// nearest is the search for the foot of q on c: the best so far.
type nearest struct {
	c       Cubic
	q       Point
	t, dist float64
}

// try notes a place if it is nearer.
func (n *nearest) try(t, dist float64) {
	if dist < n.dist {
		n.t, n.dist = t, dist
	}
}

// quintic is a polynomial of degree five in Bernstein form.
type quintic [6]float64

// quintic returns (c(t)−q)·c′(t), but for a factor.
func (n *nearest) quintic() quintic {
	w := [4]Point{n.c.P0.Sub(n.q), n.c.P1.Sub(n.q), n.c.P2.Sub(n.q), n.c.P3.Sub(n.q)}
	v := [3]Point{n.c.P1.Sub(n.c.P0), n.c.P2.Sub(n.c.P1), n.c.P3.Sub(n.c.P2)}
	// The products of the two forms: weights C(3,i)·C(2,j)/C(5,i+j).
	return quintic{
		w[0].Dot(v[0]),
		(float64(2*w[0].Dot(v[1])) + float64(3*w[1].Dot(v[0]))) / 5,
		(w[0].Dot(v[2]) + float64(6*w[1].Dot(v[1])) + float64(3*w[2].Dot(v[0]))) / 10,
		(float64(3*w[1].Dot(v[2])) + float64(6*w[2].Dot(v[1])) + w[3].Dot(v[0])) / 10,
		(float64(3*w[2].Dot(v[2])) + float64(2*w[3].Dot(v[1]))) / 5,
		w[3].Dot(v[2]),
	}
}

// changes counts the sign changes of the coefficients; rising says that the
// first one is from negative to positive.
func (f *quintic) changes() (n int, rising bool) {
	last := 0.0
	for _, x := range f {
		if x == 0 {
			continue
		}
		if last != 0 && (x < 0) != (last < 0) {
			if n == 0 {
				rising = last < 0
			}
			n++
		}
		last = x
	}
	return n, rising
}

// halves returns the two halves of the polynomial's range (de Casteljau).
func (f quintic) halves() (lo, hi quintic) {
	for i := range f {
		lo[i], hi[5-i] = f[0], f[5-i]
		for k := 0; k < 5-i; k++ {
			f[k] = (f[k] + f[k+1]) / 2
		}
	}
	return lo, hi
}

// search looks at every foot in [t0, t1], over which f is the quintic.
func (n *nearest) search(f quintic, t0, t1 float64) {
	changes, rising := f.changes()
	if changes == 0 || (changes == 1 && !rising) {
		return
	}
	if changes == 1 {
		t, slope := n.refine(t0, t1)
		if hull := n.c.hull(); slope < float64(nearestFlat*hull*hull) {
			n.beside(t-nearestNoise, t+nearestNoise)
		}
		return
	}
	if t1-t0 < nearestFine {
		n.beside(t0-nearestNoise, t1+nearestNoise)
		return
	}
	mid := (t0 + t1) / 2
	n.try(mid, n.c.At(mid).Dist(n.q))
	lo, hi := f.halves()
	n.search(lo, t0, mid)
	n.search(hi, mid, t1)
}

// beside looks for the foot where several feet and rounding cannot be told
// apart: on either side of the slowest place, which is next to a cusp, and at
// that itself. About a centre of curvature, the other such place, the distance
// is the same to rounding anyway.
func (n *nearest) beside(t0, t1 float64) {
	t0, t1 = math.Max(0, t0), math.Min(1, t1)
	lo, hi := t0, t1
	for range 50 { // the speed falls up to lo and rises from hi on
		mid := (lo + hi) / 2
		if n.c.Deriv(mid).Dot(n.c.Deriv2(mid)) < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	n.try(lo, n.c.At(lo).Dist(n.q))
	n.refine(t0, lo)
	n.refine(lo, t1)
}

// refine finds the foot between lo and hi, and the quintic's slope there.
func (n *nearest) refine(lo, hi float64) (foot, slope float64) {
	t, last := (lo+hi)/2, hi-lo
	for range nearestRounds {
		w, d := n.c.At(t).Sub(n.q), n.c.Deriv(t)
		g := d.Dot(w)
		if g > 0 {
			hi = t
		} else {
			lo = t
		}
		next := (lo + hi) / 2
		if slope = d.Dot(d) + n.c.Deriv2(t).Dot(w); slope > 0 {
			if x := t - g/slope; x >= lo && x <= hi && math.Abs(x-t) <= last/2 {
				next = x
			}
		}
		last = math.Abs(next - t)
		t = next
		if last < 1e-16 {
			break
		}
	}
	n.try(t, n.c.At(t).Dist(n.q))
	return t, slope
}
