package alter

import (
	"cmp"
	"math"
	"slices"

	"toile/geom"
)

// meetsAt is a place at which two lines come together: how far in mm along each.
type meetsAt struct{ a, b float64 }

// meanPath is half way between two lines. Where both run alike to alikeWithin, as in
// the half of an edge across the middle that its mirror image lies on, the first stays
// as it is drawn; what one runs on by beyond the other's end is halved, and
// elsewhere the mean lies half way, see meanBetween.
func meanPath(a, b geom.Path) geom.Path {
	at := meetings(a, b)
	same := make([]bool, len(at)-1)
	for k := range same {
		same[k] = !at[k].runsOn(at[k+1]) && farthest(nodeToNode(a, at[k].a, at[k+1].a), nodeToNode(b, at[k].b, at[k+1].b)) <= alikeWithin
	}
	var mean geom.Path
	for k := 0; k < len(same); {
		end := k + 1
		for end < len(same) && same[end] == same[k] && same[k] {
			end++
		}
		var part geom.Path
		switch {
		case same[k]:
			part = nodeToNode(a, at[k].a, at[end].a)
		case at[k].runsOn(at[end]):
			part = halfRunOn(a, b, at[k], at[end])
		default:
			part = meanBetween(nodeToNode(a, at[k].a, at[end].a), nodeToNode(b, at[k].b, at[end].b))
		}
		if !same[k] {
			if k > 0 { // the lines meet there, to within the rounding of what is stored
				part[0].P0 = mean.End()
			}
			if end < len(same) && same[end] {
				part[len(part)-1].P3 = a.PointAt(at[end].a)
			}
		}
		mean = append(mean, part...)
		k = end
	}
	return mean
}

// nodeToNode is a stretch of a line from one length along it to another, in mm. A node
// that lies within nodeNear of its ends is its end, so that curves stay whole as they
// are stored and no sliver comes off one.
func nodeToNode(p geom.Path, from, to float64) geom.Path {
	first, last, at := 0, len(p), 0.0
	cutFirst, cutLast := true, true
	for k := range p {
		if math.Abs(at-from) < nodeNear {
			first, cutFirst = k, false
		}
		if math.Abs(at-to) < nodeNear {
			last, cutLast = k, false
		}
		at += p[k].Length()
	}
	cutLast = cutLast && math.Abs(at-to) >= nodeNear
	start, end := geom.Place{Curve: first}, geom.Place{Curve: last - 1, T: 1}
	if cutFirst {
		start = p.PlaceAt(from)
	}
	if cutLast {
		end = p.PlaceAt(to)
	}
	if !cutFirst && !cutLast {
		return slices.Clone(p[first:last])
	}
	return p.Between(start, end)
}

// nodeNear is how near in mm along a line a place is to a node that is taken for it.
const nodeNear = 0.02

// runsOn reports whether from one place to the next only one of the lines runs on.
func (m meetsAt) runsOn(o meetsAt) bool { return m.a == o.a || m.b == o.b }

// halfRunOn is the half, next to where the other ends, of what one line runs on by
// beyond it; its own end lies half way between those of both lines.
func halfRunOn(a, b geom.Path, from, to meetsAt) geom.Path {
	longer, start, end := a, from.a, to.a
	if from.a == to.a {
		longer, start, end = b, from.b, to.b
	}
	middle := (start + end) / 2
	if start == 0 {
		part := slices.Clone(longer.BetweenLengths(middle, end))
		part[0].P0 = a.Start().Lerp(b.Start(), 0.5)
		return part
	}
	part := slices.Clone(longer.BetweenLengths(start, middle))
	part[len(part)-1].P3 = a.End().Lerp(b.End(), 0.5)
	return part
}

// ranOn is by how many mm each of two lines runs on beyond the other's end, which lies
// on it, as of an edge that ran on at a corner in a straight line or nearly so; nothing
// where neither does.
func ranOn(a, b geom.Path) meetsAt {
	const bowed = 0.1 // mm that the middle of what runs on lies off that of its ends
	beyond := func(longer, p geom.Path) float64 {
		place, far := longer.Nearest(p.End())
		at, length := longer.LengthTo(place), longer.Length()
		middle := longer.PointAt((at + length) / 2)
		if far > alikeWithin || at < length/2 || at > length-nodeNear || middle.Dist(p.End().Lerp(longer.End(), 0.5)) > bowed {
			return 0
		}
		if end := longer[len(longer)-1]; end.IsStraight(1e-6) && length-at < end.Length()-nodeNear {
			return 0 // along one straight line, which needs no node there
		}
		return length - at
	}
	if by := beyond(a, b); by > 0 {
		return meetsAt{by, 0}
	}
	return meetsAt{0, beyond(b, a)}
}

