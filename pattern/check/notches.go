package check

import (
	"fmt"
	"math"
	"slices"

	"toile/pattern"
	"toile/pattern/change"
)

// notchKey is a notch of a piece.
type notchKey struct{ piece, notch string }

// partners is what the seams say of a notch.
type partners struct {
	met  bool    // some seam has something for it to meet
	off  float64 // else by how much the nearest notch misses it, mm along its own side
	miss string  // that notch
	seam string
}

// notchPartners finds notches on sewn edges that meet nothing on the other side
// of any of their seams: no notch, no joint between two pieces, no end of an
// opening; and that are not there for a dart, pleat or opening of their own.
func (c *checker) notchPartners() {
	state := map[notchKey]*partners{}
	var order []notchKey
	for _, w := range c.walks {
		for side := range w.sides {
			for _, n := range notchesOn(w.sides[side]) {
				k := notchKey{n.piece.Name, n.notch.Name}
				if state[k] == nil {
					state[k] = &partners{seam: w.seam.Name}
					order = append(order, k)
				}
				c.meet(w, side, n, state[k])
			}
		}
	}
	for _, k := range order {
		if s := state[k]; !s.met {
			c.add(c.alone(k, s))
		}
	}
}

func (c *checker) alone(k notchKey, s *partners) change.Finding {
	q := c.piece(k.piece)
	n := q.Notches[q.NotchByName(k.notch)]
	f := change.Finding{Kind: change.NotchAlone, Seam: s.seam, Pieces: []string{k.piece},
		Where: NotchWords(q, n)}
	if p, _, _, err := q.NotchPlace(n); err == nil {
		f.At = at(p)
	}
	if s.miss != "" {
		f.MM = s.off
		f.Says = fmt.Sprintf("sewn as seam %q it misses %s by %s", s.seam, s.miss, c.length(s.off))
		f.Do = "move one of the two notches, or let the seam have a section that ends at them (`toile seam --match`)"
		return f
	}
	f.Says = fmt.Sprintf("nothing on the other side of seam %q meets it", s.seam)
	f.Do = "set its partner with `toile alter notch`, or take it away"
	return f
}

// NotchWords names a notch as findings do.
func NotchWords(q *pattern.Piece, n pattern.Notch) string {
	return fmt.Sprintf("%s, notch %q on %q", q.Name, n.Name, n.Edge)
}

// missedBy is how far off in mm a notch may lie and still be the one that is
// missed, when it has another name.
const missedBy = 60

// notched is a notch as it lies on a walked chain.
type notched struct {
	piece *pattern.Piece
	notch pattern.Notch
	edge  int
	at    float64 // mm along the edge from its start
	along float64 // mm along the chain
}

func notchesOn(w pattern.Walked) []notched {
	var all []notched
	for _, part := range w.Parts {
		for _, n := range part.Piece.Notches {
			_, _, at, err := part.Piece.NotchPlace(n)
			if err == nil && n.Edge == part.Piece.Edges[part.Edge].Name && part.Holds(part.Piece, part.Edge, at) {
				all = append(all, notched{part.Piece, n, part.Edge, at, part.Along(at)})
			}
		}
	}
	return all
}

// meet looks for something that a notch meets in a seam.
func (c *checker) meet(w walk, side int, n notched, s *partners) {
	if s.met || c.ownUse(n) || w.pairs(side, n) {
		s.met = true
		return
	}
	lo, hi := w.across(side, n.along, c.tol)
	for _, d := range w.stops(1 - side) {
		if d >= lo && d <= hi {
			s.met = true
			return
		}
	}
	for _, d := range w.openingEnds(side) {
		if math.Abs(d-n.along) <= c.tol {
			s.met = true
			return
		}
	}
	for _, o := range notchesOn(w.sides[1-side]) {
		if (o.along >= lo && o.along <= hi) && !w.pairs(1-side, o) {
			s.met = true
			return
		}
		if off := math.Max(lo+c.tol-o.along, o.along-hi+c.tol); (off < missedBy || o.notch.Name == n.notch.Name) && (s.miss == "" || off < s.off) && !w.pairs(1-side, o) {
			s.off, s.seam, s.miss = off, w.seam.Name, fmt.Sprintf("notch %q of %s", o.notch.Name, o.piece.Name)
		}
	}
}

// ownUse reports whether a notch marks the mouth of a dart or the intake of a
// pleat on its own edge.
func (c *checker) ownUse(n notched) bool {
	return slices.ContainsFunc(n.piece.Marks, func(m pattern.Mark) bool {
		return (m.Kind == pattern.MarkDart || m.Kind == pattern.MarkPleat) && m.Edge == n.notch.Edge &&
			n.at >= m.From-1 && n.at <= m.To+1
	})
}

// pairs reports whether a section of the seam ends at the notch.
func (w walk) pairs(side int, n notched) bool {
	return slices.ContainsFunc(w.seam.Sections, func(s pattern.Section) bool {
		ref := [2]pattern.NotchRef{s.First, s.Second}[side]
		return ref.Piece == n.piece.Name && ref.Notch == n.notch.Name
	})
}

