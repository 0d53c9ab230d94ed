package alter

import (
	"fmt"

	"toile/geom"
	"toile/pattern"
)

var _ = register(&Kind{Name: "move", Does: "moves a notch along its edge, or a mark or reference line on its piece",
	Keys: []Key{
		{Name: "name", What: Name, Needed: true, Typed: true, Means: "the notch, mark or reference line"},
		{Name: "to", What: Place, Means: "where it comes to lie; of a notch the place along its edge, of a dart its point, or on its edge the middle of its mouth, as of a pleat"},
		{Name: "by", What: Length, Means: "how far a notch moves along its edge, away from the end it counts from"},
		{Name: "down", What: Length, Means: "how far a mark moves down the grain, up negative"},
		{Name: "across", What: Length, Means: "how far it moves across the grain, to the right as seen with the grain running down"},
		onToile,
	}, Alike: []string{"move"}, Typed: `front "pocket top" --down 3cm`, make: (*making).moveNamed})

func (m *making) moveNamed() error {
	name := m.text("name")
	if k := m.piece.NotchByName(name); k >= 0 {
		if err := m.moveNotch(k); err != nil {
			return err
		}
		return m.finishMoved(name)
	}
	for k := range m.piece.Marks {
		if m.piece.Marks[k].Name == name {
			return m.moveMark(k)
		}
	}
	for k := range m.piece.Lines {
		if l := &m.piece.Lines[k]; l.Name == name {
			by, err := m.shift(l.Path.Start())
			if err != nil {
				return err
			}
			l.Path = l.Path.Moved(geom.Motion{Shift: by})
			return begin(m.piece).finish()
		}
	}
	return fmt.Errorf("%s has no notch, mark or line %q; its notches are %s, its marks and lines %s", m.piece.Name, name, m.notchNames(), m.markNames())
}

// moveMark moves the mark k of the piece; of a dart its point alone, unless the place
// lies on its edge.
func (m *making) moveMark(k int) error {
	mark := &m.piece.Marks[k]
	if mark.Edge != "" {
		if done, err := m.moveOnEdge(mark); err != nil {
			return err
		} else if done {
			return m.finishMoved(mark.Name)
		}
	}
	anchor := mark.At
	if len(mark.Path) > 0 {
		anchor = mark.Path.Start()
	}
	by, err := m.shift(anchor)
	if err != nil {
		return err
	}
	mark.At, mark.Path = rounded(mark.At.Add(by)), mark.Path.Moved(geom.Motion{Shift: by})
	if err := m.refuseFarOff(m.piece.Marks[k : k+1]); err != nil {
		return err
	}
	if mark.Edge != "" {
		m.mouthStays(mark)
	}
	return m.finishMoved(mark.Name)
}

// finishMoved is finish where it was this notch or mark that moved.
func (m *making) finishMoved(name string) error {
	w := begin(m.piece)
	w.moved = name
	return w.finish()
}

// moveAlong moves a notch along edge i, away from the end that it counts from, and
// refuses to lead it off the edge.
func (m *making) moveAlong(n *pattern.Notch, i int, by float64) error {
	length, end := m.piece.EdgePath(i).Length(), "start"
	if n.FromEnd {
		end = "end"
	}
	if at := n.At + by; at < 0 || at > length {
		return fmt.Errorf("%s: the notch %q lies %s from the %s of %q, which is %s long; moved by %s it would lie off it: give more than %s and less than %s, or say with --to where it comes to lie",
			m.piece.Name, n.Name, m.format(n.At), end, n.Edge, m.format(length), m.format(by), m.format(-n.At), m.format(length-n.At))
	}
	n.At = roundTo(n.At + by)
	return nil
}

// moveNotch keeps the end a notch counts from.
func (m *making) moveNotch(k int) error {
	n := &m.piece.Notches[k]
	i, err := m.piece.EdgeIndex(n.Edge)
	if err != nil {
		return err
	}
	switch {
	case m.has("down") || m.has("across"):
		return fmt.Errorf("%s: the notch %q lies on an edge; move it along that, with --by or --to", m.piece.Name, n.Name)
	case m.has("to") == m.has("by"):
		return fmt.Errorf("%s: say where the notch %q comes to lie with --to, or how far it moves with --by", m.piece.Name, n.Name)
	case m.has("by"):
		by, err := m.length("by")
		if err != nil {
			return err
		}
		return m.moveAlong(n, i, by)
	}
	at, err := m.along("to", i, false)
	if err != nil {
		return err
	}
	n.At = roundTo(at)
	if n.FromEnd {
		n.At = roundTo(m.piece.EdgePath(i).Length() - at)
	}
	return nil
}

// shift is by how much a mark moves that lies at a place now.
func (m *making) shift(from geom.Point) (geom.Point, error) {
	var by geom.Point
	if m.has("to") == (m.has("down") || m.has("across")) {
		return by, fmt.Errorf("%s: say where %q comes to lie with --to, or how far it moves with --down and --across", m.piece.Name, m.text("name"))
	}
	if m.has("to") {
		to, err := m.spot(m.text("to"))
		return rounded(to.Sub(from)), err
	}
	down := m.piece.GrainDirection()
	for _, way := range []struct {
		key string
		dir geom.Point
	}{{"down", down}, {"across", down.Left()}} {
		if m.has(way.key) {
			l, err := m.length(way.key)
			if err != nil {
				return by, err
			}
			by = by.Add(way.dir.Mul(l))
		}
	}
	return rounded(by), nil
}
