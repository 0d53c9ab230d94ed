package pattern

import (
	"fmt"
	"math"
)

// SectionLength is one section of a seam walked on both chains.
type SectionLength struct {
	Name          string  // where it runs: "whole", "start to NOTCH", "NOTCH to NOTCH", "NOTCH to end"
	First, Second float64 // mm along the sewing lines, dart mouths and pleat intakes left out
	Ease          float64 // declared: how much longer the second chain is meant to be
	Gathered      bool
}

// Difference is by how much the second chain is longer than the first.
func (s SectionLength) Difference() float64 { return s.Second - s.First }

// WalkSeam measures a seam section by section along both sewing lines, from
// sharp corner to sharp corner, in sewing order: the second chain runs the
// other way unless the seam says otherwise. Lengths have the accuracy of
// geom.Path.Length.
func (p *Pattern) WalkSeam(s *Seam) ([]SectionLength, error) {
	first, err := p.walkChain(s.First, false)
	if err != nil {
		return nil, fmt.Errorf("seam %q: %w", s.Name, err)
	}
	second, err := p.walkChain(s.Second, !s.SameWay)
	if err != nil {
		return nil, fmt.Errorf("seam %q: %w", s.Name, err)
	}
	sections := s.Sections
	if len(sections) == 0 {
		sections = []Section{{}}
	}
	var out []SectionLength
	var atFirst, atSecond float64
	from := "start"
	for _, c := range sections {
		toFirst, toSecond, name := first.length, second.length, "end"
		if c.First.Piece != "" {
			if toFirst, err = first.notch(p, c.First); err == nil {
				toSecond, err = second.notch(p, c.Second)
			}
			if err != nil {
				return nil, fmt.Errorf("seam %q: %w", s.Name, err)
			}
			name = c.First.Notch
		}
		label := from + " to " + name
		if len(sections) == 1 && name == "end" {
			label = "whole"
		}
		out = append(out, SectionLength{Name: label, First: toFirst - atFirst, Second: toSecond - atSecond, Ease: c.Ease, Gathered: c.Gathered})
		atFirst, atSecond, from = toFirst, toSecond, name
	}
	return out, nil
}

// walked is a chain laid out along its length.
type walked struct {
	length float64
	parts  []walkedPart
}

type walkedPart struct {
	piece, edge string
	from, to    float64 // along the edge from its start
	offset      float64 // of the part's first walked end along the chain
	backwards   bool
	gaps        [][2]float64 // dart mouths and pleat intakes along the edge
}

// walkChain lays a chain out. Stretches of a chain that is walked against the
// outline are taken from their ends.
func (p *Pattern) walkChain(c Chain, backwards bool) (walked, error) {
	var w walked
	for _, st := range c {
		q, err := p.Piece(st.Piece)
		if err != nil {
			return w, err
		}
		i, err := q.EdgeIndex(st.Edge)
		if err != nil {
			return w, err
		}
		to := st.To
		if to == 0 {
			to = q.EdgePath(i).Length()
		}
		part := walkedPart{piece: q.Name, edge: q.Edges[i].Name, from: st.From, to: to, offset: w.length, backwards: backwards != st.Turned}
		for _, m := range q.Marks {
			if (m.Kind == MarkDart || m.Kind == MarkPleat) && m.Edge == part.edge {
				part.gaps = append(part.gaps, [2]float64{m.From, m.To})
			}
		}
		w.length += part.between(part.from, part.to)
		w.parts = append(w.parts, part)
	}
	return w, nil
}

// between returns the sewn length between two places on the part's edge.
func (w walkedPart) between(from, to float64) float64 {
	l := to - from
	for _, g := range w.gaps {
		l -= math.Max(0, math.Min(to, g[1])-math.Max(from, g[0]))
	}
	return l
}

// notch returns how far along the chain a notch lies.
func (w walked) notch(p *Pattern, ref NotchRef) (float64, error) {
	q, err := p.Piece(ref.Piece)
	if err != nil {
		return 0, err
	}
	k := q.NotchByName(ref.Notch)
	if k < 0 {
		return 0, fmt.Errorf("%s has no notch %q", ref.Piece, ref.Notch)
	}
	_, _, at, err := q.NotchPlace(q.Notches[k])
	if err != nil {
		return 0, err
	}
	for _, part := range w.parts {
		if part.piece == q.Name && part.edge == q.Notches[k].Edge && at >= part.from-0.001 && at <= part.to+0.001 {
			if part.backwards {
				return part.offset + part.between(at, part.to), nil
			}
			return part.offset + part.between(part.from, at), nil
		}
	}
	return 0, fmt.Errorf("the notch %q of %s does not lie on the seam", ref.Notch, ref.Piece)
}
