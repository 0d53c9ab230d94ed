package diff

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// The hem taken up by 60 and a notch moved by as much: it is as far from the
// hem as it was, but not from the waist it is counted from.
func TestNotchMovedByWhatTheHemLost(t *testing.T) {
	a := panel(300, 800)
	a.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 400, Count: 1}}
	b := panel(300, 740)
	b.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 340, Count: 1}}
	moved := only(compare(t, a, b), change.NotchMoved)
	require.Len(t, moved, 1)
	require.InDelta(t, -60, *moved[0].By, 1e-9)

	// Counted from the hem it keeps its anchor; in its place it is silent too.
	a.Notches[0].FromEnd, b.Notches[0] = true, pattern.Notch{Name: "hip", Edge: "side seam", At: 400, Count: 1, FromEnd: true}
	require.Empty(t, only(compare(t, a, b), change.NotchMoved))
	b.Notches[0].At = 340
	require.Empty(t, only(compare(t, a, b), change.NotchMoved))
	b.Notches[0].At = 375
	moved = only(compare(t, a, b), change.NotchMoved)
	require.Len(t, moved, 1)
	require.InDelta(t, -25, *moved[0].By, 1e-9)
}

// A grain line that lies elsewhere is told beside other changes, and where the
// piece was laid elsewhere on the sheet.
func TestGrainMovedBesideOtherChanges(t *testing.T) {
	a, b := panel(300, 800), panel(300, 740)
	a.Grain = &pattern.Grain{From: geom.Pt(150, 100), To: geom.Pt(150, 600)}
	b.Grain = &pattern.Grain{From: geom.Pt(180, 100), To: geom.Pt(180, 600)}
	for _, m := range []geom.Motion{{}, {Turn: 0.7, Shift: geom.Pt(400, -300)}} {
		d := compare(t, a, b.Moved(m))
		require.Len(t, only(d, change.EdgeMoved), 1)
		moved := only(d, change.MarkMoved)
		require.Len(t, moved, 1)
		require.InDelta(t, 30, moved[0].ByVector[0], 1e-2)
		require.InDelta(t, 0, moved[0].ByVector[1], 1e-2)
	}
	b.Grain.From, b.Grain.To = a.Grain.From, a.Grain.To
	require.Empty(t, only(compare(t, a, b), change.MarkMoved))
}
