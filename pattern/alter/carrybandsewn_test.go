package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern"
)

// A sewn waistband with a declared overlap of 300 mm is right, and keeps the
// overlap when the waist is altered; ease-in that is recorded says itself what is
// meant, and so does a band of which a part is sewn.
func TestSewnBandKeepsItsDifference(t *testing.T) {
	p := patternOf(oblongOf("back", 0, 0, 300, 600, "waist", "side seam", "hemline", "centre"), oblongOf("band", 0, 700, 600, 40, "upper", "one end", "waist", "other end"))
	sewAs(t, p, "waist", "band/waist", "back/waist", false)
	p.Layers = []pattern.Layer{{Outer: "back", Inner: []string{"band"}, Band: true, Differences: []pattern.Difference{{What: "overlap", By: 300}}}}
	p = stored(t, p)
	require.Empty(t, laySays(t, p))
	wider := stored(t, made(t, p, "let-out", "back", "edge", "side seam", "by", "10").Pattern)
	require.NotEmpty(t, laySays(t, wider))
	f, ok := bandAlong(wider, "back", "waist", "band")
	require.True(t, ok)
	require.True(t, f.BandLacks(wider))
	r, err := Carry(wider, recipe("carry", "back", "edge", "waist", "to", "band"), []Lacking{{Follower: f}})
	require.NoError(t, err)
	require.InDelta(t, 610, edgePathOf(t, pieceOf(t, r.Pattern, "band"), "waist").Length(), 0.001)
	require.Empty(t, laySays(t, r.Pattern))

	eased := p.Clone()
	eased.Seams[0].Sections = []pattern.Section{{Ease: -300}}
	require.Empty(t, laySays(t, eased), "recorded as well as declared")
	part := p.Clone()
	part.Seams[0].First[0].To = 300
	require.Empty(t, laySays(t, part), "the overlap lies beyond what is sewn")
	short := p.Clone()
	short.Layers[0].Differences[0].By = 290
	require.Len(t, laySays(t, short), 1)
}

// A band along front and back that is declared on both is so much longer once.
func TestSewnBandAlongSeveralOuters(t *testing.T) {
	p := patternOf(oblongOf("back", 0, 0, 300, 600, "waist", "side", "hemline", "centre"), oblongOf("front", 400, 0, 300, 600, "waist", "centre", "hemline", "side"),
		oblongOf("band", 0, 700, 610, 40, "upper", "one end", "lower", "other end"))
	sewAs(t, p, "waist", "band/lower", "back/waist+front/waist", false)
	for _, outer := range []string{"back", "front"} {
		p.Layers = append(p.Layers, pattern.Layer{Outer: outer, Inner: []string{"band"}, Band: true, Differences: []pattern.Difference{{What: "longer", By: 10}}})
	}
	require.Empty(t, laySays(t, stored(t, p)))
	p.Seams[0].First, p.Seams[0].Second = p.Seams[0].Second, p.Seams[0].First
	require.Empty(t, laySays(t, stored(t, p)), "whichever chain is the first")
}
