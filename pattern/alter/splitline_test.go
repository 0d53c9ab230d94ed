package alter

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// princess is an oblong of 400 by 600 mm with a curved reference line from top
// to bottom.
func princess(t *testing.T) *pattern.Pattern {
	p := panel(geom.Pt(0, 0), geom.Pt(400, 0), geom.Pt(400, 600), geom.Pt(0, 600))
	p.Pieces[0].Lines = []pattern.ReferenceLine{{Name: "princess", Path: geom.Path{{P0: geom.Pt(150, 0), P1: geom.Pt(260, 200), P2: geom.Pt(260, 400), P3: geom.Pt(150, 600)}}}}
	return stored(t, p)
}

// Split along a curve: the new seam is that curve on both parts. With controls
// at equal heights y is linear in t, so that the area beside it is the mean of
// the controls' x times the height: (150+260+260+150)/4 · 600 = 123,000 mm².
func TestSplitAlongCurve(t *testing.T) {
	p := princess(t)
	curve := p.Pieces[0].Lines[0].Path
	r := made(t, p, "split", "panel", "line", "princess", "into", "side panel,centre panel").Pattern
	sewn(t, r)
	areas := map[string]float64{"centre panel": 123000, "side panel": 400*600 - 123000}
	for _, q := range r.Pieces {
		require.Empty(t, q.Lines)
		area := ring(q).Area()
		require.InDelta(t, areas[q.Name], area, 0.5, q.Name)
		edge := newSeamOf(t, q)
		if edge.Start().Y > 300 {
			edge = edge.Reverse()
		}
		require.LessOrEqual(t, farthest(curve, edge), 0.001)
		require.Len(t, edge, 1)
	}
	back := made(t, r, "join", "centre panel", "edge", "seam to side panel", "with", "side panel", "at", "seam to centre panel").Pattern
	require.InDelta(t, 240000, ring(back.Pieces[0]).Area(), 0.01)
}

func TestCurvedLineIsNoSlash(t *testing.T) {
	p := princess(t)
	for _, r := range []Recipe{recipe("spread", "panel", "line", "princess", "by", "20"), recipe("shorten", "panel", "edge", "hemline", "by", "20", "inside", "princess")} {
		_, err := Make(p, r)
		require.ErrorContains(t, err, `the reference line "princess" is curved`)
	}
}

// newSeamOf is the edge along which a part was split off.
func newSeamOf(t *testing.T, q *pattern.Piece) geom.Path {
	t.Helper()
	k := slices.IndexFunc(q.Edges, func(e pattern.Edge) bool { return strings.HasPrefix(e.Name, "seam to ") })
	require.GreaterOrEqual(t, k, 0)
	return q.EdgePath(k)
}

// height is how far down the sheet a place on a line lies, as stored.
func height(p geom.Path, at float64) float64 { return rounded(p.PointAt(at)).Y }

// An opening hides in the new seam: from and to count from the beginning of the
// line, its stops are notched in the same place on both parts, and the seam
// leaves it open.
func TestSplitWithOpenings(t *testing.T) {
	for _, line := range []string{"150,0:150,600", "150,600:150,0"} {
		for _, names := range []string{"a,b", "b,a"} {
			p := panel(geom.Pt(0, 0), geom.Pt(400, 0), geom.Pt(400, 600), geom.Pt(0, 600))
			r := made(t, p, "split", "panel", "line", line, "into", names, "opening", "pocket=12cm:30cm; 5cm@end:0cm@end").Pattern
			sewn(t, r)
			s := r.Seams[len(r.Seams)-1]
			require.Len(t, s.Openings, 2)
			q, err := r.Piece(s.First[0].Piece)
			require.NoError(t, err)
			o, err := r.Piece(s.Second[0].Piece)
			require.NoError(t, err)
			y := func(v float64) float64 { // what the line says, on the sheet
				if line[4] == '6' {
					return 600 - v
				}
				return v
			}
			path := newSeamOf(t, q)
			ys := []float64{height(path, s.Openings[0].From), height(path, s.Openings[0].To), height(path, s.Openings[1].From), height(path, s.Openings[1].To)}
			require.ElementsMatch(t, []float64{y(120), y(300), y(550), y(600)}, ys)
			for _, part := range []*pattern.Piece{q, o} {
				var at []float64
				for _, n := range part.Notches {
					_, _, along, err := part.NotchPlace(n)
					require.NoError(t, err)
					at = append(at, height(newSeamOf(t, part), along))
				}
				require.ElementsMatch(t, []float64{y(120), y(300), y(550)}, at)
			}
		}
	}
}

func TestSplitOpeningsRefused(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(400, 0), geom.Pt(400, 600), geom.Pt(0, 600))
	for text, says := range map[string]string{
		"12cm":                 "write FROM:TO",
		"12cm:70cm":            "lies off the edge, which is 600 mm long",
		"12cm:12cm":            "is no opening",
		"1cm:20cm;x=15cm:30cm": `"opening" and "x" overlap`,
		"a/b=1cm:2cm":          "opening",
	} {
		_, err := Make(p, recipe("split", "panel", "line", "150,0:150,600", "into", "a,b", "opening", text))
		require.ErrorContains(t, err, says, text)
	}
}

// An opening may be measured from any edge of the whole piece, whichever part
// keeps its name or has it at all: on a straight split down the grain of an
// oblong the places lie at that height.
func TestOpeningFromAnyEdge(t *testing.T) {
	for _, names := range []string{"a,b", "b,a"} {
		for _, opening := range []string{"120 from waist:200 from waist", "120 from waist:400 from hemline", "480 from hemline:400 from hemline"} {
			r := made(t, princess(t), "split", "panel", "line", "150,0:150,600", "into", names, "opening", opening).Pattern
			o := r.Seams[len(r.Seams)-1].Openings
			require.Len(t, o, 1)
			require.InDelta(t, 80, o[0].To-o[0].From, 0.001, opening)
			edge := edgePathOf(t, pieceOf(t, r, "a"), "seam to b")
			for _, n := range pieceOf(t, r, "a").Notches {
				at, _, _, err := pieceOf(t, r, "a").NotchPlace(n)
				require.NoError(t, err)
				if n.Name != "match" {
					require.Contains(t, []float64{120, 200}, rounded(at).Y, "%s: %s", opening, n.Name)
				}
			}
			require.InDelta(t, 600, edge.Length(), 0.001)
		}
	}
}
