package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// waisted is a front of 300 × 600 mm with a waist dart, mouth 100 to 130 mm along
// the waist, of this depth.
func waisted(t *testing.T, deep float64) *pattern.Pattern {
	q := drawPiece("front", "outer", pattern.CutPair, lineTo("waist", 0, 0, 300, 0), lineTo("side", 300, 0, 300, 600),
		lineTo("hemline", 300, 600, 0, 600), lineTo("front edge", 0, 600, 0, 0))
	q.Marks = []pattern.Mark{{Kind: pattern.MarkDart, Name: "waist dart", Edge: "waist", From: 100, To: 130, At: geom.Pt(115, deep)}}
	p := pattern.New("waisted", units.Millimetre)
	q.Slug = p.NewSlug(q.Name)
	p.Put(q)
	p.GiveIDs(q)
	sewn(t, p)
	return p
}

// A facing, a lining or a split that would cut through a dart is refused with what
// to do instead; what runs beside the dart is made, and a dart that lies on the new
// piece whole comes along.
func TestNothingCutsThroughADart(t *testing.T) {
	p := waisted(t, 100)
	refused := func(says string, kind string, values ...string) {
		t.Helper()
		_, err := Make(p, recipe(kind, "front", values...))
		require.ErrorContains(t, err, says)
	}
	refused(`the dart "waist dart" takes 30 mm out of it`, "facing", "edges", "waist", "width", "50", "as", "facing")
	refused("close it on paper", "facing", "edges", "front edge,waist", "width", "50", "as", "facing")
	refused("runs through the dart", "facing", "edges", "front edge", "width", "110", "as", "facing")
	refused("neither part could close it", "split", "line", "side@50:front edge@550", "into", "front,lower")
	refused("neither part could close it", "split", "line", "waist@110:hemline@150", "into", "front,side")

	side := pieceOf(t, made(t, p, "facing", "front", "edges", "front edge", "width", "70", "as", "facing").Pattern, "facing")
	require.Empty(t, side.Marks)
	wide := made(t, p, "facing", "front", "edges", "waist", "width", "150", "as", "facing").Pattern
	require.Equal(t, pieceOf(t, p, "front").Marks, pieceOf(t, wide, "facing").Marks)
	require.Equal(t, pieceOf(t, p, "front").Marks, pieceOf(t, made(t, p, "lining", "front", "as", "lining").Pattern, "lining").Marks)
	for _, line := range []string{"side@200:front edge@450", "waist@140:hemline@150", "side@100:front edge@500"} {
		parts := made(t, p, "split", "front", "line", line, "into", "front,other").Pattern
		require.Equal(t, pieceOf(t, p, "front").Marks, append(pieceOf(t, parts, "front").Marks, pieceOf(t, parts, "other").Marks...), line)
	}
}

// The lining below a facing that lies over a dart would end in the middle of it; cut
// whole it has it. The facing is drawn with the dart closed.
func TestLiningUnderADart(t *testing.T) {
	p := waisted(t, 100)
	f := drawPiece("facing", "facing cloth", pattern.CutPair, lineTo("waist", 0, 0, 270, 0), lineTo("outer end", 270, 0, 270, 50),
		lineTo("lower edge", 270, 50, 0, 50), lineTo("front edge", 0, 50, 0, 0))
	f.Slug = p.NewSlug(f.Name)
	p.Put(f)
	p.GiveIDs(f)
	_, err := Make(p, recipe("lining", "front", "facing", "facing", "as", "lining"))
	require.ErrorContains(t, err, `in the middle of the dart "waist dart" at "waist"; cut the lining like the outer, with`+" `--whole`")
	whole := made(t, p, "lining", "front", "facing", "facing", "whole", "true", "as", "lining").Pattern
	require.Equal(t, pattern.MarkDart, pieceOf(t, whole, "lining").Marks[0].Kind)
}

// A dart 100 deep on a waist that is taken down by 90 keeps 10 of its depth; by 110 its
// point would lie 10 off the piece: the alteration is refused, as one that cuts off a
// mouth is, also where an edge beside the dart would go past its point.
func TestADartsPointIsNotCutOff(t *testing.T) {
	p := waisted(t, 100)
	front := pieceOf(t, made(t, p, "shorten", "front", "edge", "waist", "by", "90").Pattern, "front")
	require.Equal(t, geom.Pt(115, 100), front.Marks[0].At)
	require.InDelta(t, 90, front.Corners[0].At.Y, 1e-9)
	for _, kind := range []string{"shorten", "take-in"} {
		_, err := Make(p, recipe(kind, "front", "edge", "waist", "by", "110"))
		require.ErrorContains(t, err, `front, "waist": the dart "waist dart" would be cut off, its point at (115.0, 100.0) would lie 10 mm off the piece; give less`, kind)
	}
	_, err := Make(p, recipe("shorten", "front", "edge", "hemline", "by", "520"))
	require.ErrorContains(t, err, "would lie 20 mm off the piece")
}
