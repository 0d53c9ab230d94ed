package pattern

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"go.yaml.in/yaml/v4"

	"toile/geom"
)

// misread matches texts that some YAML readers take for something else than
// text where they stand without quotes: an id such as 1234e567, or yes.
var misread = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(?i:[-+]?[0-9._]+(e[-+]?[0-9]*)?|y|n|yes|no|on|off|=)$`)
})

// oddBreaks are characters that some YAML readers take for line breaks, or
// drop.
const oddBreaks = "\u2028\u2029\ufeff"

// textNode writes text so that every YAML reader gets the same text back:
// plain where that is safe, else quoted, as a block where it has several
// lines.
func textNode(s string) *yaml.Node {
	n := &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s}
	switch {
	case strings.ContainsAny(s, oddBreaks):
		n.Style = yaml.DoubleQuotedStyle
	case misread().MatchString(s):
		n.Style = yaml.SingleQuotedStyle
	}
	return n
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

// printed writes a node tree as canonical text.
func printed(n *yaml.Node) ([]byte, error) {
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
