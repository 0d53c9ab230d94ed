package trace

import (
	"strings"

	"toile/geom"
)

// text gathers a text element: its tspans joined, a space where one starts a
// new line, white space as one space, and where its first letter starts.
func (s *svgReader) text(n *node, f frame) {
	t := s.title(n, f)
	var b strings.Builder
	if !s.joinText(n, &b, t) {
		return
	}
	words := strings.Join(strings.Fields(b.String()), " ")
	if words == "" {
		return
	}
	at, err := s.textStart(n, f)
	if err != nil {
		s.note(t, "text is left out: %v", err)
		return
	}
	s.texts = append(s.texts, writing{title: t, text: words, at: f.m.apply(at)})
}

// joinText writes the text of an element and its tspans; it is false for a
// text that cannot be a mark, which is noted.
func (s *svgReader) joinText(n *node, b *strings.Builder, t title) bool {
	for _, c := range n.children {
		switch c.name {
		case textNode:
			if b.Len()+len(c.text) > maxText {
				s.note(t, "text of more than %d characters is left out", maxText)
				return false
			}
			b.WriteString(c.text)
		case "textPath":
			s.note(t, "text along a path is left out; write it as plain text")
			return false
		case "tspan":
			if s.sheet.styleOf(c).none {
				continue
			}
			if c.attr("x") != "" || c.attr("y") != "" {
				b.WriteByte(' ')
			}
			if !s.joinText(c, b, t) {
				return false
			}
		}
	}
	return true
}

// textStart gives where the first letter stands, in user units: the x and y
// of the innermost tspan that holds it, else of those around.
func (s *svgReader) textStart(n *node, f frame) (geom.Point, error) {
	var at geom.Point
	for n != nil {
		g := &geometry{n: firstOnly(n), view: f.view}
		if n.attr("x") != "" {
			at.X = g.across("x")
		}
		if n.attr("y") != "" {
			at.Y = g.down("y")
		}
		if g.err != nil {
			return at, g.err
		}
		n = s.firstSpan(n)
	}
	return at, nil
}

// firstSpan gives the tspan that holds an element's first letter, or nil when
// the element holds it directly.
func (s *svgReader) firstSpan(n *node) *node {
	for _, c := range n.children {
		if c.name == textNode && strings.TrimSpace(c.text) != "" {
			return nil
		}
		if c.name == "tspan" && !s.sheet.styleOf(c).none {
			return c
		}
	}
	return nil
}

// firstOnly is the element with the first entry of its lists of positions.
func firstOnly(n *node) *node {
	short := &node{name: n.name, attrs: map[string]string{}}
	for _, name := range []string{"x", "y"} {
		list := strings.FieldsFunc(n.attr(name), func(r rune) bool { return strings.ContainsRune(" \t\r\n\f,", r) })
		if len(list) > 0 {
			short.attrs[name] = list[0]
		}
	}
	return short
}
