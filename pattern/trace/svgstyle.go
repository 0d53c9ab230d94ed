package trace

import (
	"fmt"
	"strings"
)

// style is what the reader needs of an element's style.
type style struct {
	none       bool   // display: none
	visibility string // as declared here: "", "inherit", or a value
	properties map[string]string
	err        error
}

// usedProperties are the properties read from style attributes and sheets:
// whether something is seen, and in SVG 2 the geometry of shapes.
var usedProperties = setOf("display visibility transform transform-origin d x y cx cy r rx ry width height")

// geometryAttr gives a geometry attribute, which a style overrides.
func (n *node) geometryAttr(name string) string {
	if n.style != nil {
		if v, ok := n.style.properties[name]; ok {
			return v
		}
	}
	return n.attr(name)
}

// declarations parses `name: value; …`, keeping what is used. A value marked
// important is kept under important.
func declarations(s string) (normal, important map[string]string) {
	normal, important = map[string]string{}, map[string]string{}
	for _, d := range strings.Split(s, ";") {
		name, value, ok := strings.Cut(d, ":")
		name = strings.ToLower(strings.TrimSpace(name))
		if !ok || !usedProperties[name] {
			continue
		}
		value, bang, marked := strings.Cut(strings.TrimSpace(value), "!")
		value = strings.TrimSpace(value)
		if marked && strings.EqualFold(strings.TrimSpace(bang), "important") {
			important[name] = value
		} else {
			normal[name] = value
		}
	}
	return normal, important
}

// styleOf works out an element's style once: attributes, then the rules of
// the sheets by weight, then the style attribute, then what is important.
func (s *sheet) styleOf(n *node) *style {
	if n.style != nil {
		return n.style
	}
	p := map[string]string{}
	for _, name := range []string{"display", "visibility"} {
		if v := n.attr(name); v != "" {
			p[name] = strings.TrimSpace(v)
		}
	}
	matching := s.matching(n)
	inline, inlineImportant := declarations(n.attr("style"))
	for _, r := range matching {
		override(p, r.normal)
	}
	override(p, inline)
	for _, r := range matching {
		override(p, r.important)
	}
	override(p, inlineImportant)
	n.style = &style{
		none:       strings.EqualFold(p["display"], "none"),
		visibility: strings.ToLower(p["visibility"]),
		properties: p,
		err:        unreadable(n, p),
	}
	return n.style
}

func override(p, by map[string]string) {
	for name, v := range by {
		p[name] = v
	}
}

// unreadable refuses styles that move or shape things in a way the reader
// does not follow; silence would give wrong lengths.
func unreadable(n *node, p map[string]string) error {
	for _, name := range []string{"transform", "d"} {
		if v, ok := p[name]; ok && !strings.EqualFold(v, "none") {
			return fmt.Errorf("style %s: %s is not read; write it as an attribute, "+
				"as drawing programs do when they save plain SVG", name, quote(v))
		}
	}
	origin, ok := p["transform-origin"]
	if !ok {
		origin = n.attr("transform-origin")
	}
	if n.attr("transform") != "" && origin != "" {
		return fmt.Errorf("transform-origin %s is not read; write the transform without it", quote(origin))
	}
	return nil
}

// visible follows visibility down the tree.
func (s *style) visible(inherited bool) bool {
	switch s.visibility {
	case "", "inherit":
		return inherited
	case "hidden", "collapse":
		return false
	}
	return true
}
