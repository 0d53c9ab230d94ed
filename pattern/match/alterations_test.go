package match_test

import (
	"math"
	"math/rand/v2"

	"toile/geom"
)

// altering changes an outline; what it leaves alone stays to the bit. It says
// nothing when a change does not fit.
type altering struct {
	rng   *rand.Rand
	edges []geom.Path
}

func (a *altering) next(k int) int   { return (k + 1) % len(a.edges) }
func (a *altering) before(k int) int { return (k + len(a.edges) - 1) % len(a.edges) }

// amount is between least and most, small ones as likely as great ones, with
// either sign.
func (a *altering) amount(least, most float64) float64 {
	d := least * math.Pow(math.Max(most/least, 1), a.rng.Float64())
	if a.rng.IntN(2) == 0 {
		return -d
	}
	return d
}

// between brings the ends of a path to other places by turning and scaling it.
func between(p geom.Path, from, to geom.Point) geom.Path {
	old, new := p.End().Sub(p.Start()), to.Sub(from)
	turn, scale := geom.AngleBetween(old, new), new.Len()/old.Len()
	image := func(q geom.Point) geom.Point { return from.Add(q.Sub(p.Start()).Turn(turn).Mul(scale)) }
	var out geom.Path
	for _, c := range p {
		out = append(out, geom.Cubic{P0: image(c.P0), P1: image(c.P1), P2: image(c.P2), P3: image(c.P3)})
	}
	out[0].P0, out[len(out)-1].P3 = from, to
	return out
}

// ended has its end cut back by −d mm or carried on straight by d mm.
func ended(p geom.Path, d float64) geom.Path {
	if d < 0 {
		return p.BetweenLengths(0, p.Length()+d)
	}
	return append(append(geom.Path{}, p...), geom.Line(p.End(), p.End().Add(p.EndTangent().Mul(d))))
}

func started(p geom.Path, d float64) geom.Path { return ended(p.Reverse(), d).Reverse() }

// move shifts an edge along its neighbours by so much at its start and end: a
// hem moved, a seam let out.
func (a *altering) move(k int, atStart, atEnd float64) {
	i, j := a.before(k), a.next(k)
	p, q := ended(a.edges[i], atStart), started(a.edges[j], atEnd)
	a.edges[k] = between(a.edges[k], p.End(), q.Start())
	a.edges[i], a.edges[j] = p, q
}

func (a *altering) moveEdge(k int) {
	room := 0.4 * math.Min(a.edges[a.before(k)].Length(), a.edges[a.next(k)].Length())
	if d := a.amount(2, room); a.rng.IntN(3) > 0 {
		a.move(k, d, d)
	} else if a.rng.IntN(2) == 0 {
		a.move(k, d, d/3)
	} else {
		a.move(k, 0, d)
	}
}

// swing turns an edge beyond a place on it; its neighbour there follows.
func (a *altering) swing(k int) {
	back := a.rng.IntN(2) == 0
	if back {
		a.reverse()
		k = len(a.edges) - 1 - k
	}
	e := a.edges[k]
	length := e.Length()
	at := length * 0.7 * a.rng.Float64()
	turn := a.amount(math.Min(0.1, 4/(length-at)), 0.15)
	head, arm := e.BetweenLengths(0, at), e.BetweenLengths(at, length)
	pivot := arm.Start()
	arm = between(arm, pivot, pivot.Add(arm.End().Sub(pivot).Turn(turn)))
	a.edges[k] = append(append(geom.Path{}, head...), arm...)
	j := a.next(k)
	a.edges[j] = between(a.edges[j], arm.End(), a.edges[j].End())
	if back {
		a.reverse()
	}
}

func (a *altering) reverse() {
	n := len(a.edges)
	out := make([]geom.Path, n)
	for i, e := range a.edges {
		out[n-1-i] = e.Reverse()
	}
	a.edges = out
}

// redraw draws an edge anew between its ends, as a neckline.
func (a *altering) redraw(k int) {
	p, q := a.edges[k].Start(), a.edges[k].End()
	d := q.Sub(p)
	s, t := a.amount(0.08, 0.7), a.amount(0.08, 0.7)
	a.edges[k] = geom.Path{{P0: p, P1: p.Add(d.Turn(s).Mul(0.35)), P2: q.Sub(d.Turn(-t).Mul(0.35)), P3: q}}
}

