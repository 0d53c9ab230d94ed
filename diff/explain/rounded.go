package explain

import (
	"cmp"
	"math"
	"slices"

	"toile/geom"
)

// Rounded is a corner of the old outline, at the start of edge Corner, that
// the new one rounds off by an arc drawn as a curve.
type Rounded struct {
	Corner int
	Radius float64 // mm
}

// roundedWithin is how far in mm a drawn arc may lie from a circle: one cubic
// for a quarter of a circle is off by 2.7e-4 of its radius.
const roundedWithin = 0.03

// rounding is an arc of the new outline in place of an old corner, between
// two positions along the new ring (curve index plus parameter), with what of
// the old edges ran on to the corner.
type rounding struct {
	Rounded
	from, to   float64
	tail, head geom.Path
}

// sharpen gives the new outline back the corners that it rounds off by arcs
// tangent to both edges, so that the edges can be compared to their ends. A
// new edge that runs through such a corner becomes two; part says which edge
// each was part of.
func (e *explainer) sharpen() (rounded []Rounded) {
	cuts := e.roundings()
	e.part = upTo(len(e.now.Edges), 0)
	if len(cuts) == 0 {
		return nil
	}
	slices.SortFunc(cuts, byPlace)
	for _, c := range cuts {
		rounded = append(rounded, c.Rounded)
	}
	e.cutRounded(cuts)
	return rounded
}

// roundings looks for arcs in place of the old corners.
func (e *explainer) roundings() []rounding {
	a, fromA := e.old.ring()
	b, _ := e.now.ring()
	n := len(e.old.Edges)
	last, first := make([]*geom.Stretch, n), make([]*geom.Stretch, n)
	stretches := geom.Match(a, b, e.tol.Kept)
	for i := range stretches {
		s := &stretches[i]
		if s.B0 > s.B1 {
			continue
		}
		k := fromA[s.A]
		if last[k] == nil || s.A > last[k].A || (s.A == last[k].A && s.A1 > last[k].A1) {
			last[k] = s
		}
		if first[k] == nil || s.A < first[k].A || (s.A == first[k].A && s.A0 < first[k].A0) {
			first[k] = s
		}
	}
	var cuts []rounding
	for k := range n {
		before := (k + n - 1) % n
		if last[before] == nil || first[k] == nil {
			continue
		}
		if c, ok := e.rounding(a, b, fromA, k, *last[before], *first[k]); ok {
			cuts = append(cuts, c)
		}
	}
	return cuts
}

// rounding checks the way of the new outline from where it leaves the edge
// before corner k to where it reaches the edge after it.
func (e *explainer) rounding(a, b geom.Ring, fromA []int, k int, s, t geom.Stretch) (rounding, bool) {
	n := len(e.old.Edges)
	start := slices.Index(fromA, (k+n-1)%n)
	from, to := geom.Place{Curve: s.A - start, T: s.A1}, geom.Place{Curve: t.A - slices.Index(fromA, k), T: t.A0}
	p, q := e.old.Edges[(k+n-1)%n], e.old.Edges[k]
	c := rounding{from: float64(s.B) + s.B1, to: float64(t.B) + t.B0, Rounded: Rounded{Corner: k},
		tail: p.Between(from, geom.Place{Curve: len(p) - 1, T: 1}), head: q.Between(geom.Place{}, to)}
	gap := 10 * e.tol.Kept
	if c.tail.Length() < gap || c.head.Length() < gap {
		return c, false
	}
	arc := ringPart(b, c.from, c.to)
	if len(arc) == 0 {
		return c, false
	}
	turn := geom.AngleBetween(arc.StartTangent(), arc.EndTangent())
	if math.Abs(geom.AngleBetween(c.tail.StartTangent(), arc.StartTangent())) > smoothJoint/2 || math.Abs(geom.AngleBetween(arc.EndTangent(), c.head.EndTangent())) > smoothJoint/2 {
		return c, false // it meets an edge at a corner
	}
	chord := arc.Start().Dist(arc.End())
	if math.Abs(turn) < smoothJoint/2 || chord < gap {
		return c, false
	}
	c.Radius = chord / 2 / math.Sin(math.Abs(turn)/2)
	side := arc.StartTangent().Right()
	if turn < 0 {
		side = arc.StartTangent().Left()
	}
	centre := arc.Start().Add(side.Mul(c.Radius))
	within := max(roundedWithin, e.tol.Same) + 3e-4*c.Radius
	for _, curve := range arc {
		for i := 0; i <= samplesPerCurve; i++ {
			if math.Abs(curve.At(float64(i)/samplesPerCurve).Dist(centre)-c.Radius) > within {
				return c, false
			}
		}
	}
	return c, true
}

// ringPart is the way round a ring from one position to another.
func ringPart(r geom.Ring, from, to float64) geom.Path {
	place := func(at float64) geom.Place {
		i := min(int(at), len(r)-1)
		return geom.Place{Curve: i, T: at - float64(i)}
	}
	p := geom.Path(r)
	if from <= to {
		return p.Between(place(from), place(to))
	}
	return append(append(geom.Path{}, p.Between(place(from), geom.Place{Curve: len(r) - 1, T: 1})...), p.Between(geom.Place{}, place(to))...)
}

// cutRounded replaces the arcs, in order round the new ring, by corners.
func (e *explainer) cutRounded(cuts []rounding) {
	ring, _ := e.now.ring()
	cuts = unwrapped(cuts, float64(len(ring)))
	var edges []geom.Path
	var part []int
	at := 0.0
	for j, p := range e.now.Edges {
		from := at
		at += float64(len(p))
		for _, path := range withoutArcs(ring, from, at, cuts) {
			edges, part = append(edges, path), append(part, j)
		}
	}
	e.now.Edges, e.part = edges, part
	if e.hint != nil {
		hint := make([]int, len(part))
		for v, j := range part {
			hint[v] = e.hint[j]
		}
		e.hint = hint
	}
}

// withoutArcs lists what is left of an edge, between two positions on the ring,
// where the arcs in it are cut out and what is beside them led on to the
// corners.
func withoutArcs(ring geom.Ring, from, to float64, cuts []rounding) (left []geom.Path) {
	start := from
	var head geom.Path
	add := func(end float64, tail geom.Path) {
		path := append(geom.Path{}, head...)
		if end > start+1e-9 {
			path = append(path, ringPart(ring, start, end)...)
		}
		if path = append(path, tail...); len(path) > 0 {
			left = append(left, path)
		}
		head = nil
	}
	for _, c := range cuts {
		if c.to <= from || c.from >= to {
			continue
		}
		if c.from > from {
			add(c.from, c.tail)
		}
		if c.to >= to {
			return left
		}
		start, head = c.to, c.head
	}
	add(to, nil)
	return left
}

// unwrapped lists arcs over the ring's start twice, before and behind it.
func unwrapped(cuts []rounding, total float64) []rounding {
	var all []rounding
	for _, c := range cuts {
		if c.from <= c.to {
			all = append(all, c)
			continue
		}
		before, behind := c, c
		before.from -= total
		behind.to += total
		all = append(all, before, behind)
	}
	slices.SortFunc(all, byPlace)
	return all
}

// byPlace orders roundings round the ring.
func byPlace(a, b rounding) int {
	return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.Corner, b.Corner))
}
