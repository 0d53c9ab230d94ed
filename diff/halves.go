package diff

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
)

const (
	// lineReach in mm: how far the line of a split is led on at either end to
	// the old outline, where a part was cut shorter after it was split off.
	lineReach = 150

	// leastOfEdge in mm: less of an edge than this belongs to no part.
	leastOfEdge = 1
)

// half is one side of a piece that was cut along a line, as it was before
// anything else was altered.
type half struct {
	piece  *pattern.Piece
	origin []int // for each of its edges the whole's edge it is a part of; −1 for the one at the line
}

// seam is the index of the edge at the line, the last one.
func (h *half) seam() int { return len(h.piece.Edges) - 1 }

// cutPlace is a place on a piece's outline: mm along an edge.
type cutPlace struct {
	edge  int
	along float64
	at    geom.Point
}

// halves cuts a piece along a line that is led on, or ends, where it reaches
// the outline. The first half lies to the right of the line. line is the part
// within the piece.
func halves(whole *pattern.Piece, line geom.Path) (parts [2]half, within geom.Path, ok bool) {
	before, after := geom.CarrierEnds(line, lineReach)
	long := slices.Concat(before, line, after)
	lead, length := before.Length(), line.Length()
	var ends [2]cutPlace
	var lies [2]float64
	off := [2]float64{math.Inf(1), math.Inf(1)}
	for i := range whole.Edges {
		path := whole.EdgePath(i)
		for _, m := range geom.MeetPaths(path, long) {
			at := long.LengthTo(m.Q) - lead
			end := 0
			if at > length/2 {
				end = 1
			}
			if far := math.Abs(at - float64(end)*length); far < off[end] {
				off[end], lies[end] = far, at+lead
				ends[end] = cutPlace{i, path.LengthTo(m.P), m.At}
			}
		}
	}
	if math.IsInf(off[0], 1) || math.IsInf(off[1], 1) || lies[1]-lies[0] < leastOfEdge {
		return parts, nil, false
	}
	within = long.BetweenLengths(lies[0], lies[1])
	for _, share := range []float64{0.1, 0.5, 0.9} {
		if r, _ := whole.SharpRing(); !r.Holds(within.PointAt(share * within.Length())) {
			return parts, nil, false
		}
	}
	parts[0], ok = halfBetween(whole, ends[1], ends[0], within)
	if !ok {
		return parts, nil, false
	}
	parts[1], ok = halfBetween(whole, ends[0], ends[1], within.Reverse())
	return parts, within, ok
}

// span is a part of an edge of the whole.
type span struct {
	edge   int
	lo, hi float64 // mm from its start
}

// halfBetween is the part clockwise from one place of the outline to another,
// closed by the line from there back.
func halfBetween(whole *pattern.Piece, from, to cutPlace, line geom.Path) (half, bool) {
	spans := spansOf(whole, from, to)
	if len(spans) == 0 {
		return half{}, false
	}
	h := half{piece: whole.Clone()}
	p := h.piece
	p.Corners, p.Edges, p.Notches, p.Marks, p.Lines = nil, nil, nil, nil, nil
	for k, s := range spans {
		path := whole.EdgePath(s.edge)
		corner := whole.Corners[s.edge]
		if s.lo > 0 || k == 0 {
			corner = pattern.Corner{}
		}
		path = path.BetweenLengths(s.lo, s.hi)
		corner.At = path.Start()
		e := whole.Clone().Edges[s.edge]
		if slices.ContainsFunc(p.Edges, func(o pattern.Edge) bool { return o.Name == e.Name }) {
			e.Name, e.ID = e.Name+" 2", ""
		}
		e.SetPath(path)
		p.Corners, p.Edges, h.origin = append(p.Corners, corner), append(p.Edges, e), append(h.origin, s.edge)
	}
	last := whole.EdgePath(spans[len(spans)-1].edge).PointAt(spans[len(spans)-1].hi)
	line = slices.Clone(line)
	line[0].P0, line[len(line)-1].P3 = last, p.Corners[0].At
	e := pattern.Edge{Name: fmt.Sprintf("line of split %d", len(whole.Edges)), Allowance: map[string]float64{}}
	e.SetPath(line)
	p.Corners, p.Edges, h.origin = append(p.Corners, pattern.Corner{At: last}), append(p.Edges, e), append(h.origin, -1)
	h.share(whole, spans)
	return h, true
}

