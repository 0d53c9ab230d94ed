package alter

import (
	"fmt"
	"slices"
	"strconv"

	"toile/pattern"
)

var _ = register(&Kind{Name: "rename", Does: "gives a piece, or with a flag one of its parts, another name; seams, layers and notes follow",
	Keys: []Key{
		{Name: "to", What: Name, Needed: true, Typed: true, Means: "the new name"},
		{Name: "edge", What: Edge, Means: "an edge that is renamed instead of the piece"},
		{Name: "corner", What: Corner, Means: "a corner"},
		{Name: "notch", What: Name, Means: "a notch"},
		{Name: "mark", What: Name, Means: "a mark or a reference line"},
	}, Alike: []string{"rename"}, Typed: `back "yoke seam" --edge 1`, make: (*making).rename})

func (m *making) rename() error {
	to, err := m.newName("to")
	if err != nil {
		return err
	}
	given := slices.DeleteFunc([]string{"edge", "corner", "notch", "mark"}, func(k string) bool { return !m.has(k) })
	if len(given) > 1 {
		return fmt.Errorf("%s: name one thing to rename; --%s and --%s are two", m.piece.Name, given[0], given[1])
	}
	if len(given) == 0 {
		if err := m.freePieceName(to); err != nil {
			return err
		}
		m.renamePiece(m.piece, to)
		return begin(m.piece).finish()
	}
	switch given[0] {
	case "edge":
		err = m.renameEdge(to)
	case "corner":
		err = m.renameCorner(to)
	case "notch":
		err = m.renameNotch(to)
	default:
		err = m.renameMark(to)
	}
	if err != nil {
		return err
	}
	return begin(m.piece).finish()
}

func (m *making) renameEdge(to string) error {
	i, err := m.edge("edge")
	if err != nil {
		return err
	}
	if _, err := strconv.Atoi(to); err == nil {
		return fmt.Errorf("%s, %q: %q is a number, and numbers are the places of the edges; give it a name of words", m.piece.Name, m.piece.Edges[i].Name, to)
	}
	if k := slices.Index(m.piece.EdgeNames(), to); k >= 0 && k != i {
		return fmt.Errorf("%s, %q: the name %q is that of edge %d; choose another, or rename that one first", m.piece.Name, m.piece.Edges[i].Name, to, k+1)
	}
	m.pattern.RenameEdge(m.piece, i, to)
	return nil
}

func (m *making) renameCorner(to string) error {
	i, err := m.corner("corner")
	if err == nil {
		m.piece.Corners[i].Name = to
	}
	return err
}

func (m *making) renameNotch(to string) error {
	was := m.text("notch")
	k := m.piece.NotchByName(was)
	if k < 0 {
		return fmt.Errorf("%s has no notch %q; its notches are %s", m.piece.Name, was, m.notchNames())
	}
	m.piece.Notches[k].Name = to
	m.eachNotchRef(func(ref *pattern.NotchRef) {
		if ref.Piece == m.piece.Name && ref.Notch == was {
			ref.Notch = to
		}
	})
	return nil
}

func (m *making) renameMark(to string) error {
	was := m.text("mark")
	for k := range m.piece.Marks {
		if m.piece.Marks[k].Name == was {
			m.piece.Marks[k].Name = to
			return nil
		}
	}
	for k := range m.piece.Lines {
		if m.piece.Lines[k].Name == was {
			m.piece.Lines[k].Name = to
			return nil
		}
	}
	return fmt.Errorf("%s has no mark %q; its marks are %s", m.piece.Name, was, m.markNames())
}

func (m *making) markNames() string {
	text := ""
	add := func(name string) {
		if text != "" {
			text += ", "
		}
		text += fmt.Sprintf("%q", name)
	}
	for _, k := range m.piece.Marks {
		add(k.Name)
	}
	for _, l := range m.piece.Lines {
		add(l.Name)
	}
	if text == "" {
		return "none"
	}
	return text
}

func (m *making) eachNotchRef(visit func(ref *pattern.NotchRef)) {
	for s := range m.pattern.Seams {
		for k := range m.pattern.Seams[s].Sections {
			c := &m.pattern.Seams[s].Sections[k]
			visit(&c.First)
			visit(&c.Second)
		}
	}
}

// renamePiece renames a piece and whatever names it; its file stays the same.
func (m *making) renamePiece(q *pattern.Piece, to string) {
	was := q.Name
	q.Name = to
	m.eachStretch(func(st *pattern.Stretch) {
		if st.Piece == was {
			st.Piece = to
		}
	})
	m.eachNotchRef(func(ref *pattern.NotchRef) {
		if ref.Piece == was {
			ref.Piece = to
		}
	})
	for l := range m.pattern.Layers {
		layer := &m.pattern.Layers[l]
		if layer.Outer == was {
			layer.Outer = to
		}
		for k := range layer.Inner {
			if layer.Inner[k] == was {
				layer.Inner[k] = to
			}
		}
		for k := range layer.Differences {
			if layer.Differences[k].Piece == was {
				layer.Differences[k].Piece = to
			}
		}
	}
	m.pattern.RenameInNotes(was, to)
}
