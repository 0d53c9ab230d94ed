package alter

import "math"

// sayReadings tells the open notes of fittings whose two sides were read apart
// on the pieces that are made alike: making them so decides between the
// readings, and nobody is to do that without having seen them.
func (m *making) sayReadings(names ...string) {
	for _, f := range m.pattern.Fittings {
		for _, n := range f.Notes {
			if n.Left == nil || n.Right == nil || !n.Open() || (n.Piece != names[0] && n.Piece != names[len(names)-1]) {
				continue
			}
			m.say("note %s of %s was read %s on the wearer's left and %s on the right, %s apart; both readings stay with it",
				f.Key(n), n.Piece, m.format(*n.Left), m.format(*n.Right), m.format(math.Abs(n.Apart())))
		}
	}
}
