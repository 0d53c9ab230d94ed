package diff

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/change"
)

// Both sides straight from corner to corner before and after, one of them along
// the way in which the hem moved: a strip may have been folded out anywhere
// between, and no place is told.
func TestFoldedOutAnywhere(t *testing.T) {
	lines := func(down float64, side ...geom.Point) []geom.Path {
		end := side[len(side)-1]
		return []geom.Path{geom.Polyline(geom.Pt(0, 0), geom.Pt(250, 0)), geom.Polyline(append([]geom.Point{geom.Pt(250, 0)}, side...)...),
			geom.Polyline(end, geom.Pt(100, down+10), geom.Pt(0, down)), geom.Polyline(geom.Pt(0, down), geom.Pt(0, 0))}
	}
	a := build("panel", skirtEdges, lines(560, geom.Pt(270, 560))...)
	ch := spreadOf(t, compare(t, a, build("panel", skirtEdges, lines(520, geom.Pt(270, 520))...)))
	require.Contains(t, ch.Says, `folded out along a line from "side seam" to "centre"`)
	require.Contains(t, ch.Says, "where along these edges the line lies, the outlines do not tell")
	require.Empty(t, ch.From)

	// With the step at 250 left standing the side tells, and the centre follows it.
	step := 20 * 290. / 560
	a = build("panel", skirtEdges, lines(560, geom.Pt(270, 560))...)
	b := build("panel", skirtEdges, lines(520, geom.Pt(250+20*250./560, 250), geom.Pt(250+step, 250), geom.Pt(270, 520))...)
	ch = spreadOf(t, compare(t, a, b))
	require.NotContains(t, ch.Says, "do not tell")
	require.Contains(t, ch.Says, `from "waist" if the line runs square to the move)`, "straight along the way before and after, the centre does not tell")
	require.Equal(t, 1, strings.Count(ch.Says, "square to the move"))
	for _, from := range ch.From {
		require.InDelta(t, 270, from.Far, 20.1, "in the strip of 40 mm from 250 on")
	}
}

func spreadOf(t *testing.T, d change.PieceDiff) change.Change {
	t.Helper()
	for _, ch := range d.Changes {
		if ch.Kind == change.Spread {
			return ch
		}
	}
	t.Fatalf("no part moved as one: %v", d.Changes)
	return change.Change{}
}
