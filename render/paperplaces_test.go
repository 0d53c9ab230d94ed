package render

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// plainFront is an oblong of 300 by 500 mm with one of all that is marked.
func plainFront() *pattern.Piece {
	p := polygonPiece("front", []string{"top", "side", "hemline", "front edge"}, geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 500), geom.Pt(0, 500))
	p.Cut, p.Cloth = pattern.CutPair, "outer"
	p.Grain = &pattern.Grain{From: geom.Pt(100, 100), To: geom.Pt(100, 400)}
	p.Notches = []pattern.Notch{{Name: "hip", Edge: "side", At: 200, Count: 1}, {Name: "knee", Edge: "side", At: 350, Count: 1}}
	p.Marks = []pattern.Mark{
		{Kind: pattern.MarkDart, Name: "bust", Edge: "top", From: 180, To: 210, At: geom.Pt(195, 100)},
		{Kind: pattern.MarkPleat, Name: "pleat", Edge: "top", From: 60, To: 100, Direction: "start"},
		{Kind: pattern.MarkButton, Name: "button", At: geom.Pt(30, 60), Size: 12},
	}
	p.Lines = []pattern.ReferenceLine{{Name: "centre front", Path: geom.Polyline(geom.Pt(20, 0), geom.Pt(20, 500))}}
	return p
}

// whatChanged prints what differs from plainFront after an alteration.
func whatChanged(t *testing.T, alter func(*pattern.Piece)) Changed {
	t.Helper()
	now := plainFront()
	alter(now)
	require.NoError(t, now.Validate())
	c, err := NewPrint(fixtureSheet(), "cloth", paperJob(t, "A4")).Changed(change.PieceDiff{Piece: "front", State: change.Altered, Old: plainFront(), New: now})
	require.NoError(t, err)
	return c
}

// Whatever makes the paper wrong is printed, or said: by what is in both
// versions of the piece, not by how the difference is told.
func TestNothingOnThePaperIsPassedOver(t *testing.T) {
	words := "front: its paper stays as it is; what changed are words"
	assert.Equal(t, []string{words}, whatChanged(t, func(*pattern.Piece) {}).Says)
	for name, c := range map[string]struct {
		alter func(*pattern.Piece)
		says  string
		holds []geom.Point // all on one strip
	}{
		"seam let out within its allowance": {func(p *pattern.Piece) {
			p.Corners[1].At, p.Corners[2].At = geom.Pt(310, 0), geom.Pt(310, 500)
			p.Edges[1].Allowance["cloth"] = 5
		}, "strip 1 of 1: new sewing line of side, hip, knee", []geom.Point{geom.Pt(310, 0), geom.Pt(310, 500), geom.Pt(313, 200)}},
		"grain": {func(p *pattern.Piece) { p.Grain.To = geom.Pt(250, 300) }, // over y 0 at x 25, over x 300 at y 366.7
			"new grain; strike the old one out, and draw it between 2.5 cm along top from the corner front edge/top and 36.67 cm along side from the corner top/side", nil},
		"grain, short":      {func(p *pattern.Piece) { p.Grain.To = geom.Pt(150, 160) }, "strip 1 of 1: new grain", []geom.Point{geom.Pt(100, 100), geom.Pt(150, 160)}},
		"grain on the bias": {func(p *pattern.Piece) { p.Grain.Bias = true }, "new grain, on the bias; strike the old one out, and draw it between 10 cm along top from the corner front edge/top and 20 cm along hemline from the corner side/hemline", nil},
		"reference line": {func(p *pattern.Piece) { p.Lines[0].Path = geom.Polyline(geom.Pt(40, 0), geom.Pt(40, 500)) },
			"new centre front", []geom.Point{geom.Pt(40, 0), geom.Pt(40, 500)}},
		"double notch": {func(p *pattern.Piece) { p.Notches[0].Count = 2 }, "new hip (2 strokes)", []geom.Point{geom.Pt(300, 200), geom.Pt(313, 200)}},
		"pleat":        {func(p *pattern.Piece) { p.Marks[1].From = 20 }, "new pleat", []geom.Point{geom.Pt(20, 0), geom.Pt(100, 0), geom.Pt(20, 9), geom.Pt(100, 9)}},
		"dart": {func(p *pattern.Piece) { p.Marks[0].From, p.Marks[0].To = 150, 240 }, "new bust, dart",
			[]geom.Point{geom.Pt(150, 0), geom.Pt(240, 0), geom.Pt(195, 100)}},
		"button":        {func(p *pattern.Piece) { p.Marks[2].Size = 20 }, "new button of 2 cm", []geom.Point{geom.Pt(30, 60)}},
		"cut":           {func(p *pattern.Piece) { p.Cut = pattern.CutOne }, "it is cut one, from outer now; write that on the paper", nil},
		"renamed":       {func(p *pattern.Piece) { p.Name = "front panel" }, `it was called "front"; write the new name on the paper`, nil},
		"notch renamed": {func(p *pattern.Piece) { p.Notches[0].Name = "hip line" }, "new names to write on the paper: hip line (was: hip)", nil},
		"edge renamed": {func(p *pattern.Piece) {
			p.Edges[1].Name = "side seam"
			p.Notches[0].Edge, p.Notches[1].Edge = "side seam", "side seam"
		}, "new names to write on the paper: side seam (was: side)", nil},
		"pleat laid otherwise": {func(p *pattern.Piece) { p.Marks[1].Direction = "end" }, "new pleat towards the end of top", []geom.Point{geom.Pt(60, 0), geom.Pt(100, 9)}},
		"narrower allowance": {func(p *pattern.Piece) { p.Edges[1].Allowance["cloth"] = 10 }, "new figures to write on the paper: side 50 cm, allowance 1 cm",
			[]geom.Point{geom.Pt(308, 2), geom.Pt(308, 498)}},
		"two buttons": {func(p *pattern.Piece) {
			p.Marks[2].At = geom.Pt(30, 80)
			p.Marks = append(p.Marks, pattern.Mark{Kind: pattern.MarkButton, Name: "lower button", At: geom.Pt(30, 160), Size: 12})
		}, "strip 1 of 1: new lower button of 1.2 cm, button of 1.2 cm", []geom.Point{geom.Pt(30, 80), geom.Pt(30, 160), geom.Pt(0, 0)}},
		"hardly": {func(p *pattern.Piece) { p.Corners[1].At, p.Corners[2].At = geom.Pt(300.05, 0), geom.Pt(300.05, 500) }, "less changed than scissors can cut", nil},
	} {
		now := plainFront()
		c.alter(now)
		changed, strips := changedStrips(t, plainFront(), now)
		said := strings.Join(changed.Says, "\n")
		assert.Contains(t, said, c.says, name)
		assert.NotContains(t, said, "are words", name)
		assert.True(t, holdsWhole(strips, c.holds), "%s: no strip holds it whole: %s", name, said)
		if len(c.holds) == 0 {
			assert.Empty(t, changed.Plots, name)
		}
	}
}

