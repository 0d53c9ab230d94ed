package alter

import (
	"fmt"
	"slices"
	"strings"

	"toile/pattern"
)

var _ = register(&Kind{Name: "remove", Does: "takes away a notch, a mark or a reference line, or without a name the piece itself",
	Keys: []Key{
		{Name: "name", What: Name, Typed: true, Means: "the notch, mark or reference line; notch:NAME or mark:NAME where two share a name"},
		{Name: "seams", What: Flag, Means: "let go of the seams that name it too"},
	}, Typed: `back hip`, make: (*making).remove})

func (m *making) remove() error {
	if !m.has("name") {
		return m.removePiece()
	}
	name, as := m.text("name"), ""
	for _, prefix := range []string{"notch:", "mark:"} {
		if len(name) > len(prefix) && name[:len(prefix)] == prefix {
			name, as = name[len(prefix):], prefix
		}
	}
	k := m.piece.NotchByName(name)
	mark := slices.IndexFunc(m.piece.Marks, func(x pattern.Mark) bool { return x.Name == name })
	line := slices.IndexFunc(m.piece.Lines, func(x pattern.ReferenceLine) bool { return x.Name == name })
	switch {
	case as == "" && k >= 0 && mark >= 0:
		return fmt.Errorf("%s has a notch %q and a mark of that name; write notch:%s or mark:%s", m.piece.Name, name, name, name)
	case as != "mark:" && k >= 0:
		if err := m.letGoOfNotch(name); err != nil {
			return err
		}
		m.piece.Notches = slices.Delete(m.piece.Notches, k, k+1)
	case as != "notch:" && mark >= 0:
		m.piece.Marks = slices.Delete(m.piece.Marks, mark, mark+1)
	case as != "notch:" && line >= 0:
		m.piece.Lines = slices.Delete(m.piece.Lines, line, line+1)
	default:
		return fmt.Errorf("%s has no notch, mark or line %q; its notches are %s, its marks and lines %s", m.piece.Name, name, m.notchNames(), m.markNames())
	}
	return begin(m.piece).finish()
}

// letGoOfNotch refuses a notch at which a seam is matched, or with --seams
// joins the sections on either side of it.
func (m *making) letGoOfNotch(name string) error {
	for s := range m.pattern.Seams {
		seam := &m.pattern.Seams[s]
		for k := 0; k < len(seam.Sections); k++ {
			c := seam.Sections[k]
			ends := func(ref pattern.NotchRef) bool { return ref.Piece == m.piece.Name && ref.Notch == name }
			if !ends(c.First) && !ends(c.Second) {
				continue
			}
			if !m.flag("seams") {
				return fmt.Errorf("%s: the seam %q is matched at the notch %q; give --seams to let go of that, or say the seam anew without it first", m.piece.Name, seam.Name, name)
			}
			next := &seam.Sections[k+1] // the last section ends at no notch
			next.Ease, next.Gathered = next.Ease+c.Ease, next.Gathered || c.Gathered
			seam.Sections = slices.Delete(seam.Sections, k, k+1)
			k--
			m.say("the seam %q is no longer matched at %q", seam.Name, name)
		}
	}
	return nil
}

// removePiece takes the piece out of the pattern and of its layers.
func (m *making) removePiece() error {
	p, name := m.pattern, m.piece.Name
	if seams := p.SeamsOf(name, ""); len(seams) > 0 && !m.flag("seams") {
		return fmt.Errorf("%s is sewn in by the seam %q; give --seams to let go of its seams too, or say them anew without it first", name, seams[0].Name)
	}
	names := func(c pattern.Chain) bool {
		return slices.ContainsFunc(c, func(st pattern.Stretch) bool { return st.Piece == name })
	}
	p.Seams = slices.DeleteFunc(p.Seams, func(s pattern.Seam) bool {
		gone := names(s.First) || names(s.Second)
		if gone {
			m.say("the seam %q is gone with %s", s.Name, name)
		}
		return gone
	})
	m.sayLeft(name)
	for l := range p.Layers {
		p.Layers[l].Inner = slices.DeleteFunc(p.Layers[l].Inner, func(n string) bool { return n == name })
	}
	p.Layers = slices.DeleteFunc(p.Layers, func(l pattern.Layer) bool { return l.Outer == name || len(l.Inner) == 0 })
	p.Pieces = slices.DeleteFunc(p.Pieces, func(q *pattern.Piece) bool { return q == m.piece })
	return nil
}

// sayLeft says of the layers of a piece that is taken away what they leave: inner
// pieces that finish to nothing any more, and those that lay beside it.
func (m *making) sayLeft(name string) {
	for _, l := range m.pattern.Layers {
		switch {
		case l.Outer == name:
			m.say("%s finished to %s and to nothing now; say with `toile layers` to what, or remove it too", strings.Join(l.Inner, " and "), name)
		case slices.Contains(l.Inner, name) && len(l.Inner) > 1 && !l.Band:
			rest := slices.DeleteFunc(slices.Clone(l.Inner), func(n string) bool { return n == name })
			m.say("%s lay beside %s on %s; what %s covered there lies bare: draft %s anew if it is to reach so far", strings.Join(rest, " and "), name, l.Outer, name, strings.Join(rest, " and "))
		}
	}
}
