package trace

import (
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"
	"sync"

	"toile/geom"
)

// ReadSVG reads a drawing; name is the file's name for messages. Arcs and
// ellipses are within 0.001 mm, everything else is as exact as float64.
// Errors are *Error and tell file, line, element, value and what to do; then
// the drawing is nil.
func ReadSVG(name string, r io.Reader, o Options) (*Drawing, error) {
	s, err := readShapes(name, r, o)
	if err != nil {
		return nil, err
	}
	return sortOut(name, s, o.All)
}

// readShapes gathers what is drawn and written.
func readShapes(name string, r io.Reader, o Options) (*svgReader, error) {
	if o.Scale < 0 || math.IsNaN(o.Scale) || math.IsInf(o.Scale, 0) {
		return nil, &Error{File: name, Err: fmt.Errorf("scale %g: give the millimetres of one drawing unit, "+
			"a number above 0", o.Scale)}
	}
	input, err := slurp(r)
	if err != nil {
		return nil, &Error{File: name, Err: err}
	}
	root, err := readTree(name, input)
	if err != nil {
		return nil, err
	}
	s := &svgReader{file: name, ids: map[string]*node{}}
	if err := s.drawing(root, o.Scale); err != nil {
		return nil, err
	}
	return s, nil
}

// svgReader walks the tree and gathers what is drawn.
type svgReader struct {
	file    string
	sheet   *sheet
	ids     map[string]*node
	budget  budget
	shapes  []shape
	texts   []writing
	ignored []string
}

// shape is a drawn shape, in mm on the sheet.
type shape struct {
	title
	subs []subpath
}

// writing is a drawn text.
type writing struct {
	title
	text string
	at   geom.Point
}

// title says what an element is called.
type title struct {
	name      string // as labelled, or the id
	automatic bool   // no name, or one given by a program
	element   string
	line      int
	shownBy   int  // the line of the use element that shows it, or 0
	borrowed  bool // shown by a use element without a name of its own
	again     bool // a copy of what a DXF block shows, which has been told
}

// what is the element for messages.
func (t title) what() string {
	s := t.element
	if t.name != "" {
		s += " " + quote(t.name)
	}
	if t.shownBy > 0 {
		s += fmt.Sprintf(" (shown by use on line %d)", t.shownBy)
	}
	return s
}

// label is the name a person gave, or empty.
func (t title) label() string {
	if t.automatic {
		return ""
	}
	return t.name
}