// round rounds the corner at the end of an edge, or cuts it off.
func (a *altering) round(k int) {
	j := a.next(k)
	d := math.Abs(a.amount(8, 0.45*math.Min(a.edges[k].Length(), a.edges[j].Length())))
	p, q := ended(a.edges[k], -d), started(a.edges[j], -d)
	h := 0.55 * d
	c := geom.Cubic{P0: p.End(), P1: p.End().Add(p.EndTangent().Mul(h)), P2: q.Start().Sub(q.StartTangent().Mul(h)), P3: q.Start()}
	if a.rng.IntN(3) == 0 {
		c = geom.Line(c.P0, c.P3)
	}
	a.edges[k], a.edges[j] = append(p, c), q
}

// bulge draws a part of an edge anew: a bump or a scoop.
func (a *altering) bulge(k int) {
	e := a.edges[k]
	length := e.Length()
	from := length * (0.05 + 0.5*a.rng.Float64())
	to := from + (length-from)*(0.3+0.6*a.rng.Float64())
	p, q := e.PointAt(from), e.PointAt(to)
	out := q.Sub(p).Left().Mul(a.amount(0.03, 0.4))
	d := q.Sub(p).Mul(0.25)
	middle := geom.Path{{P0: p, P1: p.Add(d).Add(out), P2: q.Sub(d).Add(out), P3: q}}
	a.edges[k] = append(append(e.BetweenLengths(0, from), middle...), e.BetweenLengths(to, length)...)
}

// corner puts the corner at the end of an edge elsewhere; both edges follow.
func (a *altering) corner(k int) {
	j := a.next(k)
	d := math.Abs(a.amount(3, 0.3*math.Min(a.edges[k].Length(), a.edges[j].Length())))
	to := a.edges[k].End().Add(pt(d, 0).Turn(2 * math.Pi * a.rng.Float64()))
	a.edges[k] = between(a.edges[k], a.edges[k].Start(), to)
	a.edges[j] = between(a.edges[j], to, a.edges[j].End())
}

// alterationKinds are what a pattern maker does to an outline.
var alterationKinds = []struct {
	name string
	do   func(a *altering, k int)
}{
	{"edge moved", (*altering).moveEdge}, {"side swung", (*altering).swing}, {"edge redrawn", (*altering).redraw},
	{"corner rounded", (*altering).round}, {"bulge", (*altering).bulge}, {"corner moved", (*altering).corner},
}

// alteredPiece changes 20 to 40 % of an outline's boundary. It says at which
// places along the old outline it left that alone.
func alteredPiece(rng *rand.Rand, edges []geom.Path) (new geom.Ring, unchanged []bool, what string) {
	const most = 3 // alterations of a piece
	old := ringOf(edges)
	for {
		a := &altering{rng: rng, edges: append([]geom.Path{}, edges...)}
		what = ""
		for range most {
			kind := alterationKinds[rng.IntN(len(alterationKinds))]
			kind.do(a, rng.IntN(len(a.edges)))
			what += ", " + kind.name
			new = ringOf(a.edges)
			size := new.Area() / old.Area()
			var changed float64
			unchanged, changed = leftAlone(old, new)
			if !(size > 0.5 && size < 1.6) || changed > 0.4 || crosses(new) {
				break
			}
			if changed >= 0.2 {
				return new, unchanged, what[2:]
			}
		}
	}
}

// leftAlone says which places along the old outline lie on the new one, and
// the share of those that do not.
func leftAlone(old, new geom.Ring) (unchanged []bool, changed float64) {
	const within = 1e-3 // mm
	unchanged = make([]bool, places)
	n := 0
	for i, p := range placesAlong(old, places, 0.5) {
		if _, d := geom.Path(new).Nearest(geom.Path(old).At(p)); d <= within {
			unchanged[i] = true
			n++
		}
	}
	return unchanged, 1 - float64(n)/places
}

// crosses reports whether an outline cuts itself, on chords.
func crosses(r geom.Ring) bool {
	const per = 12
	var points []geom.Point
	for _, c := range r {
		for k := range per {
			points = append(points, c.At(float64(k)/per))
		}
	}
	n := len(points)
	side := func(a, b, c geom.Point) float64 { return b.Sub(a).Cross(c.Sub(a)) }
	for i := range n {
		a, b := points[i], points[(i+1)%n]
		for j := i + 2; j < n && (j+1)%n != i; j++ {
			c, d := points[j], points[(j+1)%n]
			if side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0 {
				return true
			}
		}
	}
	return false
}