// holdsWhole reports whether one strip has all points well inside of its rim, over
// its sheets.
func holdsWhole(strips []readStrip, points []geom.Point) bool {
	whole := map[string]int{}
	for _, s := range strips {
		if !slices.ContainsFunc(points, func(q geom.Point) bool { return !s.holds(q) }) {
			whole[s.plot.Name]++
		}
	}
	return len(points) == 0 || len(whole) > 0
}

// A seam taken in takes its notches along: they are to be made again, and the
// strip says so.
func TestNotchesGoWithTheSeam(t *testing.T) {
	c := whatChanged(t, func(p *pattern.Piece) { p.Corners[1].At, p.Corners[2].At = geom.Pt(288, 0), geom.Pt(288, 500) })
	require.NotEmpty(t, c.Says)
	assert.Equal(t, "front, strip 1 of 1: cut off, at side; then prick through hip, knee", c.Says[0])
	require.Len(t, c.How, 2)
	assert.Contains(t, c.How[1], "prick the place through")
}

// A region that is in a divided strip already is not drawn there once more.
func TestRegionsAreCountedOnce(t *testing.T) {
	old, now := plainFront(), plainFront()
	for i, q := range []geom.Point{{X: -12, Y: -12}, {X: 320, Y: -12}, {X: 320, Y: 540}, {X: 0, Y: 500}} {
		now.Corners[i].At = q
	}
	cutOld, err := old.CuttingLine("cloth")
	require.NoError(t, err)
	cutNow, err := now.CuttingLine("cloth")
	require.NoError(t, err)
	lie, err := geom.Compare(cutOld.Ring, cutNow.Ring, cutWithin)
	require.NoError(t, err)
	w := patchwork{print: NewPrint(fixtureSheet(), "cloth", paperJob(t, "A4")), diff: change.PieceDiff{Piece: "front", Old: old, New: now}, old: cutOld, now: cutNow, lie: lie, within: cutWithin}
	patches, err := w.patches()
	require.NoError(t, err)
	for _, p := range patches {
		for i, r := range p.added {
			for _, s := range p.added[i+1:] {
				both, err := geom.Compare(r.Rings[0], s.Rings[0], 0)
				require.NoError(t, err)
				assert.Empty(t, both.Kept, "two regions of a strip lie on each other")
			}
		}
	}
}

// Where the sewing line moved it is on the strips, dashed, however wide the
// allowance beside it.
func TestSewingLineIsOnTheStrips(t *testing.T) {
	for name, c := range map[string]struct {
		allowance, by, down float64
		strips              int
	}{
		"let out, wide":   {40, 10, 0, 1},
		"let out, narrow": {6, 10, 0, 1},
		"taken in":        {20, -3, 0, 1},
		"hem let down":    {40, 0, 30, 1},
		"both":            {30, 5, 20, 2},
	} {
		panel := func(by, down float64) *pattern.Piece {
			p := box400(0, down, by, 0)
			p.Edges[1].Allowance, p.Edges[2].Allowance = map[string]float64{"cloth": c.allowance}, map[string]float64{"cloth": c.allowance}
			return p
		}
		old, now := panel(0, 0), panel(c.by, c.down)
		changed, strips := changedStrips(t, old, now)
		assert.Equal(t, c.strips, len(changed.Plots), "%s: %v", name, changed.Says)
		was, err := old.Outline()
		require.NoError(t, err)
		is, err := now.Outline()
		require.NoError(t, err)
		sewing := make([][][]geom.Cubic, len(strips))
		for i, s := range strips {
			sewing[i] = s.lines(sewingDashes, "")
		}
		looked := 0
		for _, q := range sampled(is.Ring) {
			if _, off := geom.Path(was.Ring).Nearest(q); off < 2 {
				continue
			}
			looked++
			shown := false
			for i, s := range strips {
				shown = shown || s.holds(q) && slices.ContainsFunc(sewing[i], func(line []geom.Cubic) bool {
					_, off := geom.Path(line).Nearest(q)
					return off < drawnTrue
				})
			}
			assert.True(t, shown, "%s: the sewing line at %v is on no strip", name, q)
		}
		assert.NotZero(t, looked, name)
	}
}
