package alter

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

func twoOblongs(cut, otherCut pattern.Cut, cloth, otherCloth string) *pattern.Pattern {
	p := pattern.New("two", units.Millimetre)
	for _, c := range []struct {
		name, cloth string
		cut         pattern.Cut
		x           float64
	}{{"a", cloth, cut, 0}, {"b", otherCloth, otherCut, 500}} {
		q := drawPiece(c.name, c.cloth, c.cut, lineTo("top", c.x, 0, c.x+100, 0), lineTo("right", c.x+100, 0, c.x+100, 300), lineTo("bottom", c.x+100, 300, c.x, 300), lineTo("left", c.x, 300, c.x, 0))
		q.Slug = p.NewSlug(q.Name)
		p.Put(q)
		p.GiveIDs(q)
	}
	return p
}

// Pieces that are cut otherwise, or from other cloth, are joined only when it
// is said what the whole is.
func TestJoinAsks(t *testing.T) {
	join := []string{"edge", "right", "with", "b", "at", "left"}
	for _, c := range []struct {
		cut, other        pattern.Cut
		cloth, otherCloth string
		says              string
	}{
		{pattern.CutPair, pattern.CutOne, "outer", "outer", "say with --cut"},
		{pattern.CutPair, pattern.CutPair, "outer", "lining", "say with --cloth"},
		{pattern.CutOnFold, pattern.CutOnFold, "outer", "outer", "both cut on the fold"},
	} {
		p := twoOblongs(c.cut, c.other, c.cloth, c.otherCloth)
		_, err := Make(p, recipe("join", "a", join...))
		require.ErrorContains(t, err, c.says)
		q := made(t, p, "join", "a", append([]string{"cut", "one", "cloth", "lining"}, join...)...).Pattern.Pieces[0]
		require.Equal(t, pattern.CutOne, q.Cut)
		require.Equal(t, "lining", q.Cloth)
	}
	q := made(t, twoOblongs(pattern.CutPair, pattern.CutPair, "outer", "outer"), "join", "a", join...).Pattern.Pieces[0]
	require.Equal(t, pattern.CutPair, q.Cut)
}

// --lay only marks the line on both.
func TestJoinOnlyLaid(t *testing.T) {
	p := twoOblongs(pattern.CutPair, pattern.CutPair, "outer", "outer")
	r := made(t, p, "join", "a", "edge", "right", "with", "b", "at", "left", "lay", "true").Pattern
	sewn(t, r)
	require.Equal(t, []string{"a", "b"}, r.PieceNames())
	require.Equal(t, geom.Path{geom.Line(geom.Pt(100, 0), geom.Pt(100, 300))}, pieceOf(t, r, "a").Marks[0].Path)
	require.Equal(t, "laid to a", pieceOf(t, r, "b").Marks[0].Name)
	for k := range p.Pieces {
		require.Equal(t, p.Pieces[k].Edges, r.Pieces[k].Edges)
	}
}

// Split and joined, a curve that was cut is one cubic again, with its handles
// to the stored digits, and every edge has its id and is from nothing else.
func TestJoinMakesOneCurveAgain(t *testing.T) {
	p := stored(t, build([]string{"waist", "side seam", "hemline", "centre"},
		geom.Polyline(geom.Pt(0, 0), geom.Pt(300, 0)), geom.Polyline(geom.Pt(300, 0), geom.Pt(320, 700)),
		geom.Path{{P0: geom.Pt(320, 700), P1: geom.Pt(210, 740), P2: geom.Pt(90, 735), P3: geom.Pt(0, 720)}}, geom.Polyline(geom.Pt(0, 720), geom.Pt(0, 0))))
	q := p.Pieces[0]
	for _, line := range []string{"60,-50:70,900", "150,-50:170,900", "260,-50:255,900"} {
		r := stored(t, made(t, p, "split", "panel", "line", line, "into", "panel,side panel").Pattern)
		back := stored(t, made(t, r, "join", "panel", "edge", "seam to side panel", "with", "side panel", "at", "seam to panel").Pattern).Pieces[0]
		require.Len(t, back.Edges, 4)
		for i := range q.Edges {
			k, err := back.EdgeIndex(q.Edges[i].Name)
			require.NoError(t, err)
			require.Len(t, back.Edges[k].Nodes, len(q.Edges[i].Nodes), q.Edges[i].Name)
			require.LessOrEqual(t, farthest(q.EdgePath(i), back.EdgePath(k)), 0.005)
			require.Equal(t, q.Edges[i].ID, back.Edges[k].ID)
			require.Empty(t, back.Edges[k].Was)
		}
	}
}

