package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// Cloth is folded along the straight grain: a grain line askew to the fold is refused,
// with the next step; one along it or square to it is not, nor one on a piece that was
// unfolded, or is to lie on cloth folded on the bias.
func TestGrainOfAPieceOnTheFold(t *testing.T) {
	p := smallSmock(t)
	for _, turn := range []string{"20deg", "45deg", "-0.11deg", "89.8deg"} {
		_, err := Make(p, recipe("grain", "back", "turn", turn))
		require.ErrorContains(t, err, "back is cut on the fold \"centre back\"", turn)
		require.ErrorContains(t, err, "`toile alter unfold \"back\"`")
	}
	_, err := Make(p, recipe("grain", "back", "along", "side seam"))
	require.ErrorContains(t, err, "--bias")
	for _, turn := range []string{"90deg", "180deg", "0.05deg", "-90deg"} {
		made(t, p, "grain", "back", "turn", turn)
	}
	made(t, made(t, p, "unfold", "back").Pattern, "grain", "back", "turn", "20deg")

	bias := made(t, p, "grain", "back", "turn", "45deg", "bias", "true").Pattern
	require.True(t, pieceOf(t, bias, "back").Grain.Bias)
	_, err = Make(bias, recipe("grain", "back", "no-bias", "true"))
	require.ErrorContains(t, err, "this grain line would lie 45° off it")
	made(t, bias, "grain", "back", "one-way", "true")

	// What lay askew before, as in an older file, may still be said to lie one way.
	askew := p.Clone()
	pieceOf(t, askew, "back").Grain = &pattern.Grain{From: geom.Pt(50, 100), To: geom.Pt(60, 400)}
	made(t, askew, "grain", "back", "one-way", "true")
}

// A piece on the bias is worn aslant to its grain: its hem is taken up along its fold,
// or down the sheet, by the whole amount, and what is marked down from a place lies
// straight below it.
func TestBiasIsNotTheWayDown(t *testing.T) {
	p := smallSmock(t)
	for _, name := range []string{"back", "front"} {
		p = made(t, p, "grain", name, "turn", "45deg", "bias", "true").Pattern
		q := pieceOf(t, made(t, p, "shorten", name, "edge", "hemline", "by", "40").Pattern, name)
		require.InDelta(t, 660, edgePathOf(t, q, "hemline").Start().Y, 0.002)
		require.InDelta(t, 660, edgePathOf(t, q, "hemline").End().Y, 0.002)
	}
	q := pieceOf(t, made(t, p, "mark", "back", "kind", "dot", "at", "shoulder@60, 80 down", "name", "dot").Pattern, "back")
	place := edgePathOf(t, q, "shoulder").PointAt(60).Add(geom.Pt(0, 80))
	require.InDelta(t, 0, q.Marks[0].At.Dist(place), 0.002)
	g := pieceOf(t, made(t, p, "facing", "front", "edges", "front edge", "width", "60", "as", "strip").Pattern, "strip").Grain
	require.NotNil(t, g)
	require.InDelta(t, 45, deg(geom.AngleBetween(geom.Pt(0, 1), g.To.Sub(g.From))), 0.01, "a facing is cut on the grain of its outer")
}
