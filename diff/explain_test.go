package diff

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// eased is the cubic with which a hem runs on from its old end to a swung
// edge's new one: both handles chord/(3·cos²(φ/4)), φ the angle between the end
// tangents; exact enough for an arc (k = 4/3·tan(φ/4), derived).
func eased(from, dir, to, at geom.Point) geom.Cubic {
	phi := geom.AngleBetween(dir, at)
	h := from.Dist(to) / (3 * math.Pow(math.Cos(phi/4), 2))
	return geom.Cubic{P0: from, P1: from.Add(dir.Mul(h)), P2: to.Sub(at.Mul(h)), P3: to}
}

// A swing about the waist corner and a hem taken up in one version are told as
// both, not as a taper: the hem is eased on to the side.
func TestSwungAboutCornerAndCut(t *testing.T) {
	a := panel(200, 600)
	theta := geom.Degrees(4)
	pivot := geom.Pt(200, 0)
	far := geom.Pt(0, 540).Turn(-theta).Add(pivot) // (237.669, 538.685)
	require.InDelta(t, 237.669, far.X, 1e-3)
	require.InDelta(t, 538.685, far.Y, 1e-3)
	hem := eased(geom.Pt(200, 540), geom.Pt(1, 0), far, geom.Pt(1, 0).Turn(-theta))
	b := build("panel", skirtEdges, geom.Polyline(geom.Pt(0, 0), pivot), geom.Polyline(pivot, far),
		geom.Path{hem.Reverse(), geom.Line(geom.Pt(200, 540), geom.Pt(0, 540))}, geom.Polyline(geom.Pt(0, 540), geom.Pt(0, 0)))
	d := compare(t, a, b)
	require.Equal(t, []string{"edge-swung [side seam]", "edge-moved [hemline]", "edge-run [side seam]", "edge-run [hemline]", "edge-run [centre]"}, kinds(d))
	require.InDelta(t, 4, *d.Changes[0].Turn, 1e-6)
	require.InDelta(t, -60, *d.Changes[1].By, 1e-6)
}

// Slash and spread: cut from the hem to the waist and opened at the hem by 30;
// the side swings with its part. One change, not three.
func TestSpread(t *testing.T) {
	a := panel(300, 800)
	hinge, cut := geom.Pt(200, 0), geom.Pt(200, 800)
	theta := 2 * math.Asin(30./2/800) // the chord at the hem, R 800
	turn := geom.Motion{Shift: hinge.Mul(-1)}.Then(geom.Motion{Turn: -theta, Shift: hinge})
	m := turn.Apply
	b := build("panel", skirtEdges, geom.Polyline(geom.Pt(0, 0), hinge, m(geom.Pt(300, 0))), geom.Polyline(m(geom.Pt(300, 0)), m(geom.Pt(300, 800))),
		geom.Polyline(m(geom.Pt(300, 800)), m(cut), cut, geom.Pt(0, 800)), geom.Polyline(geom.Pt(0, 800), geom.Pt(0, 0)))
	d := compare(t, a, b)
	require.Equal(t, []string{"spread [waist hemline]"}, kinds(d))
	ch := d.Changes[0]
	require.InDelta(t, 0, ch.Open[0], 0.01)
	require.InDelta(t, 30, ch.Open[1], 0.01)
	require.InDelta(t, 0, ch.Lines[0][0].Point().Dist(hinge), 0.1)
	require.InDelta(t, 0, ch.Lines[0][1].Point().Dist(cut), 0.1)
	require.InDelta(t, geom.InDegrees(theta), math.Abs(*ch.Turn), 1e-6)
	require.Equal(t, []string{"side seam"}, ch.Moved)

	// Folded out along the same line, by 20 at both ends.
	b = panel(280, 800)
	b.Notches = nil
	d = compare(t, a, b)
	require.Equal(t, "edge-moved [side seam]", kinds(d)[0], "a straight panel folded out is one taken in at the side")
}

// A panel cut down its length: both parts with 15 at the new seam. 300×800 is
// split into 120 and 180; joined again it is the old one.
func TestSplitAndJoin(t *testing.T) {
	part := func(name, id string, x0, x1 float64) *pattern.Piece {
		p := build(name, skirtEdges, geom.Polyline(geom.Pt(x0, 0), geom.Pt(x1, 0)), geom.Polyline(geom.Pt(x1, 0), geom.Pt(x1, 800)),
			geom.Polyline(geom.Pt(x1, 800), geom.Pt(x0, 800)), geom.Polyline(geom.Pt(x0, 800), geom.Pt(x0, 0)))
		p.ID = id
		return p
	}
	of := func(pieces ...*pattern.Piece) *pattern.Pattern {
		p := pattern.New("test", units.Centimetre)
		p.Pieces = pieces
		return p
	}
	a := of(part("back", "0000000a", 0, 300))
	centre, side := part("back", "0000000a", 0, 120), part("side back", "0000000b", 120, 300)
	centre.Edges[1].Allowance = map[string]float64{pattern.ClothSet: 15}
	side.Edges[3].Allowance = map[string]float64{pattern.ClothSet: 15}
	b := of(centre, side.Moved(geom.Motion{Turn: 0.3, Shift: geom.Pt(500, 40)}))
	d, err := Patterns(a, b, change.Version{}, change.Version{})
	require.NoError(t, err)
	require.Equal(t, change.Split, d.Pieces[0].State)
	require.Equal(t, change.PieceSplit, d.Pieces[0].Changes[0].Kind)
	require.Equal(t, []string{"back", "side back"}, d.Pieces[0].Changes[0].Into)
	require.InDelta(t, 15, *d.Pieces[0].Changes[0].Allowance, 1e-9)
	require.Len(t, d.Pieces, 2)
	require.Equal(t, change.Split, d.Pieces[1].State)
	line := d.Pieces[0].Changes[0].Line
	require.Len(t, line, 2)
	require.InDelta(t, 120, line[0][0], 1e-3)

	d, err = Patterns(b, a, change.Version{}, change.Version{})
	require.NoError(t, err)
	require.Equal(t, change.Joined, d.Pieces[0].State)
	require.Equal(t, change.PieceJoined, d.Pieces[0].Changes[0].Kind)
	require.Equal(t, change.Joined, d.Pieces[1].State)
}

// A back drawn to its fold, opened out, is told in one change.
func TestUnfolded(t *testing.T) {
	a := panel(300, 800)
	a.Cut, a.Edges[3].Fold = pattern.CutOnFold, true
	a.Corners[2].At = geom.Pt(340, 800)
	b := build("panel", []string{"waist", "right side", "hemline", "left side"},
		geom.Polyline(geom.Pt(-300, 0), geom.Pt(300, 0)), geom.Polyline(geom.Pt(300, 0), geom.Pt(340, 800)),
		geom.Polyline(geom.Pt(340, 800), geom.Pt(-340, 800)), geom.Polyline(geom.Pt(-340, 800), geom.Pt(-300, 0)))
	d := compare(t, a, b)
	require.Equal(t, []string{"piece-unfolded []"}, kinds(d))
	require.Zero(t, d.Added+d.Removed)
}

// A piece that slid along its own sides as a whole is the same piece; one of
// which only the hem moved is not.
func TestSlid(t *testing.T) {
	a := panel(300, 800)
	b := a.Moved(geom.Motion{Shift: geom.Pt(0, 20)})
	d := compare(t, a, b)
	require.Empty(t, kinds(d))
	require.InDelta(t, -20, d.Placement.DY, 1e-6)
}
