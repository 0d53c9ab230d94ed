package alter

import (
	"fmt"
	"slices"

	"toile/geom"
)

// crossing is where a line crosses the outline.
type crossing struct {
	edge  int
	along float64 // mm from the edge's start
	at    geom.Point
	on    geom.Place // on the line
}

// cutLine reads the line or curve that a piece is cut along, run on a little at
// both ends: a reference line as it is drawn, or PLACE:PLACE.
func (m *making) cutLine(key string) (geom.Path, error) {
	for _, l := range m.piece.Lines {
		if l.Name == m.text(key) {
			return runOnALittle(l.Path), nil
		}
	}
	a, b, err := m.line(key)
	if err != nil {
		return nil, err
	}
	return runOnALittle(geom.Path{geom.Line(a, b)}), nil
}

// runOnALittle is a line with a twentieth of its length run on at either end:
// one read off a sheet may end short of the edge. A straight one stays one line.
func runOnALittle(p geom.Path) geom.Path {
	by := p.Length() / 20
	if len(p) == 1 && p[0].IsStraight(1e-9) {
		u := p.End().Sub(p.Start()).Unit()
		return geom.Path{geom.Line(p.Start().Sub(u.Mul(by)), p.End().Add(u.Mul(by)))}
	}
	before, after := geom.CarrierEnds(p, by)
	return slices.Concat(before, p, after)
}

// bowed is how far in mm a line strays from the straight one between its ends.
func bowed(p geom.Path) float64 {
	chord := geom.Path{geom.Line(p.Start(), p.End())}
	worst := 0.0
	const samples = 64
	for k := range samples + 1 {
		if _, d := chord.Nearest(p.PointAt(p.Length() * float64(k) / samples)); d > worst {
			worst = d
		}
	}
	return worst
}

// crossings finds the two places in which the line through a and b, run on a
// little at both ends, crosses the outline; in the order of the outline.
func (m *making) crossings(a, b geom.Point) (first, second crossing, err error) {
	return m.crossingsOf(runOnALittle(geom.Path{geom.Line(a, b)}))
}

// crossingsAll finds the places in which a line crosses the outline, in the order
// of the outline.
func (m *making) crossingsAll(line geom.Path) (found []crossing) {
	for i := range m.piece.Edges {
		path := m.piece.EdgePath(i)
		for _, c := range geom.MeetPaths(path, line) {
			if !slices.ContainsFunc(found, func(o crossing) bool { return o.at.Dist(c.At) < 0.01 }) {
				found = append(found, crossing{i, path.LengthTo(c.P), c.At, c.Q})
			}
		}
	}
	return found
}

// crossingsOf finds the two places in which a line crosses the outline.
func (m *making) crossingsOf(line geom.Path) (first, second crossing, err error) {
	found := m.crossingsAll(line)
	if len(found) != 2 {
		a, b := line.Start(), line.End()
		return first, second, fmt.Errorf("%s: the line from (%.1f, %.1f) to (%.1f, %.1f) crosses the outline %s, and has to cross it twice; %s",
			m.piece.Name, a.X, a.Y, b.X, b.Y, times(len(found)), m.crossingAdvice(found))
	}
	return found[0], found[1], nil
}

// betweenCorners is the part of a line between both crossings, from one corner to the
// other: its ends are moved onto them where they lie off it, by less than
// leastPart. turned says that it runs the other way than the line.
func betweenCorners(line geom.Path, first, second crossing, from, to geom.Point) (part geom.Path, turned bool) {
	a, b := first.on, second.on
	backwards := b.Curve < a.Curve || b.Curve == a.Curve && b.T < a.T
	if backwards {
		a, b = b, a
	}
	part = line.Between(a, b)
	if turned = part.Start().Dist(from)+part.End().Dist(to) > part.Start().Dist(to)+part.End().Dist(from); turned {
		part = part.Reverse()
	}
	n := len(part) - 1
	if part[0].IsStraight(1e-9) {
		part[0] = geom.Line(from, part[0].P3)
	} else {
		part[0].P0 = from
	}
	if part[n].IsStraight(1e-9) {
		part[n] = geom.Line(part[n].P0, to)
	} else {
		part[n].P3 = to
	}
	return part, turned
}