// across is where on the other side a place of one side can come to lie, from
// and to, in mm along the other chain: exact but for the ease, which may be
// anywhere in the section; anywhere in a gathered one.
func (w walk) across(side int, along, tol float64) (from, to float64) {
	for _, s := range w.sections {
		if along > s.end(side)+1e-6 && s.end(side) < w.sides[side].Length-1e-6 {
			continue
		}
		rest := along - s.start[side]
		more := s.end(1-side) - s.start[1-side] - (s.end(side) - s.start[side])
		if s.Gathered {
			return s.start[1-side] - tol, s.end(1-side) + tol
		}
		base := s.start[1-side] + rest
		return base + math.Min(0, more) - tol, base + math.Max(0, more) + tol
	}
	return 0, 0
}

// stops lists the places of a chain at which one stretch ends and another
// begins.
func (w walk) stops(side int) []float64 {
	var all []float64
	for _, part := range w.sides[side].Parts[1:] {
		all = append(all, part.Offset)
	}
	return all
}

// openingEnds lists where openings begin and end, along a side.
func (w walk) openingEnds(side int) []float64 {
	var all []float64
	for _, o := range w.seam.Openings {
		for _, d := range []float64{o.From, o.To} {
			if side == 1 {
				from, to := w.across(0, d, 0)
				d = (from + to) / 2
			}
			all = append(all, d)
		}
	}
	return all
}

// notchCorners finds notches nearer to a corner than the neighbour's allowance,
// which covers them when the seam there is pressed or the hem turned up.
func (c *checker) notchCorners() {
	set := c.p.Sets[0]
	for _, q := range c.p.Pieces {
		for _, n := range q.Notches {
			p, _, along, err := q.NotchPlace(n)
			i, errEdge := q.EdgeIndex(n.Edge)
			if err != nil || errEdge != nil {
				continue
			}
			size := len(q.Edges)
			for _, end := range [2]struct {
				away           float64
				next, atCorner int
			}{{along, (i + size - 1) % size, i}, {q.EdgePath(i).Length() - along, (i + 1) % size, (i + 1) % size}} {
				if by := q.Edges[end.next].AllowanceFor(set); end.away < by-0.01 {
					c.add(change.Finding{Kind: change.NotchNearCorner, MM: by - end.away, Pieces: []string{q.Name}, At: at(p),
						Where: fmt.Sprintf("%s, notch %q on %q", q.Name, n.Name, n.Edge),
						Says:  fmt.Sprintf("it lies %s from the corner %s, and the allowance of %q there is %s: it is covered once that is sewn", c.length(end.away), q.CornerName(end.atCorner), q.Edges[end.next].Name, c.length(by)),
						Do:    fmt.Sprintf("move it, and its partner, at least %s from the corner, or take both away", c.length(by))})
				}
			}
		}
	}
}

// notchesLost finds notches of the last version that a shorter edge has left no
// room for, as below a new hem.
func (c *checker) notchesLost() {
	if c.options.Before == nil {
		return
	}
	for _, old := range c.options.Before.Pieces {
		k := slices.IndexFunc(c.p.Pieces, func(q *pattern.Piece) bool { return q.ID == old.ID && q.ID != "" })
		if k < 0 {
			continue
		}
		for _, n := range old.Notches {
			if c.p.Pieces[k].NotchByName(n.Name) < 0 && !c.onSplitOff(old, n) {
				c.notchLost(old, c.p.Pieces[k], n)
			}
		}
	}
}

// onSplitOff reports whether a notch lies on a part that was split off its piece.
func (c *checker) onSplitOff(old *pattern.Piece, n pattern.Notch) bool {
	return slices.ContainsFunc(c.p.Pieces, func(q *pattern.Piece) bool {
		return q.Was != "" && q.Was == old.ID && q.NotchByName(n.Name) >= 0
	})
}

func (c *checker) notchLost(old, q *pattern.Piece, n pattern.Notch) {
	_, _, along, err := old.NotchPlace(n)
	i, errEdge := old.EdgeIndex(n.Edge)
	if err != nil || errEdge != nil || old.Edges[i].ID == "" {
		return
	}
	k := q.EdgeByID(old.Edges[i].ID)
	if k < 0 {
		return
	}
	was, is := old.EdgePath(i).Length(), q.EdgePath(k).Length()
	held, from := along, "start"
	if size := len(old.Edges); c.isHem(old, (i+size-1)%size) { // the hem is at its start
		held, from = was-along, "end"
	}
	if held <= is+0.01 {
		return
	}
	c.add(change.Finding{Kind: change.NotchLost, MM: held - is, Pieces: []string{q.Name}, Where: fmt.Sprintf("%s, notch %q on %q", q.Name, n.Name, q.Edges[k].Name),
		Says: fmt.Sprintf("it lay %s from the %s of %q, which is %s long now; it went with what was cut off", c.length(held), from, q.Edges[k].Name, c.length(is)),
		Do:   fmt.Sprintf("set a new notch on %q where one is needed, and take away its old partner", q.Edges[k].Name)})
}
