package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// Shortening takes cloth away and lengthening adds some, at whichever edge of a
// piece: the upper edge of a pocket comes down, its side by exactly as much where
// that runs along the grain.
func TestShortenedAtAnyEdge(t *testing.T) {
	p := smallSmock(t)
	tried := 0
	for _, q := range p.Pieces {
		was, err := q.NetArea()
		require.NoError(t, err)
		for _, e := range q.Edges {
			for kind, sign := range map[string]float64{"shorten": -1, "lengthen": 1} {
				for _, how := range []string{"", "true"} {
					res, err := Make(p, recipe(kind, q.Name, "edge", e.Name, "by", "5", "parallel", how))
					if err != nil {
						continue // along the grain, or its neighbours do not meet it
					}
					tried++
					now, err := pieceOf(t, res.Pattern, q.Name).NetArea()
					require.NoError(t, err)
					require.Positive(t, sign*(now-was), "%s %s %s, parallel %q", kind, q.Name, e.Name, how)
				}
			}
		}
	}
	require.Greater(t, tried, 20)
	pocket := pieceOf(t, made(t, p, "shorten", "pocket", "edge", "opening", "by", "20").Pattern, "pocket")
	require.Equal(t, geom.Pt(0, 20), pocket.Corners[0].At)
	require.Equal(t, geom.Pt(160, 20), pocket.Corners[1].At)
}

// A tuck takes the amount out of the piece also where the edge that was named
// lies above its line: common practice, every piece at that level loses as much
// along the grain.
func TestATuckBelowAnUpperEdge(t *testing.T) {
	p := smallSmock(t)
	for kind, by := range map[string]float64{"shorten": -50, "lengthen": 50} {
		for _, edge := range []string{"shoulder", "hemline"} {
			got := made(t, p, kind, "back", "edge", edge, "by", "50", "inside", "side seam@200:centre back@270").Pattern
			for piece, fold := range map[string]string{"back": "centre back", "front": "front edge"} {
				was, now := edgePathOf(t, pieceOf(t, p, piece), fold), edgePathOf(t, pieceOf(t, got, piece), fold)
				require.InDelta(t, by, now.Length()-was.Length(), 0.002, "%s at %s: %s", kind, edge, piece)
			}
			sections, err := got.WalkSeam(&got.Seams[0])
			require.NoError(t, err)
			for _, c := range sections {
				require.InDelta(t, 0, c.Difference(), pattern.New("", "mm").Tolerances.Section)
			}
		}
	}
}