// Both lower corners of a piece drawn whole are rounded together, and the front
// corners of both sides.
func TestRoundMirrored(t *testing.T) {
	p := build([]string{"waist", "right side", "hemline", "left side"}, geom.Polyline(geom.Pt(20, 0), geom.Pt(280, 0)), geom.Polyline(geom.Pt(280, 0), geom.Pt(300, 500)),
		geom.Polyline(geom.Pt(300, 500), geom.Pt(0, 500)), geom.Polyline(geom.Pt(0, 500), geom.Pt(20, 0)))
	r := made(t, p, "round-corner", "panel", "corner", "right side/hemline", "radius", "40", "mirrored", "true").Pattern
	require.Equal(t, []float64{0, 0, 40, 40}, rounds(r.Pieces[0]))
	r = made(t, r, "restore-corner", "panel", "corner", "hemline/left side", "mirrored", "true").Pattern
	require.Equal(t, []float64{0, 0, 0, 0}, rounds(r.Pieces[0]))

	two := smallSmock(t)
	separate := made(t, two, "separate", "front", "drawn", "left").Pattern
	first, second := "left front", "right front"
	r = made(t, separate, "round-corner", first, "corner", "front edge/hemline", "radius", "30", "mirrored", "true", "with", second).Pattern
	for _, name := range []string{first, second} {
		q := pieceOf(t, r, name)
		for k := range q.Corners {
			want := 0.0
			if n := q.CornerName(k); n == "front edge/hemline" || n == "hemline/front edge" {
				want = 30
			}
			require.Equal(t, want, q.Corners[k].Round, "%s %s", name, q.CornerName(k))
		}
	}
}

func rounds(q *pattern.Piece) (out []float64) {
	for _, c := range q.Corners {
		out = append(out, c.Round)
	}
	return out
}

// Whichever half of an edge is the longer, the part that stays keeps its id, and
// so has it when both are joined again. Input of a mended bug: cut in half, an
// edge came back under the other half's id.
func TestSplitKeepsEdgeIDs(t *testing.T) {
	p := stored(t, patternOf(oblongOf("panel", 0, 0, 400, 600, "waist", "side seam", "hemline", "centre")))
	for _, line := range []string{"waist@80:hemline@320", "waist@200:hemline@200", "waist@320:hemline@80", "centre@200:side seam@400", "centre@400:side seam@200"} {
		for _, grain := range [][2]geom.Point{{geom.Pt(20, 20), geom.Pt(20, 60)}, {geom.Pt(380, 540), geom.Pt(380, 580)}} {
			q := p.Clone()
			q.Pieces[0].Grain = &pattern.Grain{From: grain[0], To: grain[1]}
			r := stored(t, made(t, stored(t, q), "split", "panel", "line", line, "into", "one,two").Pattern)
			main := r.Pieces[slices.IndexFunc(r.Pieces, func(o *pattern.Piece) bool { return o.ID == q.Pieces[0].ID })]
			other := r.Pieces[1-slices.Index(r.Pieces, main)]
			for _, e := range q.Pieces[0].Edges {
				k := main.EdgeByID(e.ID)
				if _, err := main.EdgeIndex(e.Name); err == nil {
					require.GreaterOrEqual(t, k, 0, "%s, split along %s", e.Name, line)
				}
			}
			back := made(t, r, "join", main.Name, "edge", "seam to "+other.Name, "with", other.Name, "at", "seam to "+main.Name).Pattern.Pieces[0]
			for _, e := range q.Pieces[0].Edges {
				k, err := back.EdgeIndex(e.Name)
				require.NoError(t, err)
				require.Equal(t, e.ID, back.Edges[k].ID, "%s, split along %s", e.Name, line)
			}
		}
	}
}
