package geom

import (
	"math"
	"math/rand/v2"
)

// How a second piece may lie to the first: inside, apart, touching.

// otherPiece is another piece at a size of its own.
func otherPiece(rng *rand.Rand) Ring {
	return joined(sheet(rng, draft(rng, rng.IntN(len(draftedPieces)))))
}

func shifted(r Ring, by Point) []Path { return []Path{Path(r.Moved(Motion{Shift: by}))} }

// nested puts a small piece into the first, as far from its rim as twenty
// tries find.
func nested(rng *rand.Rand, edges []Path) []Path {
	a := joined(edges)
	box, size := a.Box(), a.Box().Size()
	var at Point
	room := 0.0
	for range 20 {
		p := box.Min.Add(Pt(size.X*rng.Float64(), size.Y*rng.Float64()))
		if !a.Holds(p) {
			continue
		}
		if _, d := Path(a).Nearest(p); d > room {
			at, room = p, d
		}
	}
	b := otherPiece(rng)
	mid, reach := b.Box().Centre(), b.Box().Size().Len()/2
	scale := room / reach * (0.5 + 0.49*rng.Float64())
	if room < 5 {
		return nil
	}
	place := func(p Point) Point { return at.Add(p.Sub(mid).Mul(scale)) }
	for i, c := range b {
		b[i] = Cubic{place(c.P0), place(c.P1), place(c.P2), place(c.P3)}
	}
	return []Path{Path(b)}
}

// apartFrom lays another piece beside the first, at times a hair's breadth
// away.
func apartFrom(rng *rand.Rand, edges []Path) []Path {
	a, b := joined(edges).Box(), otherPiece(rng)
	by := Pt(a.Max.X-b.Box().Min.X+logarithmic(rng, 1e-3, 60), a.Centre().Y-b.Box().Centre().Y)
	return shifted(b, by)
}

// cornerTouching lays another piece's leftmost node on the first one's
// rightmost.
func cornerTouching(rng *rand.Rand, edges []Path) []Path {
	b := otherPiece(rng)
	right, left := Pt(math.Inf(-1), 0), Pt(math.Inf(1), 0)
	for _, c := range joined(edges) {
		if c.P0.X > right.X {
			right = c.P0
		}
	}
	for _, c := range b {
		if c.P0.X < left.X {
			left = c.P0
		}
	}
	out := b.Moved(Motion{Shift: right.Sub(left)})
	for i := range out {
		if b[i].P0 == left {
			out[i].P0 = right
		}
	}
	return []Path{Path(out)}
}

// edgeSharing lays a piece on the other side of an edge, which both share and
// run in opposite directions.
func edgeSharing(rng *rand.Rand, edges []Path) []Path {
	k := rng.IntN(len(edges))
	shared := edges[k].Reverse()
	from, to := shared.Start(), shared.End()
	if from.Dist(to) < 5 {
		return nil
	}
	out := to.Sub(from).Unit().Right().Mul(40 + 200*rng.Float64())
	far := Pt(20*rng.Float64()-10, 20*rng.Float64()-10)
	p, q := to.Add(out).Add(far), from.Add(out).Sub(far)
	return []Path{shared, {Line(to, p)}, {Line(p, q)}, {Line(q, from)}}
}
