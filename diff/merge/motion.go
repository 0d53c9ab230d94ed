package merge

import (
	"math"
	"slices"

	"toile/geom"
	"toile/pattern/match"
)

// reach is how far in mm a carrier runs on beyond an edge's ends.
const reach = 150

// offsetWithin is how near in mm a parallel line is drawn to the true one, as
// alterations draw it.
const offsetWithin = 0.002

// how says in what way a side changed an edge's line.
type how int

// The ways: not at all, by a motion of the line, or by another line.
const (
	kept how = iota
	shifted
	parallel
	swung
	tapered
	redrawn
)

// motion is what a side did to the carrier of an edge.
type motion struct {
	how   how
	shift geom.Point // shifted
	by    float64    // parallel: mm to the left, outward
	pivot geom.Point // swung
	turn  float64    // swung: radians, clockwise positive
	far   int        // swung: the end, 0 or 1, that moves
	ends  [2]float64 // tapered: mm outward at both ends of from
	from  geom.Path  // tapered: the line that the ends speak of
	path  geom.Path  // redrawn: the new line
}

// about is the rigid motion of a swing's arm.
func (m motion) about() geom.Motion {
	return geom.Motion{Shift: m.pivot.Mul(-1)}.Then(geom.Motion{Turn: m.turn, Shift: m.pivot})
}

// of applies the motion to a line. A redrawn line knows its own.
// The error is that of geom.Path.Offset.
func (m motion) of(p geom.Path) (geom.Path, error) {
	switch m.how {
	case shifted:
		return p.Moved(geom.Motion{Shift: m.shift}), nil
	case parallel:
		return p.Offset(m.by, offsetWithin)
	case swung:
		return m.swing(p), nil
	case tapered:
		return m.taper(p), nil
	case redrawn:
		return m.path, nil
	}
	return p, nil
}

// taper moves a line by the taper's rule, which goes on where the line is longer
// than the one that the ends speak of; beyond an end that did not move nothing
// moves.
func (m motion) taper(p geom.Path) geom.Path {
	length := m.from.Length()
	slope := (m.ends[1] - m.ends[0]) / length
	if slices.Equal(p, m.from) {
		return match.Tapered(p, m.ends[0], slope)
	}
	on := geom.NewRunOn(p, reach)
	from, to := on.Foot(m.from.Start()).Along, on.Foot(m.from.End()).Along
	var lead, rest geom.Path
	if m.ends[1] == 0 && p.Length()-to > sliver {
		p, rest = p.Split(to)
	}
	if m.ends[0] == 0 && from > sliver {
		lead, p = p.Split(from)
		from = 0
	}
	return slices.Concat(lead, match.Tapered(p, m.ends[0]-slope*from, slope), rest)
}

// pivotSnap in mm: a pivot this near to an end of the line is that end.
const pivotSnap = 0.01

// swing turns the part of a line beyond the pivot.
func (m motion) swing(p geom.Path) geom.Path {
	at := m.pivotAlong(p)
	lead, arm := p.Split(at)
	if m.far == 0 {
		lead, arm = arm, lead
	}
	moved := arm.Moved(m.about())
	switch {
	case at == 0 && m.far == 1, at == p.Length() && m.far == 0:
		return moved
	case m.far == 1:
		return append(append(geom.Path{}, lead...), moved...)
	}
	return append(append(geom.Path{}, moved...), lead...)
}

// pivotAlong is the length along a line at which the swing's pivot lies.
func (m motion) pivotAlong(p geom.Path) float64 {
	place, _ := p.Nearest(m.pivot)
	at, length := p.LengthTo(place), p.Length()
	if at < pivotSnap {
		return 0
	}
	if at > length-pivotSnap {
		return length
	}
	return at
}

// swings reports whether the motion moves a place at a length along the line p,
// which may lie beyond its ends: what lies on the pivot's other side stays.
func (m motion) swings(p geom.Path, along float64) bool {
	if m.how != swung {
		return false
	}
	at := m.pivotAlong(p)
	switch {
	case at == 0 && m.far == 1, at == p.Length() && m.far == 0:
		return true
	case m.far == 1:
		return along > at
	}
	return along < at
}

// composed is the line p, which one side made by its motion, after what the
// other did to the same edge, and that second motion as it acts on p; ok is
// false where the order would matter or is not known not to.
func composed(p geom.Path, first, second motion) (geom.Path, motion, bool) {
	rigid := func(m motion) bool { return m.how == shifted || m.how == parallel }
	switch {
	case rigid(first) && rigid(second):
	case first.how == swung && second.how == parallel:
	case first.how == parallel && second.how == swung:
		// The pivot lies on the edge, wherever that was let out to.
		place, _ := p.Nearest(second.pivot)
		second.pivot = p.At(place)
	case first.how == swung && second.how == swung && first.far == second.far && first.pivot.Dist(second.pivot) < pivotWithin:
	default:
		return nil, second, false
	}
	q, err := second.of(p)
	return q, second, err == nil
}

// pivotWithin in mm: two pivots no farther apart are one.
const pivotWithin = 0.05

// sameLines reports whether two lines coincide, each beside the other's
// carrier, within what counts as the same.
func sameLines(a, b geom.Path) bool {
	return beside(a, b, sameWithin, false) && beside(b, a, sameWithin, false)
}

// sameWithin in mm: an edge leaves a line when it lies farther off.
const sameWithin = 0.01

// samples are the places of each curve that are measured.
const samples = 12

// beside reports whether the path q lies within so many mm of p or its carrier.
// extent leaves out what lies beyond p's own ends, but something has to lie
// beside p itself.
func beside(q, p geom.Path, within float64, extent bool) bool {
	on, length, some := geom.NewRunOn(p, reach), p.Length(), false
	for _, c := range q {
		for k := 0; k <= samples; k++ {
			f := on.Foot(c.At(float64(k) / samples))
			inside := f.Along >= -within && f.Along <= length+within
			some = some || inside
			if extent && !inside {
				continue
			}
			if math.Abs(f.Out) > within {
				return false
			}
		}
	}
	return some || !extent
}
