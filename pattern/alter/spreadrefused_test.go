package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// What is opened in the mouth of a dart or pleat, or through a dart, would be what
// that takes out: no place for a slash. Beside a leg it is.
func TestSpreadNotThroughMouths(t *testing.T) {
	for line, says := range map[string]string{
		"205,0:150,800":          `mouth of the dart "waist", which takes 190 mm to 220 mm of "waist"`,
		"200,0:200,800":          `mouth of the dart "waist"`,
		"250,800:150,0":          `mouth of the pleat "box", which takes 40 mm to 70 mm of "hemline"`,
		"300,180:0,300":          `cuts through the dart "bust"`,
		"300,215:0,215":          `mouth of the dart "bust"`,
		"150,0:300,205":          `mouth of the dart "bust"`,
		"side seam@21cm:150,800": `mouth of the dart "bust"`,
	} {
		for _, kind := range []string{"spread", "close"} {
			_, err := Make(dartedPanel(), recipe(kind, "panel", "line", line, "by", "20"))
			require.ErrorContains(t, err, says, line)
			require.ErrorContains(t, err, "lead ", line)
		}
	}
	for _, line := range []string{"190,0:150,800", "190,0:190,800"} {
		made(t, dartedPanel(), "spread", "panel", "line", line, "by", "20")
	}
}

// A piece cut on the fold cannot have a grain beside it: whichever part turns, the
// grain runs as the fold does afterwards, also where it is drawn on the other part.
func TestSpreadGrainStaysWithFold(t *testing.T) {
	for _, x := range []float64{50, 250} {
		for _, stays := range [][]string{nil, {"stays", "side seam"}} {
			p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
			q := p.Pieces[0]
			q.Edges[3].Fold, q.Cut = true, pattern.CutOnFold
			q.Grain = &pattern.Grain{From: geom.Pt(x, 100), To: geom.Pt(x, 500)}
			q = made(t, p, "spread", "panel", append([]string{"line", "150,0:180,800", "by", "40", "hinge", "waist"}, stays...)...).Pattern.Pieces[0]
			fold := q.EdgePath(3)
			turn := geom.AngleBetween(fold.Start().Sub(fold.End()), q.Grain.To.Sub(q.Grain.From))
			require.InDelta(t, 0, geom.InDegrees(turn), 0.001)
			_, off := fold.Nearest(q.Grain.From)
			require.InDelta(t, x, off, 0.002)
		}
	}
}
