package diff

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// A lining 20 mm shorter than its outer, laid elsewhere and turned over: that
// the two are called otherwise is no change, what they are cut from is one.
func TestAgainst(t *testing.T) {
	a := panel(300, 800)
	a.Cloth = "outer"
	a.Corners[1].At = geom.Pt(260, 20)
	b := panel(300, 780)
	b.Name, b.Slug, b.Cloth = "lining", "lining", "lining"
	b.Corners[1].At, b.Corners[2].At = geom.Pt(260, 20), geom.Pt(260+40*760./780, 780)
	b = b.Moved(geom.Motion{Mirror: true, Shift: geom.Pt(900, 40)})
	p := pattern.New("test", units.Centimetre)
	d, err := Against(a, b, p, change.Version{Number: 3}, change.Version{Working: true})
	require.NoError(t, err)
	require.Equal(t, change.Version{Number: 3}, d.From)
	require.True(t, d.To.Working)
	require.Len(t, d.Pieces, 1)
	q := d.Pieces[0]
	require.Equal(t, []string{"lining", "panel"}, []string{q.Piece, q.Before})
	require.True(t, q.Against)
	require.Equal(t, change.Altered, q.State)
	require.True(t, q.Placement.Mirrored)
	require.Equal(t, []string{"edge-moved [hemline]", "edge-run [side seam]", "edge-run [centre]", "cutting-changed []"}, kinds(q))
	require.InDelta(t, -20, *q.Changes[0].By, 1e-6)
	require.Equal(t, "cut from: lining (was: outer)", q.Changes[3].Says)
}

// Two pieces that differ in nothing but their names are the same.
func TestAgainstSame(t *testing.T) {
	a, b := panel(300, 800), panel(300, 800)
	a.Corners[1].At, b.Corners[1].At = geom.Pt(260, 20), geom.Pt(260, 20)
	b.Name, b.Slug = "second", "second"
	d, err := Against(a, b.Moved(geom.Motion{Shift: geom.Pt(500, 0)}), pattern.New("test", units.Centimetre), change.Version{}, change.Version{})
	require.NoError(t, err)
	require.Equal(t, change.Same, d.Pieces[0].State)
	require.Empty(t, d.Pieces[0].Changes)
	require.NotNil(t, d.Seams)
	require.NotNil(t, d.NotFollowed)
}
