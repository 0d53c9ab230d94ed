package alter

import (
	"fmt"
)

var _ = register(&Kind{Name: "round-corner", Does: "rounds a corner; the sharp corner is kept and can be restored",
	Keys: []Key{
		{Name: "corner", What: Corner, Needed: true, Typed: true, Means: "EDGE/EDGE or the corner's name"},
		{Name: "radius", What: Length, Needed: true, Typed: true, Means: "the radius"},
	}, Alike: []string{"restore-corner"}, Typed: `front "front edge/hemline" 40mm`, make: (*making).roundCorner})

var _ = register(&Kind{Name: "restore-corner", Does: "makes a rounded corner sharp again",
	Keys:  []Key{{Name: "corner", What: Corner, Needed: true, Typed: true, Means: "EDGE/EDGE or the corner's name"}},
	Alike: []string{"round-corner"}, Typed: `front "front edge/hemline"`, make: (*making).restoreCorner})

// corner finds the corner that a key names.
func (m *making) corner(key string) (int, error) {
	i := m.piece.CornerIndex(m.text(key))
	if i < 0 {
		return 0, fmt.Errorf("%s has no corner %q; write it as EDGE/EDGE or by its name; its corners are %s",
			m.piece.Name, m.text(key), m.cornerNames())
	}
	return i, nil
}

func (m *making) cornerNames() string {
	text := ""
	for i := range m.piece.Corners {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%q", m.piece.CornerName(i))
	}
	return text
}

func (m *making) roundCorner() error {
	i, err := m.corner("corner")
	if err != nil {
		return err
	}
	r, err := m.positive("radius")
	if err != nil {
		return err
	}
	m.piece.Corners[i].Round = r
	return begin(m.piece).finish()
}

func (m *making) restoreCorner() error {
	i, err := m.corner("corner")
	if err != nil {
		return err
	}
	if m.piece.Corners[i].Round == 0 {
		return fmt.Errorf("%s: the corner %q is not rounded", m.piece.Name, m.piece.CornerName(i))
	}
	m.piece.Corners[i].Round = 0
	return begin(m.piece).finish()
}
