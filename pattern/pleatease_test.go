package pattern

import "testing"

// A chain reaches to a fold only where its part begins or ends at the edge's end there:
// a stretch from within the edge does not, on whichever end of it the fold lies.
func TestFoldAtOnlyWhereTheChainReachesIt(t *testing.T) {
	q := oblong("back", 300, 800)
	q.Cut, q.Edges[3].Fold = CutOnFold, true // left, at the start of top and the end of bottom
	for _, c := range []struct {
		edge      int
		from, to  float64
		backwards bool
		atEnd     bool
		fold      bool
	}{
		{0, 0, 300, false, false, true}, {0, 20, 300, false, false, false}, {0, 0, 280, false, false, true},
		{0, 0, 300, true, true, true}, {0, 20, 300, true, true, false},
		{2, 0, 300, false, true, true}, {2, 0, 280, false, true, false}, {2, 0, 280, true, false, false},
		{0, 0, 300, false, true, false}, {1, 0, 800, false, false, false},
	} {
		w := Walked{Parts: []WalkedPart{{Piece: q, Edge: c.edge, From: c.from, To: c.to, Backwards: c.backwards}}}
		if got := w.foldAt(c.atEnd) != nil; got != c.fold {
			t.Errorf("%+v: reaches the fold %v", c, got)
		}
	}
}
