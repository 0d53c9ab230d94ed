package alter

import (
	"fmt"
	"slices"

	"toile/pattern"
)

// OneHalfError refuses to carry to a piece on the fold what one half alone of the
// garment was given: both halves of that piece would change.
type OneHalfError struct {
	Half, Piece, Edge string // the piece on the fold; what changed
}

// Error says so, and what to do.
func (e *OneHalfError) Error() string {
	return fmt.Sprintf("%s is cut on the fold, and %q of %s changed on one half alone: both halves of it would change; draw it whole first with %s",
		e.Half, e.Edge, e.Piece, e.Steps())
}

// Steps are the commands by which the change gets to the one half.
func (e *OneHalfError) Steps() string {
	return fmt.Sprintf("`toile alter unfold %q`, then `toile alter carry %q %q --to %q`", e.Half, e.Piece, e.Edge, e.Half)
}

// OtherHalves are the edges, each with its piece before it, that are sewn to the other
// half of a follower on the fold, where the edge that it follows is sewn to one half of
// it: of the same piece, drawn whole, or of the one that is worn on the other side.
func (f Follower) OtherHalves(p *pattern.Pattern, q *pattern.Piece, edge string) (others [][2]string) {
	half, err := p.Piece(f.Piece)
	if err != nil || f.Why != Sewn || half.Cut != pattern.CutOnFold || q.Cut != pattern.CutOne {
		return nil
	}
	eachSewn(p, f.Piece, f.Edge, func(seam, side int, _ pattern.Stretch) {
		for _, st := range p.SewnTo(&p.Seams[seam], side, f.Piece, f.Edge) {
			other, err := p.Piece(st.Piece)
			if err != nil || other.Cut != pattern.CutOne || other == q && st.Edge == edge || other != q && !twoSides(q, other) {
				continue
			}
			if at := [2]string{st.Piece, st.Edge}; seam != f.seam && !slices.Contains(others, at) {
				others = append(others, at)
			}
		}
	})
	return others
}

// twoSides reports whether one of two pieces is worn on the left and one on the right.
func twoSides(a, b *pattern.Piece) bool {
	return a.Side != b.Side && a.Side != "" && b.Side != ""
}
