package alter

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// foldedSkirt is a front, a back and a waistband, all on the fold, sewn at the
// sides and the waist.
func foldedSkirt(t *testing.T) *pattern.Pattern {
	p := patternOf(oblongOf("front", 0, 0, 240, 600, "waist", "side seam", "hemline", "fold"), oblongOf("back", 0, 0, 260, 600, "waist", "side seam", "hemline", "fold"),
		oblongOf("band", 0, 0, 500, 40, "upper", "end", "lower", "fold"))
	sewAs(t, p, "side", "front/side seam", "back/side seam", true)
	sewAs(t, p, "waist", "front/waist:turned+back/waist", "band/lower", false)
	return stored(t, p)
}

// Both halves of a garment are mirror images: in whatever order its pieces are
// drawn whole, each half is sewn once, and going from seam to seam from the half
// of one piece to those that are sewn to it never leads to its other half.
func TestUnfoldSewsHalfToHalf(t *testing.T) {
	for _, order := range [][]string{{"back", "front", "band"}, {"front", "band", "back"}, {"band", "front", "back"}} {
		p := foldedSkirt(t)
		for _, name := range order {
			p = stored(t, made(t, p, "unfold", name).Pattern)
		}
		require.Len(t, p.Seams, 4, "%v", order)
		require.ElementsMatch(t, []string{"side", "waist", "other side", "other waist"}, []string{p.Seams[0].Name, p.Seams[1].Name, p.Seams[2].Name, p.Seams[3].Name})
		sides := map[string]map[bool]bool{}
		for _, s := range p.Seams {
			other := strings.HasPrefix(s.Name, "other")
			for _, st := range append(slices.Clone(s.First), s.Second...) {
				right := (&making{pattern: p}).middleOf(st).X > 0
				if sides[st.Piece] == nil {
					sides[st.Piece] = map[bool]bool{}
				}
				if was, known := sides[st.Piece][other]; known {
					require.Equal(t, was, right, "%v: %s in %s", order, st, s.Name)
				}
				sides[st.Piece][other] = right
			}
			sections, err := p.WalkSeam(&s)
			require.NoError(t, err)
			require.InDelta(t, 0, sections[0].Difference(), 0.01)
		}
		for piece, side := range sides {
			require.NotEqual(t, side[true], side[false], "%v: %s", order, piece)
		}
		require.Empty(t, laySays(t, p))
	}
}

// Listed the other way round, the seams of the halves are told apart by where
// they lie.
func TestUnfoldTellsHalvesByPlace(t *testing.T) {
	p := made(t, foldedSkirt(t), "unfold", "back").Pattern
	p.Seams[1], p.Seams[3] = p.Seams[3], p.Seams[1] // the waists
	p = made(t, p, "unfold", "front").Pattern
	side, waist := p.Seams[0], p.Seams[3]
	require.Equal(t, "waist", waist.Name)
	require.Equal(t, "front/side seam=back/side seam", side.First.String()+"="+side.Second.String())
	mid := (&making{pattern: p}).middleOf(waist.First[0])
	require.InDelta(t, 0, mid.Dist(geom.Pt(120, 0)), 1e-3)
}

// One piece over the fold of another, and a section: a yoke over a back, matched
// at a notch.
func TestUnfoldSewsYokeTwice(t *testing.T) {
	p := patternOf(oblongOf("back", 0, 0, 240, 600, "yoke seam", "side seam", "hemline", "fold"), oblongOf("yoke", 0, 0, 240, 100, "neckline", "armhole", "back seam", "fold"))
	for k, edge := range []string{"yoke seam", "back seam"} {
		p.Pieces[k].Notches = []pattern.Notch{{Name: "match", Edge: edge, At: 80, FromEnd: k == 1, Count: 1}}
	}
	sewAs(t, p, "yoke", "back/yoke seam", "yoke/back seam", false)
	p.Seams[0].Sections = []pattern.Section{{First: pattern.NotchRef{Piece: "back", Notch: "match"}, Second: pattern.NotchRef{Piece: "yoke", Notch: "match"}}, {}}
	p = stored(t, p)
	p = stored(t, made(t, p, "unfold", "back").Pattern)
	p = stored(t, made(t, p, "unfold", "yoke").Pattern)
	require.Len(t, p.Seams, 2)
	for k, want := range []pattern.NotchRef{{Piece: "yoke", Notch: "match"}, {Piece: "yoke", Notch: "other match"}} {
		require.Equal(t, want, p.Seams[k].Sections[0].Second)
		sections, err := p.WalkSeam(&p.Seams[k])
		require.NoError(t, err)
		for _, s := range sections {
			require.InDelta(t, 0, s.Difference(), 1e-3)
		}
	}
}
