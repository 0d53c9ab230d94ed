package geom

import (
	"cmp"
	"math"
	"slices"
)

// The areas of two outlines' regions, found without the kernel's arrangement.
//
// Both outlines are replaced by polygons whose vertices lie on the curves, and
// the reference library overlays these. What each region's area lacks is then
// added from the curves: where a chord bounds the region, the lens between the
// chord and its curve, by Green's theorem. That is exact as long as no other
// outline runs through the lens. Why: a point is covered as often as the
// outline winds around it; exchanging a chord for its curve changes that only
// within the lens, so the area both outlines cover changes by the lens times
// the other outline's winding there, which is constant when none of its curves
// enters. A lens lies within the hull of its curve's control points, and
// hulls that do not touch are told by a separating line. Where they do touch,
// chords are cut shorter until the hulls left in doubt together are smaller
// than any error that matters; their area bounds the error that is left.

// chord is a straight stand-in for a part of a curve.
type chord struct {
	c      Cubic
	lens   float64 // mm², between chord and curve, positive when the curve runs to the left
	hull   float64 // mm², no less than the area of the control points' hull
	in     [2]bool // which outlines run along it
	unsure bool    // its hull may meet the other outline
}

func newChord(c Cubic, in [2]bool) chord {
	chord := chord{c: c, in: in}
	p, q, r := c.P1.Sub(c.P0), c.P2.Sub(c.P0), c.P3.Sub(c.P0)
	chord.hull = (math.Abs(p.Cross(q)) + math.Abs(q.Cross(r)) + math.Abs(p.Cross(r))) / 2
	if chord.hull < 1e-11*r.Len() { // a line, but for rounding
		chord.hull = 0
		return chord
	}
	chord.lens = greenArea(Cubic{Point{}, p, q, r})
	return chord
}

// greenArea is half the integral of x dy − y dx along a cubic. Method: the
// integrand is a polynomial of degree five in the parameter, on which the
// three-point Gauss–Legendre rule is exact (Abramowitz and Stegun, table 25.4).
func greenArea(c Cubic) float64 {
	x, y := power(c.P0.X, c.P1.X, c.P2.X, c.P3.X), power(c.P0.Y, c.P1.Y, c.P2.Y, c.P3.Y)
	sum := 0.0
	for k, node := range []float64{-math.Sqrt(0.6), 0, math.Sqrt(0.6)} {
		t := (1 + node) / 2
		at := func(a [4]float64) float64 { return ((a[3]*t+a[2])*t+a[1])*t + a[0] }
		speed := func(a [4]float64) float64 { return (3*a[3]*t+2*a[2])*t + a[1] }
		sum += []float64{5, 8, 5}[k] / 18 * (at(x)*speed(y) - at(y)*speed(x))
	}
	return sum / 2
}

// power returns the coefficients of a cubic in powers of its parameter.
func power(a, b, c, d float64) [4]float64 {
	return [4]float64{a, 3 * (b - a), 3 * (a - 2*b + c), d - a + 3*(b-c)}
}

// ringArea is the area within a ring by greenArea, about its own first node.
func ringArea(r Ring) float64 {
	sum := 0.0
	for _, c := range r {
		o := r[0].P0
		sum += greenArea(Cubic{c.P0.Sub(o), c.P1.Sub(o), c.P2.Sub(o), c.P3.Sub(o)})
	}
	return sum
}

// laidArc is a part of a curve that one outline runs along, or both.
type laidArc struct{ chords []chord }

// laidRing is an outline as arcs, some of them run backwards.
type laidRing []struct {
	arc  *laidArc
	back bool
}

func (r *laidRing) add(arc *laidArc, back bool) {
	*r = append(*r, struct {
		arc  *laidArc
		back bool
	}{arc, back})
}

// ends returns where the arc at an index starts and ends on the way round.
func (r laidRing) ends(i int) (Point, Point) {
	c := r[i].arc.chords
	if r[i].back {
		return c[len(c)-1].c.P3, c[0].c.P0
	}
	return c[0].c.P0, c[len(c)-1].c.P3
}

// points are the polygon's vertices, each once.
func (r laidRing) points() []Point {
	var out []Point
	for _, x := range r {
		for i := range x.arc.chords {
			if x.back {
				out = append(out, x.arc.chords[len(x.arc.chords)-1-i].c.P3)
			} else {
				out = append(out, x.arc.chords[i].c.P0)
			}
		}
	}
	return out
}

// ring is the outline on its true curves.
func (r laidRing) ring() Ring {
	var out Ring
	for _, x := range r {
		for i := range x.arc.chords {
			if x.back {
				out = append(out, x.arc.chords[len(x.arc.chords)-1-i].c.Reverse())
			} else {
				out = append(out, x.arc.chords[i].c)
			}
		}
	}
	return out
}

func newArc(c Cubic, in [2]bool, tol float64) *laidArc {
	d := max(c.P0.Sub(c.P1.Mul(2)).Add(c.P2).Len(), c.P1.Sub(c.P2.Mul(2)).Add(c.P3).Len())
	n := int(math.Ceil(math.Sqrt(0.75 * d / tol)))
	if d < 1e-9 {
		n = 1
	}
	n = max(n, 1)
	arc := &laidArc{}
	for k := range n {
		part := c.Part(float64(k)/float64(n), float64(k+1)/float64(n))
		arc.chords = append(arc.chords, newChord(part, in))
	}
	return arc
}

