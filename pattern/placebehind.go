package pattern

import "strings"

// WithoutEdge is a place on edge i without the edge's own name, EDGE@ before it.
func (p *Piece) WithoutEdge(i int, text string) string {
	text = strings.TrimSpace(text)
	if rest, ok := strings.CutPrefix(text, p.Edges[i].Name+"@"); ok && p.notchOn(i, text) < 0 {
		return strings.TrimSpace(rest)
	}
	return text
}
