package geom

import (
	"math"
	"math/rand/v2"
)

// The alterations work on a piece's edges and leave those they are given as
// they are. nil means that the piece does not allow it; the generator then
// drafts another.

func copied(edges []Path) []Path {
	out := make([]Path, len(edges))
	for i, e := range edges {
		out[i] = append(Path{}, e...)
	}
	return out
}

// either is amount or its negative.
func either(rng *rand.Rand, amount float64) float64 {
	if rng.IntN(2) == 0 {
		return -amount
	}
	return amount
}

// mapped lays a path over a new chord by the similarity between the chords.
func mapped(p Path, from, to Point) Path {
	old, now := p.End().Sub(p.Start()), to.Sub(from)
	turn, scale := AngleBetween(old, now), now.Len()/old.Len()
	place := func(q Point) Point { return from.Add(q.Sub(p.Start()).Turn(turn).Mul(scale)) }
	out := make(Path, len(p))
	for i, c := range p {
		out[i] = Cubic{place(c.P0), place(c.P1), place(c.P2), place(c.P3)}
	}
	out[0].P0, out[len(out)-1].P3 = from, to
	return out
}

// runOn cuts the end of a path off by an amount in mm, or runs its last curve
// on when the amount is negative. It reports whether the curve is long enough.
func runOn(p Path, cut float64) (Path, bool) {
	last := p[len(p)-1]
	length := last.Length()
	if math.Abs(cut) > 0.8*length {
		return nil, false
	}
	out := append(Path{}, p...)
	switch end := &out[len(out)-1]; {
	case cut >= 0:
		*end = last.Part(0, last.ParamAt(length-cut))
	case last.IsStraight(1e-9): // at uneven speed it would turn back
		*end = Line(last.P0, last.P0.Lerp(last.P3, 1-cut/length))
	default:
		*end = last.Part(0, 1-cut/max(3*last.P2.Dist(last.P3), length/2))
	}
	return out, true
}

// slid moves an edge by cutting its neighbours, or running them on, by the two
// amounts; the edge itself keeps its shape.
func slid(edges []Path, k int, first, second float64) []Path {
	out := copied(edges)
	n := len(out)
	i, j := (k+n-1)%n, (k+1)%n
	before, ok := runOn(out[i], first)
	after, ok2 := runOn(out[j].Reverse(), second)
	if !ok || !ok2 {
		return nil
	}
	out[i], out[j] = before, after.Reverse()
	out[k] = mapped(out[k], out[i].End(), out[j].Start())
	return out
}

func longest(edges []Path) int {
	best := 0
	for i, e := range edges {
		if e.Length() > edges[best].Length() {
			best = i
		}
	}
	return best
}

func hemMoved(rng *rand.Rand, edges []Path) []Path {
	d := either(rng, logarithmic(rng, 0.05, 80))
	return slid(edges, rng.IntN(len(edges)), d, d)
}

// sideMoved lets an edge out or in by the same amount all along.
func sideMoved(rng *rand.Rand, edges []Path) []Path {
	k, n := longest(edges), len(edges)
	if rng.IntN(2) == 0 {
		k = rng.IntN(n)
	}
	slant := func(p, q Path) float64 { return math.Abs(math.Sin(AngleBetween(p.EndTangent(), q.StartTangent()))) }
	d := either(rng, logarithmic(rng, 0.02, 30))
	first, second := slant(edges[(k+n-1)%n], edges[k]), slant(edges[k], edges[(k+1)%n])
	if min(first, second) < 0.3 {
		return nil
	}
	return slid(edges, k, d/first, d/second)
}

func edgeTapered(rng *rand.Rand, edges []Path) []Path {
	d := either(rng, logarithmic(rng, 0.02, 40))
	if rng.IntN(2) == 0 {
		return slid(edges, rng.IntN(len(edges)), d, 0)
	}
	return slid(edges, rng.IntN(len(edges)), 0, d)
}