// laid returns A, and B with its matched stretches replaced by A's, as arcs
// that both share there, on chords within tol. Where B's own curve meets A's
// off A's end, a straight joint leads over.
func laid(a, b Ring, stretches []Stretch, tol float64) (ra, rb laidRing) {
	shared := make([]*laidArc, len(stretches))
	for i, c := range a {
		cut(stretches, func(s Stretch) (int, float64, float64) { return s.A, s.A0, s.A1 }, i, func(k int, from, to float64) {
			arc := newArc(c.Part(from, to), [2]bool{true, k >= 0}, tol)
			if k >= 0 {
				shared[k] = arc
			}
			ra.add(arc, false)
		})
	}
	for j, d := range b {
		span := func(s Stretch) (int, float64, float64) { return s.B, min(s.B0, s.B1), max(s.B0, s.B1) }
		cut(stretches, span, j, func(k int, from, to float64) {
			if k >= 0 {
				rb.add(shared[k], stretches[k].B0 > stretches[k].B1)
			} else {
				rb.add(newArc(d.Part(from, to), [2]bool{false, true}, tol), false)
			}
		})
	}
	return ra, rb.jointed()
}

// cut lists a curve's parts in order: the stretches on it, and with −1 what
// lies between.
func cut(stretches []Stretch, span func(Stretch) (int, float64, float64), curve int, part func(k int, from, to float64)) {
	var on []int
	for k, s := range stretches {
		if i, _, _ := span(s); i == curve {
			on = append(on, k)
		}
	}
	slices.SortFunc(on, func(k, l int) int {
		_, x, _ := span(stretches[k])
		_, y, _ := span(stretches[l])
		return cmp.Compare(x, y)
	})
	at := 0.0
	for _, k := range on {
		_, from, to := span(stretches[k])
		if from > at {
			part(-1, at, from)
		}
		part(k, from, to)
		at = to
	}
	if at < 1 {
		part(-1, at, 1)
	}
}

// jointed leads over from each arc to the next where they do not meet. Ends
// that differ by rounding alone become one: B's own arc gives way.
func (r laidRing) jointed() laidRing {
	const rounding = 1e-9
	var out laidRing
	for i := range r {
		x, y := r[(i+len(r)-1)%len(r)].arc, r[i].arc
		_, before := r.ends((i + len(r) - 1) % len(r))
		at, _ := r.ends(i)
		switch near := before.Dist(at) <= rounding; {
		case near && !y.chords[0].in[0]:
			y.chords[0].c.P0 = before
		case near && !x.chords[0].in[0]:
			x.chords[len(x.chords)-1].c.P3 = at
		case before != at:
			out.add(newArc(Line(before, at), [2]bool{false, true}, 1), false)
		}
		out.add(r[i].arc, r[i].back)
	}
	return out
}

// fineness says how fine the chords are cut.
type fineness struct {
	chord  float64 // mm, how far chords may lie from their curves at first
	left   float64 // mm², the hulls in doubt at which cutting ends
	each   float64 // mm², the hull of a chord that is not cut further
	rounds int     // bounds the work; each round cuts what is in doubt in four
}

var (
	// usualFineness leaves a fiftieth of the accuracy asked for in doubt.
	usualFineness = fineness{chord: 0.03, left: 2e-5, each: 1e-8, rounds: 14}
	// utmostFineness tells apart what double precision tells apart.
	utmostFineness = fineness{chord: 0.03, left: 1e-11, each: 1e-15, rounds: 24}
)

// settle cuts the chords of both outlines until next to nothing is in doubt,
// and returns the area that still is.
func settle(ra, rb laidRing, fine fineness) float64 {
	var arcs []*laidArc
	for _, r := range []laidRing{ra, rb} {
		for _, x := range r {
			if !slices.Contains(arcs, x.arc) {
				arcs = append(arcs, x.arc)
			}
		}
	}
	for round := 0; ; round++ {
		var all []*chord
		for _, arc := range arcs {
			for i := range arc.chords {
				arc.chords[i].unsure = false
				all = append(all, &arc.chords[i])
			}
		}
		markUnsure(all)
		left := 0.0
		for _, c := range all {
			if c.unsure {
				left += c.hull
			}
		}
		if left <= fine.left || round == fine.rounds {
			return left
		}
		for _, arc := range arcs {
			arc.cutUnsure(fine.each)
		}
	}
}

// cutUnsure cuts each chord in doubt in four, but for those whose hull is as
// small as asked for.
func (arc *laidArc) cutUnsure(small float64) {
	var out []chord
	for _, c := range arc.chords {
		if !c.unsure || c.hull < small {
			out = append(out, c)
			continue
		}
		p, q := c.c.Split(0.5)
		for _, half := range []Cubic{p, q} {
			x, y := half.Split(0.5)
			out = append(out, newChord(x, c.in), newChord(y, c.in))
		}
	}
	arc.chords = out
}
