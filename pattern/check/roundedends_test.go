package check

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// A right angle rounded by r is cut short by r there and has half a quarter of a
// circle, r·π/4, up to the middle of the arc: r·(1 − π/4) less (closed form). It
// is told where the other side of the seam is sharp or rounded by less, and not
// where both are rounded alike. Input of a mended bug: it was told nowhere.
func TestSeamEndRoundedOnOneSide(t *testing.T) {
	p := sewn(t, nil, oblong("front", 0, 0, 300, 800, "waist", "side seam", "bottom", "front edge"),
		oblong("back", 400, 0, 300, 800, "top", "back edge", "bottom", "side seam"))
	seam(t, p, "side", "front/side seam", "back/side seam")
	require.Empty(t, run(t, p))
	front, back := p.Pieces[1], p.Pieces[0]
	if front.Name != "front" {
		front, back = back, front
	}
	lost := func(r float64) float64 { return r * (1 - math.Pi/4) }
	front.Corners[2].Round = 40 // side seam/bottom
	f := only(t, run(t, p), change.RoundedEnd, lost(40), 1e-6)
	require.False(t, f.Mismatch)
	require.Equal(t, `front, corner "side seam/bottom"`, f.Where)
	require.Contains(t, f.Do, `toile alter restore-corner "front" "side seam/bottom"`)
	back.Corners[3].Round = 15 // bottom/side seam
	only(t, run(t, p), change.RoundedEnd, lost(40)-lost(15), 1e-6)
	back.Corners[3].Round = 60
	f = only(t, run(t, p), change.RoundedEnd, lost(40)-lost(60), 1e-6)
	require.Contains(t, f.Where, "back")
	back.Corners[3].Round = 40
	require.Empty(t, run(t, p))
	front.Corners[3].Round = 50 // bottom/front edge: sewn to nothing
	require.Empty(t, run(t, p))
}

// At a fold a rounded corner makes a point; away from it none.
func TestCornerRoundedAtTheFold(t *testing.T) {
	q := polygon("back", pattern.CutOnFold, 15, []string{"top", "side", "bottom", "centre back"}, geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	q.Edges[3].Fold, q.Edges[3].Allowance = true, nil
	p := sewn(t, nil, q)
	q.Corners[2].Round = 50
	require.Empty(t, run(t, p))
	q.Corners[3].Round = 50
	f := only(t, run(t, p), change.RoundedEnd, 50*(1-math.Pi/4), 1e-6)
	require.Contains(t, f.Says, "on the fold")
}
