package alter

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"toile/pattern"
)

var _ = register(&Kind{Name: "notch", Does: "cuts a notch at a distance along an edge",
	Keys: []Key{
		{Name: "edge", What: Edge, Needed: true, Typed: true, Means: "the edge"},
		{Name: "at", What: Along, Needed: true, Typed: true, Means: "where: L along it from its start, L@end, L@hemline from its end at that edge, L@NOTCH from another notch, or \"12cm from LINE\""},
		{Name: "name", What: Name, Means: "what it is called; without it \"notch\", with a number where that is taken"},
		{Name: "count", What: Text, Means: "how many cuts: 1, 2 or more; one marks the front, two the back"},
		onToile,
	}, Alike: []string{"remove"}, Typed: `back "side seam" 31cm --both`, make: (*making).notch})

func (m *making) notch() error {
	i, err := m.edge("edge")
	if err != nil {
		return err
	}
	fromStart, err := m.along("at", i, false)
	if err != nil {
		return err
	}
	n := pattern.Notch{Edge: m.piece.Edges[i].Name, At: roundTo(fromStart), Count: 1}
	if countsFromEnd(m.piece, i, m.text("at")) {
		n.FromEnd = true
		n.At = roundTo(m.piece.EdgePath(i).Length() - fromStart)
	}
	if m.has("count") {
		if n.Count, err = strconv.Atoi(m.text("count")); err != nil || n.Count < 1 || n.Count > 4 {
			return fmt.Errorf("count: %q is no number of cuts; give 1 to 4", m.text("count"))
		}
	}
	n.Name = freeNotch(m.piece, "notch")
	if m.has("name") {
		if n.Name, err = pattern.CleanName(m.text("name")); err != nil {
			return fmt.Errorf("name: %w", err)
		}
		if k := m.piece.NotchByName(n.Name); k >= 0 {
			return fmt.Errorf("%s has a notch %q already, on %q; choose another name, or take that one away first", m.piece.Name, n.Name, m.piece.Notches[k].Edge)
		}
	}
	for _, k := range m.piece.Marks {
		if (k.Kind == pattern.MarkDart || k.Kind == pattern.MarkPleat) && k.Edge == n.Edge && fromStart > k.From+0.5 && fromStart < k.To-0.5 {
			m.say("%s: the notch %q lies in the %s %q, which is folded away when it is sewn", m.piece.Name, n.Name, k.Kind, k.Name)
		}
	}
	m.piece.Notches = append(m.piece.Notches, n)
	return begin(m.piece).finish()
}

// countsFromEnd reports whether a place along edge i is counted from the edge's
// end, or from a notch towards its start: a notch made there keeps to that end.
func countsFromEnd(q *pattern.Piece, i int, place string) bool {
	_, anchor, ok := strings.Cut(place, "@")
	if anchor = strings.TrimSpace(anchor); !ok {
		return false
	}
	if k := q.NotchByName(anchor); k >= 0 && q.Notches[k].Edge == q.Edges[i].Name {
		return false
	}
	if notch, next, towards := cutLast(anchor, "@"); towards && notch != "" {
		atEnd, ok := q.EndNamed(i, next)
		return ok && !atEnd
	}
	atEnd, ok := q.EndNamed(i, anchor)
	return ok && atEnd
}

// cutLast divides a text at the last separator.
func cutLast(text, sep string) (before, after string, found bool) {
	if k := strings.LastIndex(text, sep); k >= 0 {
		return strings.TrimSpace(text[:k]), strings.TrimSpace(text[k+len(sep):]), true
	}
	return text, "", false
}

func roundTo(mm float64) float64 { return math.Round(mm*1000) / 1000 }

func (m *making) notchNames() string {
	text := ""
	for i, n := range m.piece.Notches {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%q", n.Name)
	}
	if text == "" {
		return "none"
	}
	return text
}
