package render

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"toile/pattern"
)

var (
	alongEdge = regexp.MustCompile(`^([^@,]+)@(\d[\d./ ]*\pL*)(@start|@end)?$`)
	stepIn    = regexp.MustCompile(`^(\d[\d./ ]*\pL*)\s+(in|out|down|up)$`)
	unitOf    = regexp.MustCompile(`(\d)(cm|mm|in)\b`)
)

// PlaceWords says a typed place of a piece as a sewist would: "on the neckline,
// 4 cm from shoulder". Edges are named by the neighbour at the end that was
// measured from. What it does not know is given back as it was typed; so is all
// where the piece is nil.
func PlaceWords(p *pattern.Piece, place string) string {
	if p == nil {
		return place
	}
	parts := strings.Split(place, ",")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	parts[0] = spotWords(p, parts[0])
	for i, part := range parts[1:] {
		if m := stepIn.FindStringSubmatch(part); m != nil {
			parts[i+1] = m[1] + " " + map[string]string{"in": "inside it", "out": "outside it", "down": "down", "up": "up"}[m[2]]
		}
	}
	return unitOf.ReplaceAllString(strings.Join(parts, ", "), "$1 $2")
}

// spotWords says a corner or a place on an edge.
func spotWords(p *pattern.Piece, text string) string {
	names := p.EdgeNames()
	if a, b, ok := strings.Cut(text, "/"); ok && slices.Contains(names, a) && slices.Contains(names, b) {
		return fmt.Sprintf("the corner of %s and %s", a, b)
	}
	m := alongEdge.FindStringSubmatch(text)
	if m == nil {
		return text
	}
	i := slices.Index(names, strings.TrimSpace(m[1]))
	if i < 0 {
		return text
	}
	beside := names[(i+len(names)-1)%len(names)]
	if m[3] == "@end" {
		beside = names[(i+1)%len(names)]
	}
	return fmt.Sprintf("on the %s, %s from %s", names[i], m[2], beside)
}
