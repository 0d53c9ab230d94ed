package alter

import (
	"math"
	"slices"

	"toile/geom"
)

// leastOfTurn is the share of a led-on curve's turn that lies at either end of
// its chord at least, where there is a choice: a curve all of whose turn lies
// at one end is tight there.
const leastOfTurn = 0.2

// leadHem leads the neighbour of a swung edge on without a hollow where --blend
// asks for it, and says where that would help. was are the edges before the
// swing.
func (m *making) leadHem(w *work, i int, farEnd bool, turn float64, was []geom.Path) {
	next, k := w.after(i), w.after(i)
	if !farEnd {
		next, k = w.before(i), i
	}
	led := &work{piece: w.piece, paths: slices.Clone(w.paths), put: slices.Clone(w.put)}
	switch name := m.piece.Edges[next].Name; {
	case !led.ledSmoothly(next, k, turn, was[next]):
	case m.flag("blend"):
		w.set(next, led.paths[next])
		m.say("%s, %q is led on to the swung edge from further back, so that it runs without a hollow", m.piece.Name, name)
	default:
		m.say("%s, %q swings one way and then the other where it is led on to the swung edge; `toile undo`, and the same with --blend, leads it on from further back, without a hollow", m.piece.Name, name)
	}
}

// smoothed has a swing of edge i about a place at mm from its start be as --blend makes
// it: the dent at the pivot smoothed, the neighbour at the end that swung led on without
// a hollow. turn is outward positive, was are the edges before the swing.
func (w *work) smoothed(i int, at float64, farEnd bool, turn float64, was []geom.Path) {
	next, k := w.after(i), w.after(i)
	if !farEnd {
		next, k = w.before(i), i
	}
	w.ledSmoothly(next, k, turn, was[next])
	w.blend(i, at)
}

// ledSmoothly draws the edge next, as it was before a swing by turn (outward
// positive) moved its corner k, on to that corner from further back, where the
// curve from its old end would swing one way and then the other: a hem trued
// to rise towards its side is flatter again after the swing. It starts at the
// first place from which one curve without a hollow arrives at the angle that
// the corner had. It reports whether the edge was drawn anew.
func (w *work) ledSmoothly(next, k int, turn float64, old geom.Path) bool {
	p, to := old, w.paths[k].Start()
	if next == k {
		p, to, turn = p.Reverse(), w.paths[w.before(k)].End(), -turn
	}
	arrive := p.EndTangent().Turn(turn)
	if to.Sub(p.End()).Dot(p.EndTangent()) < 0 || evenTurn(p.End(), p.EndTangent(), to, arrive) >= 0 {
		return false
	}
	const places, most = 100, 0.7 // of its length is drawn anew at most
	length := p.Length()
	first := -1.0
	for i := 1; i <= places; i++ {
		at := length * (1 - most*float64(i)/places)
		share := evenTurn(p.PointAt(at), p.TangentAt(at), to, arrive)
		if share >= 0 && first < 0 {
			first = at
		}
		if share >= leastOfTurn {
			first = at
			break
		}
	}
	if first < 0 {
		return false
	}
	p = p.BetweenLengths(0, first)
	p = append(p, geom.Eased(p.End(), p.EndTangent(), to, arrive))
	if next == k {
		p = p.Reverse()
	}
	w.set(next, p)
	return true
}

// evenTurn is the smaller share of the turn from u to v that lies at one end of
// the chord from a to b; below 0 where the curve has to turn both ways.
func evenTurn(a, u, b, v geom.Point) float64 {
	chord := b.Sub(a).Unit()
	first, second := geom.AngleBetween(u, chord), geom.AngleBetween(chord, v)
	const straight = 0.01 // radians, under which a turn the other way cannot be seen
	if math.Abs(first) < straight && math.Abs(second) < straight {
		return leastOfTurn
	}
	if first*second < 0 && math.Min(math.Abs(first), math.Abs(second)) > straight {
		return -1
	}
	return math.Min(math.Abs(first), math.Abs(second)) / (math.Abs(first) + math.Abs(second))
}
