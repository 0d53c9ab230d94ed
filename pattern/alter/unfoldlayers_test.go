package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern"
)

// A right lining stays right drawn whole, in whatever order it and its outer are
// unfolded, and a wrong one is found.
func TestUnfoldedLayersAreAsTheyWere(t *testing.T) {
	p := stored(t, patternOf(oblongOf("back", 0, 0, 300, 600, "shoulder", "side seam", "hemline", "fold")))
	p = stored(t, made(t, p, "lining", "back", "as", "lining", "differs", "back pleat@fold=25,shorter hem@hemline=-20,fuller@side seam=5").Pattern)
	require.Empty(t, laySays(t, p))
	want := []pattern.Difference{{What: "back pleat", By: 50, Piece: "lining"}, {What: "shorter hem", By: -20, Piece: "lining", Edge: "hemline"},
		{What: "fuller", By: 5, Piece: "lining", Edge: "side seam"}, {What: "fuller", By: 5, Piece: "lining", Edge: "other side seam"}}
	for _, order := range [][2]string{{"back", "lining"}, {"lining", "back"}} {
		r := stored(t, made(t, p, "unfold", order[0]).Pattern)
		require.Empty(t, laySays(t, r), "%s alone", order[0])
		r = stored(t, made(t, r, "unfold", order[1]).Pattern)
		require.Empty(t, laySays(t, r), "%v", order)
		require.Equal(t, want, r.Layers[0].Differences)

		wrong := made(t, r, "let-out", "lining", "edge", "other side seam", "by", "10").Pattern
		require.NotEmpty(t, laySays(t, wrong), "10 mm too wide")
		for k := range r.Layers[0].Differences {
			flat := r.Clone()
			flat.Layers[0].Differences[k].By = 0
			require.NotEmpty(t, laySays(t, flat), "without %v", r.Layers[0].Differences[k])
		}
	}
}
