package match_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/match"
)

const drawnTol = 3 * traceSigma

// The hem of a back goes up by 60: its side swings with that, and the centre
// back is 60 shorter. Neckline, shoulder and armhole follow it without a
// break, past the ring's start.
func TestUnchangedOfExactOutlines(t *testing.T) {
	old := back(0)
	m := geom.Motion{Turn: 2.5, Shift: pt(700, -90)}
	best, _, err := match.LayOver(old, back(-60).Moved(m), tol, match.Options{})
	require.NoError(t, err)
	require.Len(t, best.Unchanged, 1)
	run := best.Unchanged[0]
	assert.InDelta(t, 520+old[0].Length()+old[1].Length()+old[2].Length(), run.Length, 1e-5)
	assert.InDelta(t, best.Matched*old.Length(), run.Length, 1e-6)
	assert.InDelta(t, 0, geom.Path(old).At(run.From).Dist(pt(0, 540)), 1e-5)
	assert.InDelta(t, 0, geom.Path(old).At(run.To).Dist(pt(240, 210)), 1e-5)

	best, _, err = match.LayOver(old, back(0).Moved(m), tol, match.Options{})
	require.NoError(t, err)
	require.Len(t, best.Unchanged, 1)
	assert.Equal(t, best.Unchanged[0].From, best.Unchanged[0].To, "all round")
	assert.InDelta(t, old.Length(), best.Unchanged[0].Length, 1e-6)
}

// The same traced by hand, with the hem 35 wider: one stretch, its ends off by
// no more than a window.
func TestUnchangedOfDrawnOutlines(t *testing.T) {
	const window = 27.0
	rng := seeded(t, 21)
	old, new := back(0), back(-60)
	new[3], new[4] = geom.Line(pt(240, 210), pt(285, 540)), geom.Line(pt(285, 540), pt(0, 540))
	for range 10 {
		m := randomMotion(rng)
		traced := geom.Polygon(tracedPoints(rng, new, independent)...).Moved(m)
		best, _, err := match.LayOver(old, traced, drawnTol, match.Options{})
		require.NoError(t, err)
		assertUndoes(t, old[:3], m, best.Motion, 0.3)
		require.Len(t, best.Unchanged, 1)
		run := best.Unchanged[0]
		assert.Less(t, geom.Path(old).At(run.From).Dist(pt(0, 540)), window)
		assert.Less(t, geom.Path(old).At(run.To).Dist(pt(240, 210)), window)
		assert.InDelta(t, 520+old[0].Length()+old[1].Length()+old[2].Length(), run.Length, window)
	}
}

// A piece traced again where it lies stays there, though a fit would move it
// by some hundredths.
func TestDrawnOutlineStays(t *testing.T) {
	rng := seeded(t, 22)
	for _, of := range []pointErrors{independent, wavering(5)} {
		for range 10 {
			new := geom.Polygon(tracedPoints(rng, back(-60), of)...)
			best, _, err := match.LayOver(back(0), new, drawnTol, match.Options{AllowMirror: true})
			require.NoError(t, err)
			assert.True(t, best.Motion.Identity(), "%+v", best.Motion)
		}
	}
}

// A band one end of which was cut off glides: start on start and end on end
// explain the same, and both are told. Turned by 180° too.
func TestDrawnBandGlides(t *testing.T) {
	rng := seeded(t, 23)
	old := geom.Polygon(pt(0, 0), pt(400, 0), pt(400, 60), pt(0, 60))
	for _, less := range []float64{3, 25, 70} {
		m := randomMotion(rng)
		cut := geom.Polygon(pt(0, 0), pt(400-less, 0), pt(400-less, 60), pt(0, 60))
		new := geom.Polygon(tracedPoints(rng, cut, independent)...).Moved(m)
		best, others, err := match.LayOver(old, new, drawnTol, match.Options{})
		require.NoError(t, err)
		poses := append(others, best)
		for _, want := range []geom.Motion{{}, {Shift: pt(less, 0)}, {Turn: math.Pi, Shift: pt(400, 60)}, {Turn: math.Pi, Shift: pt(400-less, 60)}} {
			nearest := math.Inf(1)
			for _, p := range poses {
				off := 0.0
				for _, c := range cut {
					off = math.Max(off, p.Motion.Apply(m.Apply(c.P0)).Dist(want.Apply(c.P0)))
				}
				nearest = math.Min(nearest, off)
			}
			assert.Less(t, nearest, 1.0, "%v shorter by %v among %d poses", want, less, len(poses))
		}
	}
}

