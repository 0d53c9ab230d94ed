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
		far := outlineApart(here.Pieces[0], back.Pattern.Pieces[0])
		count.largest(far)
		if far > 0.005 {
			count[offByMore]++
			t.Logf("%s: %.4f", what, far)
		}
	}
	count.log(t)
	require.GreaterOrEqual(t, count["taken back"], rounds()*97/100)
	require.LessOrEqual(t, count["in conflict when merged"], 1+rounds()/1000)
	require.Zero(t, count[offByMore])
}

// What once was up to 0.74 mm off, or could not be told apart: a hem moved and led
// on to a swung seam, a taper on a seam that is longer before, a swing about where
// the seam ended before.
func TestMergesTakenBackThatWereOff(t *testing.T) {
	neckAndArm := []drawn{lineTo("neck", 0, 16.284, 118.021, 0), lineTo("armhole", 118.021, 0, 236.041, 100.007)}
	for _, c := range []struct {
		outline     []drawn
		here, there alteration
	}{
		{append(neckAndArm, curveTo("side", 236.041, 100.007, 231.635, 190.807, 247.553, 340.839, 290.094, 425.319),
			curveTo("hem", 290.094, 425.319, 210.954, 415.044, 108.347, 409.914, -10.799, 412.105), curveTo("centre", -10.799, 412.105, -17.458, 277.231, -12.835, 117.129, 0, 16.284)),
			alteration{"hem", "shorten", []string{"edge", "hem", "by", "19.82"}}, alteration{"side", "flare", []string{"edge", "side", "angle", "-1.20", "from", "96.44"}}},
		{[]drawn{lineTo("neck", 0, 22.872, 80.941, 0), lineTo("armhole", 80.941, 0, 161.882, 159.277), curveTo("side", 161.882, 159.277, 163.806, 235.206, 170.516, 300.783, 182.402, 380.439),
			curveTo("hem", 182.402, 380.439, 119.145, 388.841, 58.007, 390.616, 7.497, 391.853), lineTo("centre", 7.497, 391.853, 0, 22.872)},
			alteration{"side", "take-in", []string{"edge", "side", "by", "2.96", "to", "end"}}, alteration{"hem", "shorten", []string{"edge", "hem", "by", "58.73"}}},
		{[]drawn{lineTo("neck", 0, 18.683, 83.953, 0), lineTo("armhole", 83.953, 0, 167.905, 143.605), curveTo("side", 167.905, 143.605, 165.466, 254.043, 188.857, 456.047, 211.542, 568.282),
			curveTo("hem", 211.542, 568.282, 155.521, 573.952, 61.042, 567.079, -2.564, 556.295), lineTo("centre", -2.564, 556.295, 0, 18.683)},
			alteration{"side", "flare", []string{"edge", "side", "angle", "-2.04"}}, alteration{"armhole", "take-in", []string{"edge", "armhole", "by", "3.81"}}},
	} {
		s := patternOf(t, pieceOf("back", c.outline...))
		here, err := c.here.on(s)
		require.NoError(t, err)
		there, err := c.there.on(s)
		require.NoError(t, err)
		back := reverted(t, there, joined(t, s, here, there), s)
		require.Less(t, outlineApart(here.Pieces[0], back.Pieces[0]), 0.005, "%v, merged with %v", c.here, c.there)
	}
}
