package alter

import (
	"fmt"
	"slices"

	"toile/geom"
	"toile/pattern"
)

// offPiece is how far in mm a dart's point may lie off its piece, as check has it: a
// place read off a sheet to a tenth of a millimetre.
const offPiece = 0.1

// refusePointsLost refuses an alteration that leaves the point of a dart, which lay on
// its piece before, off it: of the dart only its mouth would be left.
func (m *making) refusePointsLost(before *pattern.Pattern) error {
	for _, q := range m.pattern.Pieces {
		k := slices.IndexFunc(before.Pieces, func(o *pattern.Piece) bool { return o.ID == q.ID && q.ID != "" })
		if k < 0 {
			continue
		}
		old := before.Pieces[k]
		for _, d := range q.Darts() {
			off := pointOff(q, d)
			if off <= offPiece {
				continue
			}
			for _, was := range old.Darts() {
				if was.Mark.Name == d.Mark.Name && pointOff(old, was) <= offPiece {
					return fmt.Errorf("that alteration does not work: %s, %q: the dart %q would be cut off, its point at (%.1f, %.1f) would lie %s off the piece; give less, move the point first with `toile alter move %q %q`, or take the dart away with `toile alter remove %q %q`; the pattern is as it was",
						q.Name, d.Mark.Edge, d.Mark.Name, d.Mark.At.X, d.Mark.At.Y, m.format(off), q.Name, d.Mark.Name, q.Name, d.Mark.Name)
				}
			}
		}
	}
	return nil
}

// pointOff is how far in mm the point of a dart lies off its piece's sewing line; 0 on
// the piece.
func pointOff(q *pattern.Piece, d pattern.Dart) float64 {
	ring, _ := q.SharpRing()
	if ring.Holds(d.Mark.At) {
		return 0
	}
	_, off := geom.Path(ring).Nearest(d.Mark.At)
	return off
}