// sideSwung turns an edge about a place on it; the next edge runs on to meet
// its end.
func sideSwung(rng *rand.Rand, edges []Path) []Path {
	out := copied(edges)
	k := rng.IntN(len(out))
	length := out[k].Length()
	at := out[k].PlaceAt(length * (0.1 + 0.6*rng.Float64()))
	fixed := out[k].Between(Place{}, at)
	swung := out[k].Between(at, Place{len(out[k]) - 1, 1})
	pivot := fixed.End()
	m := Motion{Shift: pivot.Mul(-1)}.Then(Motion{Turn: either(rng, logarithmic(rng, 1e-4, 0.15))}).Then(Motion{Shift: pivot})
	swung = swung.Moved(m)
	swung[0].P0 = pivot
	out[k] = append(fixed, swung...)
	next := out[(k+1)%len(out)]
	next[0].P1 = next[0].P1.Add(swung.End().Sub(next[0].P0))
	next[0].P0 = swung.End()
	return out
}

func cornerMoved(rng *rand.Rand, edges []Path) []Path {
	out := copied(edges)
	k := rng.IntN(len(out))
	before, after := out[k], out[(k+1)%len(out)]
	by := Pt(logarithmic(rng, 0.02, 25), 0).Turn(2 * math.Pi * rng.Float64())
	last := len(before) - 1
	before[last].P2, before[last].P3 = before[last].P2.Add(by.Mul(2./3)), before[last].P3.Add(by)
	after[0].P0, after[0].P1 = after[0].P0.Add(by), after[0].P1.Add(by.Mul(2./3))
	return out
}

func cornerRounded(rng *rand.Rand, edges []Path) []Path {
	out := copied(edges)
	k, n := rng.IntN(len(out)), len(out)
	before, after := out[k], out[(k+1)%n]
	arc, cutBefore, cutAfter, err := RoundCorner(before, after, logarithmic(rng, 0.5, 60))
	if err != nil || cutBefore > 0.9*before.Length() || cutAfter > 0.9*after.Length() {
		return nil
	}
	out[k] = before.BetweenLengths(0, before.Length()-cutBefore)
	out[(k+1)%n] = after.BetweenLengths(cutAfter, after.Length())
	arc[0].P0, arc[len(arc)-1].P3 = out[k].End(), out[(k+1)%n].Start()
	out[k] = append(out[k], arc...)
	return out
}

// curvedEdge picks a curve and its edge, or a line on a piece without curves.
func curvedEdge(rng *rand.Rand, edges []Path) (k, i int) {
	for range 20 {
		k = rng.IntN(len(edges))
		i = rng.IntN(len(edges[k]))
		if !edges[k][i].IsStraight(0.5) {
			break
		}
	}
	return k, i
}

func handleRedrawn(rng *rand.Rand, edges []Path) []Path {
	out := copied(edges)
	k, i := curvedEdge(rng, out)
	by := Pt(logarithmic(rng, 0.02, 15), 0).Turn(2 * math.Pi * rng.Float64())
	if rng.IntN(2) == 0 {
		out[k][i].P1 = out[k][i].P1.Add(by)
	} else {
		out[k][i].P2 = out[k][i].P2.Add(by)
	}
	return out
}

// necklineLowered cuts a curved edge deeper: its ends a little along the
// neighbours, its middle more.
func necklineLowered(rng *rand.Rand, edges []Path) []Path {
	k, _ := curvedEdge(rng, edges)
	out := slid(edges, k, logarithmic(rng, 0.05, 12), logarithmic(rng, 0.05, 12))
	if out == nil {
		return nil
	}
	e := out[k]
	deeper := e.End().Sub(e.Start()).Unit().Right().Mul(logarithmic(rng, 0.02, 25))
	for i := range e {
		e[i].P1, e[i].P2 = e[i].P1.Add(deeper), e[i].P2.Add(deeper)
		if i > 0 {
			e[i].P0 = e[i].P0.Add(deeper)
			e[i-1].P3 = e[i].P0
		}
	}
	return out
}

// bulgeAdded redraws a stretch inside an edge outward or inward, smooth at its
// ends.
func bulgeAdded(rng *rand.Rand, edges []Path) []Path {
	out := copied(edges)
	k := rng.IntN(len(out))
	i := rng.IntN(len(out[k]))
	c := out[k][i]
	from := 0.1 + 0.4*rng.Float64()
	to := from + 0.15 + 0.3*rng.Float64()
	before, bulge, after := c.Part(0, from), c.Part(from, to), c.Part(to, 1)
	out2 := bulge.P3.Sub(bulge.P0).Left().Mul(either(rng, logarithmic(rng, 1e-3, 0.25)))
	mid := bulge.At(0.5).Add(out2)
	first := Cubic{bulge.P0, bulge.P0.Lerp(bulge.P1, 0.8), mid.Sub(bulge.Deriv(0.5).Mul(1. / 6)), mid}
	second := Cubic{mid, mid.Add(bulge.Deriv(0.5).Mul(1. / 6)), bulge.P3.Lerp(bulge.P2, 0.8), bulge.P3}
	before.P3, after.P0 = bulge.P0, bulge.P3
	path := append(Path{}, out[k][:i]...)
	path = append(path, before, first, second, after)
	out[k] = append(path, out[k][i+1:]...)
	return out
}

