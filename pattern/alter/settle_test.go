package alter

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Every place along an edge is kept with the end that it is counted from or towards
// named by the edge that lies there, so that it is the same place on a mirror image;
// each settled place lies where the typed one does.
func TestPlacesAlongAreSettledByTheEdgeAtTheEnd(t *testing.T) {
	p := smallSmock(t)
	q := pieceOf(t, p, "back")
	i, err := q.EdgeIndex("side seam")
	require.NoError(t, err)
	start, end := q.EndName(i, false), q.EndName(i, true)
	for typed, want := range map[string]string{
		"20": "20@" + start, "20@start": "20@" + start, "20@end": "20@" + end,
		"20@hip": "20@hip@" + end, "20@hip@start": "20@hip@" + start, "20@hip@end": "20@hip@" + end,
		"20@hip@" + start: "20@hip@" + start, "20@hip@nowhere": "20@hip@nowhere", "hip": "hip",
	} {
		r := Settled(p, recipe("notch", "back", "edge", "side seam", "at", typed))
		require.Equal(t, want, r.Values["at"], typed)
		m := &making{pattern: p, piece: q}
		was, err := q.AlongEdge(i, typed, false, m.ruler())
		if typed == "20@hip@nowhere" {
			require.Error(t, err)
			continue
		}
		require.NoError(t, err, typed)
		now, err := q.AlongEdge(i, want, false, m.ruler())
		require.NoError(t, err, want)
		require.InDelta(t, was, now, 1e-9, typed)
	}
}
