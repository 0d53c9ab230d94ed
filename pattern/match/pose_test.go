package match_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/match"
)

const tol = 0.01

// seeded prints the seed of a random test.
func seeded(t testing.TB, seed uint64) *rand.Rand {
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, 1))
}

func pt(x, y float64) geom.Point { return geom.Pt(x, y) }

// back is half a back: shoulder, curved armhole, side, hem, centre back,
// curved neckline. By lengthens or shortens it at the hem.
func back(by float64) geom.Ring {
	hem := 600 + by
	return geom.Ring{
		{P0: pt(0, 20), P1: pt(40, 20), P2: pt(70, 15), P3: pt(75, 0)},
		geom.Line(pt(75, 0), pt(190, 45)),
		{P0: pt(190, 45), P1: pt(165, 110), P2: pt(170, 190), P3: pt(240, 210)},
		geom.Line(pt(240, 210), pt(250, hem)),
		geom.Line(pt(250, hem), pt(0, hem)),
		geom.Line(pt(0, hem), pt(0, 20)),
	}
}

// startAt lists the ring from its k-th curve.
func startAt(r geom.Ring, k int) geom.Ring {
	return append(append(geom.Ring{}, r[k:]...), r[:k]...)
}

// redivided cuts curves at random places: the same outline.
func redivided(rng *rand.Rand, r geom.Ring) geom.Ring {
	var out geom.Ring
	for _, c := range r {
		for range rng.IntN(3) {
			a, b := c.Split(0.2 + 0.6*rng.Float64())
			out, c = append(out, a), b
		}
		out = append(out, c)
	}
	return startAt(out, rng.IntN(len(out)))
}

func randomMotion(rng *rand.Rand) geom.Motion {
	return geom.Motion{Turn: (rng.Float64() - 0.5) * 2 * math.Pi, Shift: pt(rng.Float64()*2000-1000, rng.Float64()*2000-1000)}
}

// assertUndoes checks that got undoes m on the ring within so many mm.
func assertUndoes(t *testing.T, r geom.Ring, m, got geom.Motion, within float64) {
	t.Helper()
	worst := 0.0
	for _, c := range r {
		worst = math.Max(worst, got.Apply(m.Apply(c.P0)).Dist(c.P0))
	}
	assert.LessOrEqual(t, worst, within, "a node comes back this far off")
}

func TestLayOverMovedOnly(t *testing.T) {
	rng := seeded(t, 7)
	ring := back(0)
	for range 40 {
		m := randomMotion(rng)
		best, others, err := match.LayOver(ring, redivided(rng, ring).Moved(m), tol, match.Options{})
		require.NoError(t, err)
		assertUndoes(t, ring, m, best.Motion, 1e-8)
		assert.InDelta(t, 1, best.Matched, 1e-6)
		assert.Empty(t, others)
	}
}

func TestLayOverMovedAndAltered(t *testing.T) {
	rng := seeded(t, 8)
	for _, by := range []float64{-60, -3, 2, 150} {
		for range 10 {
			m := randomMotion(rng)
			best, _, err := match.LayOver(back(0), redivided(rng, back(by)).Moved(m), tol, match.Options{})
			require.NoError(t, err)
			// Only the hem and its neighbours' lower ends differ; the curved
			// armhole and neckline hold the pose exactly.
			assertUndoes(t, back(0), m, best.Motion, 1e-6)
		}
	}
}

// A rectangle whose hem went up slides: laid hem on hem it explains as much.
// As drawn comes first.
func TestLayOverPrefersWhereItLies(t *testing.T) {
	old := geom.Polygon(pt(0, 0), pt(300, 0), pt(300, 800), pt(0, 800))
	new := geom.Polygon(pt(0, 0), pt(300, 0), pt(300, 740), pt(0, 740))
	best, others, err := match.LayOver(old, new, tol, match.Options{})
	require.NoError(t, err)
	assert.Equal(t, geom.Motion{}, best.Motion)
	// Waist and both sides, but for 2 × 60 mm: 1780 of 2200 mm. The side that
	// is too long counts as matched where it lies.
	assert.InDelta(t, (300+2*740.0)/2200, best.Matched, 1e-9)
	require.NotEmpty(t, others)
	found := false
	for _, o := range others {
		assert.InDelta(t, best.Matched, o.Matched, 0.01)
		found = found || (math.Abs(o.Motion.Turn) < 1e-9 && o.Motion.Shift.Dist(pt(0, 60)) < 1e-6)
	}
	assert.True(t, found, "laid hem on hem is among %v", others)
}

// A rectangle laid anywhere fits two ways; marks decide.
func TestLayOverMarksDecide(t *testing.T) {
	old := geom.Polygon(pt(0, 0), pt(300, 0), pt(300, 800), pt(0, 800))
	m := geom.Motion{Turn: 2, Shift: pt(50, 400)}
	mark := pt(40, 100)
	for _, turned := range []bool{false, true} {
		drawn := mark
		if turned {
			drawn = pt(300-40, 800-100)
		}
		best, others, err := match.LayOver(old, old.Moved(m), tol, match.Options{
			OldMarks: []geom.Point{mark}, NewMarks: []geom.Point{m.Apply(drawn)}})
		require.NoError(t, err)
		assert.InDelta(t, 1, best.Matched, 1e-9)
		assert.InDelta(t, 0, best.Motion.Apply(m.Apply(drawn)).Dist(mark), 1e-6)
		require.Len(t, others, 1)
	}
}

