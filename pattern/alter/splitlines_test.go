package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// A curved reference line and a straight placement line that a split crosses: the
// halves lie on the old lines exactly and add up to them, and joining makes the
// curves one again, as they were.
func TestSplitCutsDrawnLines(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 600), geom.Pt(0, 600))
	curve := geom.Path{{P0: geom.Pt(40, 100), P1: geom.Pt(120, 160), P2: geom.Pt(200, 60), P3: geom.Pt(280, 120)}}
	q := p.Pieces[0]
	q.Lines = []pattern.ReferenceLine{{Name: "yoke level", Path: curve}}
	q.Marks = []pattern.Mark{{Kind: pattern.MarkPlacement, Name: "pocket", Path: geom.Polyline(geom.Pt(60, 300), geom.Pt(220, 300))}}
	halves := made(t, p, "split", "panel", "line", "150,0:150,600", "into", "left,right").Pattern
	sum, pocket := 0.0, 0.0
	for _, name := range []string{"left", "right"} {
		part := pieceOf(t, halves, name)
		require.Len(t, part.Lines, 1)
		require.Len(t, part.Marks, 1)
		half := part.Lines[0].Path
		sum, pocket = sum+half.Length(), pocket+part.Marks[0].Path.Length()
		require.Len(t, half, 1, "a part of one cubic is one cubic")
		for k := range 9 {
			_, off := curve.Nearest(half.PointAt(half.Length() * float64(k) / 8))
			require.InDelta(t, 0, off, 1e-3)
		}
	}
	require.InDelta(t, curve.Length(), sum, 2e-3)
	require.InDelta(t, 160, pocket, 1e-9)
	seam := func(name, of string) string { return name + " to " + of }
	whole := pieceOf(t, made(t, halves, "join", "left", "edge", seam("seam", "right"), "with", "right", "at", seam("seam", "left"), "name", "panel").Pattern, "panel")
	require.Len(t, whole.Lines, 1)
	require.Len(t, whole.Marks, 1)
	require.Len(t, whole.Marks[0].Path, 1)
	require.InDelta(t, 160, whole.Marks[0].Path.Length(), 1e-9)
	require.Len(t, whole.Lines[0].Path, 1)
	for k := range 9 {
		s := float64(k) / 8
		require.InDelta(t, 0, whole.Lines[0].Path.At(geom.Place{T: s}).Dist(curve.At(geom.Place{T: s})), 0.01)
	}
}
