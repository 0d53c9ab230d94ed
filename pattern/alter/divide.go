package alter

import (
	"fmt"
	"slices"

	"toile/pattern"
)

// DivideEdge ends edge i of a piece at a length in mm from its start and makes
// the rest the next edge. The outline stays as it is. The longer part keeps
// the edge's id. Notches and marks stay in place, and seams go on with both
// parts, as does what is declared of pieces that lie under it; the sentences say which
// notches count otherwise now.
func DivideEdge(p *pattern.Pattern, q *pattern.Piece, i int, at float64) (says []string, err error) {
	if says, err = divideEdge(p, q, i, at); err == nil {
		declareAtRest(p, q.Name, q.Edges[i].Name, q.Edges[i+1].Name)
	}
	return says, err
}

// divideEdge does that but for what is declared.
func divideEdge(p *pattern.Pattern, q *pattern.Piece, i int, at float64) (says []string, err error) {
	old, path := q.Edges[i], q.EdgePath(i)
	length := path.Length()
	if at >= length-0.01 || at < 0.01 {
		return nil, fmt.Errorf("%s, edge %q: it is %s long and cannot end at %s; give a length between 0 and that",
			q.Name, old.Name, p.Unit.Format(length), p.Unit.Format(at))
	}
	for _, m := range q.Marks {
		if m.Edge == old.Name && m.From < at && m.To > at {
			return nil, fmt.Errorf("%s, edge %q: it cannot end at %s, inside the %s %q, which takes %s to %s; end it before or after that",
				q.Name, old.Name, p.Unit.Format(at), m.Kind, m.Name, p.Unit.Format(m.From), p.Unit.Format(m.To))
		}
	}
	rest := old
	rest.Name = freeEdgeName(q, i+2)
	rest.Allowance = copyAllowance(old.Allowance)
	first := &q.Edges[i]
	first.SetPath(path.BetweenLengths(0, at))
	rest.SetPath(path.BetweenLengths(at, length))
	if at >= length-at {
		rest.ID, rest.Was = "", old.ID
	} else {
		first.ID, first.Was = "", old.ID
	}
	q.Edges = slices.Insert(q.Edges, i+1, rest)
	q.Corners = slices.Insert(q.Corners, i+1, pattern.Corner{At: path.PointAt(at)})
	says = splitNotches(p, q, old.Name, rest.Name, at, length)
	for k := range q.Marks {
		if m := &q.Marks[k]; m.Edge == old.Name && m.From >= at {
			m.Edge, m.From, m.To = rest.Name, m.From-at, m.To-at
		}
	}
	for s := range p.Seams {
		seam := &p.Seams[s]
		seam.First = splitChain(seam.First, q.Name, old.Name, rest.Name, at, false)
		seam.Second = splitChain(seam.Second, q.Name, old.Name, rest.Name, at, !seam.SameWay)
	}
	return says, nil
}

// declareAtRest declares at the rest of a divided edge what is declared at the edge of
// the pieces that lie under it; what is declared of a band is of its whole length.
func declareAtRest(p *pattern.Pattern, outer, edge, rest string) {
	for k := range p.Layers {
		l := &p.Layers[k]
		if l.Outer != outer || l.Band {
			continue
		}
		for _, d := range slices.Clone(l.Differences) {
			if d.Edge == edge {
				d.Edge = rest
				l.Differences = append(l.Differences, d)
			}
		}
	}
}

// freeEdgeName is edge K with the first K from number on that is not taken.
func freeEdgeName(q *pattern.Piece, number int) string {
	names := q.EdgeNames()
	for ; ; number++ {
		if name := fmt.Sprintf("edge %d", number); !slices.Contains(names, name) {
			return name
		}
	}
}

func copyAllowance(from map[string]float64) map[string]float64 {
	to := make(map[string]float64, len(from))
	for set, v := range from {
		to[set] = v
	}
	return to
}

// splitNotches gives each notch of the divided edge to the part it lies on.
// Its distance changes only where the end it counts from went to the other
// part.
func splitNotches(p *pattern.Pattern, q *pattern.Piece, first, rest string, at, length float64) (says []string) {
	for k := range q.Notches {
		n := &q.Notches[k]
		if n.Edge != first {
			continue
		}
		before := n.At
		switch from := n.At; {
		case !n.FromEnd && from > at:
			n.Edge, n.At = rest, from-at
		case n.FromEnd && length-from > at:
			n.Edge = rest
		case n.FromEnd:
			n.At = from - (length - at)
		}
		if n.At != before {
			end := map[bool]string{true: "end", false: "start"}[n.FromEnd]
			says = append(says, fmt.Sprintf("%s, notch %q: it stays in place and is %s from the %s of %q now; it was %s.",
				q.Name, n.Name, p.Unit.Format(n.At), end, n.Edge, p.Unit.Format(before)))
		}
	}
	return says
}

// splitChain replaces the stretches on a divided edge by those on its parts,
// in the order in which the chain runs.
func splitChain(c pattern.Chain, piece, first, rest string, at float64, backwards bool) pattern.Chain {
	var out pattern.Chain
	for _, s := range c {
		if s.Piece != piece || s.Edge != first {
			out = append(out, s)
			continue
		}
		var parts pattern.Chain
		if s.From < at {
			part := s
			if s.To == 0 || s.To >= at {
				part.To = 0
			}
			parts = append(parts, part)
		}
		if s.To == 0 || s.To > at {
			part := s
			part.Edge, part.From = rest, max(0, s.From-at)
			if s.To != 0 {
				part.To = s.To - at
			}
			parts = append(parts, part)
		}
		if backwards != s.Turned {
			slices.Reverse(parts)
		}
		out = append(out, parts...)
	}
	return out
}
