package render

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// bothChanged is a panel whose hem went up by 60 mm on one side and down by 30
// on the other.
func bothChanged() []change.Conflict {
	hem := func(y float64) *pattern.Piece {
		q := panel(1)
		q.Corners[2].At, q.Corners[3].At = geom.Pt(200+40*y/600, y), geom.Pt(0, y)
		return q
	}
	shared, here, there := panel(1), hem(540), hem(630)
	return []change.Conflict{
		{Where: "side panel/hemline", Piece: "side panel", Edges: []string{"hemline"}, Says: "side panel: \"hemline\": both changed its line, and not in the same way", Shared: shared, Here: here, There: there},
		{Where: "side panel/hip", Piece: "side panel", Says: "side panel: the notch \"hip\": both changed it, and not in the same way", Shared: shared, Here: here, There: there},
	}
}

func TestConflictDrawing(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Conflicts(&b, fixtureSheet(), bothChanged()))
	svg := b.String()
	requireClear(t, svg)
	for _, class := range []string{"here", "there", "shared", "band"} {
		requireHas(t, svg, `class="`+class+`"`)
	}
	requireHas(t, svg, "--keep &#34;here:side", legendWords[legendConflict], ">as both had it<")
}

// A piece that is gone on one side, and no piece at all.
func TestConflictOfARemovedPiece(t *testing.T) {
	c := change.Conflict{Where: "pocket", Piece: "pocket", Says: "pocket was removed there and changed here", Shared: pocketPiece(), Here: pocketPiece()}
	var b bytes.Buffer
	require.NoError(t, Conflicts(&b, fixtureSheet(), []change.Conflict{c}))
	requireLacks(t, b.String(), `class="there"`)
	b.Reset()
	require.ErrorContains(t, Conflicts(&b, fixtureSheet(), []change.Conflict{{Piece: "pocket"}}), "pocket")
	require.Zero(t, b.Len())
	require.Error(t, Conflicts(&b, fixtureSheet(), []change.Conflict{{Piece: "pocket", Here: &pattern.Piece{Name: "pocket"}}}))
}
