package alter

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// bandOn is a panel of 220 mm at the waist and a waistband of another length sewn to
// it, not said to be a band, in mm.
func bandOn(t *testing.T, length float64) *pattern.Pattern {
	t.Helper()
	panel := drawPiece("panel", "outer", pattern.CutOnFold, lineTo("waist", 0, 0, 220, 0), lineTo("side", 220, 0, 220, 600), lineTo("hemline", 220, 600, 0, 600), lineTo("centre back", 0, 600, 0, 0))
	band := drawPiece("band", "outer", pattern.CutOnFold, lineTo("top", 0, 0, length, 0), lineTo("end", length, 0, length, 40), lineTo("waist seam", length, 40, 0, 40), lineTo("centre back", 0, 40, 0, 0))
	p := pattern.New("band", units.Millimetre)
	p.Tolerances.Section = 1
	for _, q := range []*pattern.Piece{panel, band} {
		q.Slug = p.NewSlug(q.Name)
		p.Put(q)
		p.GiveIDs(q)
	}
	sewAs(t, p, "waist", "panel/waist", "band/waist seam", false)
	return p
}

// The end of a waistband is moved as it is and stays square; the side of a panel,
// longer than the waist, is tapered to it.
func TestToFitKeepsTheEndOfABandSquare(t *testing.T) {
	p := bandOn(t, 230)
	r, ok := ToFit(p, &p.Seams[0], nil, 1)
	require.True(t, ok)
	require.Equal(t, `take-in band end 10mm`, Typed(r))
	q := pieceOf(t, made(t, p, r.Kind, r.Piece, "edge", "end", "by", "10").Pattern, "band")
	require.InDelta(t, 40, lengthOf(q, "end"), 1e-9)

	r, ok = ToFit(p, &p.Seams[0], nil, 0)
	require.True(t, ok)
	require.Equal(t, "let-out", r.Kind)
	require.NotEmpty(t, r.Values["to"], "only the waist of the panel changes")
}

// A facing whose outer's hem moved is not pulled to its length at the sides: they
// would lie beside the outer's.
func TestToFitLeavesTheSidesOfAFacing(t *testing.T) {
	p := made(t, halfCircle(), "hem-facing", "skirt", "width", "50", "as", "hem facing").Pattern
	p = made(t, p, "shorten", "skirt", "edge", "hemline", "by", "20", "parallel", "true").Pattern
	for i := range p.Seams {
		_, ok := ToFit(p, &p.Seams[i], nil, 1)
		require.False(t, ok)
	}
}

// halfCircle is half a circle skirt in mm: a quarter of a ring on the fold, 220 mm to 820 mm
// from its middle.
func halfCircle() *pattern.Pattern {
	skirt := drawPiece("skirt", "outer", pattern.CutOnFold,
		edgeDrawn{"waist", geom.ArcIn(geom.Pt(0, 0), 220, geom.Degrees(90), geom.Degrees(-90), 6)}, lineTo("side seam", 220, 0, 820, 0),
		edgeDrawn{"hemline", geom.ArcIn(geom.Pt(0, 0), 820, 0, geom.Degrees(90), 6)}, lineTo("centre back", 0, 820, 0, 220))
	p := pattern.New("ring", units.Millimetre)
	skirt.Slug = p.NewSlug("skirt")
	p.Put(skirt)
	p.GiveIDs(skirt)
	return p
}

// The hem of half a circle skirt, moved at equal distance, is carried to its facing,
// which keeps its width: two arcs about the middle, 50 mm apart, though at the ends
// of a quarter they run square to each other.
func TestHemFacingOfARingFollowsWhole(t *testing.T) {
	for kind, radius := range map[string]float64{"shorten": 800, "lengthen": 840} {
		before := made(t, halfCircle(), "hem-facing", "skirt", "width", "50", "as", "hem facing").Pattern
		after := made(t, before, kind, "skirt", "edge", "hemline", "by", "20", "parallel", "true").Pattern
		res, err := Carry(after, recipe("carry", "skirt", "edge", "hemline", "to", "hem facing"),
			[]Lacking{{Follower: Follower{Why: Layered, Piece: "hem facing"}, Before: before}})
		require.NoError(t, err)
		facing := pieceOf(t, res.Pattern, "hem facing")
		for edge, r := range map[string]float64{"hemline": radius, "inner edge": radius - 50} {
			path := edgePathOf(t, facing, edge)
			require.InDelta(t, r*math.Pi/2, path.Length(), 0.01, edge)
			for k := range 9 {
				require.InDelta(t, r, path.PointAt(path.Length()*float64(k)/8).Dist(geom.Pt(0, 0)), 0.01, edge)
			}
		}
	}
}
