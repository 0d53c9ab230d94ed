package geom

import (
	"math"
	"math/rand/v2"
)

// polylineCrossings returns the places at which two curves' polylines of n
// chords cross: slow and obvious.
func polylineCrossings(a, b Cubic, n int) []Meeting {
	at := func(c Cubic) []Point {
		p := make([]Point, n+1)
		for i := range p {
			p[i] = c.At(float64(i) / float64(n))
		}
		return p
	}
	p, q := at(a), at(b)
	var out []Meeting
	for i := range n {
		d := p[i+1].Sub(p[i])
		for j := range n {
			if math.Max(p[i].X, p[i+1].X) < math.Min(q[j].X, q[j+1].X) || math.Max(q[j].X, q[j+1].X) < math.Min(p[i].X, p[i+1].X) {
				continue
			}
			e, w := q[j+1].Sub(q[j]), q[j].Sub(p[i])
			x := d.Cross(e)
			s, t := w.Cross(e)/x, w.Cross(d)/x
			if s >= 0 && s <= 1 && t >= 0 && t <= 1 {
				out = append(out, Meeting{T: (float64(i) + s) / float64(n), U: (float64(j) + t) / float64(n)})
			}
		}
	}
	return out
}

// nearCopies are curves that nearly coincide with c, about gap away.
var nearCopies = []func(r *rand.Rand, c Cubic, gap float64) Cubic{
	func(r *rand.Rand, c Cubic, gap float64) Cubic {
		return c.Moved(Motion{Shift: Pt(gap, 0).Turn(7 * r.Float64())})
	},
	func(r *rand.Rand, c Cubic, gap float64) Cubic {
		m := c.At(r.Float64())
		return c.Moved(Motion{Shift: m.Mul(-1)}).Moved(Motion{Turn: gap / 100, Shift: m})
	},
	func(r *rand.Rand, c Cubic, gap float64) Cubic { return shaken(r, c, gap) },
	func(r *rand.Rand, c Cubic, gap float64) Cubic {
		d := shaken(r, c, gap)
		return Cubic{c.P0, d.P1, d.P2, c.P3}
	},
	func(r *rand.Rand, c Cubic, gap float64) Cubic {
		return shaken(r, c.Part(0.4*r.Float64(), 0.5+0.5*r.Float64()), gap).Reverse()
	},
	func(r *rand.Rand, c Cubic, gap float64) Cubic {
		return Cubic{c.P0, c.P1.Add(c.P1.Sub(c.P0).Mul(gap / 100)), c.P2.Sub(c.P3.Sub(c.P2).Mul(gap / 100)), c.P3}
	},
}

func shaken(r *rand.Rand, c Cubic, gap float64) Cubic {
	at := func(p Point) Point { return p.Add(randomPoint(r, gap)) }
	return Cubic{at(c.P0), at(c.P1), at(c.P2), at(c.P3)}
}

// nearKinds are the curves that are copied: those of curveKinds, and ones
// without a handle, with a cusp, nearly straight at uneven speed.
var nearKinds = append([]func(r *rand.Rand) Cubic{
	func(r *rand.Rand) Cubic { c := realisticCubic(r); c.P1 = c.P0; return c },
	func(r *rand.Rand) Cubic { c := randomCubic(r, 100); c.P3 = c.P0.Add(c.P1).Sub(c.P2); return c },
	func(r *rand.Rand) Cubic {
		a, b := randomPoint(r, 200), randomPoint(r, 200)
		return Cubic{a, a.Lerp(b, r.Float64()), a.Lerp(b, r.Float64()).Add(randomPoint(r, 1e-5)), b}
	},
}, curveKinds...)

func accuracyCoincident(r *rand.Rand, n int) []*figure {
	gap := &figure{what: "nearly coincident cubics, 2e-8 to 0.1 mm apart: gap at a meeting, mm", target: 1e-9, reference: "math/big"}
	missed := &figure{what: "the same: crossings missed", reference: "change of side seen from 600 feet on the other curve"}
	work := &figure{what: "the same, and 1e-12 to 1e-8 mm apart: pairs of stretches looked at for one pair", target: 2000, reference: "counted; 4000 is the bound"}
	for i := range 4 * n {
		a := nearKinds[i%len(nearKinds)](r)
		off := 2e-8 * math.Pow(5e6, r.Float64())
		if i%5 == 0 {
			off = 1e-12 * math.Pow(1e4, r.Float64())
		}
		b := nearCopies[r.IntN(len(nearCopies))](r, a, off)
		m := meeter{a: a, b: b, left: meetBudget}
		m.run()
		work.see(float64(meetBudget - m.left))
		bigA, bigB := newBigCubic(a), newBigCubic(b)
		for _, f := range m.merge() {
			p, _, _ := bigA.at(bf(f.T))
			q, _, _ := bigB.at(bf(f.U))
			gap.see(p.sub(q).len())
		}
		if i%5 != 0 {
			missed.miss(missesChangeOfSide(a, b, m.found))
		}
	}
	return []*figure{gap, missed, work}
}

