package alter

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

func dartOf(q *pattern.Piece, name string) (legs [2]float64, mouth float64) {
	for _, k := range q.Marks {
		if k.Name == name {
			i, _ := q.EdgeIndex(k.Edge)
			e := q.EdgePath(i)
			return [2]float64{e.PointAt(k.From).Dist(k.At), e.PointAt(k.To).Dist(k.At)}, e.PointAt(k.From).Dist(e.PointAt(k.To))
		}
	}
	return
}

func dartedPanel() *pattern.Pattern {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	q := p.Pieces[0]
	q.Grain = &pattern.Grain{From: geom.Pt(50, 100), To: geom.Pt(50, 500)}
	q.Marks = []pattern.Mark{
		{Kind: pattern.MarkDart, Name: "bust", Edge: "side seam", From: 200, To: 230, At: geom.Pt(200, 215)},
		{Kind: pattern.MarkDart, Name: "waist", Edge: "waist", From: 190, To: 220, At: geom.Pt(205, 130)},
		{Kind: pattern.MarkPleat, Name: "box", Edge: "hemline", From: 40, To: 70, Direction: "end"},
	}
	return p
}

// A dart goes with the part that it is sewn in: mouth and legs keep their
// lengths, those of hypot(100, 15) and hypot(15, 130).
func TestSpreadKeepsDarts(t *testing.T) {
	bust, waist := math.Hypot(100, 15), math.Hypot(15, 130)
	for _, c := range [][]string{
		{"spread", "by", "40", "stays", "centre"}, {"spread", "by", "40", "stays", "side seam"}, {"close", "by", "20", "stays", "centre"},
		{"spread", "by", "40", "stays", "side seam", "hinge", "waist"}, {"spread", "by", "40", "stays", "centre", "hinge", "hemline"},
	} {
		p := dartedPanel()
		q := made(t, p, c[0], "panel", append([]string{"line", "150,0:150,800"}, c[1:]...)...).Pattern.Pieces[0]
		within := 0.002
		if len(c) > 5 {
			within = 0.6 // the crossed edge is trued over the cut, and the mouth lies on it
		}
		for name, leg := range map[string]float64{"bust": bust, "waist": waist} {
			legs, mouth := dartOf(q, name)
			require.InDelta(t, leg, legs[0], within, "%v %s", c, name)
			require.InDelta(t, leg, legs[1], within, "%v %s", c, name)
			require.InDelta(t, 30, mouth, 0.05, "%v %s", c, name)
		}
		require.Zero(t, q.Marks[2].At)
		require.InDelta(t, 30, q.Marks[2].To-q.Marks[2].From, 1e-9)
	}
}

// The grain turns with its part: hinged at the waist by a chord of 40 at an arm
// of 800, 2·asin(20/800) = 2.8654°.
func TestSpreadTurnsGrain(t *testing.T) {
	q := made(t, dartedPanel(), "spread", "panel", "line", "150,0:150,800", "by", "40", "stays", "side seam", "hinge", "waist").Pattern.Pieces[0]
	turn := geom.AngleBetween(q.EdgePath(3).Start().Sub(q.EdgePath(3).End()), q.Grain.To.Sub(q.Grain.From))
	require.InDelta(t, 0, geom.InDegrees(turn), 0.001)
	require.InDelta(t, 2.8654, math.Abs(geom.InDegrees(geom.AngleBetween(geom.Pt(0, 1), q.Grain.To.Sub(q.Grain.From)))), 0.001)
	stays := made(t, dartedPanel(), "spread", "panel", "line", "150,0:150,800", "by", "40", "stays", "centre").Pattern.Pieces[0]
	require.Equal(t, dartedPanel().Pieces[0].Grain, stays.Grain)
}

// A tuck above a dart takes mouth and point up together.
func TestTuckKeepsDarts(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	p.Pieces[0].Marks = []pattern.Mark{{Kind: pattern.MarkDart, Name: "hip", Edge: "side seam", From: 500, To: 530, At: geom.Pt(200, 515)}}
	q := made(t, p, "shorten", "panel", "edge", "hemline", "by", "50", "inside", "0,300:300,300").Pattern.Pieces[0]
	require.Equal(t, geom.Pt(200, 465), q.Marks[0].At)
	legs, mouth := dartOf(q, "hip")
	require.InDelta(t, math.Hypot(100, 15), legs[0], 0.002)
	require.InDelta(t, math.Hypot(100, 15), legs[1], 0.002)
	require.InDelta(t, 30, mouth, 0.001)
}

// Run on by more than there is, a neighbour ends the alteration, along a side
// as without it.
func TestLengthenAlongTooFar(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(320, 800), geom.Pt(0, 800))
	for _, by := range []string{"151", "200", "1000"} {
		_, err := Make(p, recipe("lengthen", "panel", "edge", "hemline", "by", by, "along", "side seam"))
		require.ErrorContains(t, err, "no longer meet", by)
		require.ErrorContains(t, err, "0 mm fits", by)
	}
	q := made(t, p, "lengthen", "panel", "edge", "hemline", "by", "149", "along", "side seam").Pattern.Pieces[0]
	require.InDelta(t, math.Hypot(20, 800)+149, q.EdgePath(1).Length(), 0.001)
	_, err := Make(p, recipe("shorten", "panel", "edge", "hemline", "by", "801", "along", "side seam"))
	require.Error(t, err)
}
