package geom

import (
	"math"
	"slices"
)

// strips are the inward strips of a ring that keep their full width.
type strips struct {
	full []strip
	// outline is the ring itself, where no edge of it goes outward.
	outline Ring
}

// strip is the strip between an edge and its offset, with the edge's box. At a
// corner between equal distances it goes round with its neighbour's; else a
// step between them may run along its end.
type strip struct {
	side
	box                Box
	stepStart, stepEnd bool
}

// stripPlaces bounds the places of a boundary that are looked at. One would be
// enough, but where the boundary passes within tol of a strip's edge; these lie
// all round.
const stripPlaces = 24

// atEnd is the distance in mm from an edge's end within which a foot counts as
// the end: far above rounding, far below a tolerance.
const atEnd = 1e-6

// inwardStrips lists the sides that go inward and from whose strips no
// neighbour's line cuts anything off (OffsetRing). That can happen where the
// outline turns anticlockwise between unequal distances, and beside a distance
// to the other side.
func inwardStrips(sides []side) strips {
	var out strips
	n := len(sides)
	cuts := func(a, b side) bool {
		return a.by != b.by && (math.Max(a.by, b.by) > 0 || AngleBetween(a.in, b.on) < 0)
	}
	outward := false
	for i, s := range sides {
		out.outline = append(out.outline, s.source...)
		outward = outward || s.by > 0
		before, after := sides[(i+n-1)%n], sides[(i+1)%n]
		if s.by < 0 && !cuts(before, s) && !cuts(s, after) {
			out.full = append(out.full, strip{s, s.source.Box(), before.by != s.by, after.by != s.by})
		}
	}
	if outward {
		out.outline = nil
	}
	return out
}

// cover reports whether a boundary runs through an inward strip, more than tol
// from the strip's edge, or outside an outline of which nothing goes outward.
//
// A place from which all of the outline is nearer than the distances can be
// wound around once although every strip lies over it: the line of a side is
// cut at both its ends, or turns back behind a centre of curvature, and so
// takes away what the strips count; so can one outside. Where any part of the outline is farther
// away than its distance the count is right. So what is wound around has, part
// for part, either its full distance everywhere or nowhere, and a few places
// tell which.
func (s strips) cover(ring Ring, tol float64) bool {
	step := 1 + (len(ring)-1)/stripPlaces
	for i := 0; i < len(ring); i += step {
		q := ring[i].At(0.5)
		if slices.ContainsFunc(s.full, func(x strip) bool { return x.tooNear(q, tol) }) || s.outside(q, tol) {
			return true
		}
	}
	return false
}

// outside reports whether a place lies more than tol outside the outline.
func (s strips) outside(q Point, tol float64) bool {
	if s.outline == nil || s.outline.Holds(q) {
		return false
	}
	_, d := Path(s.outline).Nearest(q)
	return d > tol
}

// tooNear reports whether a place lies in the strip more than tol from its
// edge.
func (s strip) tooNear(q Point, tol float64) bool {
	most := math.Abs(s.by) - tol
	if boxDistance(s.box, q) >= most {
		return false
	}
	at, d := s.source.Nearest(q)
	foot := s.source.At(at)
	switch {
	case d >= most,
		s.stepStart && foot.Dist(s.source.Start()) <= atEnd,
		s.stepEnd && foot.Dist(s.source.End()) <= atEnd:
		return false
	}
	return q.Sub(foot).Dot(s.source[at.Curve].Tangent(at.T).Left())*s.by > 0
}
