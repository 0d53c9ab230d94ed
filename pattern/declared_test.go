package pattern

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What is declared at an edge counts for the piece that it names, or for all; what
// names no edge counts nowhere in particular, but for the length of a band.
func TestDeclaredAtAnEdge(t *testing.T) {
	l := Layer{Outer: "back", Inner: []string{"facing", "lining"}, Differences: []Difference{
		{What: "shorter", By: -20, Piece: "lining", Edge: "hemline"},
		{What: "turn of cloth", By: -2, Edge: "hemline"},
		{What: "pleat", By: 25, Piece: "lining"},
	}}
	for _, c := range []struct {
		inner, edge string
		by          float64
		any         bool
		follow      int
	}{
		{"lining", "hemline", -22, true, 3},
		{"facing", "hemline", -2, true, 1},
		{"lining", "side seam", 0, false, 1},
		{"facing", "side seam", 0, false, 0},
	} {
		by, any := l.Declared(c.inner, c.edge)
		require.Equal(t, c.by, by, "%v", c)
		require.Equal(t, c.any, any, "%v", c)
		follow := 0
		for _, d := range l.Differences {
			if d.Follows(c.inner, c.edge) {
				follow++
			}
		}
		require.Equal(t, c.follow, follow, "%v", c)
	}
}
