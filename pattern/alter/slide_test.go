package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/pattern"
)

// A waist drawn whole is sewn in two seams that divide it at the centre: taken in
// at either side, it loses that on its own half, and the division stays at x = 0.
func TestDivisionStaysInCloth(t *testing.T) {
	p := made(t, foldedSkirt(t), "unfold", "front").Pattern
	for edge, want := range map[string][2]float64{"side seam": {230, 240}, "other side seam": {240, 230}} {
		q := stored(t, made(t, p, "take-in", "front", "edge", edge, "by", "10").Pattern)
		for k, name := range []string{"waist", "other waist"} {
			s := seamNamed(q, name)
			require.NotNil(t, s)
			walked, _, err := q.WalkChains(s)
			require.NoError(t, err)
			require.InDelta(t, want[k], walked.Parts[0].Length(), 1e-3, "%s, %s", edge, name)
			front := pieceOf(t, q, "front")
			i, err := front.EdgeIndex("waist")
			require.NoError(t, err)
			ends := []float64{front.EdgePath(i).PointAt(walked.Parts[0].From).X, front.EdgePath(i).PointAt(walked.Parts[0].To).X}
			require.InDelta(t, 0, min(max(ends[0], -ends[0]), max(ends[1], -ends[1])), 1e-3)
		}
	}
}

// A slit at the hem, 150 long, keeps its length and goes with the hem, with the
// notches of its stop on both parts; a seam that is left too short for it is refused.
func TestSlitGoesWithHem(t *testing.T) {
	p := patternOf(oblongOf("front", 0, 0, 240, 600, "waist", "side seam", "hemline", "fold"))
	p = stored(t, made(t, p, "split", "front", "line", "100,0:100,600", "into", "a,b", "opening", "slit=150@end:0@end").Pattern)
	seam := p.Seams[0]
	require.Equal(t, pattern.Opening{Name: "slit", From: 450, To: 600}, seam.Openings[0])
	for kind, by := range map[string]float64{"lengthen": 40, "shorten": -40} {
		q := p
		for _, st := range []pattern.Stretch{seam.First[0], seam.Second[0]} {
			q = made(t, q, kind, st.Piece, "edge", "hemline", "by", "40", "along", st.Edge).Pattern
			require.Equal(t, pattern.Opening{Name: "slit", From: 450 + by, To: 600 + by}, q.Seams[0].Openings[0])
		}
		for _, st := range []pattern.Stretch{seam.First[0], seam.Second[0]} {
			piece := pieceOf(t, q, st.Piece)
			at, _, _, err := piece.NotchPlace(piece.Notches[piece.NotchByName("slit from")])
			require.NoError(t, err)
			require.InDelta(t, 450+by, at.Y, 1e-3)
		}
		require.Empty(t, laySays(t, stored(t, q)))
	}
	waist := made(t, p, "shorten", seam.First[0].Piece, "edge", "waist", "by", "30").Pattern
	require.Equal(t, pattern.Opening{Name: "slit", From: 420, To: 570}, waist.Seams[0].Openings[0], "cut at the other end it stays at the hem")
	_, err := Make(p, recipe("shorten", seam.First[0].Piece, "edge", "hemline", "by", "460"))
	require.ErrorContains(t, err, `there is no room left for the opening "slit" of the seam "a to b", from 450 mm to 600 mm; move it first, its notches with it, with `+"`"+`toile seam "a to b" --open "slit=FROM:TO"`)
	for _, name := range []string{"slit from", "match"} {
		p = made(t, p, "remove", "a", "name", name).Pattern
	}
	q := made(t, p, "shorten", seam.First[0].Piece, "edge", "hemline", "by", "460").Pattern
	require.ErrorContains(t, q.ValidateSeam(&q.Seams[0]), "move it with `toile seam")
}

// Inputs of mended bugs. A slit of an older file, the stops of which are counted from the
// waist, goes with the hem, and they with it; so they do where the hem of the other part
// alone is altered first. The notches that match both parts meet still.
func TestStopsCountedFromTheOtherEnd(t *testing.T) {
	p := patternOf(oblongOf("front", 0, 0, 240, 600, "waist", "side seam", "hemline", "fold"))
	p = stored(t, made(t, p, "split", "front", "line", "100,0:100,600", "into", "a,b", "opening", "slit=150@end:0@end").Pattern)
	for _, q := range p.Pieces {
		n := &q.Notches[q.NotchByName("slit from")]
		n.At, n.FromEnd = 600-n.At, !n.FromEnd
	}
	seam := p.Seams[0]
	for kind, by := range map[string]float64{"lengthen": 40, "shorten": -40} {
		for _, order := range [][2]pattern.Stretch{{seam.First[0], seam.Second[0]}, {seam.Second[0], seam.First[0]}} {
			q := p
			for _, st := range order {
				q = made(t, q, kind, st.Piece, "edge", "hemline", "by", "40", "along", st.Edge).Pattern
			}
			require.Equal(t, pattern.Opening{Name: "slit", From: 450 + by, To: 600 + by}, q.Seams[0].Openings[0])
			for _, st := range order {
				for name, y := range map[string]float64{"slit from": 450 + by, "match": 300} {
					piece := pieceOf(t, q, st.Piece)
					at, _, _, err := piece.NotchPlace(piece.Notches[piece.NotchByName(name)])
					require.NoError(t, err)
					require.InDelta(t, y, at.Y, 1e-3, "%s of %s, %s", name, st.Piece, kind)
				}
			}
		}
	}
}
