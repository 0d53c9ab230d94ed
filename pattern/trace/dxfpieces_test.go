package trace

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// piecesFile is a file after ASTM D6673 with one block of a piece.
func piecesFile(inside string) string {
	return dxfFile("", groups(0, "BLOCK", 8, 1, 2, "FRONT", 70, 0, 10, 0, 20, 0)+inside+groups(0, "ENDBLK", 8, 1),
		groups(0, "TEXT", 8, 1, 10, 0, 20, 0, 40, 1, 1, "UNITS: METRIC", 0, "INSERT", 8, 1, 2, "FRONT", 10, 500, 20, 700))
}

func dxfText1(s string) string { return groups(0, "TEXT", 8, 1, 10, 0, 20, 0, 40, 1, 1, s) }

func dxfPointOn(layer string, x, y float64) string {
	return groups(0, "POINT", 8, layer, 10, x, 20, y)
}

// A piece of another program: its boundary, turn and curve points, a notch, the
// grain, a drill hole, an internal line, a cut-out, and the mirror line, which is
// the fold. The armhole is a quarter circle of radius 100 given by points: the
// curve through them comes within 0.01 mm of it, while the chords lie 0.12 off.
func TestDXFPiece(t *testing.T) {
	var outline [][3]float64
	marks := dxfPointOn("2", 0, 0) + dxfPointOn("2", 300, 0) + dxfPointOn("2", 300, 400) + dxfPointOn("2", 100, 500) + dxfPointOn("2", 0, 500)
	outline = append(outline, [3]float64{0, 0, 0}, [3]float64{300, 0, 0}, [3]float64{300, 400, 0})
	for i := 15; i > 0; i-- { // round (300, 500), from (300, 400) to (200, 500)
		s, c := math.Sincos(math.Pi / 2 * float64(i) / 16)
		outline = append(outline, [3]float64{300 - 100*c, 500 - 100*s, 0})
		marks += dxfPointOn("3", 300-100*c, 500-100*s)
	}
	outline = append(outline, [3]float64{200, 500, 0}, [3]float64{0, 500, 0})
	marks += dxfPointOn("2", 200, 500)
	file := piecesFile(dxfText1("Piece Name: front") + dxfText1("SIZE: 38") + dxfText1("MATERIAL: linen") + dxfText1("QUANTITY: 1") +
		dxfPolyline("1", outline...) + marks + dxfPointOn("4", 300, 150) + dxfPointOn("82", 150, 0.4) +
		dxfLine("7", 150, 100, 150, 400) + dxfPointOn("13", 60, 60) + dxfLine("8", 20, 200, 120, 200) +
		dxfPolyline("11", [3]float64{40, 40, 0}, [3]float64{80, 40, 0}, [3]float64{80, 80, 0}) + dxfLine("6", 0, 0, 0, 500) +
		groups(0, "TEXT", 8, 15, 10, 50, 20, 300, 40, 5, 1, "cut with care"))
	d := mustDXF(t, file)
	require.Len(t, d.Outlines, 1)
	o := d.Outlines[0]
	assert.Equal(t, "front", o.Name)
	assert.Equal(t, "linen", o.Cloth)
	assert.InDelta(t, 300*500-math.Pi*2500, o.Ring.Area(), 0.5)
	far := 0.0
	for _, c := range o.Ring {
		for i := range 21 {
			if p := c.At(float64(i) / 20); !c.IsStraight(1e-6) {
				far = math.Max(far, math.Abs(p.Dist(geom.Pt(300, -500))-100))
			}
		}
	}
	assert.Less(t, far, 0.01)
	assert.Positive(t, far)
	require.Len(t, o.Notches, 2)
	assert.Less(t, o.Notches[0].At.Dist(geom.Pt(300, -150)), 1e-9)
	assert.Less(t, o.Notches[1].At.Dist(geom.Pt(150, 0)), 1e-9)
	require.Len(t, d.Ignored, 1)
	assert.Contains(t, d.Ignored[0], "--drawn cutting")

	p := pattern.New("Smock", units.Centimetre)
	made, err := ToPiece(p, o, Request{})
	require.NoError(t, err)
	q := made.Piece
	assert.Equal(t, pattern.CutOnFold, q.Cut)
	assert.Len(t, q.Edges, 5)
	folds := 0
	for i, e := range q.Edges {
		if e.Fold {
			folds++
			assert.InDelta(t, 500, q.Length(i), 1e-6)
		}
	}
	assert.Equal(t, 1, folds)
	require.NotNil(t, q.Grain)
	assert.InDelta(t, 300, q.Grain.From.Dist(q.Grain.To), 1e-9)
	var kinds []string
	for _, m := range q.Marks {
		kinds = append(kinds, string(m.Kind)+" "+m.Name)
	}
	assert.ElementsMatch(t, []string{"placement line cut-out", "dot dot 1", "placement line line 1", "text text 1"}, kinds)
}