func TestLayOverTurnedOver(t *testing.T) {
	ring := back(0)
	m := geom.Motion{Mirror: true, Turn: 0.7, Shift: pt(30, -20)}
	new := ring.Moved(m).Reverse()
	best, _, err := match.LayOver(ring, new, tol, match.Options{})
	require.NoError(t, err)
	assert.Less(t, best.Matched, 0.7, "not turned over it does not fit")
	best, _, err = match.LayOver(ring, new, tol, match.Options{AllowMirror: true})
	require.NoError(t, err)
	assert.True(t, best.Motion.Mirror)
	assertUndoes(t, ring, m, best.Motion, 1e-8)
}

// Outlines without corners: an egg of four cubics.
func TestLayOverSmooth(t *testing.T) {
	egg := geom.Ring{
		{P0: pt(0, -60), P1: pt(45, -60), P2: pt(70, -30), P3: pt(70, 10)},
		{P0: pt(70, 10), P1: pt(70, 60), P2: pt(40, 95), P3: pt(0, 95)},
		{P0: pt(0, 95), P1: pt(-55, 95), P2: pt(-80, 55), P3: pt(-80, 10)},
		{P0: pt(-80, 10), P1: pt(-80, -25), P2: pt(-50, -60), P3: pt(0, -60)},
	}
	rng := seeded(t, 9)
	for range 10 {
		m := randomMotion(rng)
		best, _, err := match.LayOver(egg, redivided(rng, egg).Moved(m), tol, match.Options{})
		require.NoError(t, err)
		assertUndoes(t, egg, m, best.Motion, 1e-7)
	}
}

func TestLayOverNothingInCommon(t *testing.T) {
	best, others, err := match.LayOver(back(0), geom.Circle(pt(0, 0), 50), tol, match.Options{})
	require.NoError(t, err)
	assert.Less(t, best.Matched, 0.01)
	_ = others
	_, _, err = match.LayOver(back(0), nil, tol, match.Options{})
	assert.ErrorContains(t, err, "without length")
	_, _, err = match.LayOver(back(0), back(0), 0, match.Options{})
	assert.ErrorContains(t, err, "tolerance of 0 mm")
}

// sleeve has its wrist at y, between its corners at right and left: drawn with
// the underarm seams run on to (381, 609.6) and (114.3, 609.6).
func sleeve(right, left, y float64) geom.Ring {
	return geom.Ring{
		{P0: pt(50.8, 203.2), P1: pt(101.6, 190.5), P2: pt(127, 38.1), P3: pt(241.3, 38.1)},
		{P0: pt(241.3, 38.1), P1: pt(355.6, 38.1), P2: pt(393.7, 190.5), P3: pt(444.5, 203.2)},
		geom.Line(pt(444.5, 203.2), pt(right, y)), geom.Line(pt(right, y), pt(left, y)), geom.Line(pt(left, y), pt(50.8, 203.2)),
	}
}

// The wrist went up by 50 and its corners were typed to 0.1 mm, so that both
// underarm seams lie 0.0125 mm off: within 0.01 mm little coincides as it
// lies, and slid down by 50 somewhat more. The sleeve has not moved.
func TestLayOverStaysForASlipOfThePen(t *testing.T) {
	old := sleeve(381, 114.3, 609.6)
	best, _, err := match.LayOver(old, sleeve(388.8, 106.5, 559.6), tol, match.Options{})
	require.NoError(t, err)
	assert.True(t, best.Motion.Identity(), "%+v", best)

	// The same drawn elsewhere comes back: what coincides there is the head.
	m := geom.Motion{Turn: 0.5, Shift: pt(-80, 300)}
	best, _, err = match.LayOver(old, sleeve(388.8125, 106.4875, 559.6).Moved(m), tol, match.Options{})
	require.NoError(t, err)
	assertUndoes(t, old, m, best.Motion, 1e-6)
}

// However little an outline moved, it comes back; so does one that slid along
// its own straight sides, if it explains all.
func TestLayOverSmallMotions(t *testing.T) {
	for _, by := range []geom.Point{pt(0.03, 0), pt(0.3, -0.2), pt(0, 0.7), pt(0, 40)} {
		best, _, err := match.LayOver(back(0), back(0).Moved(geom.Motion{Shift: by}), tol, match.Options{})
		require.NoError(t, err)
		assertUndoes(t, back(0), geom.Motion{Shift: by}, best.Motion, 1e-8)
	}
}

// A symmetric outline is not turned over, though that explains as much.
func TestLayOverTurnsOverOnlyForMore(t *testing.T) {
	kite := geom.Polygon(pt(0, 0), pt(100, 50), pt(0, 300), pt(-100, 50))
	m := geom.Motion{Turn: 1, Shift: pt(10, 20)}
	best, _, err := match.LayOver(kite, kite.Moved(m), tol, match.Options{AllowMirror: true})
	require.NoError(t, err)
	assert.False(t, best.Motion.Mirror)
	assertUndoes(t, kite, m, best.Motion, 1e-8)
}

func TestClearlyMore(t *testing.T) {
	for _, c := range []struct {
		more, less float64
		want       bool
	}{
		{0.3, 0.05, true}, {0.19, 0, false}, {0.69, 0.5, false}, {0.71, 0.5, true},
		{0.81, 0.7, false}, {0.86, 0.7, true}, {1, 0.99, true}, {0.99, 0.99, false}, {0.99, 1, false},
	} {
		assert.Equal(t, c.want, match.ClearlyMore(c.more, c.less), "%v", c)
	}
}
