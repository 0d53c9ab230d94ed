package geom

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"toile/docs/figures"
)

// figure is a row of the table: a greatest error, or a count that has to be 0.
type figure struct {
	what      string
	measured  float64
	target    float64
	cases     int
	reference string
}

// see takes the greatest.
func (f *figure) see(v float64) {
	f.cases++
	if !(v <= f.measured) { // not a number too
		f.measured = v
	}
}

// miss counts what must not happen.
func (f *figure) miss(missed bool) {
	f.cases++
	if missed {
		f.measured++
	}
}

func (f *figure) row() []string {
	measured, target := fmt.Sprintf("%.1e", f.measured), fmt.Sprintf("≤ %v", f.target)
	switch {
	case f.target == 0:
		measured, target = fmt.Sprint(f.measured), "0"
	case f.target >= 1:
		measured = fmt.Sprintf("%.2g", f.measured)
	}
	return []string{f.what, measured, target, fmt.Sprint(f.cases), f.reference}
}

// TestAccuracyCurves holds the curve primitives against slow and obvious
// references, over all cases under the flag, else over a seeded sample.
func TestAccuracyCurves(t *testing.T) {
	n := 40
	if figures.Full() {
		n = 1000
	}
	rows := [][]string{{"what", "measured", "target", "cases", "held against"}}
	for i, part := range []func(r *rand.Rand, n int) []*figure{
		accuracyPoints, accuracyArea, accuracyLength, accuracyCusps, accuracyClosedForms, accuracyNearest,
		accuracyLine, accuracyMeet, accuracyCoincident, accuracyBounds, accuracyArcs, accuracyMotions, accuracyInside,
	} {
		for _, f := range part(seeded(t, uint64(2000+i)), n) {
			assert.LessOrEqual(t, f.measured, f.target, f.what)
			assert.Positive(t, f.cases, f.what)
			rows = append(rows, f.row())
		}
	}
	t.Log("\n" + figures.Table(rows))
	figures.Keep(t, "accuracy.md", "curves", rows)
}

// storedCurve is the curve with its coordinates as files have them, at 0.001 mm.
func storedCurve(c Cubic) Cubic {
	round := func(p Point) Point { return Pt(math.Round(p.X*1000)/1000, math.Round(p.Y*1000)/1000) }
	return Cubic{round(c.P0), round(c.P1), round(c.P2), round(c.P3)}
}

// curveKinds are the curves most checks run over.
var curveKinds = []func(r *rand.Rand) Cubic{
	realisticCubic, harshCubic, func(r *rand.Rand) Cubic { return randomCubic(r, 300) }, nearCusp,
}

// nearCusp is a curve that comes to rest, or almost, within itself.
func nearCusp(r *rand.Rand) Cubic {
	c := randomCubic(r, 200)
	at := 0.25 + 0.5*r.Float64()
	// c′(at) = 3((1−at)²(P1−P0) + 2(1−at)·at(P2−P1) + at²(P3−P2)) = 0 for this P3.
	s := 1 - at
	rest := c.P1.Sub(c.P0).Mul(s * s).Add(c.P2.Sub(c.P1).Mul(2 * s * at)).Mul(-1 / (at * at))
	c.P3 = c.P2.Add(rest)
	off := math.Pow(10, -1-11*r.Float64())
	return Cubic{c.P0, c.P1, c.P2, c.P3.Add(Pt(off, 0).Turn(7 * r.Float64()))}
}

