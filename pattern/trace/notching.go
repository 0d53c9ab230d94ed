package trace

import (
	"fmt"
	"math"
	"sort"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// sameNotch: a notch drawn within so many mm of a stored one is that one.
const sameNotch = 0.5

// seat is where a notch sits: on an edge of the piece, mm from its start.
type seat struct {
	edge int
	from float64
	dist float64 // mm from the place asked for
}

// seatAt finds the place on the sewing line nearest to q.
func (t *tracing) seatAt(q geom.Point) seat {
	best := seat{dist: math.Inf(1)}
	for i := range t.piece.Edges {
		path := t.piece.EdgePath(i)
		if at, d := path.Nearest(q); d < best.dist {
			best = seat{i, path.LengthTo(at), d}
		}
	}
	return best
}

// notch anchors a notch at a seat, from the nearer end.
func (t *tracing) notch(name string, d drawnNotch) pattern.Notch {
	s := d.seat
	length := t.piece.EdgePath(s.edge).Length()
	n := pattern.Notch{Name: name, Edge: t.piece.Edges[s.edge].Name, Count: max(d.count, 1)}
	n.FromEnd = s.from > length/2
	n.At = t.anchor(n.FromEnd, s, length)
	return n
}

func (t *tracing) anchor(fromEnd bool, s seat, length float64) float64 {
	at := s.from
	if fromEnd {
		at = length - s.from
	}
	return units.Round(math.Min(math.Max(at, 0), length), 3)
}

// drawnNotch is a notch of the drawing on the piece.
type drawnNotch struct {
	name  string
	count int
	seat  seat
	done  bool
}

// notches settles the piece's notches from the drawing and what is stored.
func (t *tracing) notches() error {
	drawn := make([]drawnNotch, len(t.o.Notches))
	for i, n := range t.o.Notches {
		if n.Name != "" {
			name, err := pattern.CleanName(n.Name)
			if err != nil {
				return fmt.Errorf("notch at %s: %w; change its label", placeText(n.At), err)
			}
			drawn[i].name = name
		}
		drawn[i].seat, drawn[i].count = t.seatAt(n.At), min(n.Count, 9)
		t.tellBeyond(drawn[i], n.At)
	}
	t.piece.Notches = nil
	if t.old != nil {
		t.keepNotches(drawn)
	}
	taken := map[string]bool{}
	for _, n := range t.piece.Notches {
		taken[n.Name] = true
	}
	for _, d := range drawn {
		if d.name != "" && !d.done {
			t.piece.Notches = append(t.piece.Notches, t.notch(unusedName(d.name, taken), d))
		}
	}
	for _, d := range drawn {
		if d.name == "" && !d.done {
			t.piece.Notches = append(t.piece.Notches, t.notch(numberedName("notch", 1, taken), d))
		}
	}
	return nil
}

// tellBeyond says that a notch on the cutting line lies beyond the end of the
// sewing line's edge, so that nothing on it is square below.
func (t *tracing) tellBeyond(d drawnNotch, at geom.Point) {
	if !t.cutting() {
		return
	}
	path := t.piece.EdgePath(d.seat.edge)
	foot := path.PlaceAt(d.seat.from)
	if math.Abs(path[foot.Curve].Tangent(foot.T).Dot(at.Sub(path.At(foot)))) > sameNotch {
		t.says("the notch at %s on the cutting line lies beside the end of edge %q; it is put at the corner",
			placeText(at), t.piece.Edges[d.seat.edge].Name)
	}
}

// storedNotch is a stored notch on its way to the new outline.
type storedNotch struct {
	notch pattern.Notch // as it will be anchored
	seat  seat
	ok    bool // it has a place on the new outline
	done  bool
}

// keepNotches carries the stored notches over and marks the drawn ones they
// account for.
func (t *tracing) keepNotches(drawn []drawnNotch) {
	stored := make([]storedNotch, len(t.old.Notches))
	for i, n := range t.old.Notches {
		stored[i] = t.carriedNotch(n)
	}
	if len(drawn) > 0 {
		t.pairNotches(stored, drawn)
	}
	for i, s := range stored {
		name := t.old.Notches[i].Name
		switch {
		case s.done || (s.ok && len(drawn) == 0):
			t.piece.Notches = append(t.piece.Notches, s.notch)
		case s.ok && t.endsSection(name):
			t.says("notch %q is not drawn, but a seam counts on it; it stays", name)
			t.piece.Notches = append(t.piece.Notches, s.notch)
		case s.ok:
			t.says("notch %q is not drawn, while others are; it is gone", name)
		default:
			t.says("notch %q, %s from the %s of edge %q, has no place on the new outline; it is gone",
				name, t.p.Unit.Format(s.notch.At), endWord(s.notch.FromEnd), s.notch.Edge)
		}
	}
}

func endWord(fromEnd bool) string {
	if fromEnd {
		return "end"
	}
	return "start"
}

// carriedNotch finds a stored notch's place on the new outline: by its anchor,
// or where its edge was divided or is gone, where it lay.
func (t *tracing) carriedNotch(n pattern.Notch) storedNotch {
	k, err := t.old.EdgeIndex(n.Edge)
	if err != nil {
		return storedNotch{notch: n}
	}
	at, _, _, _ := t.old.NotchPlace(n)
	edge := t.newIndex(k)
	if edge < 0 || t.divided(k) {
		s := t.seatAt(at)
		if s.dist > math.Max(t.tol, 0.05) {
			return storedNotch{notch: n}
		}
		moved := n
		moved.Edge = t.piece.Edges[s.edge].Name
		length := t.piece.EdgePath(s.edge).Length()
		if a := t.anchor(n.FromEnd, s, length); math.Abs(a-n.At) > math.Max(t.tol, 0.002) {
			moved.At = a
		}
		if moved != n {
			t.says("notch %q stays where it is, now %s from the %s of edge %q", n.Name,
				t.p.Unit.Format(moved.At), endWord(moved.FromEnd), moved.Edge)
		}
		return storedNotch{notch: moved, seat: s, ok: true}
	}
	length := t.piece.EdgePath(edge).Length()
	s := seat{edge: edge, from: n.At}
	if n.FromEnd {
		s.from = length - n.At
	}
	return storedNotch{notch: n, seat: s, ok: n.At <= length+0.001}
}

// divided reports whether another new edge is a part of the stored one.
func (t *tracing) divided(stored int) bool {
	for _, e := range t.piece.Edges {
		if e.ID == "" && e.Was != "" && e.Was == t.old.Edges[stored].ID {
			return true
		}
	}
	return false
}

func (t *tracing) endsSection(notch string) bool {
	for _, s := range t.p.Seams {
		for _, c := range s.Sections {
			if (c.First.Piece == t.name && c.First.Notch == notch) || (c.Second.Piece == t.name && c.Second.Notch == notch) {
				return true
			}
		}
	}
	return false
}

// pairNotches pairs stored and drawn notches: those that lie together, then
// those of one name, then the nearest on the same edge.
func (t *tracing) pairNotches(stored []storedNotch, drawn []drawnNotch) {
	type pair struct {
		s, d int
		off  float64
	}
	stage := func(fits func(s storedNotch, d drawnNotch, off float64) bool) {
		var pairs []pair
		for i, s := range stored {
			for j, d := range drawn {
				off := math.Inf(1)
				if s.ok && s.seat.edge == d.seat.edge {
					off = math.Abs(s.seat.from - d.seat.from)
				}
				if !s.done && !d.done && fits(s, d, off) {
					pairs = append(pairs, pair{i, j, off})
				}
			}
		}
		sort.SliceStable(pairs, func(x, y int) bool { return pairs[x].off < pairs[y].off })
		for _, p := range pairs {
			if s, d := &stored[p.s], &drawn[p.d]; !s.done && !d.done {
				s.done, d.done = true, true
				if p.off > sameNotch {
					t.moveNotch(s, *d)
				}
			}
		}
	}
	stage(func(_ storedNotch, _ drawnNotch, off float64) bool { return off <= sameNotch })
	stage(func(s storedNotch, d drawnNotch, _ float64) bool { return s.notch.Name == d.name })
	stage(func(s storedNotch, d drawnNotch, off float64) bool { return d.name == "" && !math.IsInf(off, 1) })
}

// moveNotch gives a stored notch the place it was drawn at.
func (t *tracing) moveNotch(s *storedNotch, d drawnNotch) {
	edge := t.piece.Edges[d.seat.edge].Name
	length := t.piece.EdgePath(d.seat.edge).Length()
	anchor := t.anchor(s.notch.FromEnd, d.seat, length)
	if t.staysAt(s.notch.Name, t.piece.EdgePath(d.seat.edge).PointAt(d.seat.from)) {
		t.says("notch %q stays where it is, now %s from the %s of edge %q", s.notch.Name,
			t.p.Unit.Format(anchor), endWord(s.notch.FromEnd), edge)
	} else if s.ok && s.seat.edge == d.seat.edge {
		t.says("notch %q moved by %s along edge %q", s.notch.Name, t.p.Unit.FormatSigned(d.seat.from-s.seat.from), edge)
	} else {
		t.says("notch %q moved from edge %q to %q", s.notch.Name, s.notch.Edge, edge)
	}
	s.notch.Edge, s.notch.At = edge, anchor
	s.seat, s.ok = d.seat, true
}

// staysAt reports whether a stored notch lay at that place before.
func (t *tracing) staysAt(notch string, at geom.Point) bool {
	k := t.old.NotchByName(notch)
	if k < 0 {
		return false
	}
	was, _, _, err := t.old.NotchPlace(t.old.Notches[k])
	return err == nil && was.Dist(at) <= sameNotch
}
