package trace

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"golang.org/x/net/html/charset"
)

const (
	svgSpace      = "http://www.w3.org/2000/svg"
	xlinkSpace    = "http://www.w3.org/1999/xlink"
	inkscapeSpace = "http://www.inkscape.org/namespaces/inkscape"
)

// node is an element of the drawing, or a stretch of text within one (name
// textNode). Elements foreign to SVG and those that never draw are not kept.
type node struct {
	name     string
	attrs    map[string]string
	text     string
	line     int
	parent   *node
	children []*node

	// What is worked out once, however often use shows the element.
	style     *style
	transform *matrix
}

const textNode = "#text"

// attr gives an attribute; absent ones are empty.
func (n *node) attr(name string) string { return n.attrs[name] }

// keptElements says which elements the tree holds.
var keptElements = setOf("svg g a switch use symbol defs clipPath mask marker pattern style title " +
	"path rect circle ellipse line polyline polygon text tspan textPath")

// keptAttributes says which attributes it holds. The label and the link are
// kept as "label" and "href".
var keptAttributes = setOf("id class style display visibility transform transform-origin viewBox preserveAspectRatio " +
	"x y x1 y1 x2 y2 cx cy r rx ry width height d points href data-name requiredExtensions systemLanguage type")

func setOf(words string) map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(words) {
		set[w] = true
	}
	return set
}

// treeReader builds the tree from XML.
type treeReader struct {
	file     string
	d        *xml.Decoder
	g        *guard
	line     int // where the token starts
	root, at *node
	skipping int // depth within an element that is not kept
	depth    int
	elements int
	declares bool // the document type declares entities
}

// readTree parses the XML; errors tell the line.
func readTree(file string, r io.Reader) (*node, error) {
	g := &guard{r: r}
	d := xml.NewDecoder(g)
	d.CharsetReader = charsetReader
	t := &treeReader{file: file, d: d, g: g}
	for {
		t.line, _ = d.InputPos()
		token, err := d.Token()
		if err == io.EOF && t.depth == 0 {
			break
		}
		if err == nil {
			err = t.take(token)
		} else {
			err = t.brokenXML(err)
		}
		if err != nil {
			line, _ := d.InputPos()
			return nil, &Error{File: file, Line: line, Err: err}
		}
	}
	if t.root == nil {
		return nil, &Error{File: file, Err: errors.New("not a drawing: no svg element in it")}
	}
	return t.root, nil
}

// charsetReader decodes what the XML declaration names. UTF-16 has been
// decoded before by its first bytes; a declaration that can be read at all
// and still says so is out of date.
func charsetReader(label string, input io.Reader) (io.Reader, error) {
	if strings.HasPrefix(strings.ToLower(label), "utf-16") {
		return input, nil
	}
	r, err := charset.NewReaderLabel(label, input)
	if err != nil {
		return nil, fmt.Errorf("encoding %q is not known; save the drawing as UTF-8", label)
	}
	return r, nil
}

func (t *treeReader) brokenXML(err error) error {
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		if t.declares && strings.HasPrefix(syntax.Msg, "invalid character entity") {
			return fmt.Errorf("the drawing declares entities of its own that stand for other files or for further entities (%s); "+
				"these are not followed; open it in a drawing program and save it as plain SVG", strings.TrimPrefix(syntax.Msg, "invalid character entity "))
		}
		return fmt.Errorf("broken XML: %s; open the drawing in a drawing program and save it again", syntax.Msg)
	}
	if errors.Is(err, ErrTooLarge) {
		return err
	}
	return fmt.Errorf("broken XML: %w; open the drawing in a drawing program and save it again", err)
}

func (t *treeReader) take(token xml.Token) error {
	switch token := token.(type) {
	case xml.Directive:
		return t.declare(string(token))
	case xml.StartElement:
		return t.start(token)
	case xml.EndElement:
		t.end()
	case xml.CharData:
		return t.chars(token)
	}
	return nil
}

func (t *treeReader) declare(directive string) error {
	t.declares = t.declares || strings.Contains(directive, "<!ENTITY")
	entities, err := internalEntities(directive)
	if err != nil {
		return err
	}
	if len(entities) > 0 {
		t.d.Entity, t.g.entities = entities, true
	}
	return nil
}

func (t *treeReader) start(e xml.StartElement) error {
	if t.depth == 0 && t.root != nil {
		return fmt.Errorf("broken XML: <%s> after the end of the drawing", e.Name.Local)
	}
	if t.depth++; t.depth > maxDepth {
		return tooLarge("elements nested more than %d deep; ungroup them", maxDepth)
	}
	ours := e.Name.Space == svgSpace || e.Name.Space == ""
	if t.root == nil && !(ours && e.Name.Local == "svg") {
		return fmt.Errorf("not an SVG drawing: it starts with <%s>", e.Name.Local)
	}
	if t.skipping > 0 || !ours || !keptElements[e.Name.Local] {
		t.skipping++
		return nil
	}
	if t.elements++; t.elements > maxElements {
		return tooLarge("more than %d elements; leave out what is not a pattern piece", maxElements)
	}
	n := &node{name: e.Name.Local, line: t.line, parent: t.at, attrs: keep(e.Attr)}
	if t.at == nil {
		t.root = n
	} else {
		t.at.children = append(t.at.children, n)
	}
	t.at = n
	return nil
}

// keep picks the attributes the reader uses.
func keep(attrs []xml.Attr) map[string]string {
	kept := map[string]string{}
	for _, a := range attrs {
		name := a.Name.Local
		switch a.Name.Space {
		case "":
			if keptAttributes[name] {
				kept[name] = a.Value
			}
		case inkscapeSpace, "inkscape":
			if name == "label" {
				kept["label"] = a.Value
			}
		case xlinkSpace, "xlink":
			// SVG 2: a plain href goes first, wherever it stands.
			if _, plain := kept["href"]; name == "href" && !plain {
				kept["href"] = a.Value
			}
		}
	}
	return kept
}

func (t *treeReader) end() {
	t.depth--
	if t.skipping > 0 {
		t.skipping--
		return
	}
	t.at = t.at.parent
}

func (t *treeReader) chars(data xml.CharData) error {
	if t.at == nil {
		if strings.TrimSpace(string(data)) != "" {
			return errors.New("broken XML: text outside of the drawing")
		}
		return nil
	}
	if t.skipping > 0 {
		return nil
	}
	switch t.at.name {
	case "text", "tspan", "textPath", "style", "title":
		if t.elements++; t.elements > maxElements {
			return tooLarge("more than %d elements; leave out what is not a pattern piece", maxElements)
		}
		t.at.children = append(t.at.children, &node{name: textNode, text: string(data), parent: t.at})
	}
	return nil
}

// content joins the text directly within the element, up to limit bytes.
func (n *node) content(limit int) string {
	var b strings.Builder
	for _, c := range n.children {
		if c.name != textNode || b.Len() >= limit {
			continue
		}
		b.WriteString(c.text[:min(len(c.text), limit-b.Len())])
	}
	return b.String()
}
