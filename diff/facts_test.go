package diff_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// Check values of pattern work, each worked out from its formula, found again
// by the diff; see the formula beside each.

// straightPiece is a piece of straight edges, clockwise from the first corner,
// its grain down the sheet.
func straightPiece(names []string, corners ...geom.Point) *pattern.Piece {
	p := &pattern.Piece{Name: "panel", Slug: "panel", ID: "0a0a0a0a", Cut: pattern.CutOne, Grain: &pattern.Grain{From: geom.Pt(50, 50), To: geom.Pt(50, 250)}}
	for i, q := range corners {
		e := pattern.Edge{Name: names[i], ID: fmt.Sprintf("%08x", i+1)}
		e.SetPath(geom.Path{geom.Line(q, corners[(i+1)%len(corners)])})
		p.Corners, p.Edges = append(p.Corners, pattern.Corner{At: q}), append(p.Edges, e)
	}
	return p
}

var panelEdges = []string{"waist", "side seam", "hemline", "centre"}

// rectangle is a panel as wide and as long as said, in mm.
func rectangle(w, h float64) *pattern.Piece {
	return straightPiece(panelEdges, geom.Pt(0, 0), geom.Pt(w, 0), geom.Pt(w, h), geom.Pt(0, h))
}

// told compares two states as stored.
func told(t *testing.T, from, to *pattern.Piece) change.PieceDiff {
	t.Helper()
	from, to = stored(from), stored(to)
	require.NoError(t, from.Validate())
	require.NoError(t, to.Validate())
	d, err := diff.Pieces(from, to, pattern.New("facts", units.Centimetre))
	require.NoError(t, err)
	return d
}

// only is the one change of a kind told of an edge.
func only(t *testing.T, d change.PieceDiff, kind change.Kind, edge string) change.Change {
	t.Helper()
	var all []change.Change
	for _, ch := range d.Changes {
		if ch.Kind == kind && (len(ch.Edges) > 0 && ch.Edges[0] == edge) {
			all = append(all, ch)
		}
	}
	require.Len(t, all, 1, "%s of %s among %d changes", kind, edge, len(d.Changes))
	return all[0]
}

// lengths gives an edge's length before and after.
func lengths(d change.PieceDiff, edge string) [2]float64 {
	for _, l := range d.Edges {
		if l.Edge == edge {
			return l.Length
		}
	}
	return [2]float64{}
}

func swungPanel(t *testing.T, w, h, near, turn float64) (from, to *pattern.Piece) {
	t.Helper()
	from = rectangle(w, h)
	paths, ok := swungPaths(pathsOf(from), 1, 1, near, turn)
	require.True(t, ok)
	to, ok = withPaths(from, paths)
	require.True(t, ok)
	return from, to
}

// An edge of length R swung by θ: chord 2R·sin(θ/2), wedge ½R²θ. R 60 cm, 5°:
// 5.234326 cm and 157.0796 cm².
func TestFactSwing(t *testing.T) {
	from, to := swungPanel(t, 300, 600, 0, geom.Degrees(5))
	ch := only(t, told(t, from, to), change.EdgeSwung, "side seam")
	assert.InDelta(t, 52.34326, *ch.By, 0.005)
	assert.InDelta(t, 5, *ch.Turn, 0.001)
	assert.InDelta(t, 15707.96, *ch.Area, 1)
}

// And back: chord 5 cm at R 60 cm is θ = 2·asin(5/120) = 4.776031°.
func TestFactChord(t *testing.T) {
	from, to := swungPanel(t, 300, 600, 0, 2*math.Asin(50./1200))
	ch := only(t, told(t, from, to), change.EdgeSwung, "side seam")
	assert.InDelta(t, 4.776031, *ch.Turn, 0.0005)
	assert.InDelta(t, 50, *ch.By, 0.005)
}

// A side seam swung 200 mm below the waist of a panel of 300×800 mm, chord 50
// at the hem: 4.776031°, end (349.9566, 797.9167), the seam's length 800 kept,
// the hem run on square to the seam and tangent to the old hem by an arc of
// radius 600, 50.0145 long, and a wedge of 15,004.34 mm².
func TestFactFlare(t *testing.T) {
	from, to := swungPanel(t, 300, 800, 200, 2*math.Asin(50./1200))
	assert.InDelta(t, 349.9566, to.Corners[2].At.X, 0.001)
	assert.InDelta(t, 797.9167, to.Corners[2].At.Y, 0.001)
	d := told(t, from, to)
	ch := only(t, d, change.EdgeSwung, "side seam")
	assert.InDelta(t, 4.776031, *ch.Turn, 0.0005)
	assert.InDelta(t, 50, *ch.By, 0.005)
	assert.Less(t, ch.Pivot.Point().Dist(geom.Pt(300, 200)), 0.05)
	assert.InDelta(t, 15004.34, *ch.Area, 1)
	assert.InDelta(t, 800, lengths(d, "side seam")[1], 0.002)
	run := only(t, d, change.EdgeRun, "hemline")
	assert.InDelta(t, 50.0145, *run.By, 0.005)
	assert.Equal(t, change.HowEased, run.How)
	assert.Equal(t, "side seam", run.CausedBy)
}