// Without points on the layers 2 and 3 a polyline is a polyline.
func TestDXFPieceWithoutCurvePoints(t *testing.T) {
	o := mustDXF(t, piecesFile(dxfText1("PIECE NAME: front")+dxfPolyline("1", [3]float64{0, 0, 0}, [3]float64{50, 3, 0}, [3]float64{100, 0, 0}, [3]float64{100, 80, 0}))).Outlines[0]
	require.Len(t, o.Ring, 4)
	for _, c := range o.Ring {
		assert.True(t, c.IsStraight(1e-9))
	}
}

// The sewing line is taken where there is one, the boundary when the cutting
// line is asked for; a block turned and enlarged on the sheet is so.
func TestDXFPieceLines(t *testing.T) {
	inside := dxfText1("PIECE NAME: front") + dxfPolyline("1", [3]float64{-10, -10, 0}, [3]float64{110, -10, 0}, [3]float64{110, 210, 0}, [3]float64{-10, 210, 0}) +
		dxfPolyline("14", [3]float64{0, 0, 0}, [3]float64{100, 0, 0}, [3]float64{100, 200, 0}, [3]float64{0, 200, 0})
	d := mustDXF(t, piecesFile(inside))
	assert.InDelta(t, 100*200, d.Outlines[0].Ring.Area(), 1e-9)
	assert.Empty(t, d.Ignored)
	assert.InDelta(t, -200, d.Outlines[0].Ring.Box().Min.Y, 1e-9, "a piece keeps the coordinates of its block")
	d, err := readDXF(piecesFile(inside), Options{Drawn: DrawnCutting})
	require.NoError(t, err)
	assert.InDelta(t, 120*220, d.Outlines[0].Ring.Area(), 1e-9)

	blocks := groups(0, "BLOCK", 8, 1, 2, "FRONT", 70, 0, 10, 0, 20, 0) + inside + groups(0, "ENDBLK", 8, 1)
	turned := mustDXF(t, dxfFile(insUnitsOf(4), blocks, groups(0, "INSERT", 8, 1, 2, "FRONT", 10, 500, 20, 700, 41, 2, 42, 2, 50, 90))).Outlines[0]
	assert.InDelta(t, 4*100*200, turned.Ring.Area(), 1e-6)
	assert.InDelta(t, 400, turned.Ring.Box().Size().X, 1e-9)
}

// Where both lines are drawn, and nothing else says it, the allowances are what
// lies between them: 10 and 40 here, and at a side none.
func TestDXFAllowancesAreMeasured(t *testing.T) {
	o := mustDXF(t, piecesFile(dxfText1("PIECE NAME: front")+
		dxfPolyline("1", [3]float64{0, -40, 0}, [3]float64{110, -40, 0}, [3]float64{110, 210, 0}, [3]float64{0, 225, 0})+
		dxfPolyline("14", [3]float64{0, 0, 0}, [3]float64{100, 0, 0}, [3]float64{100, 200, 0}, [3]float64{0, 200, 0}))).Outlines[0]
	p := pattern.New("Smock", units.Centimetre)
	made, err := ToPiece(p, o, Request{})
	require.NoError(t, err)
	var widths []float64
	for _, e := range made.Piece.Edges {
		widths = append(widths, e.AllowanceFor("cloth"))
	}
	// Edges clockwise from where the line starts: left side, upper edge, right
	// side, hem.
	assert.Equal(t, []float64{0, 0, 10, 40}, widths)
	require.Len(t, made.Says, 1)
	assert.Contains(t, made.Says[0], `the allowance of edge "edge 2" differs along it`)
	five := 5.0
	made, err = ToPiece(p, o, Request{Allowance: &five})
	require.NoError(t, err)
	assert.Equal(t, 5.0, made.Piece.Edges[3].AllowanceFor("cloth"), "what is asked for goes first")
}

// Blocks of one piece in several sizes are told apart by the size.
func TestDXFSizes(t *testing.T) {
	blocks := ""
	for _, size := range []string{"38", "40"} {
		blocks += groups(0, "BLOCK", 8, 1, 2, "F"+size, 10, 0, 20, 0) + dxfText1("PIECE NAME: front") + dxfText1("SIZE: "+size) +
			dxfPolyline("1", [3]float64{0, 0, 0}, [3]float64{100, 0, 0}, [3]float64{100, 80, 0}) + groups(0, "ENDBLK", 8, 1)
	}
	assert.Equal(t, []string{"front 38", "front 40"}, names(mustDXF(t, dxfFile(insUnitsOf(4), blocks, ""))))
	_, err := readDXF(piecesFile(dxfText1("PIECE NAME: front")), Options{})
	require.ErrorIs(t, err, ErrNoOutline)
	_, err = readDXF(piecesFile(dxfText1("PIECE NAME:")+dxfPolyline("1", [3]float64{0, 0, 0}, [3]float64{100, 0, 0}, [3]float64{100, 80, 0})), Options{})
	require.ErrorContains(t, err, "its piece name is empty")
}
