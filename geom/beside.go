package geom

import "math"

// This file settles meetings where halving alone is no use: of two stretches
// that run side by side, so close that their boxes and strips part only after
// thousands of halvings.
//
// Let A and B be such stretches, cut to a common range along a direction d,
// and e = A − B, a cubic too. If A(t) lies on B, at B(u), then
//
//	e(t)·d = (B(u) − B(t))·d,  so |u − t| ≤ max|e·d| / min(B′·d),
//	B′(t) × e(t) = ∫ B′(t) × B″(s)·(u − s) ds over s from t to u,
//
// so that |B′ × e| is at most K·(max|e·d| / min(B′·d))²/2 there, K the
// greatest |B′ × B″|. Where the quintic B′ × e stays beyond that the curves do
// not meet; where the bound is far below the tolerance the quintic, divided by
// |B′|, is the gap between the curves, and its roots are their meetings. Both
// are read off its Bernstein coefficients.

// besideShare of meetTolerance is the error of the gap at which its roots
// count as the meetings: 1e-12 mm, which is rounding at 1000 mm.
const besideShare = 1e-3

// besideDepth bounds the halving of the gap's range around one meeting.
const besideDepth = 30

// beside settles the stretches a and b, which are m.a over s and m.b over t,
// if they run along one direction and the gap between them decides.
func (m *meeter) beside(a, b Cubic, s, t span) bool {
	d, e := a.P3.Sub(a.P0).Unit(), b.P3.Sub(b.P0).Unit()
	if d.Dot(e) < 0 {
		b, t, e = b.Reverse(), span{t[1], t[0]}, e.Mul(-1)
	}
	d = d.Add(e).Unit()
	if !runsAlong(a, d) || !runsAlong(b, d) {
		return false
	}
	x, y := a.along(a.P0, d), b.along(a.P0, d)
	lo, hi := math.Max(x[0], y[0]), math.Min(x[3], y[3])
	if hi < lo {
		return true
	}
	p, q := span{x.where(lo), x.where(hi)}, span{y.where(lo), y.where(hi)}
	if hi-lo < 4*meetTolerance {
		m.add(s.within(p.mid()), t.within(q.mid()))
		return true
	}
	g := newGap(a.Part(p[0], p[1]), b.Part(q[0], q[1]), d)
	if g.open() {
		return true
	}
	if g.error > besideShare*meetTolerance*g.slowest {
		return false
	}
	g.look(g.q, 0, 1, besideDepth)
	for _, z := range g.zones {
		r, u := g.meeting(z)
		m.addZone(s.within(p.within(r)), t.within(q.within(u)), span{s.within(p.within(z[0])), s.within(p.within(z[1]))})
	}
	return true
}

// runsAlong reports whether no part of the curve turns away from d by more
// than 37° or comes to rest.
func runsAlong(c Cubic, d Point) bool {
	for _, v := range [3]Point{c.P1.Sub(c.P0), c.P2.Sub(c.P1), c.P3.Sub(c.P2)} {
		if x := v.Dot(d); !(x > 0) || math.Abs(v.Cross(d)) > 0.75*x {
			return false
		}
	}
	return true
}

// along returns the curve's coordinate along d, counted from a point.
func (c Cubic) along(from, d Point) bernstein {
	return bernstein{c.P0.Sub(from).Dot(d), c.P1.Sub(from).Dot(d), c.P2.Sub(from).Dot(d), c.P3.Sub(from).Dot(d)}
}

// where returns the parameter at which the rising polynomial takes the value.
func (f bernstein) where(y float64) float64 {
	switch {
	case y <= f[0]:
		return 0
	case y >= f[3]:
		return 1
	}
	return bernstein{f[0] - y, f[1] - y, f[2] - y, f[3] - y}.between(0, 1)
}

// within returns the parameter at the share r of the range.
func (s span) within(r float64) float64 {
	if r == 1 {
		return s[1]
	}
	return s[0] + float64(r*(s[1]-s[0]))
}

// gap is the way across from b to a, stretches over a common range.
type gap struct {
	a, b             Cubic
	d                Point   // both advance along it
	q                quintic // B′ × e
	error            float64 // how far q may be from what it stands for
	slowest, fastest float64 // bounds of |B′|
	zones            []span  // where the curves are within the tolerance
}

