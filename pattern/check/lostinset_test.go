package check

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// insetIn is a facing of 300 × 200 and an interfacing that is declared to lie by so
// many mm inside all round, drawn by a motion and so that its right side reaches so
// many mm further out.
func insetIn(t *testing.T, inset, reaches float64, to geom.Motion) *pattern.Pattern {
	facing := oblong("facing", 0, 0, 300, 200, "top", "right", "bottom", "left")
	inner := oblong("interfacing", inset, inset, 300-2*inset+reaches, 200-2*inset, "top", "right", "bottom", "left")
	lie(inner, to)
	p := sewn(t, nil, facing, inner)
	l := pattern.Layer{Outer: "facing", Inner: []string{"interfacing"}}
	for _, edge := range facing.EdgeNames() {
		l.Differences = append(l.Differences, pattern.Difference{What: "inset", By: -inset, Piece: "interfacing", Edge: edge})
	}
	p.Layers = []pattern.Layer{l}
	return p
}

// An interfacing that reaches towards a seam at one edge, while its inset is there at
// the others, is told from half of the inset on, by what it lies too far out; beyond
// the tolerance of 1.5 it is a mismatch.
func TestLostInset(t *testing.T) {
	for _, c := range []struct {
		inset, reaches float64
		told, mismatch bool
	}{
		{2, 0, false, false}, {2, 0.9, false, false}, {2, 1.1, true, false}, {2, 1.4, true, false}, {2, 1.6, true, true}, {4, 1.4, false, false},
	} {
		found := layersOff(run(t, insetIn(t, c.inset, c.reaches, geom.Motion{})))
		if !c.told {
			require.Empty(t, found, "%+v", c)
			continue
		}
		f := only(t, found, change.LayerOff, c.reaches, 1e-9)
		require.Equal(t, c.mismatch, f.Mismatch, "%+v", c)
		require.Contains(t, f.Says, `it reaches towards the seam`)
		require.Contains(t, f.Do, `move "right" of interfacing in by`)
	}
}

// Drawn elsewhere on the sheet an interfacing with a small inset lies with two of its
// edges on those of its facing as well as inside them: that is no lost inset.
func TestInsetDrawnElsewhere(t *testing.T) {
	for _, to := range []geom.Motion{{Turn: 0.4, Shift: geom.Pt(-900, 300)}, {Turn: 3, Shift: geom.Pt(20, 30)}, {Mirror: true, Turn: 1, Shift: geom.Pt(900, 300)}} {
		for _, inset := range []float64{0.7, 1, 2, 5} {
			require.Empty(t, layersOff(run(t, insetIn(t, inset, 0, to))), "%v", inset)
		}
		f := only(t, layersOff(run(t, insetIn(t, 2, 2, to))), change.LayerOff, 2, 0.01)
		require.True(t, f.Mismatch)
		require.Contains(t, f.Says, "reaches towards the seam")
	}
}
