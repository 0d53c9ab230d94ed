package trace

import (
	"bytes"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// Any bytes give a drawing or an *Error, never both, and what a drawing holds
// can be made a piece or is refused.
func FuzzReadDXF(f *testing.F) {
	square := dxfPolyline("pocket", [3]float64{0, 0, 0.3}, [3]float64{10, 0, 0}, [3]float64{10, 10, -2}, [3]float64{0, 10, 0})
	block := groups(0, "BLOCK", 8, 0, 2, "a", 10, 1, 20, 2) + square + groups(0, "ENDBLK", 8, 0)
	for _, s := range []string{
		"", inMM(square), inMM(dxfLine("a", 0, 0, 9, 0) + dxfLine("a", 9, 9, 9, 0) + dxfLine("a", 9, 9, 0, 0) + groups(0, "TEXT", 8, "a", 10, 4, 20, 2, 72, 1, 11, 5, 21, 2, 1, `caf\U+00E9`)),
		inMM(groups(0, "ARC", 8, "a", 10, 0, 20, 0, 40, 9, 50, 350, 51, 10) + groups(0, "CIRCLE", 8, "b", 10, 0, 20, 0, 40, 90) + groups(0, "ELLIPSE", 8, "c", 10, 0, 20, 0, 11, 9, 21, 1, 40, 0.4)),
		inMM(groups(0, "SPLINE", 8, "a", 70, 1, 71, 3, 40, 0, 40, 0, 40, 0, 40, 0, 40, 1, 40, 1, 40, 1, 40, 1, 41, 1, 41, 2, 41, 1, 41, 1, 10, 0, 20, 0, 10, 9, 20, 99, 10, 80, 20, 1, 10, 0, 20, 0)),
		inMM(groups(0, "SPLINE", 8, "a", 70, 1, 11, 0, 21, 0, 11, 9, 21, 0, 11, 4, 21, 9)),
		inMM(groups(0, "POLYLINE", 8, "p", 66, 1, 70, 1, 0, "VERTEX", 10, 0, 20, 0, 42, 1, 0, "VERTEX", 10, 9, 20, 0, 0, "VERTEX", 10, 9, 20, 9, 0, "SEQEND", 8, 0)),
		dxfFile(insUnitsOf(4), block, groups(0, "INSERT", 8, 0, 66, 1, 2, "a", 10, 5, 20, 5, 41, -2, 42, 3, 50, 30, 70, 2, 71, 2, 44, 99, 45, 99, 230, -1, 0, "SEQEND", 8, 0)),
		dxfFile(insUnitsOf(1), "", square), dxfFile(groups(9, "$MEASUREMENT", 70, 0, 9, "$DWGCODEPAGE", 3, "ANSI_1251"), "", square),
		piecesFile(dxfText1("PIECE NAME: front") + dxfText1("cut: a pair") + dxfText1("edge: hem, allowance 40, hem") + dxfPolyline("14", [3]float64{0, 0, 0}, [3]float64{90, 0, 0}, [3]float64{95, 50, 0}, [3]float64{90, 100, 0}, [3]float64{50, 99, 0}) +
			dxfPointOn("2", 0, 0) + dxfPointOn("3", 95, 50) + dxfPointOn("4", 40, -9) + dxfPointOn("13", 40, 20) + dxfLine("7", 10, 10, 10, 60) + dxfLine("6", 0, 0, 90, 0) + dxfLine("8", 20, 20, 30, 50) +
			groups(0, "TEXT", 8, 15, 10, 40, 20, 0, 1, "notch: hip, count 2", 0, "TEXT", 8, 15, 10, 20, 20, 20, 1, "dart: bust, towards end")),
	} {
		f.Add([]byte(s), 0.0, false)
		f.Add([]byte(s), 2.5, true)
	}
	p := pattern.New("Smock", units.Centimetre)
	f.Fuzz(func(t *testing.T, text []byte, scale float64, all bool) {
		if len(text) > 50_000 {
			return
		}
		d, err := ReadDXF("x.dxf", bytes.NewReader(text), Options{Scale: scale, All: all})
		checkRead(t, d, err)
		if err != nil || len(d.Outlines) > 20 {
			return
		}
		for _, o := range d.Outlines {
			require.NotEmpty(t, o.Where)
			if len(o.Ring) > 200 || spread(o.Ring) > 1e4 {
				continue
			}
			if res, err := ToPiece(p, o, Request{}); err == nil {
				require.NoError(t, res.Piece.Validate())
			}
		}
	})
}

func spread(r geom.Ring) float64 {
	s := r.Box().Size()
	return math.Max(s.X, s.Y)
}
