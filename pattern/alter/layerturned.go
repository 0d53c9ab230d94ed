package alter

import (
	"errors"
	"fmt"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/match"
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

// pairUnderSides are the outers, one of each of the wearer's sides, under which the
// two pieces of a pair lie; ok is false where an inner piece is no pair, or finishes to
// others.
func pairUnderSides(p *pattern.Pattern, inner string) (outers []*pattern.Piece, ok bool) {
	q, err := p.Piece(inner)
	if err != nil || q.Cut != pattern.CutPair {
		return nil, false
	}
	for _, l := range p.Layers {
		if l.Band || !slices.Contains(l.Inner, inner) {
			continue
		}
		outer, err := p.Piece(l.Outer)
		if err != nil || outer.Side == "" {
			return nil, false
		}
		outers = append(outers, outer)
	}
	return outers, len(outers) == 2 && outers[0].Side != outers[1].Side
}

// refuseOneSide refuses to give a pair what only the outer of one of the wearer's sides
// has at edge i; what both have it is given from the one on which it lies as drawn.
func (m *making) refuseOneSide(inner *pattern.Piece, i int) error {
	outers, ok := pairUnderSides(m.pattern, inner.Name)
	if !ok {
		return nil
	}
	other := outers[0]
	if other.Name == m.piece.Name {
		other = outers[1]
	}
	edge, over := m.piece.Edges[i].Name, false
	if laid, err := layMotion(inner, m.piece); err == nil {
		over = laid.Mirror
	}
	if sidesAlike(m.piece, other, i) {
		if over {
			return fmt.Errorf("%s lies as it is drawn on %s; carry from there with `toile alter carry %q %q --to %q`", inner.Name, other.Name, other.Name, edge, inner.Name)
		}
		return nil
	}
	side := m.piece.Side
	if over {
		side = otherSide(side)
	}
	return fmt.Errorf("%s is a pair, one piece under %s and one under %s, and %q of %s is not as that of %s: both pieces would change; make them two with `toile alter separate %q --drawn %s`, then carry to the one",
		inner.Name, m.piece.Name, other.Name, edge, m.piece.Name, other.Name, inner.Name, side)
}

// sidesAlike reports whether edge i of a piece is as the edge of its name on the piece
// of the wearer's other side, turned over and laid on it.
func sidesAlike(q, other *pattern.Piece, i int) bool {
	k := slices.Index(other.EdgeNames(), q.Edges[i].Name)
	if k < 0 {
		return false
	}
	over := other.Moved(turnedOver(other))
	k = slices.Index(over.EdgeNames(), q.Edges[i].Name)
	a, _ := q.SharpRing()
	b, _ := over.SharpRing()
	pose, _, err := match.LayOver(a, b, sameWithin, match.Options{})
	return err == nil && liesOn(q.EdgePath(i), geom.Carrier(over.EdgePath(k).Moved(pose.Motion), reach))
}
