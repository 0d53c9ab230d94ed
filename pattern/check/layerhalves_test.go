package check

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// wholeOverHalf is a back of 400 × 600 drawn whole, by so many mm wider at its left and at
// its right side seam and longer at the right end of its hem, with its centre line or
// without, and a lining of the half, 200 × 600 with its fold at x 0.
func wholeOverHalf(t *testing.T, left, right, slant float64, line bool) (p *pattern.Pattern, back, lining *pattern.Piece) {
	back = polygon("back", pattern.CutOne, 15, []string{"waist", "side seam", "hemline", "other side seam"},
		geom.Pt(-200-left, 0), geom.Pt(200+right, 0), geom.Pt(200+right, 600+slant), geom.Pt(-200-left, 600))
	back.Grain = &pattern.Grain{From: geom.Pt(0, 100), To: geom.Pt(0, 500)}
	if line {
		back.Lines = []pattern.ReferenceLine{{Name: "centre back", Path: geom.Polyline(geom.Pt(0, 0), geom.Pt(0, 600))}}
	}
	lining = halfOf200()
	p = sewn(t, nil, back, lining)
	p.Layers = []pattern.Layer{{Outer: "back", Inner: []string{"lining"}}}
	return p, back, lining
}

func layersOff(all []change.Finding) []change.Finding {
	return slices.DeleteFunc(all, func(f change.Finding) bool { return f.Kind != change.LayerOff })
}

func halfOf200() *pattern.Piece {
	q := polygon("lining", pattern.CutOnFold, 15, []string{"waist", "side seam", "hemline", "centre back"},
		geom.Pt(0, 0), geom.Pt(200, 0), geom.Pt(200, 600), geom.Pt(0, 600))
	q.Edges[3].Fold, q.Edges[3].Allowance = true, nil
	q.Grain = &pattern.Grain{From: geom.Pt(50, 100), To: geom.Pt(50, 500)}
	return q
}

// A lining on the fold lies with its fold on the centre line of an outer that is
// drawn whole, and is held against both halves. The amounts are those by which the
// outer's side seams were moved (closed form). Input of a mended bug: the lining was
// laid beside the centre line where it fitted best, and was never off in width.
func TestLiningOnTheFoldUnderAWholeOuter(t *testing.T) {
	lay := map[string]func(q *pattern.Piece){
		"as drawn": func(*pattern.Piece) {},
		"elsewhere": func(q *pattern.Piece) {
			moved(q, geom.Motion{Turn: 0.3, Shift: geom.Pt(-900, 200)})
		},
	}
	for name, to := range lay {
		for _, line := range []bool{true, false} {
			t.Run(name, func(t *testing.T) {
				p, _, lining := wholeOverHalf(t, 0, 0, 0, line)
				to(lining)
				require.Empty(t, run(t, p))

				p, _, lining = wholeOverHalf(t, 10, 0, 0, line)
				to(lining)
				if line { // else the middle is where it was drawn to be by nothing
					f := only(t, run(t, p), change.LayerOff, -10, 1e-3)
					require.True(t, f.Mismatch)
					require.Contains(t, f.Says, `lining, "side seam" lies 10 mm inside of "other side seam": it is so much smaller there`)
					require.Contains(t, f.Do, "draw lining whole with `toile alter unfold \"lining\"`, for its other half is to stay, and move its edge along \"other side seam\" out by 10 mm")
					require.Contains(t, f.Do, "`toile layers \"back\" \"lining\" --difference \"smaller@other side seam=-10mm\"`")
				}

				p, _, lining = wholeOverHalf(t, -10, -10, 0, line)
				to(lining)
				f := only(t, run(t, p), change.LayerOff, 10, 1e-3)
				require.Contains(t, f.Says, `lies 10 mm outside of "side seam" and "other side seam"`)
				require.Contains(t, f.Do, `move "side seam" of lining in by 10 mm`)
				p.Layers[0].Differences = []pattern.Difference{{What: "larger", By: 10, Edge: "side seam"}, {What: "larger", By: 10, Edge: "other side seam"}}
				require.Empty(t, run(t, p), "declared at both")
				p.Layers[0].Differences = []pattern.Difference{{What: "pleat", By: 20}}
				require.Empty(t, run(t, p), "a pleat across the whole")
				p.Layers[0].Differences = []pattern.Difference{{What: "larger", By: 10, Edge: "side seam"}}
				f = only(t, run(t, p), change.LayerOff, 10, 1e-3)
				require.Contains(t, f.Says, `outside of "other side seam"`)
			})
		}
	}
}

