package alter

import (
	"fmt"

	"toile/geom"
	"toile/pattern"
)

var _ = register(&Kind{Name: "mirror", Does: "turns a piece over",
	Alike: []string{"mirror"}, Typed: `pocket`, make: (*making).mirror})

func (m *making) mirror() error {
	old := m.piece
	whole := old.Moved(turnedOver(old))
	whole.Side = otherSide(old.Side)
	asStored(whole)
	m.replace(old, whole)
	m.eachStretch(func(st *pattern.Stretch) {
		if st.Piece == old.Name {
			*st = mirrored(*st, lengthOf(old, st.Edge))
		}
	})
	m.say("%s is turned over", whole.Name)
	return begin(whole).finish()
}

// turnedOver is the motion that turns a piece over from side to side and
// leaves it where it lies on the sheet.
func turnedOver(p *pattern.Piece) geom.Motion {
	ring, _ := p.SharpRing()
	box := ring.Box()
	return geom.Motion{Mirror: true, Shift: geom.Pt(roundTo(box.Min.X+box.Max.X), 0)}
}

func otherSide(side string) string {
	switch side {
	case string(pattern.WearerLeft):
		return string(pattern.WearerRight)
	case string(pattern.WearerRight):
		return string(pattern.WearerLeft)
	}
	return side
}

// lengthOf is the length in mm of a piece's edge, 0 when it has none of that
// name.
func lengthOf(p *pattern.Piece, edge string) float64 {
	i, err := p.EdgeIndex(edge)
	if err != nil {
		return 0
	}
	return p.EdgePath(i).Length()
}

// mirrored is the same stretch of an edge of that length once its outline runs
// the other way: counted from the other end, and walked against it.
func mirrored(st pattern.Stretch, length float64) pattern.Stretch {
	from, to := 0.0, 0.0
	if st.To != 0 && st.To < length-1e-6 {
		from = roundTo(length - st.To)
	}
	if st.From != 0 {
		to = roundTo(length - st.From)
	}
	st.From, st.To, st.Turned = from, to, !st.Turned
	return st
}

// replace puts a piece in the place of another.
func (m *making) replace(old, now *pattern.Piece) {
	for k := range m.pattern.Pieces {
		if m.pattern.Pieces[k] == old {
			m.pattern.Pieces[k] = now
		}
	}
	if m.piece == old {
		m.piece = now
	}
}

// freePieceName refuses the name of another piece.
func (m *making) freePieceName(name string) error {
	if q, err := m.pattern.Piece(name); err == nil && q != m.piece {
		return fmt.Errorf("there is a piece %q already; choose another name, or rename that one first", name)
	}
	return nil
}
