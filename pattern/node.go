package pattern

import (
	"bytes"
	"fmt"
	"sort"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"toile/geom"
)

// maxFile is the greatest size of one file in bytes.
const maxFile = 1 << 20

// FileError is what is wrong in a file: which, in which line, and why.
type FileError struct {
	File   string
	Line   int
	Reason string
}

// Error prints FILE:LINE: reason.
func (e *FileError) Error() string {
	if e.Line == 0 {
		return e.File + ": " + e.Reason
	}
	return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Reason)
}

// reader walks a file's nodes and keeps the first thing that is wrong.
type reader struct {
	file string
	err  error
}

func (r *reader) fail(n *yaml.Node, format string, args ...any) {
	if r.err != nil {
		return
	}
	line := 0
	if n != nil {
		line = n.Line
	}
	r.err = &FileError{File: r.file, Line: line, Reason: fmt.Sprintf(format, args...)}
}

// parseNode reads the text of one file into a node tree. Anchors, aliases and
// further documents are refused.
func parseNode(file string, text []byte) (*reader, *yaml.Node) {
	r := &reader{file: file}
	if len(text) > maxFile {
		r.err = &FileError{File: file, Reason: fmt.Sprintf("the file has %d bytes; %d is the most", len(text), maxFile)}
		return r, nil
	}
	var doc yaml.Node
	if err := yaml.Load(text, &doc, yaml.WithUniqueKeys(false)); err != nil {
		r.err = &FileError{File: file, Reason: "not readable as YAML: " + strings.TrimPrefix(err.Error(), "yaml: ")}
		return r, nil
	}
	if doc.Kind != yaml.DocumentNode || len(doc.Content) != 1 {
		r.err = &FileError{File: file, Line: 1, Reason: "the file is empty"}
		return r, nil
	}
	r.refuseAliases(doc.Content[0])
	return r, doc.Content[0]
}

func (r *reader) refuseAliases(n *yaml.Node) {
	if n.Kind == yaml.AliasNode || n.Anchor != "" {
		r.fail(n, "anchors and aliases are not used here; write the value out")
	}
	for _, c := range n.Content {
		r.refuseAliases(c)
	}
}

// fields is a mapping whose keys are asked for one by one; what was not asked
// for is unknown.
type fields struct {
	r     *reader
	node  *yaml.Node
	what  string
	value map[string]*yaml.Node
	key   map[string]*yaml.Node
	asked []string
}

func (r *reader) mapping(n *yaml.Node, what string) *fields {
	f := &fields{r: r, node: n, what: what, value: map[string]*yaml.Node{}, key: map[string]*yaml.Node{}}
	if n == nil || r.err != nil {
		return f
	}
	if n.Kind != yaml.MappingNode {
		r.fail(n, "%s: keys with values are wanted here", what)
		return f
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		if _, twice := f.value[k.Value]; twice {
			r.fail(k, "%s: the key %q stands twice", what, k.Value)
			return f
		}
		f.value[k.Value], f.key[k.Value] = v, k
	}
	return f
}

// get returns the value of a key, nil when it is not there.
func (f *fields) get(key string) *yaml.Node {
	f.asked = append(f.asked, key)
	return f.value[key]
}

// need is get for a key that must be there.
func (f *fields) need(key string) *yaml.Node {
	v := f.get(key)
	if v == nil {
		f.r.fail(f.node, "%s: the key %q is missing", f.what, key)
	}
	return v
}

// done refuses keys nobody asked for.
func (f *fields) done() {
	var unknown []string
	for k := range f.value {
		known := false
		for _, a := range f.asked {
			known = known || a == k
		}
		if !known {
			unknown = append(unknown, k)
		}
	}
	if len(unknown) > 0 {
		sort.Slice(unknown, func(i, j int) bool { return f.key[unknown[i]].Line < f.key[unknown[j]].Line })
		f.r.fail(f.key[unknown[0]], "%s: unknown key %q; the keys here are %s", f.what, unknown[0], strings.Join(f.asked, ", "))
	}
}

func (f *fields) text(key string) string       { return f.r.scalar(f.get(key), f.what+": "+key) }
func (f *fields) needText(key string) string   { return f.r.scalar(f.need(key), f.what+": "+key) }
func (f *fields) number(key string) float64    { return f.r.number(f.get(key), f.what+": "+key) }
func (f *fields) integer(key string) int       { return f.r.integer(f.get(key), f.what+": "+key) }
func (f *fields) flag(key string) bool         { return f.r.flag(f.get(key), f.what+": "+key) }
func (f *fields) list(key string) []*yaml.Node { return f.r.list(f.get(key), f.what+": "+key) }

func (f *fields) name(key string) string {
	n := f.need(key)
	text := f.r.scalar(n, f.what+": "+key)
	if f.r.err != nil {
		return ""
	}
	clean, err := CleanName(text)
	if err != nil {
		f.r.fail(n, "%s: %v", f.what, err)
	}
	return clean
}

func (f *fields) optionalName(key string) string {
	if _, ok := f.value[key]; !ok {
		f.get(key)
		return ""
	}
	return f.name(key)
}