func accuracyPoints(r *rand.Rand, n int) []*figure {
	at := &figure{what: "point at a parameter, mm", target: 1e-12, reference: "power basis in math/big"}
	dir := &figure{what: "tangent, radians", target: 1e-12, reference: "the same"}
	bend := &figure{what: "curvature, of itself", target: 1e-9, reference: "the same, (c′×c″)/\\|c′\\|³"}
	part := &figure{what: "split, part: points of the curve, mm", target: 1e-12, reference: "the same"}
	for i := range 2 * n {
		c := curveKinds[i%3](r)
		u, big := r.Float64(), newBigCubic(c)
		p, d, d2 := big.at(bf(u))
		at.see(bigOf(c.At(u)).sub(p).len())
		dir.see(math.Abs(toFloat(bigOf(c.Tangent(u)).cross(d)) / d.len()))
		if k := toFloat(d.cross(d2)) / math.Pow(d.len(), 3); math.Abs(k) > 1e-6 {
			bend.see(math.Abs(c.Curvature(u)-k) / math.Abs(k))
		}
		a, b := c.Split(u)
		v := r.Float64()
		p, _, _ = big.at(bmul(bf(u), bf(v)))
		part.see(bigOf(a.At(v)).sub(p).len())
		p, _, _ = big.at(badd(bf(u), bmul(bsub(bf(1), bf(u)), bf(v))))
		part.see(bigOf(b.At(v)).sub(p).len())
		p, _, _ = big.at(badd(bf(u/2), bmul(bf(v), bsub(bf(u), bf(u/2)))))
		part.see(bigOf(c.Part(u/2, u).At(v)).sub(p).len())
	}
	return []*figure{at, dir, bend, part}
}

func accuracyArea(r *rand.Rand, n int) []*figure {
	f := &figure{what: "area of a ring stored at 0.001 mm, mm²", target: 1e-9, reference: "Green's theorem in rational arithmetic (math/big)"}
	for i := range 2 * n {
		var ring Ring
		if i%2 == 0 {
			ring = wavyRing(r, 8+r.IntN(40), 0.3)
		} else {
			edges, _ := allowancePiece(r)
			ring = outline(edges)
		}
		for k := range ring {
			ring[k] = storedCurve(ring[k])
			if k > 0 {
				ring[k].P0 = ring[k-1].P3
			}
		}
		ring[len(ring)-1].P3 = ring[0].P0
		d := new(big.Rat).Sub(exactArea(ring), new(big.Rat).SetFloat64(ring.Area()))
		v, _ := d.Float64()
		f.see(math.Abs(v))
	}
	return []*figure{f}
}

func accuracyLength(r *rand.Rand, n int) []*figure {
	const method = "48-point Gauss rule, panels graded towards the slowest places"
	usual := &figure{what: "length of a curve as patterns have them, mm", target: 1e-6, reference: method}
	any := &figure{what: "length of a curve with random controls in ±300 mm, mm", target: 1e-6, reference: method}
	cusp := &figure{what: "length of a curve 1e-12 to 0.1 mm off a cusp, mm", target: 1e-6, reference: method}
	split := &figure{what: "length up to the place at a length, mm", target: 1e-6, reference: method}
	path := &figure{what: "split of a path at a length, mm", target: 3e-6, reference: method}
	for i := range 2 * n {
		c := curveKinds[i%4](r)
		f := []*figure{usual, usual, any, cusp}[i%4]
		total := c.Length()
		f.see(math.Abs(total - referenceLength(c, 0, 1)))
		l := r.Float64() * total
		split.see(math.Abs(referenceLength(c, 0, c.ParamAt(l)) - l))
		d := realisticCubic(r)
		p := Path{c, d.Moved(Motion{Shift: c.P3.Sub(d.P0)})}
		l = r.Float64() * p.Length()
		sum := 0.0
		before, after := p.Split(l)
		for _, part := range before {
			sum += referenceLength(part, 0, 1)
		}
		path.see(math.Abs(sum - l))
		for _, part := range after {
			sum += referenceLength(part, 0, 1)
		}
		path.see(math.Abs(sum - referenceLength(p[0], 0, 1) - referenceLength(p[1], 0, 1)))
	}
	return []*figure{usual, any, cusp, split, path}
}

