package alter

import (
	"fmt"
	"slices"

	"toile/pattern"
	"toile/pattern/change"
)

// BesideUnderOuter reports whether two pieces lie beside each other under one outer,
// as a facing and the lining that is sewn to it: what one gains the other loses.
func BesideUnderOuter(p *pattern.Pattern, a, b string) bool {
	return a != b && slices.ContainsFunc(p.Layers, func(l pattern.Layer) bool {
		return !l.Band && slices.Contains(l.Inner, a) && slices.Contains(l.Inner, b)
	})
}

// withoutJoints leaves out, of what was done to one of several edges along which two
// such pieces are sewn together, where it was cut or run on for the next of them: that
// one has to follow by itself.
func withoutJoints(s sewing, changes []change.Change) []change.Change {
	moved := slices.DeleteFunc(slices.Clone(changes), func(ch change.Change) bool { return ch.Kind == change.EdgeRun })
	if len(s.own) < 2 || len(moved) == 0 {
		return changes
	}
	return moved
}

// runTogether reports whether one of several edges along which two such pieces are sewn
// together lies on the one that it is sewn to: how long they are in all the others tell.
func (m *making) runTogether(s sewing) bool {
	if len(s.own) < 2 || len(s.along) != 1 {
		return false
	}
	i, err := m.piece.EdgeIndex(m.text("edge"))
	q, j, ok := edgeOf(m.pattern, s.along[0])
	if err != nil || !ok {
		return false
	}
	_, _, ok = overlap(m.piece.EdgePath(i), q.EdgePath(j))
	return ok
}

// inward is a change of an edge the other way, for the piece that lies beside its
// own under one outer: the seam between them moves, and both stay as wide together.
// The error says that the change is none of which there is an other way.
func (m *making) inward(l Lacking, ch change.Change) (change.Change, error) {
	ch, ok := OtherWay(ch)
	if !ok {
		return ch, fmt.Errorf("%s lies beside %s under one outer and loses what that gained along %q, which is no even amount; draft %s anew with `toile alter lining`, or draw it with `toile alter redraw`",
			l.Piece, m.piece.Name, m.text("edge"), l.Piece)
	}
	return ch, nil
}

// OtherWay is a change of an edge by the same amount inward for outward; a straight
// edge that was shifted is one that was moved at equal distance. It is not ok where
// there is no other way of it.
func OtherWay(ch change.Change) (other change.Change, ok bool) {
	ch = shiftedAside(ch)
	negated := func(x *float64) *float64 {
		if x == nil {
			return nil
		}
		return change.Amount(-*x)
	}
	switch {
	case ch.Kind == change.EdgeRun:
		return ch, true
	case ch.Kind == change.EdgeMoved && ch.How == change.HowParallel:
		ch.By = negated(ch.By)
	case ch.Kind == change.EdgeMoved && ch.How == change.HowTapered && ch.Ends != nil:
		ch.By, ch.Ends = negated(ch.By), &[2]float64{-ch.Ends[0], -ch.Ends[1]}
	case ch.Kind == change.EdgeSwung:
		ch.By, ch.Turn = negated(ch.By), negated(ch.Turn)
	default:
		return ch, false
	}
	return ch, true
}