// missesChangeOfSide walks along a and looks at which side of b it is on: where
// that changes, from more than 2e-8 mm on one side to as much on the other,
// there must be a meeting in between.
func missesChangeOfSide(a, b Cubic, got []Meeting) bool {
	const n = 600
	lastT, lastU, side := 0.0, 0.0, 0.0
	for i := range n + 1 {
		t := float64(i) / n
		u, d := b.Nearest(a.At(t))
		if u <= 0 || u >= 1 || math.Abs(u-lastU) > 0.02 || b.Deriv(u).Len() < 1e-3*b.hull() {
			lastT, lastU, side = t, u, 0 // off the ends, or another branch
			continue
		}
		lastU = u
		if d < 2e-8 {
			continue
		}
		now := math.Copysign(1, b.Deriv(u).Cross(a.At(t).Sub(b.At(u))))
		if side*now < 0 {
			dist := func(t float64) float64 { _, d := b.Nearest(a.At(t)); return d }
			found := dist(golden(dist, lastT, t)) > 1e-9 // the way round a cusp
			for _, m := range got {
				found = found || (m.T >= lastT && m.T <= t)
			}
			if !found {
				return true
			}
		}
		lastT, side = t, now
	}
	return false
}

func accuracyBounds(r *rand.Rand, n int) []*figure {
	f := &figure{what: "bounds of a cubic, each side, mm", target: 1e-11, reference: "dense samples and golden section"}
	for i := range 2 * n {
		c := curveKinds[i%4](r)
		box := c.Box()
		for k, side := range []float64{box.Min.X, box.Min.Y, -box.Max.X, -box.Max.Y} {
			at := func(t float64) float64 {
				p := c.At(t)
				return []float64{p.X, p.Y, -p.X, -p.Y}[k]
			}
			least := math.Inf(1)
			for _, t := range leastAt(at, 256) {
				least = math.Min(least, at(t))
			}
			f.see(math.Abs(side - least))
		}
	}
	return []*figure{f}
}

func accuracyArcs(r *rand.Rand, n int) []*figure {
	arc := &figure{what: "circular arc, one cubic per started 90°: off the circle, of its radius", target: 2.7254e-4, reference: "distance from the centre"}
	ellipse := &figure{what: "elliptical arc: off the ellipse, of the tolerance", target: 1, reference: "the ellipse's equation"}
	carrier := &figure{what: "carrier: off the circle of curvature, of its radius", target: 2.7254e-4, reference: "curvature in math/big"}
	eased := &figure{what: "eased run between tangents of a circle: off its cubic arc, mm", target: 1e-10, reference: "4/3·tan(φ/4)"}
	round := &figure{what: "rounded corner: distance of the circle from either edge, mm", target: 1e-8, reference: "dense samples and golden section"}
	for i := range n {
		centre, radius, sweep := randomPoint(r, 300), 1+500*r.Float64(), (2*r.Float64()-1)*6
		p := Arc(centre, radius, 7*r.Float64(), sweep)
		for k := range 100 {
			arc.see(math.Abs(p[k%len(p)].At(r.Float64()).Dist(centre)/radius - 1))
		}
		one := ArcIn(centre, radius, 7*r.Float64(), sweep/2, 1)[0]
		eased.see(cubicDistance(one, Eased(one.P0, one.Tangent(0), one.P3, one.Tangent(1))))
		ellipse.see(ellipseOff(r))
		c := curveKinds[i%2](r)
		if _, d, d2 := newBigCubic(c).at(bf(1)); true {
			k := toFloat(d.cross(d2)) / math.Pow(d.len(), 3)
			_, after := CarrierEnds(Path{c}, 150)
			if math.Abs(k)*150*150/2 > carrierSagitta {
				centre := c.P3.Add(c.Tangent(1).Right().Mul(1 / k))
				for _, x := range after {
					carrier.see(math.Abs(x.At(r.Float64()).Dist(centre)*math.Abs(k) - 1))
				}
			}
		}
		before, next := Path{realisticCubic(r)}, Path{realisticCubic(r)}
		next = next.Moved(Motion{Shift: before.End().Sub(next.Start())})
		radius = 2 + 20*r.Float64()
		if arc, x, y, err := RoundCorner(before, next, radius); err == nil {
			side := math.Copysign(1, AngleBetween(before.EndTangent(), next.StartTangent()))
			centre := arc.Start().Add(arc.StartTangent().Right().Mul(radius * side))
			kept, _ := before.Split(before.Length() - x)
			_, rest := next.Split(y)
			for _, c := range []Cubic{kept[0], rest[0]} {
				round.see(math.Abs(referenceNearest(c, centre) - radius))
			}
		}
	}
	return []*figure{arc, ellipse, carrier, eased, round}
}