// spansOf lists the parts of edges clockwise from one place to another.
func spansOf(whole *pattern.Piece, from, to cutPlace) []span {
	n := len(whole.Edges)
	var all []span
	for k, i := 0, from.edge; k <= n; k, i = k+1, (i+1)%n {
		s := span{i, 0, whole.EdgePath(i).Length()}
		if k == 0 {
			s.lo = from.along
		}
		last := i == to.edge && (k > 0 || to.along > from.along)
		if last {
			s.hi = to.along
		}
		if s.hi-s.lo >= leastOfEdge {
			all = append(all, s)
		}
		if last {
			break
		}
	}
	return all
}

// share gives the half the notches, marks and lines of the whole that lie on
// it.
func (h *half) share(whole *pattern.Piece, spans []span) {
	p := h.piece
	on := func(edge string, lo, hi float64) (int, bool) {
		for k, s := range spans {
			if whole.Edges[s.edge].Name == edge && lo >= s.lo-inPlace && hi <= s.hi+inPlace {
				return k, true
			}
		}
		return 0, false
	}
	for _, n := range whole.Notches {
		_, _, along, err := whole.NotchPlace(n)
		if k, ok := on(n.Edge, along, along); err == nil && ok {
			n.Edge, n.At = p.Edges[k].Name, along-spans[k].lo
			if n.FromEnd {
				n.At = spans[k].hi - along
			}
			p.Notches = append(p.Notches, n)
		}
	}
	ring, _ := p.SharpRing()
	for _, m := range whole.Clone().Marks {
		if m.Edge == "" {
			if m.Path = h.partOf(m.Path, ring); ring.Holds(middleOf(m)) {
				p.Marks = append(p.Marks, m)
			}
		} else if k, ok := on(m.Edge, m.From, m.To); ok {
			m.Edge, m.From, m.To = p.Edges[k].Name, m.From-spans[k].lo, m.To-spans[k].lo
			p.Marks = append(p.Marks, m)
		}
	}
	for _, l := range whole.Clone().Lines {
		if l.Path = h.partOf(l.Path, ring); ring.Holds(l.Path.PointAt(l.Path.Length() / 2)) {
			p.Lines = append(p.Lines, l)
		}
	}
}

// partOf is the part of a line drawn on the whole that lies on the half, within its
// ring: the longest, where it crosses the line of the split more than once. One that
// does not cross it stays as it is.
func (h *half) partOf(drawn geom.Path, ring geom.Ring) geom.Path {
	if len(drawn) == 0 {
		return drawn
	}
	ends := []float64{0, drawn.Length()}
	for _, m := range geom.MeetPaths(drawn, h.piece.EdgePath(h.seam())) {
		ends = append(ends, drawn.LengthTo(m.P))
	}
	slices.Sort(ends)
	best := drawn
	if len(ends) > 2 {
		longest := 0.0
		for k := 1; k < len(ends); k++ {
			if long := ends[k] - ends[k-1]; long > max(longest, leastOfEdge) && ring.Holds(drawn.PointAt((ends[k]+ends[k-1])/2)) {
				best, longest = drawn.BetweenLengths(ends[k-1], ends[k]), long
			}
		}
	}
	return best
}

// middleOf is where a mark inside a piece lies.
func middleOf(m pattern.Mark) geom.Point {
	if len(m.Path) > 0 {
		return m.Path.PointAt(m.Path.Length() / 2)
	}
	return m.At
}

// called gives the half the name of the part that it became, and its edges at
// the lines of splits the names and settings of that part's edges, by index;
// became is nil where they are not known.
func (h *half) called(part *pattern.Piece, became []int) {
	p := h.piece
	p.Name, p.ID, p.Was, p.Slug = part.Name, part.ID, part.Was, part.Slug
	if !slices.ContainsFunc(p.Edges, func(e pattern.Edge) bool { return e.Fold }) {
		p.Cut = part.Cut
	}
	for k := range became {
		if h.origin[k] >= 0 || became[k] < 0 {
			continue
		}
		e, like := &p.Edges[k], part.Clone().Edges[became[k]]
		if !slices.ContainsFunc(p.Edges, func(o pattern.Edge) bool { return o.Name == like.Name }) {
			e.Name = like.Name
		}
		e.ID, e.Was, e.Allowance, e.Hem = like.ID, like.Was, like.Allowance, like.Hem
	}
}
