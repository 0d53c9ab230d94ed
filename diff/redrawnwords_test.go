package diff

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/change"
)

// saysAll lists the sentences of what changed.
func saysAll(d change.PieceDiff) (all []string) {
	for _, ch := range d.Changes {
		all = append(all, ch.Says)
	}
	return all
}

// A side seam that was traced anew on a panel with its hem 30 mm higher or lower: the new
// line is a cubic with both handles 2 mm outside of the old one, so that it lies 3/4 of
// that off at most (Bézier: 3·t·(1−t)·h at t = 1/2). What the hem took or gave is not
// told of its line.
func TestRedrawnBesideItsEnd(t *testing.T) {
	for _, c := range []struct {
		length float64
		says   []string
	}{
		{770, []string{`"side seam" is redrawn, by up to 0.15 cm, and cut 3 cm shorter at "hemline"`, `"hemline" is taken up by 3 cm`}},
		{830, []string{`"side seam" is redrawn, by up to 0.15 cm, and runs on by 3 cm at "hemline"`, `"hemline" is let down by 3 cm`}},
	} {
		side := geom.Path{{P0: geom.Pt(300, 0), P1: geom.Pt(302, c.length/3), P2: geom.Pt(302, 2*c.length/3), P3: geom.Pt(300, c.length)}}
		b := build("panel", skirtEdges, geom.Polyline(geom.Pt(0, 0), geom.Pt(300, 0)), side,
			geom.Polyline(geom.Pt(300, c.length), geom.Pt(0, c.length)), geom.Polyline(geom.Pt(0, c.length), geom.Pt(0, 0)))
		require.Subset(t, saysAll(compare(t, panel(300, 800), b)), c.says)
	}
}

// A hem that went up by 30 mm at one side, and by 29.8 or 10 mm at the other.
func TestHemUpByTwoAmounts(t *testing.T) {
	for _, c := range []struct {
		left float64
		says string
	}{
		{770.2, `"hemline" is taken up by 3 cm at "side seam", 2.98 cm at "centre"`},
		{790, `"hemline" is taken up by 3 cm at "side seam", tapering to 1 cm at "centre"`},
	} {
		a := panel(300, 800)
		a.Edges[2].Hem = true
		b := build("panel", skirtEdges, geom.Polyline(geom.Pt(0, 0), geom.Pt(300, 0)), geom.Polyline(geom.Pt(300, 0), geom.Pt(300, 770)),
			geom.Polyline(geom.Pt(300, 770), geom.Pt(0, c.left)), geom.Polyline(geom.Pt(0, c.left), geom.Pt(0, 0)))
		b.Edges[2].Hem = true
		require.Contains(t, saysAll(compare(t, a, b)), c.says)
	}
}