// cubicDistance is the greatest distance between control points.
func cubicDistance(a, b Cubic) float64 {
	return max(a.P0.Dist(b.P0), a.P1.Dist(b.P1), a.P2.Dist(b.P2), a.P3.Dist(b.P3))
}

// ellipseOff draws an elliptical arc and returns how far it leaves the ellipse,
// as a share of its tolerance. The centre is found from the arc's own ends:
// half way round an ellipse lies the point opposite.
func ellipseOff(r *rand.Rand) float64 {
	rx, ry, axis, tol := 10+300*r.Float64(), 10+300*r.Float64(), 7*r.Float64(), math.Pow(10, -1-7*r.Float64())
	place := func(phi float64) Point { return Pt(rx*math.Cos(phi), ry*math.Sin(phi)).Turn(axis) }
	from, sweep := 7*r.Float64(), (2*r.Float64()-1)*6
	p := EllipticalArc(place(from), place(from+sweep), rx, ry, axis, math.Abs(sweep) > math.Pi, sweep > 0, tol)
	worst := 0.0
	for _, c := range p {
		for range 50 {
			q := c.At(r.Float64()).Turn(-axis)
			worst = math.Max(worst, math.Abs(math.Hypot(q.X/rx, q.Y/ry)-1)*math.Max(rx, ry)/tol)
		}
	}
	return worst
}

func accuracyMotions(r *rand.Rand, n int) []*figure {
	back := &figure{what: "rigid motion there and back, mirrors too, mm", target: 1e-11, reference: "the point itself"}
	kept := &figure{what: "length after a rigid motion, mm", target: 1e-9, reference: "the length before"}
	fit := &figure{what: "motion fitted to moved points, mm", target: 1e-10, reference: "the points"}
	for range 2 * n {
		m := Motion{Mirror: r.IntN(2) == 0, Turn: (2*r.Float64() - 1) * 7, Shift: randomPoint(r, 500)}
		c := realisticCubic(r)
		back.see(m.Inverse().Apply(m.Apply(c.P0)).Dist(c.P0))
		back.see(m.Then(m.Inverse()).Apply(c.P0).Dist(c.P0))
		kept.see(math.Abs(c.Length() - c.Moved(m).Length()))
		from := []Point{c.P0, c.P1, c.P2, c.P3}
		to := []Point{m.Apply(c.P0), m.Apply(c.P1), m.Apply(c.P2), m.Apply(c.P3)}
		fit.see(cubicDistance(c.Moved(FitMotion(from, to, m.Mirror)), c.Moved(m)))
	}
	return []*figure{back, kept, fit}
}

func accuracyInside(r *rand.Rand, n int) []*figure {
	f := &figure{what: "winding number of a ring about a point, wrong", reference: "whole turn of the direction to 400 chords a curve"}
	for i := range n {
		var ring Ring
		switch i % 3 {
		case 0:
			ring = wavyRing(r, 12, 0.5)
		case 1:
			edges, _ := allowancePiece(r)
			ring = outline(edges)
		default: // crosses itself
			ring = Ring{randomCubic(r, 200), randomCubic(r, 200), randomCubic(r, 200)}
			for k := range ring {
				ring[(k+1)%3].P0 = ring[k].P3
			}
		}
		box := ring.Box()
		for k := range 6 {
			q := Pt(box.Min.X+r.Float64()*box.Size().X, box.Min.Y+r.Float64()*box.Size().Y)
			if k == 0 {
				q.Y = ring[0].P0.Y // through a node
			}
			if _, d := Path(ring).Nearest(q); d > 0.1 {
				f.miss(ring.Winding(q) != turnsAround(ring, q))
			}
		}
	}
	return []*figure{f}
}
