package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// splitFront is an oblong front of 300 by 700 mm with a facing of 70 and a lining,
// split down the middle afterwards: the lining lies across both halves.
func splitFront(t *testing.T) *worktable {
	front := drawn("front", pattern.CutPair, []string{"shoulder", "side seam", "hemline", "front edge"},
		geom.Polyline(geom.Pt(0, 0), geom.Pt(300, 0)), geom.Polyline(geom.Pt(300, 0), geom.Pt(300, 700)),
		geom.Polyline(geom.Pt(300, 700), geom.Pt(0, 700)), geom.Polyline(geom.Pt(0, 700), geom.Pt(0, 0)))
	p := pattern.New("split", units.Millimetre)
	p.Put(front)
	w := lay(t, p)
	w.do("alter", "facing", "front", "front edge", "70", "--as", "facing")
	w.do("alter", "lining", "front", "--facing", "facing", "--as", "lining")
	w.do("alter", "split", "front", "--line", "shoulder@150:hemline@150", "--into", "front,side front")
	w.do("commit", "split")
	require.Contains(t, w.do("check"), "nothing found")
	return w
}

// The hem of one half is redrawn: the lining gets that line over that half, and
// keeps the other half's to the digit.
func TestCarryAShapeAcrossSplitOuters(t *testing.T) {
	w := splitFront(t)
	curve := geom.Path{{P0: geom.Pt(300, 700), P1: geom.Pt(250, 718), P2: geom.Pt(200, 700), P3: geom.Pt(150, 700)}}
	w.do("alter", "redraw", "front", "hemline", "--path", "M300 700 C250 718 200 700 150 700")
	out := w.do("alter", "carry", "front", "hemline")
	require.Contains(t, out, "lining: altered")
	require.NotContains(t, out, "facing: altered")
	require.NotContains(t, w.do("check"), "lining, \"hemline\": laid")
	q, err := w.pattern().Piece("lining")
	require.NoError(t, err)
	i, err := q.EdgeIndex("hemline")
	require.NoError(t, err)
	hem := q.EdgePath(i)
	require.Len(t, hem, 2)
	for k := range 65 {
		at := hem.PointAt(hem.Length() * float64(k) / 64)
		if at.X < 150 {
			require.InDelta(t, 700, at.Y, 1e-9, "x %g", at.X)
			continue
		}
		_, off := curve.Nearest(at)
		require.Less(t, off, 0.01, "x %g", at.X)
	}
	require.Equal(t, geom.Pt(70, 700), hem.End())
	require.Equal(t, geom.Pt(300, 700), hem.Start())
}

// A hem taken up on one half alone would leave a step in the lining's: it is
// refused until the other half has it too, and the pattern is as it was.
func TestCarryAHemAcrossSplitOuters(t *testing.T) {
	w := splitFront(t)
	w.do("alter", "shorten", "front", "hemline", "20")
	before := w.files()
	out, code := w.try("alter", "carry", "front", "hemline")
	require.Equal(t, exitRefused, code)
	require.Contains(t, out, `"hemline" and "hemline" stand 20 mm apart where these are sewn to each other; make the same on both first`)
	require.Equal(t, before, w.files())
	w.do("alter", "carry", "front", "seam to side front")
	w.do("alter", "carry", "front", "hemline")
	w.do("alter", "carry", "side front", "hemline", "--to", "facing")
	for _, name := range []string{"lining", "facing"} {
		q, err := w.pattern().Piece(name)
		require.NoError(t, err)
		ring, _ := q.SharpRing()
		require.Equal(t, 680.0, ring.Box().Max.Y, name)
	}
	require.Contains(t, w.do("check"), "nothing found")
}

// What is let in between both halves is no shape of an edge that the lining could
// be given: the refusal says how to make it on the lining.
func TestCarryWhatWasLetInBetweenOuters(t *testing.T) {
	for _, alter := range [][]string{
		{"flare", "front", "seam to side front", "30", "--from", "200", "--both"},
		{"flare", "front", "seam to side front", "30", "--both"},
		{"let-out", "front", "seam to side front", "10", "--both"},
	} {
		w := splitFront(t)
		w.do(append([]string{"alter"}, alter...)...)
		before := w.files()
		for _, piece := range []string{"front", "side front"} {
			out, code := w.try("alter", "carry", piece, "hemline", "--to", "lining")
			require.Equal(t, exitRefused, code, out)
			require.Equal(t, before, w.files())
			if alter[0] == "flare" {
				require.Contains(t, out, "make that on lining with `toile alter spread` or `close`")
			} else { // its hem is in line still, and lies on both
				require.Contains(t, out, "there is nothing to carry")
			}
		}
	}
}