// Of a hand-drawn rectangle, marks tell which end is which.
func TestDrawnMarksDecide(t *testing.T) {
	rng := seeded(t, 24)
	old := geom.Polygon(pt(0, 0), pt(300, 0), pt(300, 800), pt(0, 800))
	for _, drawn := range []geom.Point{pt(40, 100), pt(260, 700)} {
		m := randomMotion(rng)
		new := geom.Polygon(tracedPoints(rng, old, independent)...).Moved(m)
		best, others, err := match.LayOver(old, new, drawnTol, match.Options{
			OldMarks: []geom.Point{pt(40, 100)}, NewMarks: []geom.Point{m.Apply(drawn)}})
		require.NoError(t, err)
		assert.Less(t, best.Motion.Apply(m.Apply(drawn)).Dist(pt(40, 100)), 1.0)
		assert.NotEmpty(t, others)
	}
}

// What remains of a strip between two new ends says nothing of where along it
// the strip lies; then it must not glide off by the noise of its sides.
func TestParallelSidesDoNotGlideOff(t *testing.T) {
	rng := seeded(t, 25)
	old := geom.Polygon(pt(0, 0), pt(400, 0), pt(400, 60), pt(0, 60))
	rounded := geom.Ring{
		geom.Line(pt(0, 0), pt(400, 0)), {P0: pt(400, 0), P1: pt(418, 15), P2: pt(418, 45), P3: pt(400, 60)},
		geom.Line(pt(400, 60), pt(0, 60)), {P0: pt(0, 60), P1: pt(-20, 50), P2: pt(-22, 20), P3: pt(0, 0)},
	}
	for range 10 {
		m := geom.Motion{Turn: 0.4, Shift: pt(100, 20)}
		new, _, _ := geom.FitOutline(tracedPoints(rng, rounded, independent), geom.FitOptions{})
		best, others, err := match.LayOver(old, new.Moved(m), drawnTol, match.Options{})
		require.NoError(t, err)
		nearest := math.Inf(1)
		for _, p := range append(others, best) {
			nearest = math.Min(nearest, p.Motion.Apply(m.Apply(pt(200, 30))).Dist(pt(200, 30)))
		}
		assert.Less(t, nearest, 4.0, "as far as a corner of such points may be off")
	}
}

func TestLayOverRefuses(t *testing.T) {
	for _, c := range []struct {
		ring geom.Ring
		tol  float64
		says string
	}{
		{nil, tol, "without length"},
		{geom.Polygon(pt(1, 1), pt(1, 1), pt(1, 1)), tol, "without length"},
		{geom.Polygon(pt(0, 0), pt(10, 0), pt(math.NaN(), 5)), tol, "curve 2 of an outline has a coordinate that is no number"},
		{geom.Polygon(pt(0, 0), pt(10, 0), pt(math.Inf(1), 5)), tol, "no number"},
		{geom.Polygon(pt(0, 0), pt(2e7, 0), pt(0, 5)), tol, "curve 1 of an outline reaches 1.33e+07 mm"},
		{back(0), 0, "tolerance of 0 mm"},
		{back(0), math.NaN(), "tolerance of NaN mm"},
		{back(0), math.Inf(1), "tolerance of +Inf mm"},
	} {
		_, _, err := match.LayOver(back(0), c.ring, c.tol, match.Options{})
		assert.ErrorContains(t, err, c.says)
		_, err = match.Measure(c.ring, back(0), geom.Motion{}, c.tol)
		assert.ErrorContains(t, err, c.says)
	}
}
