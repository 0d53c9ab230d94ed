package alter

import (
	"slices"

	"toile/geom"
	"toile/pattern"
)

// mendDifferences lets go of what declared differences say of edges and inner
// pieces that an alteration took away: one that was said of an edge that the
// outer no longer has is said of the whole layer, unless the edge lies on
// another outer of the same inner piece now.
func (m *making) mendDifferences() {
	for i := range m.pattern.Layers {
		l := &m.pattern.Layers[i]
		outer, err := m.pattern.Piece(l.Outer)
		if err != nil {
			continue
		}
		l.Differences = slices.DeleteFunc(l.Differences, func(d pattern.Difference) bool {
			return d.Piece != "" && !slices.Contains(l.Inner, d.Piece) || d.Edge != "" && !hasEdge(outer, d.Edge) && m.elsewhere(l, d)
		})
		for k := range l.Differences {
			if d := &l.Differences[k]; d.Edge != "" && !hasEdge(outer, d.Edge) {
				d.Edge = ""
			}
		}
	}
}

func hasEdge(q *pattern.Piece, name string) bool { return slices.Contains(q.EdgeNames(), name) }

// elsewhere reports whether the same difference is said of another outer that
// has its edge.
func (m *making) elsewhere(l *pattern.Layer, d pattern.Difference) bool {
	for i := range m.pattern.Layers {
		o := &m.pattern.Layers[i]
		if o == l || !slices.Contains(o.Differences, d) {
			continue
		}
		if outer, err := m.pattern.Piece(o.Outer); err == nil && hasEdge(outer, d.Edge) {
			return true
		}
	}
	return false
}

// joinDifferences carries what is said at edges of the joined piece to their
// new names, and what is said of it as an inner piece to the whole.
func (m *making) joinDifferences(l *pattern.Layer, q, other, whole *pattern.Piece) {
	m.saidOnce(l, q, other)
	for k := range l.Differences {
		d := &l.Differences[k]
		if n := m.renamed[d.Edge]; l.Outer == other.Name && n != "" {
			d.Edge = n
		}
		if d.Piece == q.Name || d.Piece == other.Name {
			d.Piece = whole.Name
		}
	}
}

// edgeOf finds the edge of a stretch; ok is false where it is not there.
func edgeOf(p *pattern.Pattern, st pattern.Stretch) (q *pattern.Piece, i int, ok bool) {
	q, err := p.Piece(st.Piece)
	if err != nil {
		return nil, 0, false
	}
	i, err = q.EdgeIndex(st.Edge)
	return q, i, err == nil
}

// changedSince reports whether a stretch's edge has another line than before.
func (m *making) changedSince(before *pattern.Pattern, st pattern.Stretch) bool {
	q, i, ok := edgeOf(m.pattern, st)
	old, k, had := edgeOf(before, st)
	return ok && had && !slices.Equal(q.EdgePath(i), old.EdgePath(k))
}

// refitLayerSeams counts anew where two inner pieces of one layer, drawn in
// their places on the outer, are sewn together along a common line and an
// alteration cut or ran on one of them: the seam takes what both have. One with ease-in recorded takes what it took.
func (m *making) refitLayerSeams(before *pattern.Pattern) {
	for i := range m.pattern.Seams {
		m.refitLayerSeam(before, &m.pattern.Seams[i])
	}
}

// refitLayerSeam does that for one seam.
func (m *making) refitLayerSeam(before *pattern.Pattern, s *pattern.Seam) {
	if len(s.First) != len(s.Second) || s.SameWay || slices.ContainsFunc(s.Sections, func(c pattern.Section) bool { return c.Ease != 0 }) {
		return
	}
	for k := range s.First { // in sewing order the k-th of either lie on each other
		m.refit(before, &s.First[k], &s.Second[k])
	}
}

// refit counts anew where two stretches run on each other, when one of their
// edges was altered.
func (m *making) refit(before *pattern.Pattern, a, b *pattern.Stretch) {
	if !m.beside(a.Piece, b.Piece) || !m.changedSince(before, *a) && !m.changedSince(before, *b) {
		return
	}
	q, j, okA := edgeOf(m.pattern, *a)
	r, k, okB := edgeOf(m.pattern, *b)
	if !okA || !okB {
		return
	}
	first, second := q.EdgePath(j), r.EdgePath(k)
	from, to, ok := overlap(first, second)
	if !ok {
		return
	}
	was := [2]pattern.Stretch{*a, *b}
	a.From, a.To = from, to
	b.From, b.To, _ = overlap(second, first)
	// At a fold a pleat is laid: what one side has more there is sewn too.
	if was[0].To == 0 && was[1].From == 0 && q.Edges[(j+1)%len(q.Edges)].Fold && r.Edges[(k+len(r.Edges)-1)%len(r.Edges)].Fold {
		a.To, b.From = 0, 0
	}
	if was[0].From == 0 && was[1].To == 0 && q.Edges[(j+len(q.Edges)-1)%len(q.Edges)].Fold && r.Edges[(k+1)%len(r.Edges)].Fold {
		a.From, b.To = 0, 0
	}
}

// beside reports whether two pieces are inner pieces of one layer.
func (m *making) beside(a, b string) bool {
	return slices.ContainsFunc(m.pattern.Layers, func(l pattern.Layer) bool {
		return !l.Band && slices.Contains(l.Inner, a) && slices.Contains(l.Inner, b)
	})
}

// overlap is the part of a line, in mm from its start, that runs on another
// one the other way; to is 0 where it runs to the line's end.
func overlap(line, other geom.Path) (from, to float64, ok bool) {
	length := line.Length()
	end := func(own, others geom.Point, at float64) (float64, bool) {
		if place, d := line.Nearest(others); d <= evenWithin {
			if v := line.LengthTo(place); v > wholeWithin && v < length-wholeWithin {
				return roundTo(v), true
			}
			return at, true
		}
		_, d := other.Nearest(own)
		return at, d <= evenWithin
	}
	from, okFrom := end(line.Start(), other.End(), 0)
	to, okTo := end(line.End(), other.Start(), 0)
	return from, to, okFrom && okTo && (to == 0 || to > from)
}

// mendStretches ends stretches of seams that reach beyond an edge
// that was cut shorter at the edge's end, and says so.
func (m *making) mendStretches(before *pattern.Pattern) {
	m.eachStretch(func(st *pattern.Stretch) {
		q, i, ok := edgeOf(m.pattern, *st)
		if !ok || st.To == 0 || !m.changedSince(before, *st) {
			return
		}
		if length := q.EdgePath(i).Length(); st.To > length+0.0005 && st.From < length-leastPart {
			m.say("%s is sewn to its end now; it was to %s, and is %s long", *st, m.format(st.To), m.format(length))
			st.To = 0
		}
	})
}
