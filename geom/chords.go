package geom

import "math"

// fineChord in mm is where dividing ends: two curves that come nearer to each
// other than their chords can tell at this distance from the curves may be
// taken in the wrong order. That puts at most 2·fineChord times the length of
// such a stretch into the wrong region. Finer chords cost time on pairs that
// nearly coincide; the grid itself has steps of 1.5e-5 mm.
const fineChord = 5e-5

// chords divides curves until the chords of the parts lie to each other as the
// curves do. A part stays in the convex hull of its control points, and so
// does its chord: where the hulls of all parts are apart but for common ends,
// replacing every part by its chord moves nothing across anything. So a curve
// is halved only where its hull touches another's, near meetings and along
// stretches that nearly coincide; one that runs alone stays a single chord.
// Dividing ends where both curves lie within fine mm of their chords.
type chords struct {
	parts []part
	fine  float64
}

// gridGap in mm is the distance beyond which two chords stay apart when their
// ends are rounded to the grid, which moves each by at most 0.71 of its steps,
// and bent through the pixels they touch, by as much again.
const gridGap = 4. / gridPerMM

// part is a part of a curve, and when it is divided its halves.
type part struct {
	c      Cubic
	t0, t1 float64 // of the curve
	box    Box
	off    float64 // mm: no point of the part lies farther from its chord
	half   int     // the first half; the second follows; 0 while undivided
}

// divide returns the chords of the curves; part k is the whole of curve k.
func divide(curves []weighted, fine float64) *chords {
	d := &chords{parts: make([]part, 0, 4*len(curves)), fine: fine}
	boxes := make([]Box, len(curves))
	for k, w := range curves {
		d.parts = append(d.parts, newPart(w.curve, 0, 1))
		boxes[k] = d.parts[k].box.Grow(gridGap)
	}
	for k := range curves {
		d.untangle(k)
	}
	newBoxTree(boxes).pairs(func(i, j int) bool {
		d.separate(i, j)
		return true
	})
	return d
}

func newPart(c Cubic, t0, t1 float64) part {
	return part{c: c, t0: t0, t1: t1, box: c.HullBox(), off: c.chordDistance()}
}

// chordDistance bounds the distance in mm of the curve's points from its
// chord, and of the chord's from the curve.
func (c Cubic) chordDistance() float64 {
	if c.evenlyStraight() {
		return 0
	}
	v := c.P3.Sub(c.P0)
	l2 := v.Dot(v)
	far := 0.0
	for _, q := range [2]Point{c.P1.Sub(c.P0), c.P2.Sub(c.P0)} {
		f := 0.0
		if l2 > 0 {
			f = min(max(q.Dot(v)/l2, 0), 1)
		}
		far = max(far, q.Dist(v.Mul(f)))
	}
	return far
}

// halves divides a part, once, and returns its halves.
func (d *chords) halves(k int) (int, int) {
	if d.parts[k].half == 0 {
		p := d.parts[k]
		a, b := p.c.Split(0.5)
		m := (p.t0 + p.t1) / 2
		d.parts[k].half = len(d.parts)
		d.parts = append(d.parts, newPart(a, p.t0, m), newPart(b, m, p.t1))
	}
	return d.parts[k].half, d.parts[k].half + 1
}

// untangle divides a part until no two of its own parts can meet: one whose
// control vectors all run forward along one direction does not.
func (d *chords) untangle(k int) {
	p := &d.parts[k]
	if p.off <= d.fine || p.c.forward() {
		return
	}
	a, b := d.halves(k)
	d.untangle(a)
	d.untangle(b)
	d.separate(a, b)
}

// forward reports whether the curve advances along one direction throughout.
func (c Cubic) forward() bool {
	v := [3]Point{c.P1.Sub(c.P0), c.P2.Sub(c.P1), c.P3.Sub(c.P2)}
	u := v[0].Unit().Add(v[1].Unit()).Add(v[2].Unit())
	for _, w := range v {
		if w != (Point{}) && !(w.Dot(u) > 0) {
			return false
		}
	}
	return true
}

