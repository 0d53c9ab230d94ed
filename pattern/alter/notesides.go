package alter

import (
	"fmt"

	"toile/pattern"
)

// notesOfSides gives the notes of a pair that was separated to the piece of the side
// that they speak of. Open ones that speak of both or say none stay with the piece
// that was drawn, and are told. own is what that is called now, side what it shows;
// its is the other's name.
func (m *making) notesOfSides(own, its, side string) {
	for _, f := range m.pattern.Fittings {
		for k := range f.Notes {
			n := &f.Notes[k]
			switch {
			case n.Piece != own:
			case string(n.Side) == otherSide(side):
				n.Piece = its
				m.say("note %s, on the wearer's %s, goes with %q", f.Key(*n), n.Side, its)
			case string(n.Side) != side && n.Open():
				m.say("note %s %s; it keeps to %q and is listed with %q too", f.Key(*n), sideSaid(*n), own, its)
			}
		}
	}
}

// notesOfHalves asks on which half of a piece drawn whole the notes of one of the
// wearer's sides lie, where there are such that are open, and tells of open notes
// that speak of both sides or say none.
func (m *making) notesOfHalves() error {
	drawn := m.text("drawn")
	if drawn != "" && drawn != string(pattern.WearerLeft) && drawn != string(pattern.WearerRight) {
		return fmt.Errorf("%s: --drawn is %q; it is left or right, the wearer's side that the half shows as it is drawn, right side up", m.piece.Name, drawn)
	}
	for _, f := range m.pattern.Fittings {
		for _, n := range f.Notes {
			switch {
			case n.Piece != m.piece.Name || !n.Open():
			case n.Side != pattern.WearerLeft && n.Side != pattern.WearerRight:
				m.say("note %s %s; it lies on the half that was drawn", f.Key(n), sideSaid(n))
			case drawn == "":
				return fmt.Errorf("%s: note %s is of the wearer's %s, and drawn whole the piece has both; say with --drawn left or --drawn right which side the half shows as it is drawn, right side up", m.piece.Name, f.Key(n), n.Side)
			}
		}
	}
	return nil
}

// sideSaid says that a note is of no side alone.
func sideSaid(n pattern.Note) string {
	if n.Side == pattern.WearerBoth {
		return "speaks of both sides"
	}
	return "names no side"
}