func newGap(a, b Cubic, d Point) gap {
	e := [4]Point{a.P0.Sub(b.P0), a.P1.Sub(b.P1), a.P2.Sub(b.P2), a.P3.Sub(b.P3)}
	w := [3]Point{b.P1.Sub(b.P0).Mul(3), b.P2.Sub(b.P1).Mul(3), b.P3.Sub(b.P2).Mul(3)}
	g := gap{a: a, b: b, d: d, q: quintic{
		w[0].Cross(e[0]),
		(float64(2*w[1].Cross(e[0])) + float64(3*w[0].Cross(e[1]))) / 5,
		(w[2].Cross(e[0]) + float64(6*w[1].Cross(e[1])) + float64(3*w[0].Cross(e[2]))) / 10,
		(float64(3*w[2].Cross(e[1])) + float64(6*w[1].Cross(e[2])) + w[0].Cross(e[3])) / 10,
		(float64(3*w[2].Cross(e[2])) + float64(2*w[1].Cross(e[3]))) / 5,
		w[2].Cross(e[3]),
	}}
	slide, bend := 0.0, 0.0
	for _, x := range e {
		slide = math.Max(slide, math.Abs(x.Dot(d)))
	}
	g.slowest = math.Inf(1)
	z, y := w[1].Sub(w[0]).Mul(2), w[2].Sub(w[1]).Mul(2)
	for _, x := range w {
		g.slowest = math.Min(g.slowest, x.Dot(d))
		g.fastest = math.Max(g.fastest, x.Len())
		bend = math.Max(bend, math.Max(math.Abs(x.Cross(z)), math.Abs(x.Cross(y))))
	}
	slide = (slide + meetTolerance) / g.slowest
	g.error = bend * slide * slide / 2
	return g
}

// open reports whether the curves certainly keep more than the tolerance
// apart.
func (g *gap) open() bool {
	least := g.error + float64(meetTolerance*g.fastest)
	lo, hi := g.q.limits()
	return lo > least || hi < -least
}

// limits returns the least and the greatest coefficient, between which the
// polynomial stays.
func (f *quintic) limits() (lo, hi float64) {
	lo, hi = f[0], f[0]
	for _, x := range f[1:] {
		lo, hi = math.Min(lo, x), math.Max(hi, x)
	}
	return lo, hi
}

// at returns the polynomial's value (de Casteljau).
func (f quintic) at(t float64) float64 {
	for n := 5; n > 0; n-- {
		for k := range n {
			f[k] += float64(t * (f[k+1] - f[k]))
		}
	}
	return f[0]
}

// look finds the zones between t0 and t1, over which q is the gap: where it is
// below once the tolerance at the greatest speed; up to twice that is let in
// with it, so that halving ends.
func (g *gap) look(q quintic, t0, t1 float64, depth int) {
	lo, hi := q.limits()
	far := float64(meetTolerance * g.fastest)
	switch {
	case lo > far || hi < -far:
	case math.Max(-lo, hi) <= 2*far || depth == 0:
		if n := len(g.zones); n > 0 && g.zones[n-1][1] == t0 {
			g.zones[n-1][1] = t1
		} else {
			g.zones = append(g.zones, span{t0, t1})
		}
	case q.crosses(far):
		r := g.root(t0, t1)
		g.zones = append(g.zones, span{r, r})
	default:
		mid := (t0 + t1) / 2
		a, b := q.halves()
		g.look(a, t0, mid, depth-1)
		g.look(b, mid, t1, depth-1)
	}
}

// crosses reports whether the polynomial runs all one way from beyond far on
// one side of zero to beyond it on the other.
func (f *quintic) crosses(far float64) bool {
	if !(math.Min(f[0], f[5]) < -far && math.Max(f[0], f[5]) > far) {
		return false
	}
	up := f[5] > f[0]
	for i := range 5 {
		if f[i+1] != f[i] && (f[i+1] > f[i]) != up {
			return false
		}
	}
	return true
}

// root finds the root of the gap between two parameters of different sign, by
// the secant method with its bracket kept and halved (Dowell and Jarratt, The
// Illinois method, 1971).
func (g *gap) root(t0, t1 float64) float64 {
	y0, y1 := g.q.at(t0), g.q.at(t1)
	t := t0
	for range 100 {
		next := t0 + float64((t1-t0)*(y0/(y0-y1)))
		if !(next > t0 && next < t1) {
			break
		}
		t = next
		y := g.q.at(t)
		if y == 0 || t1-t0 < 1e-16 {
			break
		}
		if (y < 0) == (y1 < 0) {
			t1, y1, y0 = t, y, y0/2
		} else {
			t0, y0, y1 = t, y, y1/2
		}
	}
	return t
}

// meeting returns the parameters of the meeting in a zone: where the curves
// cross, else where they are closest of five places.
func (g *gap) meeting(z span) (t, u float64) {
	t = z[0]
	if a, b := g.q.at(z[0]), g.q.at(z[1]); z[0] < z[1] && (a < 0) != (b < 0) && a != 0 && b != 0 {
		t = g.root(z[0], z[1])
	} else if z[0] < z[1] {
		least := math.Inf(1)
		for i := range 5 {
			if x := z.within(float64(i) / 4); math.Abs(g.q.at(x)) < least {
				t, least = x, math.Abs(g.q.at(x))
			}
		}
	}
	// Where the curves run at other paces u is not near t.
	u = g.b.along(g.b.P0, g.d).where(g.a.At(t).Sub(g.b.P0).Dot(g.d))
	for range 4 {
		d := g.b.Deriv(u)
		u += g.a.At(t).Sub(g.b.At(u)).Dot(d) / d.Dot(d)
	}
	return t, math.Min(1, math.Max(0, u))
}
