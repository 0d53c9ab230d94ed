package alter

import (
	"maps"
	"slices"
	"strings"

	"toile/pattern"
)

// Settled is a recipe with the ends of edges of the pattern's piece named by the
// edges that lie there, so that it means the same places on a mirror image, on
// which edges run the other way. What the pattern does not tell stays as it is.
func Settled(p *pattern.Pattern, r Recipe) Recipe {
	k := kinds[r.Kind]
	q, err := p.Piece(r.Piece)
	if k == nil || err != nil {
		return r
	}
	r.Values = maps.Clone(r.Values)
	m := &making{pattern: p, piece: q, recipe: r}
	m.nameEnds(k)
	return m.recipe
}

// nameEnds names the ends of edges in the recipe by the edges that lie there.
func (m *making) nameEnds(k *Kind) {
	i := m.edgeCounted(k)
	tapers := k.Name == "let-out" || k.Name == "take-in" || k.Name == "shift-seam"
	if tapers && i >= 0 && m.has("from") && !m.has("to") {
		m.recipe.Values["to"] = "end"
	}
	if kind := strings.ToLower(m.text("kind")); k.Name == "mark" && kind == string(pattern.MarkPleat) && !m.has("towards") {
		m.recipe.Values["towards"] = "end"
	}
	for _, key := range k.Keys {
		text := m.text(key.Name)
		switch {
		case text == "":
		case key.What == Along && i >= 0:
			text = namedAlong(m.piece, i, text, k.Name == "flare" && !m.farFromHem(begin(m.piece), i))
		case key.What == End && i >= 0:
			if atEnd, ok := m.piece.EndNamed(i, text); ok {
				text = m.piece.EndName(i, atEnd)
			}
		case key.What == Place && k.Name == "move" && i >= 0:
			text = namedAlong(m.piece, i, text, false)
		case key.What == Place:
			text = namedPlace(m.piece, text)
		case key.What == Line:
			text = namedLines(m.piece, text)
		}
		if text != m.text(key.Name) {
			m.recipe.Values[key.Name] = text
		}
	}
}

// edgeCounted is the edge along which the places of a recipe are counted: the one
// it names, or on which the notch lies that it moves; −1 where there is none.
func (m *making) edgeCounted(k *Kind) int {
	name := m.text("edge")
	if k.Name == "move" {
		n := m.piece.NotchByName(m.text("name"))
		if n < 0 {
			return -1
		}
		name = m.piece.Notches[n].Edge
	}
	if i, err := m.piece.EdgeIndex(name); err == nil && name != "" {
		return i
	}
	return -1
}

// namedAlong is a place along edge i with the end from which it is counted, or
// towards which it is counted from a notch, named by the edge that lies there. A
// bare length is counted from the start, or with fromEnd from the end.
func namedAlong(q *pattern.Piece, i int, text string, fromEnd bool) string {
	text = q.WithoutEdge(i, text)
	amount, anchor, ok := strings.Cut(text, "@")
	anchor = strings.TrimSpace(anchor)
	onEdge := func(name string) bool {
		k := q.NotchByName(name)
		return k >= 0 && q.Notches[k].Edge == q.Edges[i].Name
	}
	named := func(before string, atEnd bool) string {
		if name := q.EndName(i, atEnd); name != "start" && name != "end" {
			return before + "@" + name
		}
		return text
	}
	if notch, towards, ok := cutLast(anchor, "@"); ok && !onEdge(anchor) && onEdge(strings.TrimSpace(notch)) { // L@NOTCH@END
		if atEnd, end := q.EndNamed(i, strings.TrimSpace(towards)); end {
			return named(amount+"@"+strings.TrimSpace(notch), atEnd)
		}
		return text
	}
	switch atEnd, end := q.EndNamed(i, anchor); {
	case onEdge(text) || strings.Contains(text, " from "):
		return text
	case !ok:
		return named(text, fromEnd)
	case onEdge(anchor):
		return named(text, true)
	case end:
		return named(amount, atEnd)
	}
	return text
}

// namedPlace does that for a place of the piece, as pattern.Piece.FindPlace reads it.
func namedPlace(q *pattern.Piece, text string) string {
	parts := strings.Split(text, ",")
	first := strings.TrimSpace(parts[0])
	named := func(name string) bool {
		return q.NotchByName(name) >= 0 || slices.ContainsFunc(q.Marks, func(k pattern.Mark) bool { return k.Name == name })
	}
	if named(strings.TrimSpace(text)) || named(first) {
		return text
	}
	for k := range len(first) {
		if first[k] != '@' {
			continue
		}
		i, err := q.EdgeIndex(strings.TrimSpace(first[:k]))
		if err != nil {
			continue
		}
		parts[0] = first[:k+1] + namedAlong(q, i, strings.TrimSpace(first[k+1:]), false)
		return strings.Join(parts, ",")
	}
	return text
}

// namedLines does that for lines PLACE:PLACE with ; between.
func namedLines(q *pattern.Piece, text string) string {
	lines := strings.Split(text, ";")
	for k, line := range lines {
		if first, second, ok := strings.Cut(line, ":"); ok {
			lines[k] = namedPlace(q, strings.TrimSpace(first)) + ":" + namedPlace(q, strings.TrimSpace(second))
		}
	}
	return strings.Join(lines, ";")
}