// accuracyCusps integrates the speed of an exact cusp in closed form: with
// c′(t) = (t − k)·(g + h·t), its length is ∫|t − k|·|g + h·t| dt.
func accuracyCusps(r *rand.Rand, n int) []*figure {
	f := &figure{what: "length of a curve with a cusp, mm", target: 1e-6, reference: "closed form, speed \\|t−k\\|·√quadratic"}
	for range 2 * n {
		k := 0.05 + 0.9*r.Float64()
		g, h := randomPoint(r, 300), randomPoint(r, 300)
		// c′ = −k·g + (g − k·h)·t + h·t²; Bernstein coefficients over 3 are the
		// steps between the control points.
		a, b, d := g.Mul(-k), g.Sub(h.Mul(k)), h
		p0 := randomPoint(r, 300)
		p1 := p0.Add(a.Mul(1. / 3))
		p2 := p1.Add(a.Add(b.Mul(0.5)).Mul(1. / 3))
		p3 := p2.Add(a.Add(b).Add(d).Mul(1. / 3))
		// About the least of |g + h·t|, at m: |…|² = A·((t−m)² + w²).
		A := h.Dot(h)
		m := -g.Dot(h) / A
		w := math.Abs(g.Cross(h)) / A
		// ∫(t−k)√((t−m)²+w²) = R³/3 + (m−k)·(x·R + w²·asinh(x/w))/2, x = t−m.
		F := func(t float64) float64 {
			x := t - m
			R := math.Hypot(x, w)
			return math.Sqrt(A) * (R*R*R/3 + (m-k)*(x*R+w*w*math.Asinh(x/w))/2)
		}
		c := Cubic{p0, p1, p2, p3}
		f.see(math.Abs(c.Length() - (F(1) - F(k)) - (F(0) - F(k))))
	}
	return []*figure{f}
}

func accuracyClosedForms(*rand.Rand, int) []*figure {
	arc := &figure{what: "length of parabolas, mm", target: 1e-6, reference: "½√(w²+16h²) + (w²/8h)·asinh(4h/w)"}
	for _, w := range []float64{1, 40, 300, 1000} {
		for _, h := range []float64{0.01, 1, 10, 200} {
			c := Quadratic(Pt(0, 0), Pt(w/2, 2*h), Pt(w, 0))
			arc.see(math.Abs(c.Length() - math.Sqrt(w*w+16*h*h)/2 - w*w/(8*h)*math.Asinh(4*h/w)))
		}
	}
	// 4aE(m) by the arithmetic-geometric mean (DLMF 19.8.6, from memory).
	ellipse := &figure{what: "length of ellipses made of arcs within 1e-9 mm, mm", target: 1e-6, reference: "4a·E(1−b²/a²), DLMF 19.8"}
	for _, e := range [][2]float64{{5, 3}, {20, 10}, {300, 299}, {200, 40}} {
		a, b := e[0], e[1]
		x, y, sum, pow := a, b, 0.0, 0.5
		c := math.Sqrt(a*a - b*b)
		for range 10 {
			sum += pow * c * c
			x, y, c, pow = (x+y)/2, math.Sqrt(x*y), (x-y)/2, 2*pow
		}
		half := EllipticalArc(Pt(-a, 0), Pt(a, 0), a, b, 0, false, true, 1e-9)
		ellipse.see(math.Abs(2*half.Length() - 2*math.Pi/x*(a*a-sum)))
	}
	return []*figure{arc, ellipse}
}

func accuracyNearest(r *rand.Rand, n int) []*figure {
	const method = "dense samples and golden section"
	usual := &figure{what: "distance of the nearest point, mm", target: 1e-11, reference: method}
	hard := &figure{what: "the same beside cusps, loops, centres of curvature, mm", target: 1e-11, reference: method}
	place := &figure{what: "nearest point of a point on the curve, mm", target: 1e-11, reference: "the point itself"}
	for i := range 2 * n {
		c := curveKinds[i%4](r)
		q, f := randomPoint(r, 400), usual
		u := r.Float64()
		if i%4 == 3 || i%3 == 0 {
			f = hard
			q = c.At(u)
			switch k := c.Curvature(u); {
			case i%8 == 3:
				rest := leastAt(func(t float64) float64 { return c.Deriv(t).Len() }, 64)
				q = c.At(rest[r.IntN(len(rest))]).Add(randomPoint(r, math.Pow(10, -9*r.Float64())))
			case math.Abs(k) > 1e-3:
				q = q.Add(c.Tangent(u).Right().Mul(1 / k))
			}
		}
		at, d := c.Nearest(q)
		f.see(math.Max(math.Abs(d-referenceNearest(c, q)), math.Abs(c.At(at).Dist(q)-d)))
		_, d = c.Nearest(c.At(u))
		place.see(d)
	}
	return []*figure{usual, hard, place}
}

