package pattern

import "slices"

// pleatEase counts as ease-in what PleatEase says, in the section at the fold.
func (p *Pattern) pleatEase(s *Seam, first, second Walked, sections []SectionLength) {
	ends := p.pleats(s, first, second)
	sections[0].Ease += ends[0]
	sections[len(sections)-1].Ease += ends[1]
}

// PleatEase is by how many mm the second side of a seam is meant to be longer at its
// start and at its end, for what one inner piece of an outer is declared to be wider
// at a fold than the other that it is sewn to there: a back pleat of a lining is laid
// at its seam to the facing. It is 0 where ease-in is recorded of the section there.
func (p *Pattern) PleatEase(s *Seam) (ends [2]float64) {
	first, second, err := p.WalkChains(s)
	if err != nil {
		return ends
	}
	return p.pleats(s, first, second)
}

// pleats is PleatEase for a seam that was walked.
func (p *Pattern) pleats(s *Seam, first, second Walked) (ends [2]float64) {
	for k, atEnd := range []bool{false, true} {
		a, b := first.foldAt(atEnd), second.foldAt(atEnd)
		if a == nil || b == nil || s.easeSaid(atEnd) {
			continue
		}
		for _, l := range p.Layers {
			if !l.Band && slices.Contains(l.Inner, a.Piece.Name) && p.finishesTo(l.Outer, b.Piece.Name) {
				ends[k] = p.widerAtFold(l.Outer, b) - p.widerAtFold(l.Outer, a)
				break
			}
		}
	}
	return ends
}

// easeSaid reports whether the first or the last section of a seam is gathered or
// has ease-in recorded.
func (s *Seam) easeSaid(last bool) bool {
	n := len(s.Sections)
	if n == 0 {
		return false
	}
	c := s.Sections[0]
	if last {
		c = s.Sections[n-1]
	}
	return c.Gathered || c.Ease != 0
}

// foldAt is the fold at one end of a walked chain that reaches to it, as a part of the
// piece there; nil where there is none.
func (w Walked) foldAt(atEnd bool) *WalkedPart {
	if len(w.Parts) == 0 {
		return nil
	}
	part := w.Parts[0]
	if atEnd {
		part = w.Parts[len(w.Parts)-1]
	}
	n := len(part.Piece.Edges)
	fold := (part.Edge + n - 1) % n
	if atEnd != part.Backwards {
		fold = (part.Edge + 1) % n
		if part.To < part.Piece.EdgePath(part.Edge).Length()-alongEdge {
			return nil
		}
	} else if part.From > alongEdge {
		return nil
	}
	if !part.Piece.Edges[fold].Fold {
		return nil
	}
	return &WalkedPart{Piece: part.Piece, Edge: fold}
}

// finishesTo reports whether a piece is an inner piece of an outer.
func (p *Pattern) finishesTo(outer, inner string) bool {
	return slices.ContainsFunc(p.Layers, func(l Layer) bool { return !l.Band && l.Outer == outer && slices.Contains(l.Inner, inner) })
}

// widerAtFold is the sum in mm of what is declared of an inner piece at the edge of an
// outer that its fold is called as.
func (p *Pattern) widerAtFold(outer string, fold *WalkedPart) float64 {
	sum := 0.0
	for _, l := range p.Layers {
		if l.Band || l.Outer != outer || !slices.Contains(l.Inner, fold.Piece.Name) {
			continue
		}
		by, _ := l.Declared(fold.Piece.Name, fold.Piece.Edges[fold.Edge].Name)
		sum += by
	}
	return sum
}