// automaticName matches ids that programs hand out: an element's name and
// digits, with hyphens for copies. Inkscape writes path1234-5, older
// programs SVGID_1_.
var automaticName = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)^((path|rect|circle|ellipse|line|polyline|polygon|use|g|a|svg|text|tspan|` +
		`textpath|image|symbol|layer|group|rectangle|arc|spiral|star)[-_]?\d+([-_]\d+)*[-_]?|(svg|xml)id_\d+_)$`)
})

// titleOf names an element: label, data-name, title, id.
func titleOf(n *node) title {
	t := title{element: n.name, line: n.line}
	candidates := []string{n.attr("label"), n.attr("data-name")}
	for _, c := range n.children {
		if c.name == "title" {
			candidates = append(candidates, strings.TrimSpace(c.content(maxText)))
			break
		}
	}
	for _, c := range append(candidates, n.attr("id")) {
		if strings.TrimSpace(c) != "" {
			t.name = c
			break
		}
	}
	t.automatic = t.name == "" || automaticName().MatchString(t.name) && !ownName(n, t.name)
	return t
}

// ownName reports whether a name that programs hand out too stands in an export
// of toile's: there as label and once more, which a program that saves the file
// again may leave of the two.
func ownName(n *node, name string) bool {
	own := n.attr("data-name")
	return own == name && (n.attr("label") == own || strings.HasPrefix(n.attr("id"), "toile-"))
}

// frame is what an element inherits.
type frame struct {
	m       matrix // user units to mm
	view    viewport
	visible bool
	depth   int
	targets []*node // shown by the use elements around
	shownBy int
	naming  *title // a use element's own name for the shape it shows
}

func (s *svgReader) drawing(root *node, scale float64) error {
	s.index(root)
	var err error
	if s.sheet, err = readSheets(root); err != nil {
		return &Error{File: s.file, Err: err}
	}
	s.ignored = append(s.ignored, s.sheet.notes()...)
	st := s.sheet.styleOf(root)
	m, view, err := rootFrame(root, scale)
	if err == nil {
		err = st.err
	}
	if err == nil && root.attr("transform") != "" { // SVG 2: outside of the viewBox, in px
		var t matrix
		t, err = parseTransform(root.attr("transform"))
		m = scaling(mmPerPx, mmPerPx).times(t).times(scaling(1/mmPerPx, 1/mmPerPx)).times(m)
	}
	if err != nil {
		return &Error{File: s.file, Line: root.line, Err: err}
	}
	if st.none {
		return nil
	}
	return s.children(root, frame{m: m, view: view, visible: st.visible(true)})
}

// index finds elements by id; of equal ids the first counts.
func (s *svgReader) index(n *node) {
	if id := n.attr("id"); id != "" && s.ids[id] == nil {
		s.ids[id] = n
	}
	for _, c := range n.children {
		s.index(c)
	}
}

func (s *svgReader) children(n *node, f frame) error {
	for _, c := range n.children {
		if err := s.element(c, f); err != nil {
			return err
		}
	}
	return nil
}

// failed gives an error its place, once.
func (s *svgReader) failed(n *node, f frame, err error) error {
	if err == nil {
		return nil
	}
	if _, placed := err.(*Error); placed {
		return err
	}
	t := titleOf(n)
	t.shownBy = f.shownBy
	return &Error{File: s.file, Line: n.line, What: t.what(), Err: err}
}

// element draws one element as its parent's frame says.
func (s *svgReader) element(n *node, f frame) error {
	switch n.name {
	case textNode, "defs", "symbol", "clipPath", "mask", "marker", "pattern", "style", "title", "tspan", "textPath":
		return nil
	}
	err := s.budget.element()
	if f.depth++; err == nil && f.depth > maxDepth {
		err = tooLarge("elements nested more than %d deep, copies counted; ungroup them", maxDepth)
	}
	st := s.sheet.styleOf(n)
	if err == nil && (st.none || strings.TrimSpace(n.attr("requiredExtensions")) != "") {
		return nil
	}
	if err == nil {
		err = st.err
	}
	f.visible = st.visible(f.visible)
	if err == nil {
		f.m, err = s.transformed(n, f.m)
	}
	if err == nil && !f.m.singular() {
		err = s.content(n, f)
	}
	return s.failed(n, f, err)
}

// transformed adds an element's transform, which is read once.
func (s *svgReader) transformed(n *node, m matrix) (matrix, error) {
	if n.transform == nil {
		t, err := parseTransform(n.attr("transform"))
		if err != nil {
			return m, err
		}
		n.transform = &t
	}
	m = m.times(*n.transform)
	if !m.finite() {
		return m, fmt.Errorf("transforms together go beyond what numbers can hold")
	}
	return m, nil
}

// content draws what an element holds.
func (s *svgReader) content(n *node, f frame) error {
	switch n.name {
	case "g", "a":
		f.naming = nil
		return s.children(n, f)
	case "switch":
		return s.choose(n, f)
	case "svg":
		f.naming = nil
		return s.nested(n, n, f)
	case "use":
		return s.use(n, f)
	case "text":
		if f.visible {
			s.text(n, f)
		}
		return nil
	}
	if !f.visible {
		return nil
	}
	subs, err := readShape(n, f.m, f.view, &s.budget)
	if err == nil {
		s.shapes = append(s.shapes, shape{s.title(n, f), subs})
	}
	return err
}

// title names a shape or text as shown in a frame.
func (s *svgReader) title(n *node, f frame) title {
	t := titleOf(n)
	if f.naming != nil {
		t.name, t.automatic = f.naming.name, f.naming.automatic
	}
	t.shownBy, t.borrowed = f.shownBy, f.shownBy > 0 && f.naming == nil
	return t
}

// choose draws the first child of a switch that asks for nothing special,
// else the first at all that asks for a language only.
func (s *svgReader) choose(n *node, f frame) error {
	f.naming = nil
	for _, plain := range []bool{true, false} {
		for _, c := range n.children {
			_, language := c.attrs["systemLanguage"]
			_, extension := c.attrs["requiredExtensions"]
			if c.name != textNode && !extension && !(plain && language) {
				return s.element(c, f)
			}
		}
	}
	return nil
}

// note remembers something left out.
func (s *svgReader) note(t title, format string, args ...any) {
	s.ignored = append(s.ignored, where(s.file, t.line, t.what())+": "+fmt.Sprintf(format, args...))
}
