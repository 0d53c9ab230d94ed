package merge

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// The worked figures of merging and reverting, by trigonometry: a side of 600
// about (200, 0), swung by 4°, ends at (200 + 600·sin 4°, 600·cos 4°); cut at
// 540 it ends at (200 + 540·sin 4°, 540·cos 4°).

func TestHemHereSideThere(t *testing.T) {
	s := block(t)
	here := altered(t, s, "shorten", "back", "edge", "hem", "by", "60")
	there := altered(t, s, "flare", "back", "edge", "side", "angle", "4")
	near(t, geom.Pt(241.854, 598.538), corners(there, "back")[2], 0.001)
	m := joined(t, s, here, there)
	at := corners(m, "back")
	turn := geom.Degrees(4)
	near(t, geom.Pt(200+540*math.Sin(turn), 540*math.Cos(turn)), at[2], 0.001)
	near(t, geom.Pt(0, 540), at[3], 0.001)
	q := m.Pieces[0]
	assert.InDelta(t, 540, q.EdgePath(1).Length(), 0.001)
	hem := q.EdgePath(2)
	require.Len(t, hem, 2, "the hem and what it was led on by")
	near(t, geom.Pt(200, 540), hem[0].P3, 0.001)
	assert.InDelta(t, 0, hem[0].Tangent(1).Cross(geom.Pt(-1, 0)), 1e-5, "smooth")
	assert.InDelta(t, math.Pi/2, math.Abs(geom.AngleBetween(q.EdgePath(1).EndTangent(), hem.StartTangent())), 1e-4, "square to the side, as it was")
	assert.Equal(t, text(t, m), text(t, joined(t, s, there, here)))
}

func TestRevertTheSwing(t *testing.T) {
	one := block(t)
	two := altered(t, one, "flare", "back", "edge", "side", "angle", "4")
	three := altered(t, two, "shorten", "back", "edge", "hem", "by", "60")
	four := altered(t, three, "notch", "back", "edge", "side", "at", "310", "name", "hip")
	m := reverted(t, two, four, one)
	at := corners(m, "back")
	near(t, geom.Pt(200, 540), at[2], 0.001)
	near(t, geom.Pt(0, 540), at[3], 0.001)
	q := m.Pieces[0]
	assert.Len(t, q.EdgePath(2), 1)
	require.Len(t, q.Notches, 1)
	place, _, _, err := q.NotchPlace(q.Notches[0])
	require.NoError(t, err)
	near(t, geom.Pt(200, 310), place, 0.001)
}

func TestRevertTheHemUnderASwing(t *testing.T) {
	one := block(t)
	two := altered(t, one, "shorten", "back", "edge", "hem", "by", "60")
	three := altered(t, two, "flare", "back", "edge", "side", "angle", "4")
	m := reverted(t, two, three, one)
	near(t, geom.Pt(241.854, 598.538), corners(m, "back")[2], 0.001)
	assert.InDelta(t, 600, m.Pieces[0].EdgePath(1).Length(), 0.001)
	assert.Equal(t, text(t, altered(t, one, "flare", "back", "edge", "side", "angle", "4")), text(t, m))
}

func TestComposed(t *testing.T) {
	one := block(t)
	two := altered(t, one, "flare", "back", "edge", "side", "angle", "4")
	three := altered(t, two, "let-out", "back", "edge", "side", "by", "10")
	m := reverted(t, two, three, one)
	at := corners(m, "back")
	near(t, geom.Pt(210, 0), at[1], 0.001)
	near(t, geom.Pt(210, 600), at[2], 0.001)
	assert.Len(t, m.Pieces[0].EdgePath(2), 1)
	// As a merge it is a conflict.
	res, err := Merge(Input{Shared: one, Here: two, There: altered(t, one, "let-out", "back", "edge", "side", "by", "10")})
	require.NoError(t, err)
	require.Len(t, res.Conflicts, 1)
	assert.Equal(t, "back/side", res.Conflicts[0].Where)
	assert.Nil(t, res.Pattern)
}

// The other way round: the side let out first, then swung; taking the letting
// out back leaves the swing of the first side.
func TestComposedSwingOnTop(t *testing.T) {
	one := block(t)
	two := altered(t, one, "let-out", "back", "edge", "side", "by", "10")
	three := altered(t, two, "flare", "back", "edge", "side", "angle", "4")
	m := reverted(t, two, three, one)
	near(t, geom.Pt(200, 0), corners(m, "back")[1], 0.001)
	near(t, geom.Pt(241.854, 598.538), corners(m, "back")[2], 0.001)
	assert.InDelta(t, 600, m.Pieces[0].EdgePath(1).Length(), 0.001)
	assert.Len(t, m.Pieces[0].EdgePath(2), 2, "the hem is eased on")
}

func TestInwardSwing(t *testing.T) {
	s := block(t)
	here := altered(t, s, "shorten", "back", "edge", "hem", "by", "60")
	there := altered(t, s, "flare", "back", "edge", "side", "angle", "-3")
	m := joined(t, s, here, there)
	turn := geom.Degrees(3)
	near(t, geom.Pt(200-540*math.Sin(turn), 540*math.Cos(turn)), corners(m, "back")[2], 0.001)
	assert.Len(t, m.Pieces[0].EdgePath(2), 2)
	// And taken back, from a state with the hem changed.
	near(t, geom.Pt(200, 540), corners(reverted(t, there, altered(t, there, "shorten", "back", "edge", "hem", "by", "60"), s), "back")[2], 0.001)
}
