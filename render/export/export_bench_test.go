package export

import (
	"fmt"
	"testing"

	"toile/geom"
	"toile/pattern"
)

// sixty is an export of 60 panels, each curved all round.
func sixty() Job {
	j := Job{Pattern: "Orchard smock", Version: "version 4", Set: pattern.ClothSet}
	for i := range 60 {
		name := fmt.Sprintf("panel %d", i+1)
		q := &pattern.Piece{Name: name, Slug: pattern.Slug(name, nil), Cut: pattern.CutPair, Cloth: "outer"}
		paths := []geom.Cubic{
			{P0: geom.Pt(40, 0), P1: geom.Pt(140, 35), P2: geom.Pt(250, 35), P3: geom.Pt(330, 0)},
			{P0: geom.Pt(330, 0), P1: geom.Pt(410, 240), P2: geom.Pt(440, 380), P3: geom.Pt(470, 640)},
			{P0: geom.Pt(470, 640), P1: geom.Pt(330, 700), P2: geom.Pt(120, 700), P3: geom.Pt(0, 650)},
			{P0: geom.Pt(0, 650), P1: geom.Pt(-20, 400), P2: geom.Pt(-10, 240), P3: geom.Pt(40, 0)},
		}
		for k, c := range paths {
			e := pattern.Edge{Name: fmt.Sprintf("edge %d", k+1), Allowance: map[string]float64{pattern.ClothSet: 15}}
			e.SetPath(geom.Path{c})
			q.Corners, q.Edges = append(q.Corners, pattern.Corner{At: c.P0}), append(q.Edges, e)
		}
		j.Pieces = append(j.Pieces, q)
	}
	return j
}

func BenchmarkExport(b *testing.B) {
	j := sixty()
	for _, form := range []struct {
		name  string
		write func() ([]byte, error)
	}{{"SVG", j.SVG}, {"DXF", j.DXF}, {"JSON", j.JSON}} {
		b.Run(form.name, func(b *testing.B) {
			size := 0
			for b.Loop() {
				text, err := form.write()
				if err != nil {
					b.Fatal(err)
				}
				size = len(text)
			}
			b.ReportMetric(float64(size)/1000, "kB")
		})
	}
}