// separate divides two parts until the hulls of their parts are apart.
func (d *chords) separate(i, j int) {
	p, q := &d.parts[i], &d.parts[j]
	if (p.off <= d.fine && q.off <= d.fine) || p.apart(q) {
		return
	}
	if p.off < q.off {
		i, j = j, i
	}
	a, b := d.halves(i)
	d.separate(a, j)
	d.separate(b, j)
}

// apart reports whether the hulls share nothing but a common end. It may say
// no where a longer look would say yes.
func (p *part) apart(q *part) bool {
	if !p.box.Grow(gridGap).Overlaps(q.box) {
		return true
	}
	shared := 0
	var at Point
	for _, e := range [2]Point{p.c.P0, p.c.P3} {
		if e == q.c.P0 || e == q.c.P3 {
			shared, at = shared+1, e
		}
	}
	switch shared {
	case 0:
		return p.beside(q) || q.beside(p)
	case 1:
		f, okF := fanOf(&p.c, at)
		g, okG := fanOf(&q.c, at)
		return okF && okG && f.apart(g)
	}
	return false
}

// beside reports whether q's hull lies wholly to one side of p's along the
// normal of p's chord.
func (p *part) beside(q *part) bool {
	n := p.c.P3.Sub(p.c.P0).Left().Unit()
	least, most := 0.0, 0.0 // both ends of the chord have 0
	for _, r := range [2]Point{p.c.P1, p.c.P2} {
		h := r.Sub(p.c.P0).Dot(n)
		least, most = min(least, h), max(most, h)
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, r := range [4]Point{q.c.P0, q.c.P1, q.c.P2, q.c.P3} {
		h := r.Sub(p.c.P0).Dot(n)
		lo, hi = min(lo, h), max(hi, h)
	}
	return lo > most+gridGap || hi < least-gridGap
}

// fan is the range of directions in which a hull is seen from one of its
// points, clockwise from lo to hi, less than half a turn. end is the other end
// of the hull's curve, as seen.
type fan struct{ lo, hi, end Point }

// fanOf fails when the hull is seen all around, or is a point.
func fanOf(c *Cubic, at Point) (fan, bool) {
	var seen [4]Point
	n := 0
	for _, q := range [4]Point{c.P0, c.P1, c.P2, c.P3} {
		if q != at {
			seen[n] = q.Sub(at)
			n++
		}
	}
	var f fan
	for _, v := range seen[:n] {
		first, last := true, true
		for _, w := range seen[:n] {
			side, ahead := v.Cross(w), v.Dot(w) > 0
			first = first && (side > 0 || (side == 0 && ahead))
			last = last && (side < 0 || (side == 0 && ahead))
		}
		if first {
			f.lo = v
		}
		if last {
			f.hi = v
		}
	}
	f.end = c.P3.Sub(at)
	if c.P3 == at {
		f.end = c.P0.Sub(at)
	}
	return f, f.lo != (Point{}) && f.hi != (Point{})
}

// apart reports whether neither fan holds what bounds the other.
func (f fan) apart(g fan) bool {
	return !f.holds(g.lo) && !f.holds(g.hi) && !f.holds(g.end) && !g.holds(f.lo) && !g.holds(f.hi) && !g.holds(f.end)
}

// holds reports whether a place lies in the fan or within gridGap of it.
func (f fan) holds(v Point) bool {
	within := func(side float64, ray Point) bool { return side >= -gridGap*ray.Len() }
	return within(f.lo.Cross(v), f.lo) && within(v.Cross(f.hi), f.hi) && (v.Dot(f.lo) > 0 || v.Dot(f.hi) > 0)
}

// of calls visit for each chord of curve k, in order.
func (d *chords) of(k int, visit func(p *part)) {
	p := &d.parts[k]
	if p.half == 0 {
		visit(p)
		return
	}
	d.of(p.half, visit)
	d.of(p.half+1, visit)
}
