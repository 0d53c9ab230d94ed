package diff

import (
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// splitAndAltered finds how a piece was split where one of its parts was altered
// in the same version: the other lies within the whole still, and what it leaves
// over is what the altered part was. Parts are known by the id of the piece that
// they come from. altered are the changes of the altered part, ofOther that it
// is the new one.
func splitAndAltered(old, one, other *pattern.Piece, b *pattern.Pattern) (d divided, altered []change.Change, ofOther, ok bool) {
	if other.Was == "" || other.Was != old.ID || halves(old, one, other) {
		return d, nil, false, false
	}
	w, err := old.Outline()
	if err != nil {
		return d, nil, false, false
	}
	for _, ofOther := range []bool{true, false} {
		kept, part := one, other
		if !ofOther {
			kept, part = other, one
		}
		k, err := kept.Outline()
		if err != nil {
			continue
		}
		tol := max(tolerance(old, one), tolerance(old, other))
		least := tol * w.Ring.Length()
		for _, m := range within(w.Ring, k.Ring, tol, least) {
			laid := kept.Moved(m)
			rest, found := leftOver(old, laid, part)
			if !found {
				continue
			}
			said, err := Pieces(rest, part, b)
			if err != nil {
				continue
			}
			d = divided{whole: old, one: laid, other: rest, laidFrom: one, pose: m}
			if !ofOther {
				d.one, d.other, d.pose = rest, laid, placed(said.Placement)
			}
			if d.beside(tol, least) {
				return d, said.Changes, ofOther, true
			}
		}
	}
	return d, nil, false, false
}

// placed is a placement as a motion.
func placed(p change.Placement) geom.Motion {
	return geom.Motion{Mirror: p.Mirrored, Turn: geom.Degrees(p.Turn), Shift: geom.Pt(p.DX, p.DY)}
}

// insideBy in mm: an edge whose middle keeps so far from the outline of the
// whole runs through it; nearer it may lie on it.
const insideBy = 1

// leftOver is what a part, laid on the whole, leaves over of it, with the name,
// the ids and all that is set as a whole of the other part: the whole cut along
// the one edge of the part that runs through it. It is not found where several
// do.
func leftOver(whole, kept, part *pattern.Piece) (*pattern.Piece, bool) {
	w, _ := whole.SharpRing()
	through := -1
	for i := range kept.Edges {
		path := kept.EdgePath(i)
		if _, off := geom.Path(w).Nearest(path.PointAt(path.Length() / 2)); off > insideBy {
			if through >= 0 {
				return nil, false
			}
			through = i
		}
	}
	if through < 0 {
		return nil, false
	}
	line := kept.EdgePath(through)
	i, s, okFirst := onEdge(whole, line.Start(), false)
	j, t, okLast := onEdge(whole, line.End(), true)
	if !okFirst || !okLast || i == j && s >= t {
		return nil, false
	}
	rest := part.Clone()
	rest.Corners, rest.Edges, rest.Notches, rest.Marks = nil, nil, nil, nil
	for k := i; ; k = (k + 1) % len(whole.Edges) {
		from, to := 0.0, whole.EdgePath(k).Length()
		if k == i {
			from = s
		}
		if k == j {
			to = t
		}
		addRun(rest, whole, k, from, to)
		if k == j {
			break
		}
	}
	rest.Corners = append(rest.Corners, pattern.Corner{At: line.End()})
	e := seamEdge(whole, part)
	e.SetPath(line.Reverse())
	rest.Edges = append(rest.Edges, e)
	ring, _ := rest.SharpRing()
	for _, m := range whole.Marks {
		if m.Edge == "" && ring.Holds(anchor(m)) {
			rest.Marks = append(rest.Marks, m)
		}
	}
	return rest, rest.Validate() == nil
}

// onEdge is the edge of a piece on which a point lies, and where along it in mm;
// of a corner the edge that starts there, or else the one that ends there.
func onEdge(p *pattern.Piece, q geom.Point, ends bool) (edge int, along float64, ok bool) {
	for i := range p.Edges {
		path := p.EdgePath(i)
		place, off := path.Nearest(q)
		if off > inPlace {
			continue
		}
		along = path.LengthTo(place)
		if ends && along > inPlace || !ends && along < path.Length()-inPlace {
			return i, along, true
		}
	}
	return 0, 0, false
}

// addRun adds a run of an edge of the whole to a part, with its notches and what
// lies along it.
func addRun(rest, whole *pattern.Piece, k int, from, to float64) {
	path := whole.EdgePath(k)
	length := path.Length()
	corner := whole.Corners[k]
	if from > 0 {
		corner = pattern.Corner{At: path.PointAt(from)}
	}
	e := whole.Edges[k]
	if from > 0 || to < length {
		e.SetPath(path.BetweenLengths(from, to))
	}
	rest.Corners, rest.Edges = append(rest.Corners, corner), append(rest.Edges, e)
	for _, n := range whole.Notches {
		at := n.At
		if n.FromEnd {
			at = length - n.At
		}
		if n.Edge != e.Name || at <= from || at >= to {
			continue
		}
		n.At = at - from
		if n.FromEnd {
			n.At = to - at
		}
		rest.Notches = append(rest.Notches, n)
	}
	for _, m := range whole.Marks {
		if m.Edge == e.Name && m.From >= from && m.To <= to {
			m.From, m.To = m.From-from, m.To-from
			rest.Marks = append(rest.Marks, m)
		}
	}
}

// seamEdge is the edge of a part that the whole does not have, as which the
// line between the parts is stored; one without a name where there are several.
func seamEdge(whole, part *pattern.Piece) pattern.Edge {
	var own []pattern.Edge
	for _, e := range part.Edges {
		if whole.EdgeByID(e.ID) < 0 && (e.Was == "" || whole.EdgeByID(e.Was) < 0) {
			own = append(own, e)
		}
	}
	if len(own) != 1 {
		return pattern.Edge{Name: "seam between"}
	}
	return own[0]
}

// tellAltered adds what was altered in a part besides: what lies at the line is
// none of it.
func (d divided) tellAltered(p *change.PieceDiff, altered []change.Change) {
	p.Changes = append(p.Changes, slices.DeleteFunc(slices.Clone(altered), func(ch change.Change) bool {
		switch ch.Kind {
		case change.NotchAdded, change.NotchRemoved, change.MarkAdded, change.MarkRemoved:
			return d.holds(ch)
		}
		return false
	})...)
}
