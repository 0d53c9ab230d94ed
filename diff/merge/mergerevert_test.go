package merge

import (
	"fmt"
	"math/rand/v2"
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

// A branch's version that was merged is taken back: what is left is what there
// was before the merge.
func TestMergesTakenBackAtRandom(t *testing.T) {
	seed := uint64(20260614)
	t.Logf("seed %d", seed)
	r, count := maker{rand.New(rand.NewPCG(seed, 3))}, tally{}
	for done := 0; done < rounds(); {
		s, a, b, here, there := r.sides(t)
		if s == nil {
			continue
		}
		done++
		count["pieces"]++
		what := fmt.Sprintf("piece %d: %v, merged with %v, that taken back", done, a, b)
		res, err := Merge(Input{Shared: s, Here: here, There: there})
		require.NoError(t, err, what)
		if len(res.Conflicts) > 0 {
			count["in conflict when merged"]++
			continue
		}
		back, err := Merge(Input{Shared: there, Here: res.Pattern, There: s, Revert: true})
		require.NoError(t, err, what)
		if len(back.Conflicts) > 0 {
			count["conflict: "+kindOf(back.Conflicts[0].Says)]++
			if testing.Verbose() {
				t.Log(what, back.Conflicts[0].Says)
			}
			continue
		}
		count["taken back"]++
		if far := outlineApart(here.Pieces[0], back.Pattern.Pieces[0]); far > 0.005 {
			count[offByMore]++
			if far > 0.15 {
				count["…and farther off than 0.15 mm"]++
				t.Logf("%s: %.4f", what, far)
			}
			if testing.Verbose() {
				t.Logf("%s: %.4f", what, far)
			}
		}
	}
	count.log(t)
	require.GreaterOrEqual(t, count["taken back"], rounds()*97/100)
	require.LessOrEqual(t, count["in conflict when merged"], 1+rounds()/1000)
	require.LessOrEqual(t, count[offByMore], 1+rounds()/200)
	require.LessOrEqual(t, count["…and farther off than 0.15 mm"], rounds()/1000)
}
