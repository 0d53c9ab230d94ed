package render

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"toile/geom"
	"toile/pattern"
)

// The pieces' edges are a, b, c and d in turn.
func TestPlacesInWords(t *testing.T) {
	p := &pattern.Piece{Name: "pocket"}
	for i, at := range []geom.Point{geom.Pt(0, 0), geom.Pt(160, 0), geom.Pt(160, 190), geom.Pt(0, 190)} {
		p.Corners = append(p.Corners, pattern.Corner{At: at})
		p.Edges = append(p.Edges, pattern.Edge{Name: string(rune('a' + i)), Handles: []*pattern.Handles{nil}})
	}
	for typed, said := range map[string]string{
		"b@4cm":                   "on the b, 4 cm from a",
		"a@6 cm, 4cm in":          "on the a, 6 cm from d, 4 cm inside it",
		"d@1.5cm@end":             "on the d, 1.5 cm from a",
		"a/b":                     "the corner of a and b",
		"b@4cm@notch":             "b@4 cm@notch",
		"10cm from a, 2cm from b": "10 cm from a, 2 cm from b",
		"pocket top":              "pocket top",
		"e@4cm":                   "e@4 cm",
	} {
		assert.Equal(t, said, PlaceWords(p, typed), typed)
	}
	assert.Equal(t, "b@4cm", PlaceWords(nil, "b@4cm"))
}