func accuracyLine(r *rand.Rand, n int) []*figure {
	off := &figure{what: "line and cubic: distance of the place from the line, mm", target: 1e-11, reference: "math/big"}
	place := &figure{what: "line and cubic: distance from the true meeting, crossings over 1°, mm", target: 1e-10, reference: "Bernstein halving to 1e-40 in math/big"}
	count := &figure{what: "line and cubic: missed or invented meetings", reference: "the same"}
	for i := range 4 * n {
		c := curveKinds[i%4](r)
		a, b := randomPoint(r, 300), randomPoint(r, 300)
		if i%5 == 0 {
			a = c.At(r.Float64())
		}
		roots, ok := referenceLineRoots(c, a, b)
		if !ok {
			continue
		}
		got, big := c.MeetLine(a, b), newBigCubic(c)
		count.miss(len(got) != len(roots))
		dir := bigOf(b).sub(bigOf(a))
		for k := 0; k < len(got) && len(got) == len(roots); k++ {
			p, d, _ := big.at(bf(got[k]))
			off.see(math.Abs(toFloat(dir.cross(p.sub(bigOf(a)))) / dir.len()))
			if math.Abs(toFloat(dir.cross(d)))/dir.len()/d.len() > math.Sin(math.Pi/180) {
				q, _, _ := big.at(roots[k])
				place.see(p.sub(q).len())
			}
		}
	}
	return []*figure{off, place, count}
}

func accuracyMeet(r *rand.Rand, n int) []*figure {
	gap := &figure{what: "two cubics: gap at a meeting, mm", target: 1e-9, reference: "math/big"}
	place := &figure{what: "two cubics: distance from the true meeting, crossings over 1°, mm", target: 1e-10, reference: "Newton's method in math/big"}
	missed := &figure{what: "two cubics: pairs with a meeting missed", reference: "crossings of fine polylines, then Newton in math/big"}
	invented := &figure{what: "two cubics: meetings that are none", reference: "Newton in math/big"}
	for i := range 4 * n {
		a, b := curveKinds[i%3](r), curveKinds[i%4](r)
		b = b.Moved(Motion{Shift: a.At(r.Float64()).Sub(b.At(r.Float64()))})
		got := Meet(a, b)
		bigA, bigB := newBigCubic(a), newBigCubic(b)
		for _, m := range got {
			p, dp, _ := bigA.at(bf(m.T))
			q, dq, _ := bigB.at(bf(m.U))
			gap.see(p.sub(q).len())
			x, _, ok := bigA.meetFrom(bigB, m.T, m.U)
			invented.miss(!ok && p.sub(q).len() > 1e-9)
			if sin := math.Abs(toFloat(dp.cross(dq))) / dp.len() / dq.len(); ok && sin > math.Sin(math.Pi/180) {
				q, _, _ := bigA.at(x)
				place.see(p.sub(q).len())
			}
		}
		missed.miss(missesOne(a, b, got))
	}
	return []*figure{gap, place, missed, invented}
}

// missesOne reports whether a crossing of the fine polylines, refined in many
// digits, is not among the meetings.
func missesOne(a, b Cubic, got []Meeting) bool {
	bigA, bigB := newBigCubic(a), newBigCubic(b)
	for _, c := range polylineCrossings(a, b, 256) {
		x, y, ok := bigA.meetFrom(bigB, c.T, c.U)
		t, u := toFloat(x), toFloat(y)
		if !ok || t < 0 || t > 1 || u < 0 || u > 1 {
			continue
		}
		found := false
		for _, m := range got {
			found = found || (m.At.Dist(a.At(t)) < 1e-6 && b.At(m.U).Dist(b.At(u)) < 1e-6)
		}
		if !found {
			return true
		}
	}
	return false
}
