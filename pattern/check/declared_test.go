package check

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// mismatches are the layers that are off, without reminders.
func mismatches(found []change.Finding) []change.Finding {
	var all []change.Finding
	for _, f := range found {
		if f.Mismatch && f.Kind == change.LayerOff {
			all = append(all, f)
		}
	}
	return all
}

// The three wrong linings (facing 70 finished, allowance 15: 15 and 30 too
// short, 15 too long; common practice; derived) are found with their amounts
// whatever else is declared elsewhere, of the same amount too. Inputs of a
// mended bug: any declared difference excused any gap.
func TestWrongLiningBesideDeclaredDifferences(t *testing.T) {
	at := func(what, edge string, by float64) pattern.Difference {
		return pattern.Difference{What: what, By: by, Piece: "lining", Edge: edge}
	}
	for _, declared := range [][]pattern.Difference{
		{at("shorter hem", "hemline", -15)},
		{at("shorter hem", "hemline", -30)},
		{at("shorter hem", "hemline", -20)},
		{at("pleat", "side seam", 15)},
		{at("shorter hem", "hemline", -20), at("pleat", "side seam", 5)},
		{{What: "shorter hem", By: -15}, {What: "hem", By: -30}, {What: "longer", By: 15}},
		{{What: "turn of cloth", By: -15, Piece: "facing", Edge: "side seam"}},
	} {
		for from, off := range map[float64]float64{85: -15, 100: -30, 55: 15} {
			p := layered(t, from, from == 100)
			p.Layers[0].Differences = declared
			f := only(t, mismatches(run(t, p)), change.LayerOff, off, 1e-3)
			require.Equal(t, `facing, "inner edge" and lining, "facing seam"`, f.Where)
			require.Contains(t, f.Says, "that is ", "%v", declared)
		}
	}
}

// A difference counts where it is declared and shown, beside a wrong joint too.
func TestDifferenceCountsAtItsEdge(t *testing.T) {
	p := layered(t, 85, false)
	lining, err := p.Piece("lining")
	require.NoError(t, err)
	moved(lining, geom.Motion{Turn: -0.3, Shift: geom.Pt(-900, 200).Turn(-0.3).Mul(-1)})
	lining.Corners[2].At, lining.Corners[3].At = geom.Pt(300, 780), geom.Pt(85, 780)
	f := func() []change.Finding { return mismatches(run(t, p)) }
	require.Len(t, f(), 2)
	p.Layers[0].Differences = []pattern.Difference{{What: "shorter hem", By: -20, Piece: "lining", Edge: "hemline"}}
	only(t, f(), change.LayerOff, -15, 1e-3)
	for _, wrong := range []pattern.Difference{
		{What: "shorter hem", By: -20, Piece: "facing", Edge: "hemline"},
		{What: "shorter hem", By: -20, Piece: "lining", Edge: "side seam"},
		{What: "shorter hem", By: 20, Piece: "lining", Edge: "hemline"},
		{What: "narrower", By: -20},
	} {
		p.Layers[0].Differences = []pattern.Difference{wrong}
		require.Len(t, f(), 2, "%v", wrong)
	}
	p.Layers[0].Differences = []pattern.Difference{{What: "shorter", By: -20}} // no edge, but the way
	only(t, f(), change.LayerOff, -15, 1e-3)
	p.Layers[0].Differences = []pattern.Difference{{What: "shorter hem", By: -20}, {What: "narrower", By: -15}}
	require.Empty(t, f(), "together so much narrower, as declared")
}

// A hem's difference is counted along the grain: on a hem that slants 1 in 2 a
// lining 40 shorter lies 40·cos(atan ½) = 35.777 inside of it (derived).
func TestDifferenceAtASlantingHem(t *testing.T) {
	piece := func(name string, up float64) *pattern.Piece {
		return polygon(name, pattern.CutPair, 10, []string{"left waist", "right waist", "side seam", "hemline", "centre"},
			geom.Pt(0, 0), geom.Pt(150, -200), geom.Pt(300, 0), geom.Pt(300, 600-up), geom.Pt(0, 750-up))
	}
	front, lining := piece("front", 0), piece("lining", 40)
	p := sewn(t, nil, front, lining)
	p.Layers = []pattern.Layer{{Outer: "front", Inner: []string{"lining"}}}
	only(t, mismatches(run(t, p)), change.LayerOff, -35.777, 1e-3)
	p.Layers[0].Differences = []pattern.Difference{{What: "shorter hem", By: -40, Edge: "hemline"}}
	require.Empty(t, run(t, p))
}

// A band's difference counts for the edge and the band that it names.
func TestBandDifferenceOfAnotherEdge(t *testing.T) {
	skirt := oblong("skirt", 0, 0, 370, 600, "top", "side seam", "hemline", "centre")
	band := oblong("waistband", 0, 0, 340, 40, "upper edge", "end", "top", "other end")
	p := sewn(t, nil, skirt, band)
	p.Layers = []pattern.Layer{{Outer: "skirt", Inner: []string{"waistband"}, Band: true}}
	for _, d := range []pattern.Difference{{What: "ease-in", By: -30, Edge: "hemline"}, {What: "ease-in", By: -30, Piece: "collar"}} {
		p.Layers[0].Differences = []pattern.Difference{d}
		only(t, run(t, p), change.BandOff, -30, 1e-9)
	}
	p.Layers[0].Differences = []pattern.Difference{{What: "ease-in", By: -30, Edge: "top", Piece: "waistband"}}
	require.Empty(t, run(t, p))
}
