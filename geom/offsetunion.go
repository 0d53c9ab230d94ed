package geom

import (
	"fmt"
	"math"
	"slices"
)

// work is a ring being made, with the edge each curve came from.
type work struct {
	ring Ring
	from []int
}

// add appends a path without its single points. A line that goes on in the
// line before it, of the same edge, is made one with it.
func (w *work) add(p Path, edge int) {
	for _, c := range p {
		if c.hull() <= pointSize {
			continue
		}
		n := len(w.ring)
		if n == 0 {
			w.ring, w.from = append(w.ring, c), append(w.from, edge)
			continue
		}
		last := w.ring[n-1]
		c = c.startingAt(last.P3)
		if w.from[n-1] == edge && last.evenlyStraight() && c.evenlyStraight() && inLine(last, c) {
			w.ring[n-1] = Line(last.P0, c.P3)
			continue
		}
		w.ring, w.from = append(w.ring, c), append(w.from, edge)
	}
}

// startingAt returns the curve with its start moved a little; a line stays
// one.
func (c Cubic) startingAt(p Point) Cubic {
	if c.P0.Dist(p) > pointSize && c.evenlyStraight() {
		return Line(p, c.P3)
	}
	c.P0 = p
	return c
}

// inLine reports whether two straight curves in a row make one line.
func inLine(a, b Cubic) bool {
	u, v := a.P3.Sub(a.P0).Unit(), b.P3.Sub(b.P0).Unit()
	return u.Dot(v) > 0 && math.Abs(u.Cross(v))*math.Max(a.hull(), b.hull()) < 1e-9
}

// close makes the ring end where it starts and joins a line divided there.
func (w *work) close() {
	n := len(w.ring)
	if n == 0 {
		return
	}
	w.ring[0] = w.ring[0].startingAt(w.ring[n-1].P3)
	first, last := w.ring[0], w.ring[n-1]
	if n > 2 && w.from[0] == w.from[n-1] && first.evenlyStraight() && last.evenlyStraight() && inLine(last, first) {
		w.ring[0] = Line(last.P0, first.P3)
		w.ring, w.from = w.ring[:n-1], w.from[:n-1]
	}
}

// joinSides puts the sides and joints together. A side whose cuts have passed
// each other is run backwards.
func joinSides(sides []side, joints []joint) work {
	var w work
	n := len(sides)
	for i, s := range sides {
		from, to := joints[i].start, joints[(i+1)%n].end
		part := s.raw
		if from.compare(to) <= 0 {
			part = part.Between(from, to)
		} else {
			part = part.Between(to, from).Reverse()
		}
		if at := joints[(i+1)%n].slideTo; at != nil {
			part = part.endMoved(*at)
		}
		if at := joints[i].slideTo; at != nil {
			part = part.Reverse().endMoved(*at).Reverse()
		}
		w.add(part, s.index)
		for _, r := range joints[(i+1)%n].run {
			w.add(r.path, r.edge)
		}
	}
	w.close()
	return w
}

// Constants of the union.
const (
	// loopArea is the area in mm² below which nothing is left.
	loopArea = 1e-6
	// tinyPart is the length in mm below which a part of a curve between two
	// cuts is left out, its neighbours joined: the step of stored coordinates.
	tinyPart = 1e-3
	// sameEnds is the distance in mm from the ends of a curve within which a
	// boundary that came from it is the whole of it.
	sameEnds = 1e-8
)

// union returns the boundary of what the ring winds around at least once, with
// the edge each curve came from. The regions of Cover decide what is left, but
// for those that inward strips cover after all (strips); the curves are the
// ring's own.
func (w work) union(s strips, tol float64) (Ring, []int, error) {
	if _, _, _, found := w.ring.selfMeeting(); !found {
		if w.ring.Area() <= loopArea || s.cover(w.ring, tol) {
			return nil, nil, ErrOffsetVanishes
		}
		return w.ring, w.from, nil
	}
	regions, err := Cover(w.ring)
	if err != nil {
		return nil, nil, fmt.Errorf("the offset lines cross and cannot be laid out: %w", err)
	}
	outers, holes := boundaries(regions, tol)
	outers = slices.DeleteFunc(outers, func(b boundaryOf) bool { return s.cover(b.ring, tol) })
	switch {
	case len(outers) == 0:
		return nil, nil, ErrOffsetVanishes
	case len(outers) > 1:
		return nil, nil, w.crossing(outers[len(outers)-1])
	case len(holes) > 0:
		return nil, nil, w.crossing(holes[0])
	}
	out := w.along(outers[0])
	if m, i, j, found := out.ring.selfMeeting(); found {
		return nil, nil, &OffsetCrosses{m.At, out.from[i], out.from[j]}
	}
	return out.ring, out.from, nil
}

// boundaries lists the outer boundaries and the holes of regions, without
// those narrower than tol.
func boundaries(regions []Region, tol float64) (outers, holes []boundaryOf) {
	for _, r := range regions {
		for i := range r.Rings {
			b := boundaryOf{r.Rings[i], r.Sides[i]}
			switch {
			case b.narrow(tol):
			case i == 0:
				outers = append(outers, b)
			default:
				holes = append(holes, b)
			}
		}
	}
	return outers, holes
}

// boundaryOf is one ring of a region with the curves its parts came from.
type boundaryOf struct {
	ring  Ring
	sides []Side
}

// narrow reports whether the ring encloses next to nothing, or a strip
// narrower than tol.
func (b boundaryOf) narrow(tol float64) bool {
	area := math.Abs(b.ring.Area())
	return area <= loopArea || 2*area <= tol*b.ring.Length()
}

// crossing is the error for a boundary that should not be there. It names the
// first place on it where two lines cross, those of edges that are no
// neighbours before others.
func (w work) crossing(b boundaryOf) error {
	var found *OffsetCrosses
	n := len(w.ring)
	edges := 0
	for _, e := range w.from {
		edges = max(edges, e+1)
	}
	for i, c := range b.ring {
		x, y := b.sides[i].Curve, b.sides[(i+1)%len(b.ring)].Curve
		if x < 0 || y < 0 || x == y || y == (x+1)%n {
			continue
		}
		at := &OffsetCrosses{c.P3, w.from[x], w.from[y]}
		if apart := (w.from[y] - w.from[x] + edges) % edges; apart > 1 && apart < edges-1 {
			return at
		}
		if found == nil {
			found = at
		}
	}
	if found == nil {
		found = &OffsetCrosses{At: b.ring[0].P0}
	}
	return found
}

// along makes the ring of a boundary from the work's own curves: where one is
// left whole it is taken to the bit. Joints of the grid, and parts too short
// to be stored, are left out.
func (w work) along(b boundaryOf) work {
	var out work
	for i, c := range b.ring {
		k := b.sides[i].Curve
		if k < 0 {
			continue
		}
		raw := w.ring[k]
		if c.P0.Dist(raw.P0) <= sameEnds && c.P3.Dist(raw.P3) <= sameEnds {
			c = raw
		} else if c.hull() < tinyPart {
			continue
		}
		out.add(Path{c}, w.from[k])
	}
	out.close()
	if len(out.ring) > 0 {
		out = out.fromFirst()
	}
	return out
}

// fromFirst turns the ring round to start where the first edge left starts.
func (w work) fromFirst() work {
	n, first := len(w.ring), slices.Min(w.from)
	for i := range n {
		if w.from[i] == first && w.from[(i+n-1)%n] != first {
			return work{append(w.ring[i:n:n], w.ring[:i]...), append(w.from[i:n:n], w.from[:i]...)}
		}
	}
	return w
}