// Shortened at the hem: a side from (25, 0) to (35, 60) cm whose hem goes up 5
// ends at (34.166667, 55) and is 55.758657 long, of 60.827625.
func TestFactHemTakenUp(t *testing.T) {
	at := func(y float64) geom.Point { return geom.Pt(250+100*y/600, y) }
	from := straightPiece(panelEdges, geom.Pt(0, 0), at(0), at(600), geom.Pt(0, 600))
	to := straightPiece(panelEdges, geom.Pt(0, 0), at(0), at(550), geom.Pt(0, 550))
	d := told(t, from, to)
	assert.InDelta(t, -50, *only(t, d, change.EdgeMoved, "hemline").By, 0.002)
	run := only(t, d, change.EdgeRun, "side seam")
	assert.InDelta(t, 557.58657-608.27625, *run.By, 0.005)
	assert.Equal(t, "hemline", run.CausedBy)
	assert.InDelta(t, 608.27625, lengths(d, "side seam")[0], 0.002)
	assert.InDelta(t, 557.58657, lengths(d, "side seam")[1], 0.002)
}

// Two sides of 650 mm that are sewn together, slanted 160 in 630 and 250 in
// 600: taking 60 square to each hem takes 61.905 and 65.000 along them, and the
// seam no longer matches by 3.095.
func TestFactTwoSlants(t *testing.T) {
	loss := func(across, down float64) float64 {
		require.InDelta(t, 650, math.Hypot(across, down), 1e-9)
		at := func(y float64) geom.Point { return geom.Pt(300+across*y/down, y) }
		from := straightPiece(panelEdges, geom.Pt(0, 0), at(0), at(down), geom.Pt(0, down))
		to := straightPiece(panelEdges, geom.Pt(0, 0), at(0), at(down-60), geom.Pt(0, down-60))
		return *only(t, told(t, from, to), change.EdgeRun, "side seam").By
	}
	a, b := loss(160, 630), loss(250, 600)
	assert.InDelta(t, -61.905, a, 0.005)
	assert.InDelta(t, -65, b, 0.005)
	assert.InDelta(t, 3.095, a-b, 0.005)
}

// Let out to 20 at the hem and 0 at the waist, along 800: a triangle of
// ½·20·800 = 8000 mm².
func TestFactTaper(t *testing.T) {
	from, to := rectangle(300, 800), rectangle(300, 800)
	to.Corners[2].At = geom.Pt(320, 800)
	d := told(t, from, to)
	ch := only(t, d, change.EdgeMoved, "side seam")
	assert.Equal(t, change.HowTapered, ch.How)
	assert.InDelta(t, 0, ch.Ends[0], 0.01)
	assert.InDelta(t, 20, ch.Ends[1], 0.02) // square to the old line
	assert.InDelta(t, 8000, d.Added, 0.01)
}

// A quarter-circle skirt for a waist of 70 cm: r = C/(2πf) = 44.56338 cm, hem
// C + 2πfL = 164.2478 cm at L 60; taken up by 5 at equal distance it is shorter
// by ½π·5. Cubics of 90° are longer than their arc by 1.4e-4.
func TestFactCircleSkirt(t *testing.T) {
	const r = 445.6338
	sector := func(long float64) *pattern.Piece {
		hem, waist := geom.Arc(geom.Pt(0, 0), r+long, 0, math.Pi/2), geom.Arc(geom.Pt(0, 0), r, math.Pi/2, -math.Pi/2)
		p := straightPiece([]string{"side seam", "hemline", "centre", "waist"}, geom.Pt(r, 0), geom.Pt(r+long, 0), geom.Pt(0, r+long), geom.Pt(0, r))
		p.Edges[1].SetPath(hem)
		p.Edges[3].SetPath(waist)
		p.Grain = &pattern.Grain{From: geom.Pt(20, r+40), To: geom.Pt(20, r+240)}
		return p
	}
	d := told(t, sector(600), sector(550))
	ch := only(t, d, change.EdgeMoved, "hemline")
	assert.Equal(t, change.HowParallel, ch.How)
	assert.InDelta(t, -50, *ch.By, 0.02) // the cubics lie up to 2.7e-4 of the radius outside of their circles
	assert.InDelta(t, 1642.478, lengths(d, "hemline")[0], 1642.478*1.5e-4)
	assert.InDelta(t, 1642.478-50*math.Pi/2, lengths(d, "hemline")[1], 1642.478*1.5e-4)
}

// Rounding a corner of inner angle θ by r takes away r²(tan(φ/2) − φ/2), φ =
// π − θ: at r 5, 17.121331 for 60°, 5.365046 for 90°, 1.343787 for 120°. Here r
// is 50; the cubic's sector is up to 2.8e-4 of r² too large.
func TestFactRounding(t *testing.T) {
	for degrees, removed := range map[float64]float64{60: 1712.1331, 90: 536.5046, 120: 134.3787} {
		dir := geom.Pt(-300, 0).Turn(geom.Degrees(degrees)) // the corner's other side
		far := geom.Pt(300, 300).Add(dir)
		from := straightPiece([]string{"a", "b", "c"}, geom.Pt(0, 300), far, geom.Pt(300, 300))
		from.Grain = nil
		to := from.Clone()
		to.Corners[2].Round = 50
		d := told(t, from, to)
		ch := only(t, d, change.CornerRounded, "b")
		assert.Equal(t, &[2]float64{0, 50}, ch.Radius)
		assert.InDelta(t, removed, d.Removed, 50*50*2.8e-4+0.05, "%g°", degrees)
	}
}
