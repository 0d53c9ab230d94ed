package alter

import (
	"errors"
	"fmt"

	"toile/pattern"
)

// errTurnedOver says that an inner piece is not drawn the way up that its outer is.
var errTurnedOver = errors.New("it lies turned over; turn it first, so that both are drawn the same way up")

// lieTurned is lie for an inner piece that lies turned over on its outer, in a copy
// turned over as `mirror` does it: along which edges it lies is told all the same.
func lieTurned(state, now *pattern.Pattern, outer, inner *pattern.Piece) (*lying, error) {
	over := inner.Moved(turnedOver(inner))
	asStored(over)
	l, err := lie(state, now, outer, over)
	if err != nil {
		return nil, err
	}
	l.turned = true
	return l, nil
}

// refuseTurned refuses to carry to an inner piece that lies turned over on its outer
// now, and says how to turn it.
func (m *making) refuseTurned(inner, edge string) error {
	if l, _, ok := layerAt(m.pattern, m.pattern, m.piece.Name, edge, inner); ok && l.turned {
		return fmt.Errorf("%s lies turned over on %s; turn it with `toile alter mirror %q`, so that both are drawn the same way up, and carry again", inner, m.piece.Name, inner)
	}
	return nil
}
