package trace

import (
	"fmt"
	"slices"
	"strings"
)

const (
	maxRules = 500 // rules that matter here in all style sheets of a file
	maxSteps = 8   // steps of one selector
)

// sheet holds the rules of a drawing's style elements: selectors of element
// names, classes and ids, also within one another (`g.off path`, `g > path`).
type sheet struct {
	rules   []rule
	skipped []string // selectors not followed although they show or hide
}

type rule struct {
	steps             []step // outermost first
	weight            int    // specificity, then order
	normal, important map[string]string
}

// step is one compound selector: path.a.b#c; child says that it must be a
// direct child of what the step before matched.
type step struct {
	element string // empty: any
	ids     []string
	classes []string
	child   bool
}

// readSheets gathers the style elements of the whole tree.
func readSheets(root *node) (*sheet, error) {
	s := &sheet{}
	var visit func(n *node) error
	visit = func(n *node) error {
		if n.name == "style" {
			if kind := n.attr("type"); kind == "" || strings.EqualFold(kind, "text/css") {
				return s.parse(n.content(1 << 20))
			}
		}
		for _, c := range n.children {
			if err := visit(c); err != nil {
				return err
			}
		}
		return nil
	}
	if err := visit(root); err != nil {
		return nil, err
	}
	slices.SortStableFunc(s.rules, func(a, b rule) int { return a.weight - b.weight })
	return s, nil
}

// parse reads rules; at-rules (media, fonts, imports) are passed over.
func (s *sheet) parse(css string) error {
	for css = withoutComments(css); ; {
		css = strings.TrimSpace(css)
		if strings.HasPrefix(css, "@") {
			css = afterAtRule(css)
			continue
		}
		selectors, rest, ok := strings.Cut(css, "{")
		if !ok {
			return nil
		}
		body, rest, _ := strings.Cut(rest, "}")
		css = rest
		normal, important := declarations(body)
		if len(normal)+len(important) == 0 {
			continue
		}
		for _, selector := range strings.Split(selectors, ",") {
			steps, weight, ok := parseSelector(selector)
			if !ok {
				s.skipped = append(s.skipped, strings.TrimSpace(selector))
				continue
			}
			s.rules = append(s.rules, rule{steps, weight, normal, important})
		}
		if len(s.rules)+len(s.skipped) > maxRules {
			return tooLarge("more than %d style rules that show, hide or shape", maxRules)
		}
	}
}

func withoutComments(css string) string {
	var b strings.Builder
	css = strings.NewReplacer("<!--", " ", "-->", " ").Replace(css)
	for {
		before, after, found := strings.Cut(css, "/*")
		b.WriteString(before)
		if !found {
			return b.String()
		}
		_, css, _ = strings.Cut(after, "*/")
		b.WriteByte(' ')
	}
}

// afterAtRule passes over one at-rule with its block.
func afterAtRule(css string) string {
	depth := 0
	for i := 0; i < len(css); i++ {
		switch css[i] {
		case ';':
			if depth == 0 {
				return css[i+1:]
			}
		case '{':
			depth++
		case '}':
			if depth--; depth <= 0 {
				return css[i+1:]
			}
		}
	}
	return ""
}

// parseSelector reads a selector; ok is false for a kind not followed.
// The weight is the specificity of CSS Selectors, section 16.
func parseSelector(s string) (steps []step, weight int, ok bool) {
	child := false
	for _, word := range strings.Fields(strings.ReplaceAll(s, ">", " > ")) {
		if word == ">" {
			child = true
			continue
		}
		st, w, ok := parseStep(word)
		if !ok {
			return nil, 0, false
		}
		st.child, child = child && len(steps) > 0, false
		steps, weight = append(steps, st), weight+w
	}
	return steps, weight, 0 < len(steps) && len(steps) <= maxSteps && !child
}

func parseStep(word string) (st step, weight int, ok bool) {
	if strings.ContainsAny(word, ":[]+~()\\") {
		return st, 0, false
	}
	for word != "" {
		kind := word[0]
		name := word
		if kind == '.' || kind == '#' {
			name = word[1:]
		}
		end := strings.IndexAny(name, ".#")
		if end < 0 {
			end = len(name)
		}
		name, word = name[:end], name[end:]
		switch {
		case name == "":
			return st, 0, false
		case kind == '.':
			st.classes, weight = append(st.classes, name), weight+1_000
		case kind == '#':
			st.ids, weight = append(st.ids, name), weight+1_000_000
		case name != "*":
			st.element, weight = name, weight+1
		}
	}
	return st, weight, true
}

// matching gives the rules that apply to an element, weakest first.
func (s *sheet) matching(n *node) []rule {
	var found []rule
	for _, r := range s.rules {
		if r.matches(n) {
			found = append(found, r)
		}
	}
	return found
}

// matches follows the steps from the outermost ancestor down: here[j] says
// that the first j steps match and the last of them at the element itself,
// above[j] that they do somewhere above it.
func (r rule) matches(n *node) bool {
	last := len(r.steps)
	if !r.steps[last-1].matches(n) {
		return false
	}
	if last == 1 {
		return true
	}
	var chain []*node
	for ; n != nil; n = n.parent {
		chain = append(chain, n)
	}
	var here, above [maxSteps + 1]bool
	here[0], above[0] = true, true
	for _, x := range slices.Backward(chain) {
		parent := here
		for j := range above {
			above[j] = above[j] || parent[j]
		}
		for j := 1; j <= last; j++ {
			up := above[j-1]
			if r.steps[j-1].child {
				up = parent[j-1]
			}
			here[j] = up && r.steps[j-1].matches(x)
		}
	}
	return here[last]
}

func (st step) matches(n *node) bool {
	if st.element != "" && st.element != n.name {
		return false
	}
	for _, id := range st.ids {
		if n.attr("id") != id {
			return false
		}
	}
	if len(st.classes) == 0 {
		return true
	}
	classes := strings.Fields(n.attr("class"))
	for _, c := range st.classes {
		if !slices.Contains(classes, c) {
			return false
		}
	}
	return true
}

// notes tells of rules that were not followed.
func (s *sheet) notes() []string {
	var notes []string
	for _, selector := range s.skipped {
		notes = append(notes, fmt.Sprintf("style rule for %s is not followed; "+
			"what it shows, hides or shapes was read as if it were not there", quote(selector)))
	}
	return notes
}
