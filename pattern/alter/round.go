package alter

import (
	"fmt"

	"toile/pattern"
)

// The keys with which a corner and its mirror image are altered together.
var (
	mirroredKey  = Key{Name: "mirrored", What: Flag, Means: "its mirror image too, on the piece drawn whole, or with --with on the piece of the other side"}
	otherSideKey = Key{Name: "with", What: Piece, Means: "the piece of the wearer's other side, for --mirrored"}
)

var _ = register(&Kind{Name: "round-corner", Does: "rounds a corner; the sharp corner is kept and can be restored",
	Keys: []Key{
		{Name: "corner", What: Corner, Needed: true, Typed: true, Means: "EDGE/EDGE or the corner's name"},
		{Name: "radius", What: Length, Needed: true, Typed: true, Means: "the radius"},
		mirroredKey, otherSideKey,
	}, Alike: []string{"restore-corner"}, Typed: `front "front edge/hemline" 40mm`, make: (*making).roundCorner})

var _ = register(&Kind{Name: "restore-corner", Does: "makes a rounded corner sharp again",
	Keys: []Key{{Name: "corner", What: Corner, Needed: true, Typed: true, Means: "EDGE/EDGE or the corner's name"},
		mirroredKey, otherSideKey},
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
	return m.roundBoth(i, r)
}

// roundBoth rounds a corner, and where that is asked its mirror image; 0 makes it
// sharp.
func (m *making) roundBoth(i int, r float64) error {
	other, j, err := m.mirroredCorner(i)
	if err != nil {
		return err
	}
	m.piece.Corners[i].Round = r
	if err := begin(m.piece).finish(); err != nil || other == nil {
		return err
	}
	other.Corners[j].Round = r
	m.say("%s, corner %q, its mirror image, is altered alike", other.Name, other.CornerName(j))
	return begin(other).finish()
}

func (m *making) restoreCorner() error {
	i, err := m.corner("corner")
	if err != nil {
		return err
	}
	if m.piece.Corners[i].Round == 0 {
		return fmt.Errorf("%s: the corner %q is not rounded", m.piece.Name, m.piece.CornerName(i))
	}
	return m.roundBoth(i, 0)
}

// mirroredCorner finds the corner that is the mirror image of corner i: on the
// piece itself laid over its own mirror image, or on the one of the other side.
// The piece is nil where it was not asked for.
func (m *making) mirroredCorner(i int) (*pattern.Piece, int, error) {
	if !m.flag("mirrored") {
		if m.has("with") {
			return nil, 0, fmt.Errorf("%s: --with names the other side's piece for --mirrored; give both", m.piece.Name)
		}
		return nil, 0, nil
	}
	s := &sides{first: m.piece, second: m.piece}
	if m.has("with") {
		var err error
		if s.second, err = m.pattern.Piece(m.text("with")); err != nil {
			return nil, 0, err
		}
	}
	if a, b := len(s.first.Edges), len(s.second.Edges); a != b {
		return nil, 0, fmt.Errorf("%s has %s and %s has %d; round each corner by itself", s.first.Name, edgesSaid(a), s.second.Name, b)
	}
	if err := m.laySides(s); err != nil {
		return nil, 0, err
	}
	at := s.laid.Corners[s.pair[i]].At
	best := 0
	for j := range s.second.Corners {
		if s.lay.Apply(s.second.Corners[j].At).Dist(at) < s.lay.Apply(s.second.Corners[best].At).Dist(at) {
			best = j
		}
	}
	if off := at.Dist(s.first.Corners[i].At); off > mirroredWithin {
		return nil, 0, fmt.Errorf("%s, corner %q has no mirror image on %s: the nearest corner lies %s off; round each by itself", m.piece.Name, m.piece.CornerName(i), s.second.Name, m.format(off))
	}
	if s.second == m.piece && best == i {
		return nil, 0, fmt.Errorf("%s, corner %q lies in the middle and is its own mirror image; leave --mirrored out", m.piece.Name, m.piece.CornerName(i))
	}
	return s.second, best, nil
}

// mirroredWithin is how far in mm a corner may lie from the mirror image of
// another to be taken as it: sides that were altered a little apart still
// answer each other.
const mirroredWithin = 15
