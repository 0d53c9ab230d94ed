package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern"
)

// slitFront is a front split into a and b with a slit of 150 mm at the hem, of which
// the notches "slit from" mark the upper end, 450 mm down the seam.
func slitFront(t *testing.T) *pattern.Pattern {
	p := patternOf(oblongOf("front", 0, 0, 240, 600, "waist", "side seam", "hemline", "fold"))
	p = stored(t, made(t, p, "split", "front", "line", "100,0:100,600", "into", "a,b", "opening", "slit=150@end:0@end").Pattern)
	require.Equal(t, pattern.Opening{Name: "slit", From: 450, To: 600}, p.Seams[0].Openings[0])
	return p
}

// downFrom is how far in mm below the waist a notch lies.
func downFrom(t *testing.T, p *pattern.Pattern, piece, notch string) float64 {
	q := pieceOf(t, p, piece)
	k := q.NotchByName(notch)
	require.GreaterOrEqual(t, k, 0, "%s has %q", piece, notch)
	at, _, _, err := q.NotchPlace(q.Notches[k])
	require.NoError(t, err)
	return at.Y
}

// The notches at an end of an opening go with it; one that was put elsewhere by hand
// stays there.
func TestStopsMovedByHandStay(t *testing.T) {
	p := slitFront(t)
	p = made(t, p, "move", "a", "name", "slit from", "by", "30").Pattern
	at := downFrom(t, p, "a", "slit from")
	require.Greater(t, max(at-450, 450-at), 29.0)
	says := MoveStops(p, &p.Seams[0], p.Seams[0].Openings[0], pattern.Opening{Name: "slit", From: 400, To: 600}, false)
	require.Len(t, says, 1, "that of b alone")
	require.InDelta(t, at, downFrom(t, p, "a", "slit from"), 1e-9)
	require.InDelta(t, 400, downFrom(t, p, "b", "slit from"), 1e-6)
}

// Of an opening that is taken away its notches go too, but for those at which a section
// of the seam ends.
func TestStopsOfASectionStay(t *testing.T) {
	for _, sewnThere := range []bool{false, true} {
		p := slitFront(t)
		seam := &p.Seams[0]
		if sewnThere {
			seam.Sections = []pattern.Section{{First: pattern.NotchRef{Piece: seam.First[0].Piece, Notch: "slit from"}, Second: pattern.NotchRef{Piece: seam.Second[0].Piece, Notch: "slit from"}}, {}}
		}
		MoveStops(p, seam, seam.Openings[0], pattern.Opening{}, true)
		for _, piece := range []string{"a", "b"} {
			require.Equal(t, sewnThere, pieceOf(t, p, piece).NotchByName("slit from") >= 0, "%s, a section ends there: %v", piece, sewnThere)
		}
	}
}

// Two edges made one have the id of the part that the other was divided from, however
// short it became; else that of the longer.
func TestOneEdgeKeepsTheFirstId(t *testing.T) {
	for name, c := range map[string]struct {
		first, second pattern.Edge
		firstLonger   bool
		id, was       string
	}{
		"second from the first, and longer":   {pattern.Edge{ID: "a"}, pattern.Edge{ID: "b", Was: "a"}, false, "a", ""},
		"first from the second, and longer":   {pattern.Edge{ID: "a", Was: "b"}, pattern.Edge{ID: "b"}, true, "b", ""},
		"of other edges, the first longer":    {pattern.Edge{ID: "a", Was: "x"}, pattern.Edge{ID: "b", Was: "y"}, true, "a", "x"},
		"of other edges, the second longer":   {pattern.Edge{ID: "a", Was: "x"}, pattern.Edge{ID: "b", Was: "y"}, false, "b", "y"},
		"first from the second, itself split": {pattern.Edge{ID: "a", Was: "b"}, pattern.Edge{ID: "b", Was: "z"}, true, "b", "z"},
	} {
		whole := mergedEdge(c.first, c.second, c.firstLonger)
		require.Equal(t, c.id, whole.ID, name)
		require.Equal(t, c.was, whole.Was, name)
	}
}
