package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
)

// laidAnywhere is a curve moved anywhere, in a mirror or not.
func laidAnywhere(r *rand.Rand, c Cubic) Cubic {
	return c.Moved(Motion{Mirror: r.IntN(2) == 0, Turn: 2 * math.Pi * r.Float64(), Shift: randomPoint(r, 300)})
}

// strongS is an S that turns by 20° to 90° one way and back.
func strongS(r *rand.Rand) Cubic {
	l := 40 * math.Pow(15, r.Float64())
	a, b := Degrees(20+70*r.Float64()), Degrees(20+70*r.Float64())
	h, k := l*(0.25+0.25*r.Float64()), l*(0.25+0.25*r.Float64())
	return laidAnywhere(r, Cubic{Pt(0, 0), Pt(h, 0).Turn(a), Pt(l, 0).Sub(Pt(k, 0).Turn(b)), Pt(l, 0)})
}

// tightBend is a curve of 10 to 100 mm that turns by 60° to 240°, so that
// allowances reach beyond its centres of curvature.
func tightBend(r *rand.Rand) Cubic {
	l := 10 * math.Pow(10, r.Float64())
	a, b := Degrees(30+90*r.Float64()), Degrees(30+90*r.Float64())
	h, k := l*(0.2+0.8*r.Float64()), l*(0.2+0.8*r.Float64())
	return laidAnywhere(r, Cubic{Pt(0, 0), Pt(h, 0).Turn(-a), Pt(l, 0).Sub(Pt(k, 0).Turn(b)), Pt(l, 0)})
}

// looped is a curve that crosses itself.
func looped(r *rand.Rand) Cubic {
	w, h := 60+200*r.Float64(), 60+200*r.Float64()
	o := w * (0.4 + 1.2*r.Float64())
	return laidAnywhere(r, Cubic{Pt(0, 0), Pt(w+o, h), Pt(-o, h*(0.6+0.8*r.Float64())), Pt(w, 0)})
}

// almostResting is a curve whose speed inside it falls to between a millionth
// and a thirtieth of its control polygon: beside a cusp, where it turns round
// within a hair's breadth. (Below a thousand-millionth it counts as a cusp.)
func almostResting(r *rand.Rand) Cubic {
	c := randomCubic(r, 200)
	at := 0.2 + 0.6*r.Float64()
	s := 1 - at
	// c′(at) = 3·(s²(P1−P0) + 2s·at·(P2−P1) + at²(P3−P2)), made small by P3.
	u, v := c.P1.Sub(c.P0), c.P2.Sub(c.P1)
	c.P3 = c.P2.Sub(u.Mul(s * s / at / at)).Sub(v.Mul(2 * s / at))
	speed := c.hull() * math.Pow(10, -6+4.5*r.Float64())
	c.P3 = c.P3.Add(Pt(speed/3/at/at, 0).Turn(7 * r.Float64()))
	return c
}

func anyControls(r *rand.Rand) Cubic { return randomCubic(r, 200) }

// anyDistance is an allowance or facing to either side, whether the curve can
// take it or not.
func anyDistance(r *rand.Rand, _ Cubic) float64 {
	return []float64{6, 10, 10, 15, 15, 20, 40}[r.IntN(7)] * float64(1-2*r.IntN(2))
}

// trueParallel is the parallel of a curve by its definition, c + d·n, as
// points no farther than step mm apart with their parameters. It shares
// nothing with Cubic.Offset: the normal comes from the control points by the
// power basis.
type trueParallel struct {
	a, b, c, d Point // of c(t) = ((a·t + b)·t + c)·t + d
	by         float64
	t          []float64
	p          []Point
}

func newTrueParallel(c Cubic, by, step float64) *trueParallel {
	o := &trueParallel{by: by, d: c.P0, c: c.P1.Sub(c.P0).Mul(3)}
	o.b = c.P2.Sub(c.P1.Mul(2)).Add(c.P0).Mul(3)
	o.a = c.P3.Sub(c.P2.Mul(3)).Add(c.P1.Mul(3)).Sub(c.P0)
	const parts = 64
	from, started := 0.0, false
	for i := range parts + 1 {
		t := float64(i) / parts
		p, ok := o.at(t)
		if !ok && (i == 0 || i == parts) { // an end without a handle: a ten-millionth inside it
			t += 1e-7 * float64(1-2*i/parts)
			p, ok = o.at(t)
		}
		if !ok {
			continue
		}
		if started {
			o.walk(from, t, o.p[len(o.p)-1], p, step, 45)
		} else {
			o.t, o.p = append(o.t, t), append(o.p, p)
		}
		from, started = t, true
	}
	return o
}

// at is the point at t, unless the curve rests there.
func (o *trueParallel) at(t float64) (Point, bool) {
	p := o.a.Mul(t).Add(o.b).Mul(t).Add(o.c).Mul(t).Add(o.d)
	v := o.a.Mul(3 * t).Add(o.b.Mul(2)).Mul(t).Add(o.c)
	if v.Len() < 1e-9 {
		return Point{}, false
	}
	return p.Add(v.Left().Mul(o.by / v.Len())), true
}

