package pattern

import (
	"cmp"
	"fmt"
	"math"
	"slices"
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

// Left is by how many mm the second side is longer than is meant, ease-in counted;
// negative: shorter.
func (s SectionLength) Left() float64 { return s.Difference() - s.Ease }

// WalkSeam measures a seam section by section along both sewing lines, from
// sharp corner to sharp corner, in sewing order: the second chain runs the
// other way unless the seam says otherwise. What is declared of a band, and at a fold
// of an inner piece sewn to another, counts as ease-in where none is recorded. Lengths have the accuracy of geom.Path.Length.
func (p *Pattern) WalkSeam(s *Seam) ([]SectionLength, error) {
	first, second, err := p.WalkChains(s)
	if err != nil {
		return nil, err
	}
	sections := s.Sections
	if len(sections) == 0 {
		sections = []Section{{}}
	}
	var out []SectionLength
	var atFirst, atSecond float64
	from := "start"
	for _, c := range sections {
		toFirst, toSecond, name := first.Length, second.Length, "end"
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
	p.bandEase(s, out)
	p.pleatEase(s, first, second, out)
	return out, nil
}

// WalkChains lays both chains of a seam out, each in sewing order from where
// the seam starts.
func (p *Pattern) WalkChains(s *Seam) (first, second Walked, err error) {
	if first, err = p.walkChain(s.First, false); err == nil {
		second, err = p.walkChain(s.Second, !s.SameWay)
	}
	if err != nil {
		err = fmt.Errorf("seam %q: %w", s.Name, err)
	}
	return first, second, err
}

// Walked is a chain laid out along its length, in mm as sewn.
type Walked struct {
	Length float64
	Parts  []WalkedPart
}

// WalkedPart is one stretch of a walked chain.
type WalkedPart struct {
	Piece     *Piece
	Edge      int
	From, To  float64 // mm along the edge from its start
	Offset    float64 // mm along the chain to the part's first walked end
	Backwards bool    // walked from To to From, against the outline
	gaps      [][2]float64
}

// walkChain lays a chain out. Stretches of a chain that is walked against the
// outline are taken from their ends.
func (p *Pattern) walkChain(c Chain, backwards bool) (Walked, error) {
	var w Walked
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
		part := WalkedPart{Piece: q, Edge: i, From: st.From, To: to, Offset: w.Length, Backwards: backwards != st.Turned, gaps: q.FoldedOut(i)}
		w.Length += part.Between(part.From, part.To)
		w.Parts = append(w.Parts, part)
	}
	return w, nil
}

// FoldedOut lists what darts and pleats take out of edge i: the mouths and
// intakes along it from its start in mm, in order, those that overlap as one.
func (p *Piece) FoldedOut(i int) [][2]float64 {
	var gaps [][2]float64
	for _, m := range p.Marks {
		if (m.Kind == MarkDart || m.Kind == MarkPleat) && m.Edge == p.Edges[i].Name {
			gaps = append(gaps, [2]float64{m.From, m.To})
		}
	}
	slices.SortFunc(gaps, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
	var merged [][2]float64
	for _, g := range gaps {
		if n := len(merged); n > 0 && g[0] <= merged[n-1][1] {
			merged[n-1][1] = math.Max(merged[n-1][1], g[1])
			continue
		}
		merged = append(merged, g)
	}
	return merged
}

// Between returns the sewn length between two places on the part's edge, dart
// mouths and pleat intakes left out.
func (w WalkedPart) Between(from, to float64) float64 {
	l := to - from
	for _, g := range w.gaps {
		l -= math.Max(0, math.Min(to, g[1])-math.Max(from, g[0]))
	}
	return l
}

// Length is the part's sewn length.
func (w WalkedPart) Length() float64 { return w.Between(w.From, w.To) }

// Along returns how far along the chain a place on the part's edge lies, in mm.
func (w WalkedPart) Along(at float64) float64 {
	if w.Backwards {
		return w.Offset + w.Between(at, w.To)
	}
	return w.Offset + w.Between(w.From, at)
}

// Holds reports whether a place along an edge lies on the part.
func (w WalkedPart) Holds(q *Piece, edge int, at float64) bool {
	return w.Piece == q && w.Edge == edge && at >= w.From-alongEdge && at <= w.To+alongEdge
}

// Place returns the place at a distance along the chain: the part, and the mm
// along its edge from the edge's start. Beyond the ends it is the end.
func (w Walked) Place(along float64) (WalkedPart, float64) {
	k := 0
	for k+1 < len(w.Parts) && w.Parts[k+1].Offset <= along {
		k++
	}
	part := w.Parts[k]
	rest := math.Max(0, math.Min(along-part.Offset, part.Length()))
	if !part.Backwards {
		at := part.From + rest
		for _, g := range part.gaps {
			if taken := g[1] - math.Max(g[0], part.From); taken > 0 && math.Max(g[0], part.From) < at-1e-9 {
				at += taken
			}
		}
		return part, at
	}
	at := part.To - rest
	for _, g := range slices.Backward(part.gaps) {
		if taken := math.Min(g[1], part.To) - g[0]; taken > 0 && math.Min(g[1], part.To) > at+1e-9 {
			at -= taken
		}
	}
	return part, at
}

// notch returns how far along the chain a notch lies.
func (w Walked) notch(p *Pattern, ref NotchRef) (float64, error) {
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
	for _, part := range w.Parts {
		if edge, ok := q.edgeNamed(q.Notches[k].Edge); ok && part.Holds(q, edge, at) {
			return part.Along(at), nil
		}
	}
	return 0, fmt.Errorf("the notch %q of %s does not lie on the seam", ref.Notch, ref.Piece)
}

// Gathered reports whether the longer side of a seam is gathered in every section, so
// that its edges need not be as long as each other.
func (p *Pattern) Gathered(s *Seam) bool {
	sections, err := p.WalkSeam(s)
	return err == nil && len(sections) > 0 && !slices.ContainsFunc(sections, func(c SectionLength) bool { return !c.Gathered })
}