func edgeCurved(rng *rand.Rand, edges []Path) []Path {
	out := copied(edges)
	k := rng.IntN(len(out))
	i := rng.IntN(len(out[k]))
	c := &out[k][i]
	by := c.P3.Sub(c.P0).Left().Mul(either(rng, logarithmic(rng, 1e-4, 0.2)))
	c.P1, c.P2 = c.P1.Add(by), c.P2.Add(by.Mul(0.5+rng.Float64()))
	return out
}

// across picks two places on different edges.
func across(rng *rand.Rand, edges []Path) (k, l int, from, to Place) {
	n := len(edges)
	k = rng.IntN(n)
	l = (k + 1 + rng.IntN(n-1)) % n
	from = edges[k].PlaceAt(edges[k].Length() * (0.1 + 0.8*rng.Float64()))
	to = edges[l].PlaceAt(edges[l].Length() * (0.1 + 0.8*rng.Float64()))
	return k, l, from, to
}

// walked is the outline from a place on edge k to one on edge l, clockwise.
func walked(edges []Path, k, l int, from, to Place) Path {
	out := edges[k].Between(from, Place{len(edges[k]) - 1, 1})
	for i := (k + 1) % len(edges); i != l; i = (i + 1) % len(edges) {
		out = append(out, edges[i]...)
	}
	return append(out, edges[l].Between(Place{}, to)...)
}

// partCutOff cuts the piece along a line, at times a curve, and keeps one part.
func partCutOff(rng *rand.Rand, edges []Path) []Path {
	k, l, from, to := across(rng, edges)
	rim := walked(edges, k, l, from, to)
	cut := Line(rim.End(), rim.Start())
	if rng.IntN(2) == 0 {
		by := cut.P3.Sub(cut.P0).Left().Mul(0.1 * (rng.Float64() - 0.5))
		cut.P1, cut.P2 = cut.P1.Add(by), cut.P2.Add(by)
	}
	return []Path{rim, {cut}}
}

// spreadOpen cuts the piece along a line up to a hinge on the outline and
// turns one part about it; the opening is closed by a line or a curve.
func spreadOpen(rng *rand.Rand, edges []Path) []Path {
	k, l, from, to := across(rng, edges)
	kept := walked(edges, k, l, from, to)   // from the hinge to the opening
	turned := walked(edges, l, k, to, from) // from the opening to the hinge
	hinge := kept.Start()
	m := Motion{Shift: hinge.Mul(-1)}.Then(Motion{Turn: logarithmic(rng, 1e-4, 0.2)}).Then(Motion{Shift: hinge})
	turned = turned.Moved(m)
	turned[len(turned)-1].P3 = hinge
	opening := Line(kept.End(), turned.Start())
	return []Path{kept, {opening}, turned}
}

// enlarged grows or shrinks a piece by the same amount at its top, bottom and
// sides.
func enlarged(rng *rand.Rand, edges []Path) []Path {
	out := copied(edges)
	box := joined(edges).Box()
	by := either(rng, logarithmic(rng, 0.02, 15))
	mid, size := box.Centre(), box.Size()
	grow := func(p Point) Point {
		return Pt(mid.X+(p.X-mid.X)*(1+2*by/size.X), mid.Y+(p.Y-mid.Y)*(1+2*by/size.Y))
	}
	if min(size.X, size.Y) < 3*math.Abs(by) {
		return nil
	}
	for _, e := range out {
		for i, c := range e {
			e[i] = Cubic{grow(c.P0), grow(c.P1), grow(c.P2), grow(c.P3)}
		}
	}
	return out
}

func redrawn(rng *rand.Rand, edges []Path) []Path {
	return []Path{Path(jittered(rng, joined(edges), logarithmic(rng, 0.02, 3)))}
}
