package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
)

// Wherever the seam between two parts of a piece is moved to, both its sides end at the
// lines that run through both: joined again the parts make the outline that was split.
// Input of a mended bug: a curved neckline ran on by its bend on one side of the seam and
// was cut on the other, 0.1 mm apart, so that the parts could not be joined any more.
func TestShiftedSeamEndsOnOneLine(t *testing.T) {
	p := stored(t, build([]string{"back seam", "armhole", "shoulder", "neckline", "centre"},
		geom.Polyline(geom.Pt(200, 125), geom.Pt(0, 120)), geom.Path{{P0: geom.Pt(0, 120), P1: geom.Pt(15, 90), P2: geom.Pt(20, 50), P3: geom.Pt(12, 15)}},
		geom.Polyline(geom.Pt(12, 15), geom.Pt(120, -20)),
		geom.Path{{P0: geom.Pt(120, -20), P1: geom.Pt(130, 0), P2: geom.Pt(160, 12), P3: geom.Pt(200, 12)}}, geom.Polyline(geom.Pt(200, 12), geom.Pt(200, 125))))
	q := p.Pieces[0]
	split := stored(t, made(t, p, "split", "panel", "line", "back seam@10cm:neckline@4cm", "into", "c,s").Pattern)
	for _, c := range [][]string{{"by", "1cm"}, {"by", "-1cm"}, {"by", "1.4cm"}, {"by", "-1.7cm"}, {"by", "0.7cm", "to", "end"}, {"by", "-0.7cm", "to", "start"}} {
		r := split
		for range 2 { // what one took is taken back along the other's line
			r = stored(t, made(t, r, "shift-seam", "c", append([]string{"edge", "seam to s"}, c...)...).Pattern)
		}
		back := stored(t, made(t, r, "join", "c", "edge", "seam to s", "with", "s", "at", "seam to c").Pattern).Pieces[0]
		require.Len(t, back.Edges, len(q.Edges), "%v", c)
		for i := range q.Edges {
			k, err := back.EdgeIndex(q.Edges[i].Name)
			require.NoError(t, err, "%v", c)
			require.LessOrEqual(t, farthest(q.EdgePath(i), back.EdgePath(k)), 0.02, "%v: %s", c, q.Edges[i].Name)
		}
	}
}
