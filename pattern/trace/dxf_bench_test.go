package trace

import (
	"fmt"
	"strings"
	"testing"

	"toile/geom"
)

// BenchmarkReadDXF reads a file of 60 pieces after ASTM D6673, each of four
// curves of 41 points.
func BenchmarkReadDXF(b *testing.B) {
	outline := geom.Path{
		{P0: geom.Pt(40, 0), P1: geom.Pt(140, 35), P2: geom.Pt(250, 35), P3: geom.Pt(330, 0)},
		{P0: geom.Pt(330, 0), P1: geom.Pt(410, 240), P2: geom.Pt(440, 380), P3: geom.Pt(470, 640)},
		{P0: geom.Pt(470, 640), P1: geom.Pt(330, 700), P2: geom.Pt(120, 700), P3: geom.Pt(0, 650)},
		{P0: geom.Pt(0, 650), P1: geom.Pt(-20, 400), P2: geom.Pt(-10, 240), P3: geom.Pt(40, 0)},
	}
	var points [][3]float64
	var marks strings.Builder
	for _, c := range outline {
		for i := range 40 {
			p := c.At(float64(i) / 40)
			points = append(points, [3]float64{p.X, p.Y, 0})
			layer := dxfCurve
			if i == 0 {
				layer = dxfTurn
			}
			marks.WriteString(dxfPointOn(layer, p.X, p.Y))
		}
	}
	var blocks strings.Builder
	for i := range 60 {
		blocks.WriteString(groups(0, "BLOCK", 8, 1, 2, fmt.Sprintf("P%d", i), 10, 0, 20, 0) + dxfText1(fmt.Sprintf("PIECE NAME: panel %d", i)) +
			dxfPolyline("14", points...) + marks.String() + groups(0, "ENDBLK", 8, 1))
	}
	file := dxfFile(insUnitsOf(4), blocks.String(), "")
	b.ReportMetric(float64(len(file))/1000, "kB")
	for b.Loop() {
		if _, err := readDXF(file, Options{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(file))/1000, "kB")
}
