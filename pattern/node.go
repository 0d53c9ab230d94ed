package pattern

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"sort"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"toile/geom"
)

// maxFile is the greatest size of one file in bytes, as in the store.
// maxInteger bounds counts and numbers of versions and notes.
const (
	maxFile    = 1 << 20
	maxInteger = 1_000_000_000
)

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

// reader walks a file's nodes, keeps the first thing that is wrong, and
// remembers where everything stands.
type reader struct {
	file  string
	err   error
	where lines
}

// spot is a place in a file: a part of the model, which one of them, and the
// key of it that is meant ("" for the whole part).
type spot struct {
	part  Part
	index int
	key   string
}

// lines says in which line of a file a spot stands, from 1.
type lines map[spot]int

// add remembers a part that starts in a line, and the keys of its mapping.
func (l lines) add(part Part, index, line int, f *fields) {
	l[spot{part, index, ""}] = line
	for name, key := range f.key {
		l[spot{part, index, name}] = key.Line
	}
}

// of returns the line of a spot: of its key if that is written, else of the
// whole part, else of the file's first key.
func (l lines) of(at spot) int {
	for _, s := range []spot{at, {at.part, at.index, ""}, {PartPiece, 0, ""}} {
		if line, ok := l[s]; ok {
			return line
		}
	}
	return 1
}

func (r *reader) fail(n *yaml.Node, format string, args ...any) {
	if r.err == nil {
		r.err = &FileError{File: r.file, Line: n.Line, Reason: fmt.Sprintf(format, args...)}
	}
}

// parseNode reads the text of one file into a node tree. What YAML has beyond
// plain mappings, lists and single values is refused: anchors, aliases, tags
// and further documents.
func parseNode(file string, text []byte) (*reader, *yaml.Node) {
	r := &reader{file: file, where: lines{}}
	stop := func(line int, format string, args ...any) (*reader, *yaml.Node) {
		r.err = &FileError{File: file, Line: line, Reason: fmt.Sprintf(format, args...)}
		return r, nil
	}
	if len(text) > maxFile {
		return stop(0, "the file has %d bytes; %d is the most", len(text), maxFile)
	}
	if line, what := unreadable(text); what != "" {
		return stop(line, "%s; save the file as plain text in UTF-8", what)
	}
	loader, err := yaml.NewLoader(bytes.NewReader(text), yaml.WithUniqueKeys(false))
	if err != nil {
		return stop(0, "not readable as YAML: %v", err)
	}
	var doc, next yaml.Node
	switch err := loader.Load(&doc); {
	case errors.Is(err, io.EOF):
		return stop(1, "the file is empty")
	case err != nil:
		return stop(yamlProblem(err))
	}
	switch err := loader.Load(&next); {
	case err == nil:
		return stop(next.Line, "a second document starts here; a file holds one")
	case !errors.Is(err, io.EOF):
		return stop(yamlProblem(err))
	}
	root := doc.Content[0]
	r.refuseExtras(root)
	return r, root
}

// unreadable finds the first bytes that no text file of ours holds, and their
// line.
func unreadable(text []byte) (line int, what string) {
	line = 1
	for len(text) > 0 {
		c, size := utf8.DecodeRune(text)
		switch {
		case c == utf8.RuneError && size == 1:
			return line, fmt.Sprintf("the byte %#02x is not valid UTF-8", text[0])
		case c == '\n':
			line++
		case c != '\t' && c != '\r' && unicode.IsControl(c):
			return line, fmt.Sprintf("the control character %U", c)
		}
		text = text[size:]
	}
	return line, ""
}

// yamlProblem turns an error of the YAML library into a line and a reason.
func yamlProblem(err error) (line int, format string, reason any) {
	var load *yaml.LoadError
	if !errors.As(err, &load) {
		return 0, "not readable as YAML: %v", err
	}
	line, message := load.Mark.Line, load.Message
	if load.ContextMsg != "" {
		message = load.ContextMsg + " that starts in line " + strconv.Itoa(load.ContextMark.Line) + ", " + message
		if strings.Contains(load.Message, "end of stream") {
			line = load.ContextMark.Line // what was never closed is of more use than the file's end
		}
	}
	return line, "not readable as YAML: %v", message
}

func (r *reader) refuseExtras(n *yaml.Node) {
	switch {
	case n.Kind == yaml.AliasNode || n.Anchor != "":
		r.fail(n, "anchors and aliases are not used here; write the value out")
	case n.Style&yaml.TaggedStyle != 0:
		r.fail(n, "the tag %s is not used here; leave it out", n.Tag)
	}
	for _, c := range n.Content {
		r.refuseExtras(c)
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
		if k.Kind != yaml.ScalarNode {
			r.fail(k, "%s: a key is a single word", what)
			return f
		}
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

func (f *fields) text(key string) string       { return f.r.text(f.get(key), f.what+": "+key) }
func (f *fields) needText(key string) string   { return f.r.text(f.need(key), f.what+": "+key) }
func (f *fields) number(key string) float64    { return f.r.number(f.get(key), f.what+": "+key) }
func (f *fields) integer(key string) int       { return f.r.integer(f.get(key), f.what+": "+key) }
func (f *fields) flag(key string) bool         { return f.r.flag(f.get(key), f.what+": "+key) }
func (f *fields) list(key string) []*yaml.Node { return f.r.list(f.get(key), f.what+": "+key) }

// needList is list for a key that must be there and hold something.
func (f *fields) needList(key string) []*yaml.Node {
	n := f.need(key)
	items := f.r.list(n, f.what+": "+key)
	if f.r.err == nil && len(items) == 0 {
		f.r.fail(n, "%s: %s holds nothing; at least one entry is wanted", f.what, key)
	}
	return items
}

func (f *fields) name(key string) string { return f.r.name(f.need(key), f.what+": "+key) }

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

// text is scalar for what people write: no control characters but line breaks
// and tabs, which would not survive in a drawing.
func (r *reader) text(n *yaml.Node, what string) string {
	s := r.scalar(n, what)
	if c, bad := unprintable(s); bad && r.err == nil {
		r.fail(n, "%s: it holds the control character %U; leave it out", what, c)
	}
	return s
}

// name is scalar for a name, brought to its stored form.
func (r *reader) name(n *yaml.Node, what string) string {
	s := r.scalar(n, what)
	if r.err != nil {
		return ""
	}
	clean, err := CleanName(s)
	if err != nil {
		r.fail(n, "%s: %v", what, err)
	}
	return clean
}

func (r *reader) number(n *yaml.Node, what string) float64 {
	s := r.scalar(n, what)
	if n == nil || r.err != nil {
		return 0
	}
	v, ok := plainNumber(s)
	switch {
	case !ok:
		r.fail(n, "%s: %q is not a plain number, such as 12.5", what, s)
	case math.Abs(v) > maxCoordinate:
		r.fail(n, "%s: %s lies beyond %s, more than any sheet", what, s, number(maxCoordinate))
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
	if err != nil || v < 0 || v > maxInteger {
		r.fail(n, "%s: %q is not a whole number from 0 to %d", what, s, maxInteger)
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
