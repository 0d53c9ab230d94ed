package diff_test

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// swing makes the way that swings an edge about its corner or about a point
// on it, outward or inward; the neighbour at its far end runs on eased.
func swing(atCorner bool, sign float64) func(m *making) bool {
	return func(m *making) bool {
		i, end := m.pick(m.n()), m.pick(2)
		far := m.next(i)
		if end == 0 {
			far = m.prev(i)
		}
		if !m.free(i) || m.from.Edges[far].Fold || m.locked[far] || m.swung(far) || m.swung(m.prev(i)) || m.swung(m.next(i)) {
			return false // an edge that was eased on to a swung one is not swung itself
		}
		paths, old := pathsOf(m.now), m.from.EdgePath(i)
		length := old.Length()
		near := 0.0
		if !atCorner {
			near = length * m.u(0.08, 0.6)
		}
		pivot := pivotOf(old, end, near)
		radius := endOf(old, end).Dist(pivot)
		least := math.Max(geom.Degrees(leastDegrees), 2*math.Asin(math.Min(1, leastMM/2/radius)))
		most := math.Min(geom.Degrees(mostDegrees), 2*math.Asin(math.Min(1, mostChord/2/radius)))
		if radius < 40 || least > most {
			return false
		}
		turn := sign * m.amount(least, most)
		// Cut or run on before, the edge has its pivot at another length.
		at, off := paths[i].Nearest(pivot)
		if off > 0.01 {
			return false
		}
		along := paths[i].LengthTo(at)
		if end == 0 {
			along = paths[i].Length() - along
		}
		out, ok := swungPaths(paths, i, end, along, turn)
		if !ok || !m.put(out) {
			return false
		}
		m.changed[i] = true
		m.claims = append(m.claims, swingClaim(m.from, i, end, near, turn))
		return true
	}
}

// swung reports whether an edge was swung.
func (m *making) swung(i int) bool {
	return slices.ContainsFunc(m.claims, func(c claim) bool { return c.kind == change.EdgeSwung && c.edges[0] == m.name(i) })
}

// pivotsLeft reports whether the pivots of all swings still lie on their
// edges, as they do not where a hem was cut off beyond one.
func (m *making) pivotsLeft() bool {
	for _, c := range m.claims {
		if c.kind != change.EdgeSwung {
			continue
		}
		i, _ := m.now.EdgeIndex(c.edges[0])
		if _, off := m.now.EdgePath(i).Nearest(*c.pivot); off > 0.01 {
			return false
		}
	}
	return true
}

func endOf(p geom.Path, end int) geom.Point {
	if end == 0 {
		return p.Start()
	}
	return p.End()
}

// pivotOf is the place on an edge at a distance from its end away from the
// far end.
func pivotOf(p geom.Path, end int, near float64) geom.Point {
	if end == 0 {
		return p.PointAt(p.Length() - near)
	}
	return p.PointAt(near)
}

// swingClaim is what a diff should say of a swing: outward positive, by =
// 2R·sin(θ/2) with R from the pivot to the old far end.
func swingClaim(p *pattern.Piece, i, end int, near, turn float64) claim {
	old := p.EdgePath(i)
	pivot := pivotOf(old, end, near)
	by := 2 * endOf(old, end).Dist(pivot) * math.Sin(turn/2)
	degrees := geom.InDegrees(turn)
	return claim{kind: change.EdgeSwung, edges: []string{p.Edges[i].Name}, by: &by, turn: &degrees, pivot: &pivot,
		pivotWithin: 0.003 / math.Abs(turn)}
}

// swungPaths swings the part of edge i beyond a distance from its near end, by
// an angle in radians, outward positive; end says which end of the edge is the
// far one.
func swungPaths(paths []geom.Path, i, end int, near, turn float64) ([]geom.Path, bool) {
	if end == 1 {
		return swungAtEnd(paths, i, near, -turn, turn > 0) // outward is anticlockwise along a clockwise outline
	}
	out, ok := swungAtEnd(backwards(paths), len(paths)-1-i, near, turn, turn > 0)
	if !ok {
		return nil, false
	}
	return backwards(out), true
}

// backwards lists an outline the other way round.
func backwards(paths []geom.Path) []geom.Path {
	out := make([]geom.Path, len(paths))
	for i, p := range paths {
		out[len(paths)-1-i] = p.Reverse()
	}
	return out
}

// swungAtEnd turns the end of edge i clockwise by an angle about the place at
// the length near, and eases the next edge on to it.
func swungAtEnd(paths []geom.Path, i int, near, angle float64, outward bool) ([]geom.Path, bool) {
	j := (i + 1) % len(paths)
	p, next := paths[i], paths[j]
	if turn := math.Abs(cornerTurn(paths, j)); turn < geom.Degrees(55) || turn > geom.Degrees(125) {
		return nil, false // elsewhere the program's rule of easing makes no sensible hem
	}
	at := p.PlaceAt(near)
	pivot := p.At(at)
	arm := turnedAbout(p.Between(at, geom.Place{Curve: len(p) - 1, T: 1}), pivot, angle)
	swung := arm
	if near > 1e-6 {
		swung = append(p.Between(geom.Place{}, at), arm...)
	}
	for k := 1; k < len(swung); k++ {
		swung[k] = startingAt(swung[k], swung[k-1].P3)
	}
	far, v := swung.End(), next.StartTangent().Turn(angle)
	rest := next
	if !outward {
		chord := p.End().Dist(far)
		carrier, beside := carrierOf(swung), carrierOf(next)
		m, ok := meetingNear(carrier, beside, far)
		if !ok || later(beside.start, m.Q) && next.Length() < 3*chord {
			return nil, false
		}
		from := 2 * chord
		if later(m.Q, beside.start) {
			from += next.Length() - beside.from(m.Q).Length()
		} else {
			from -= beside.path.Between(m.Q, beside.start).Length()
		}
		if from < 1 || from > next.Length()-10 {
			return nil, false
		}
		rest = next.BetweenLengths(from, next.Length())
	}
	ease := easedCubic(far, v, rest.Start(), rest.StartTangent())
	out := append([]geom.Path{}, paths...)
	out[i], out[j] = swung, append(geom.Path{ease}, rest...)
	return joined(out), true
}