// Declared shorter at the hem, a lining does not slide off the centre line to be
// right: the difference that is declared is along the fold, the other across it.
func TestDeclaredHemDoesNotExcuseTheWidth(t *testing.T) {
	p, _, lining := wholeOverHalf(t, -10, -10, 0, true)
	lining.Corners[2].At.Y, lining.Corners[3].At.Y = 580, 580
	p.Layers[0].Differences = []pattern.Difference{{What: "shorter hem", By: -20, Edge: "hemline"}}
	f := only(t, run(t, p), change.LayerOff, 10, 1e-3)
	require.Contains(t, f.Says, `"side seam" and "other side seam"`)
}

// A hem that runs over both halves and is off on one names that half: 8 mm lower at
// the right side seam on a hem of 400 mm is 4 mm at the centre on the left half, and
// 8 on the right (closed form, within the slant).
func TestHemOffOnOneHalf(t *testing.T) {
	p, _, _ := wholeOverHalf(t, 0, 0, 8, true)
	found := layersOff(run(t, p))
	require.Len(t, found, 2)
	for _, f := range found {
		require.Equal(t, `lining, "hemline"`, f.Where)
		if f.MM < -6 {
			require.InDelta(t, -8, f.MM, 0.01)
			require.Contains(t, f.Says, `inside of "hemline" on the half with "side seam"`)
		} else {
			require.InDelta(t, -4, f.MM, 0.01)
			require.Contains(t, f.Says, `inside of "hemline" on the half with "other side seam"`)
		}
	}
}

// The other way round: a lining drawn whole under an outer on the fold is held
// against it on both its halves.
func TestWholeLiningUnderAnOuterOnTheFold(t *testing.T) {
	for _, c := range []struct{ left, right float64 }{{0, 0}, {10, 0}, {0, 10}, {10, 10}} {
		p, whole, half := wholeOverHalf(t, c.left, c.right, 0, true)
		p.Layers = []pattern.Layer{{Outer: half.Name, Inner: []string{whole.Name}}}
		found := map[string]float64{}
		for _, f := range layersOff(run(t, p)) {
			require.NotContains(t, f.Do, "unfold")
			found[f.Where] = f.MM
		}
		wanted := map[string]float64{}
		if c.left > 0 {
			wanted[`back, "other side seam"`] = c.left
		}
		if c.right > 0 {
			wanted[`back, "side seam"`] = c.right
		}
		require.Len(t, found, len(wanted), "%v %v", c, found)
		require.InDeltaMapValues(t, wanted, found, 1e-3)
		require.Len(t, found, len(wanted))
	}
}

// A facing and a lining on the fold lie beside each other on each half: a right pair
// is no finding, and a gap between them is told once, not for each half.
func TestFacingAndLiningOnTheFoldUnderAWholeOuter(t *testing.T) {
	_, back, lining := wholeOverHalf(t, 0, 0, 0, true)
	for _, c := range []int{0, 1} {
		lining.Corners[c].At.Y = 60
	}
	lining.Edges[0].Name = "facing seam"
	facing := halfOf200()
	facing.Name, facing.Slug, facing.ID = "facing", "facing", ""
	facing.Corners[2].At.Y, facing.Corners[3].At.Y = 60, 60
	facing.Edges[2].Name = "inner edge"
	p := sewn(t, nil, back, lining, facing)
	seam(t, p, "facing to lining", "facing/inner edge", "lining/facing seam")
	p.Layers = []pattern.Layer{{Outer: "back", Inner: []string{"facing", "lining"}}}
	require.Empty(t, run(t, p))

	for _, c := range []int{0, 1} {
		lining.Corners[c].At.Y = 75
	}
	f := only(t, run(t, p), change.LayerOff, -15, 1e-3)
	require.Contains(t, f.Says, `facing, "inner edge" leaves a gap of 15 mm to lining, "facing seam"`)
}