func (o *trueParallel) walk(t0, t1 float64, p, q Point, step float64, depth int) {
	m := (t0 + t1) / 2
	if mid, ok := o.at(m); depth > 0 && ok && p.Dist(mid)+mid.Dist(q) > step {
		o.walk(t0, m, p, mid, step, depth-1)
		o.walk(m, t1, mid, q, step, depth-1)
		return
	}
	o.t, o.p = append(o.t, t1), append(o.p, q)
}

// distance is that from q to the parallel, within 1e-6 mm if it is more than
// least: by golden section on the true parallel in every step whose chord
// comes about as near as the nearest.
func (o *trueParallel) distance(q Point, least float64) float64 {
	best := math.Inf(1)
	near := make([]int, 0, 8)
	const sag = 0.03 // mm, far above that of any step's chord
	for i := 0; i+1 < len(o.p); i++ {
		if o.p[i].Dist(q) > best+5 {
			i += 7 // no more than 4 mm along the parallel
			continue
		}
		if d := chordDistance(o.p[i], o.p[i+1], q); d < best+sag {
			best, near = math.Min(best, d), append(near, i)
		}
	}
	if best <= least {
		return best
	}
	found := math.Inf(1)
	for _, i := range near {
		if chordDistance(o.p[i], o.p[i+1], q) < best+sag {
			found = math.Min(found, o.within(q, o.t[i], o.t[i+1]))
		}
	}
	return found
}

// within is the distance from q to the parallel between two parameters.
func (o *trueParallel) within(q Point, lo, hi float64) float64 {
	for range 40 {
		a, b := lo+(hi-lo)*0.382, lo+(hi-lo)*0.618
		p, _ := o.at(a)
		r, _ := o.at(b)
		if p.Dist(q) < r.Dist(q) {
			hi = b
		} else {
			lo = a
		}
	}
	p, _ := o.at((lo + hi) / 2)
	return p.Dist(q)
}

func chordDistance(p, q, at Point) float64 {
	v, f := q.Sub(p), 0.0
	if l2 := v.Dot(v); l2 > 0 {
		f = math.Max(0, math.Min(1, at.Sub(p).Dot(v)/l2))
	}
	return at.Dist(p.Add(v.Mul(f)))
}

// deviation is the greatest distance between the parallel and a path, both
// ways, from n points a curve.
func (o *trueParallel) deviation(found Path, n int) float64 {
	worst := 0.0
	for i := 0; i < len(o.p); i += max(1, len(o.p)/(n*len(found))) {
		_, d := found.Nearest(o.p[i])
		worst = math.Max(worst, d)
	}
	for _, f := range found {
		for i := range n + 1 {
			if d := o.distance(f.At(float64(i)/float64(n)), worst-0.03); d > worst {
				worst = d
			}
		}
	}
	return worst
}

// offsetKind is a kind of curves with the distances they are offset by.
type offsetKind struct {
	name  string
	curve func(*rand.Rand) Cubic
	by    func(*rand.Rand, Cubic) float64
	most  float64 // cubics a curve, 0 for no target
}

var offsetKinds = []offsetKind{
	{"side seams, hips, armholes, necklines", realisticCubic, realisticDistance, 1.4},
	{"turning by up to 120°", harshCubic, realisticDistance, 1.4},
	{"strong S shapes", strongS, anyDistance, 0},
	{"tight bends", tightBend, anyDistance, 0},
	{"loops", looped, anyDistance, 0},
	{"almost cusps", almostResting, anyDistance, 0},
	{"any control points", anyControls, anyDistance, 0},
}

// offsetSurvey is what was seen of many curves.
type offsetSurvey struct {
	curves, cubics, failed int
	worst                  float64
	cases                  []offsetCase
}

type offsetCase struct {
	off  float64
	says string
}

// survey offsets n curves of a kind and measures each at the given number of
// points a cubic.
func (k offsetKind) survey(r *rand.Rand, n, points int) offsetSurvey {
	var s offsetSurvey
	for range n {
		c := k.curve(r)
		d := k.by(r, c)
		o, err := c.Offset(d, 0.01)
		s.curves++
		if err != nil {
			s.failed++
			s.cases = append(s.cases, offsetCase{math.Inf(1), fmt.Sprintf("%v by %v: %v", c, d, err)})
			continue
		}
		s.cubics += len(o)
		off := newTrueParallel(c, d, 0.5).deviation(o, points)
		if off > 0.009 { // beside a cusp of the parallel half a millimetre is too far
			off = newTrueParallel(c, d, 0.02).deviation(o, points)
		}
		s.worst = math.Max(s.worst, off)
		s.cases = append(s.cases, offsetCase{off, fmt.Sprintf("%v by %v: %d cubics", c, d, len(o))})
	}
	sort.SliceStable(s.cases, func(i, j int) bool { return s.cases[i].off > s.cases[j].off })
	s.cases = s.cases[:min(3, len(s.cases))]
	return s
}

func (s offsetSurvey) perCurve() float64 { return float64(s.cubics) / float64(s.curves-s.failed) }