func (f *fields) point(key string) geom.Point {
	return f.r.point(f.need(key), f.what+": "+key)
}

func (r *reader) scalar(n *yaml.Node, what string) string {
	if n == nil || r.err != nil {
		return ""
	}
	if n.Kind != yaml.ScalarNode || n.Tag == "!!null" {
		r.fail(n, "%s: a single value is wanted", what)
		return ""
	}
	return n.Value
}

func (r *reader) number(n *yaml.Node, what string) float64 {
	s := r.scalar(n, what)
	if n == nil || r.err != nil {
		return 0
	}
	v, ok := plainNumber(s)
	if !ok {
		r.fail(n, "%s: %q is not a plain number of mm, such as 12.5", what, s)
	}
	return v
}

// plainNumber reads digits with an optional sign and decimal point; no
// exponents, infinities or other bases. The value is rounded to the three
// decimals that files keep.
func plainNumber(s string) (float64, bool) {
	if len(s) == 0 || len(s) > 30 || strings.Trim(s, "+-.0123456789") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return 0, false
	}
	return roundMM(v), true
}

func (r *reader) integer(n *yaml.Node, what string) int {
	s := r.scalar(n, what)
	if n == nil || r.err != nil {
		return 0
	}
	v, err := strconv.Atoi(s)
	if err != nil || v < 0 || v > 1e9 {
		r.fail(n, "%s: %q is not a whole number from 0", what, s)
	}
	return v
}

func (r *reader) flag(n *yaml.Node, what string) bool {
	s := r.scalar(n, what)
	if n == nil || r.err != nil {
		return false
	}
	switch s {
	case "true", "yes":
		return true
	case "false", "no":
		return false
	}
	r.fail(n, "%s: %q is neither true nor false", what, s)
	return false
}

func (r *reader) list(n *yaml.Node, what string) []*yaml.Node {
	if n == nil || r.err != nil {
		return nil
	}
	if n.Kind != yaml.SequenceNode {
		r.fail(n, "%s: a list is wanted", what)
		return nil
	}
	return n.Content
}

func (r *reader) numbers(n *yaml.Node, what string, count int) []float64 {
	items := r.list(n, what)
	if r.err != nil {
		return make([]float64, count)
	}
	if len(items) != count {
		r.fail(n, "%s: %d numbers are wanted, there are %d", what, count, len(items))
		return make([]float64, count)
	}
	v := make([]float64, count)
	for i, item := range items {
		v[i] = r.number(item, what)
	}
	return v
}

func (r *reader) point(n *yaml.Node, what string) geom.Point {
	v := r.numbers(n, what, 2)
	return geom.Pt(v[0], v[1])
}

// Writing: small builders over the library's nodes.

func textNode(s string) *yaml.Node {
	return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s}
}

func plainNode(s string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Value: s} }

func numberNode(v float64) *yaml.Node { return plainNode(number(v)) }

func intNode(v int) *yaml.Node { return plainNode(strconv.Itoa(v)) }

func flagNode() *yaml.Node { return plainNode("true") }

func flowList(items ...*yaml.Node) *yaml.Node {
	return &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle, Content: items}
}

func pointNode(points ...geom.Point) *yaml.Node {
	n := flowList()
	for _, q := range points {
		n.Content = append(n.Content, numberNode(q.X), numberNode(q.Y))
	}
	return n
}

func blockList(items ...*yaml.Node) *yaml.Node {
	return &yaml.Node{Kind: yaml.SequenceNode, Content: items}
}

// keys builds a mapping in a fixed order; nil values are left out.
type keys struct{ node *yaml.Node }

func newKeys(flow bool) *keys {
	n := &yaml.Node{Kind: yaml.MappingNode}
	if flow {
		n.Style = yaml.FlowStyle
	}
	return &keys{n}
}

func (k *keys) put(key string, v *yaml.Node) *keys {
	if v != nil {
		k.node.Content = append(k.node.Content, plainNode(key), v)
	}
	return k
}

func (k *keys) text(key, s string) *keys {
	if s == "" {
		return k
	}
	return k.put(key, textNode(s))
}

func (k *keys) number(key string, v float64) *keys {
	if number(v) == "0" {
		return k
	}
	return k.put(key, numberNode(v))
}

func (k *keys) integer(key string, v int) *keys {
	if v == 0 {
		return k
	}
	return k.put(key, intNode(v))
}

func (k *keys) flag(key string, v bool) *keys {
	if !v {
		return k
	}
	return k.put(key, flagNode())
}

func (k *keys) list(key string, items []*yaml.Node) *keys {
	if len(items) == 0 {
		return k
	}
	return k.put(key, blockList(items...))
}

// print writes a node tree as canonical text.
func print(n *yaml.Node) ([]byte, error) {
	var b bytes.Buffer
	d, err := yaml.NewDumper(&b, yaml.WithIndent(2), yaml.WithLineWidth(-1))
	if err != nil {
		return nil, err
	}
	if err := d.Dump(n); err != nil {
		return nil, err
	}
	if err := d.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
