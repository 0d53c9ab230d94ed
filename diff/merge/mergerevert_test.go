package merge

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
)

// A swing inward that came by a merge is taken back to the outline before it.
func TestRevertOfAMergedSwingInward(t *testing.T) {
	s := patternOf(t, pieceOf("back", lineTo("waist", 0, 0, 200, 0), lineTo("side", 200, 0, 240, 600), lineTo("hem", 240, 600, 0, 600), lineTo("centre", 0, 600, 0, 0)))
	for _, angle := range []string{"2.5", "-2.5", "-1", "-4"} {
		there := altered(t, s, "flare", "back", "edge", "side", "angle", angle)
		here := altered(t, s, "shorten", "back", "edge", "hem", "by", "40")
		merged := joined(t, s, here, there)
		back := reverted(t, merged, merged, here)
		require.Equal(t, text(t, here), text(t, back), "taken back at once, %s", angle)
		back = reverted(t, there, merged, s)
		t.Log(angle, corners(back, "back"))
		near(t, geom.Pt(237.333, 560), corners(back, "back")[2], 0.002)
		require.Less(t, outlineApart(here.Pieces[0], back.Pieces[0]), 0.005, angle)
	}
}
