package render

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern/change"
)

// liningAgainstBack is the lining of a back, 60 mm shorter, against the back.
func liningAgainstBack() change.PieceDiff {
	p := hemUp()
	p.New.Name, p.New.Cloth = "back lining", "lining"
	p.Piece, p.Before, p.Against = "back lining", "back", true
	p.Changes = append(p.Changes, change.Change{Kind: change.NotchRemoved, Edges: []string{"side seam"}, Notch: "hip notch",
		At: change.At(p.Old.Corners[1].At), Says: `the notch "hip notch" on "side seam", 21 cm from its start, is gone`})
	return p
}

// TestAgainstNamesBoth: on the drawing of two pieces nothing is said of before
// and now; title, legend and the labels of the outlines name the two.
func TestAgainstNamesBoth(t *testing.T) {
	var b bytes.Buffer
	p := liningAgainstBack()
	require.NoError(t, Overlay(&b, fixtureSheet(), fixtureDiff(p), p))
	labels := 0
	for _, e := range readSVG(t, b.String()) {
		require.NotEqual(t, "was", e.text)
		require.NotContains(t, e.text, "now:")
		require.NotContains(t, e.text, "before")
		if e.text == "back" {
			labels++
		}
	}
	require.Positive(t, labels, "the old outline is not labelled with its piece")
	requireHas(t, b.String(), "back lining against back", "sewing line of back lining", ">sewing line of back</text>",
		"only in back", "notch of back", "What is different", "back: version 4", "back lining: version 5")
}
