package pattern

import "math"

// leastSewnTo is along which share of the shorter of two edges they are sewn to each
// other at least, for one to follow the other: where chains of several edges meet, the
// joints of one seldom lie at those of the other to the millimetre.
const leastSewnTo = 0.25

// SewnTo lists the stretches of one chain of a seam (0 for the first, 1 for the second)
// to which an edge of the other chain is sewn, in the order of that chain: those along
// a quarter of the shorter of the two at least, section by section in proportion. It is
// the whole chain where none is, or the seam cannot be walked.
func (p *Pattern) SewnTo(s *Seam, side int, piece, edge string) Chain {
	c := [2]Chain{s.First, s.Second}[side]
	if len(c) < 2 {
		return c
	}
	sides, bounds, err := p.laidOut(s)
	if err != nil {
		return c
	}
	var found Chain
	for k, other := range sides[side].Parts {
		from, to := other.Offset, other.Offset+other.Length()
		for _, own := range sides[1-side].Parts {
			if own.Piece.Name != piece || own.edgeName() != edge {
				continue
			}
			a, b := otherSide(bounds, 1-side, own.Offset), otherSide(bounds, 1-side, own.Offset+own.Length())
			if math.Min(to, b)-math.Max(from, a) >= leastSewnTo*math.Min(to-from, b-a) {
				found = append(found, c[k])
				break
			}
		}
	}
	if len(found) == 0 {
		return c
	}
	return found
}