// meetings are the places at which two lines come together to alikeWithin, at a node
// of either, in order along both, with their ends, which need not meet.
func meetings(a, b geom.Path) []meetsAt {
	ends := meetsAt{a.Length(), b.Length()}
	first, last := ranOn(a.Reverse(), b.Reverse()), ranOn(a, b)
	last = meetsAt{ends.a - last.a, ends.b - last.b}
	var all []meetsAt
	add := func(m meetsAt) {
		if m.a > first.a+nodeNear && m.b > first.b+nodeNear && m.a < last.a-nodeNear && m.b < last.b-nodeNear {
			all = append(all, m)
		}
	}
	for k := range a[1:] {
		if place, far := b.Nearest(a[k].P3); far <= alikeWithin {
			add(meetsAt{a.LengthTo(geom.Place{Curve: k, T: 1}), b.LengthTo(place)})
		}
	}
	for k := range b[1:] {
		if place, far := a.Nearest(b[k].P3); far <= alikeWithin {
			add(meetsAt{a.LengthTo(place), b.LengthTo(geom.Place{Curve: k, T: 1})})
		}
	}
	slices.SortFunc(all, func(x, y meetsAt) int { return cmp.Compare(x.a, y.a) })
	out := []meetsAt{{}}
	if first != out[0] {
		out = append(out, first)
	}
	for _, m := range all {
		if o := out[len(out)-1]; m.a > o.a+nodeNear && m.b > o.b+nodeNear {
			out = append(out, m)
		}
	}
	if last != ends {
		out = append(out, last)
	}
	return append(out, ends)
}

// meanBetween is half way between two lines that do not run alike: of curves whose
// nodes answer each other between their nodes and handles, else part by part, both
// divided at the nodes of either.
func meanBetween(a, b geom.Path) geom.Path {
	if nodesAnswer(a, b) {
		out := make(geom.Path, len(a))
		for k := range a {
			p, q := a[k], b[k]
			out[k] = geom.Cubic{P0: p.P0.Lerp(q.P0, 0.5), P1: p.P1.Lerp(q.P1, 0.5), P2: p.P2.Lerp(q.P2, 0.5), P3: p.P3.Lerp(q.P3, 0.5)}
			if p.IsStraight(1e-6) && q.IsStraight(1e-6) {
				out[k] = geom.Line(out[k].P0, out[k].P3)
			}
		}
		return out
	}
	la, lb := a.Length(), b.Length()
	shares := nodeShares(a, b)
	var mean geom.Path
	for k := range shares[1:] {
		mean = append(mean, halfWay(a.BetweenLengths(shares[k]*la, shares[k+1]*la), b.BetweenLengths(shares[k]*lb, shares[k+1]*lb))...)
	}
	return mean
}

// nodesAnswer reports whether two lines have as many nodes, at the same shares of
// their lengths: as many alone says nothing of an edge and its mirror image, one end
// of which ran on.
func nodesAnswer(a, b geom.Path) bool {
	const within = 5.0 // mm along: of what is curved with a radius of 5 cm the mean lies 0.06 mm off at most
	if len(a) != len(b) {
		return false
	}
	la, lb, atA, atB := a.Length(), b.Length(), 0.0, 0.0
	for k := range a[1:] {
		atA, atB = atA+a[k].Length(), atB+b[k].Length()
		if math.Abs(atA/la-atB/lb)*max(la, lb) > within {
			return false
		}
	}
	return true
}

// nodeShares are the shares of their lengths at which either of two lines has a
// node, with 0 and 1, in order. Nodes nearer than a ten-thousandth are one.
func nodeShares(a, b geom.Path) []float64 {
	shares := []float64{0}
	for _, p := range []geom.Path{a, b} {
		length, at := p.Length(), 0.0
		for k := range p[1:] {
			at += p[k].Length()
			shares = append(shares, at/length)
		}
	}
	slices.Sort(shares)
	near := func(x, y float64) bool { return math.Abs(x-y) < 1e-4 }
	shares = slices.CompactFunc(shares, near)
	for len(shares) > 1 && near(shares[len(shares)-1], 1) {
		shares = shares[:len(shares)-1]
	}
	return append(shares, 1)
}

// halfWay is half way between two parts at equal shares of two lines: between the
// ends and handles of one curve each. The handles get the mean's direction, that of
// both tangents, each counted by its part's length, so that what runs smoothly on
// from part to part on both lines does so on the mean.
func halfWay(a, b geom.Path) geom.Path {
	p, q := longestOf(a), longestOf(b)
	c := geom.Cubic{P0: p.P0.Lerp(q.P0, 0.5), P1: p.P1.Lerp(q.P1, 0.5), P2: p.P2.Lerp(q.P2, 0.5), P3: p.P3.Lerp(q.P3, 0.5)}
	if p.IsStraight(1e-6) && q.IsStraight(1e-6) {
		return geom.Path{geom.Line(c.P0, c.P3)}
	}
	la, lb := a.Length(), b.Length()
	way := func(t float64) geom.Point { return p.Tangent(t).Mul(la).Add(q.Tangent(t).Mul(lb)).Unit() }
	c.P1 = c.P0.Add(way(0).Mul(c.P1.Dist(c.P0)))
	c.P2 = c.P3.Sub(way(1).Mul(c.P3.Dist(c.P2)))
	return geom.Path{c}
}

// longestOf is the one curve of a part of a line, between the part's ends: what lies
// beside it is a node that rounding put on the wrong side.
func longestOf(p geom.Path) geom.Cubic {
	c := slices.MaxFunc(p, func(x, y geom.Cubic) int { return cmp.Compare(x.Length(), y.Length()) })
	c.P0, c.P3 = p.Start(), p.End()
	return c
}
