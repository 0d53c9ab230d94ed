package diff

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// A hem facing that followed its hem has the same shape upside down; what its
// edges are called by id says that it only went up.
func TestHemFacingThatFollowed(t *testing.T) {
	names := []string{"centre back", "hemline", "panel seam", "inner edge"}
	strip := func(top, seam float64) geom.Ring {
		return geom.Polygon(geom.Pt(255, top), geom.Pt(255, top+50), geom.Pt(seam, top+50), geom.Pt(seam+1.25, top))
	}
	r, s := strip(480, 1), strip(460, 1.5)
	a := build("bhf", names, geom.Path{r[0]}, geom.Path{r[1]}, geom.Path{r[2]}, geom.Path{r[3]})
	b := build("bhf", names, geom.Path{s[0]}, geom.Path{s[1]}, geom.Path{s[2]}, geom.Path{s[3]})
	for i := range a.Edges {
		a.Edges[i].ID = names[i][:7]
		b.Edges[i].ID = names[i][:7]
	}
	a.Grain = &pattern.Grain{From: geom.Pt(178.8, 487.5), To: geom.Pt(178.8, 522.5)}
	b.Grain = &pattern.Grain{From: geom.Pt(178.8, 467.5), To: geom.Pt(178.8, 502.5)}
	for _, p := range []*pattern.Piece{a, b} {
		p.Edges[0].Fold, p.Cut, p.Edges[1].Hem = true, pattern.CutOnFold, true
	}
	d := compare(t, a, b)
	require.Equal(t, change.Placement{}, d.Placement)
	require.Equal(t, []string{"edge-moved [hemline]", "edge-moved [inner edge]"}, kinds(d)[:2])
}
