package pattern

import (
	"cmp"
	"math"
	"slices"
)

// bandEase counts what is declared of a band as ease-in where a seam sews it to
// what it follows: in the section that it explains best. A seam of which ease-in
// is recorded, or that is gathered, says itself what is meant. Nothing is counted
// where the band's edge runs on beyond what is sewn of it, as under an overlap: it
// may be as long as it likes there.
func (p *Pattern) bandEase(s *Seam, sections []SectionLength) {
	recorded := func(c SectionLength) bool { return c.Ease != 0 || c.Gathered }
	if slices.ContainsFunc(sections, recorded) {
		return
	}
	by := p.bandDifference(s, s.Second, s.First) - p.bandDifference(s, s.First, s.Second)
	if by == 0 {
		return
	}
	best := 0
	for k, c := range sections {
		if math.Abs(c.Difference()-by) < math.Abs(sections[best].Difference()-by) {
			best = k
		}
	}
	sections[best].Ease = by
}

// bandDifference is the sum in mm of what is declared of the bands of one chain
// that follow pieces of the other. The same declared of several outers counts once.
func (p *Pattern) bandDifference(s *Seam, band, followed Chain) float64 {
	var seen []Difference
	sum := 0.0
	for _, st := range band {
		for _, l := range p.Layers {
			if !l.Band || !slices.Contains(l.Inner, st.Piece) {
				continue
			}
			for _, d := range l.Differences {
				at := func(o Stretch) bool { return o.Piece == l.Outer && d.Follows(st.Piece, o.Edge) }
				if !slices.ContainsFunc(followed, at) || !p.sewnWhole(s, st) {
					continue
				}
				if d.Piece = st.Piece; !slices.Contains(seen, d) {
					seen, sum = append(seen, d), sum+d.By
				}
			}
		}
	}
	return sum
}

// sewnWhole reports whether all of an edge is sewn, in a seam and in others.
func (p *Pattern) sewnWhole(s *Seam, at Stretch) bool {
	q, err := p.Piece(at.Piece)
	if err != nil {
		return false
	}
	i, err := q.EdgeIndex(at.Edge)
	if err != nil {
		return false
	}
	var parts [][2]float64
	length := q.EdgePath(i).Length()
	add := func(c Chain) {
		for _, st := range c {
			if st.Piece == at.Piece && st.Edge == at.Edge {
				to := st.To
				if to == 0 {
					to = length
				}
				parts = append(parts, [2]float64{st.From, to})
			}
		}
	}
	add(slices.Concat(s.First, s.Second))
	for k := range p.Seams {
		if o := &p.Seams[k]; o.Name != s.Name {
			add(slices.Concat(o.First, o.Second))
		}
	}
	slices.SortFunc(parts, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
	const within = 1 // mm; less is no overlap
	reached := 0.0
	for _, part := range parts {
		if part[0] > reached+within {
			return false
		}
		reached = math.Max(reached, part[1])
	}
	return reached > length-within
}
