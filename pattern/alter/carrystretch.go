package alter

import (
	"fmt"
	"slices"

	"toile/pattern/change"
)

// refuseStretch refuses to carry what was not the same all along an edge to one that is
// sewn to a stretch within it alone, or the other way round, as the bag of a pocket is: a
// taper or a swing is counted from ends that the two do not share.
func (m *making) refuseStretch(s sewing, changes []change.Change, to string) error {
	within := m.pattern.SewnWithin
	if !slices.ContainsFunc(s.own, within) && !slices.ContainsFunc(s.others, within) {
		return nil
	}
	for _, ch := range changes {
		even := ch.Kind == change.EdgeMoved && ch.How != change.HowTapered
		if !even && ch.Kind != change.CornerRounded && ch.Kind != change.CornerRestored {
			return fmt.Errorf("%s: the seam %q sews it to %q of %s along a part within the edge alone, and that was not moved evenly there; "+
				"redraw %s by hand if it is to have the same line, with `toile alter redraw`",
				s.others, s.seam.Name, m.text("edge"), m.piece.Name, to)
		}
	}
	return nil
}
