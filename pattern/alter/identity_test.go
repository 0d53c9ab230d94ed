package alter

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/check"
	"toile/pattern/units"
)

// oblongOf is a piece w by h mm with its upper left corner at (x, y); its edges
// clockwise from the upper one. One named "fold" is a fold.
func oblongOf(name string, x, y, w, h float64, edges ...string) *pattern.Piece {
	q := drawPiece(name, "outer", pattern.CutPair, lineTo(edges[0], x, y, x+w, y), lineTo(edges[1], x+w, y, x+w, y+h), lineTo(edges[2], x+w, y+h, x, y+h), lineTo(edges[3], x, y+h, x, y))
	for i := range q.Edges {
		if q.Edges[i].Name == "fold" {
			q.Edges[i].Fold, q.Edges[i].Allowance, q.Cut = true, nil, pattern.CutOnFold
		}
	}
	return q
}

func patternOf(pieces ...*pattern.Piece) *pattern.Pattern {
	p := pattern.New("oblongs", units.Millimetre)
	for _, q := range pieces {
		q.Slug = p.NewSlug(q.Name)
		p.Put(q)
		p.GiveIDs(q)
	}
	return p
}

func sewAs(t *testing.T, p *pattern.Pattern, name, a, b string, sameWay bool) {
	t.Helper()
	first, err := p.ParseChain(a)
	require.NoError(t, err)
	second, err := p.ParseChain(b)
	require.NoError(t, err)
	p.Seams = append(p.Seams, pattern.Seam{Name: name, First: first, Second: second, SameWay: sameWay})
}

// laySays lists what check says of layers, which the tests here want silent.
func laySays(t *testing.T, p *pattern.Pattern) (says []string) {
	t.Helper()
	found, err := check.Run(p, check.Options{})
	require.NoError(t, err)
	for _, f := range found.Findings {
		if f.Mismatch || strings.Contains(f.Says, "declared") {
			says = append(says, f.Where+": "+f.Says)
		}
	}
	return says
}

// linedFront is a front with a facing and a lining whose hem is 20 mm shorter.
func linedFront(t *testing.T) *pattern.Pattern {
	p := stored(t, patternOf(oblongOf("front", 0, 0, 300, 600, "shoulder", "front edge", "hemline", "side seam")))
	p = stored(t, made(t, p, "facing", "front", "edges", "front edge", "width", "70", "as", "facing").Pattern)
	return stored(t, made(t, p, "lining", "front", "facing", "facing", "as", "lining", "differs", "shorter hem@hemline=-20").Pattern)
}

// Split and joined, a lining has its shorter hem once, so that a hem carried to
// it lies 20 mm shorter than the outer's.
func TestJoinDeclaresOnce(t *testing.T) {
	p := linedFront(t)
	want := p.Layers
	split := stored(t, made(t, p, "split", "lining", "line", "shoulder@100:hemline@60", "into", "lining,side lining").Pattern)
	require.Len(t, split.Layers[0].Differences, 2)
	require.Empty(t, laySays(t, split))
	joined := stored(t, made(t, split, "join", "lining", "edge", "seam to side lining", "with", "side lining", "at", "seam to lining").Pattern)
	require.Equal(t, want, joined.Layers)
	require.Empty(t, laySays(t, joined))

	longer := made(t, joined, "let-out", "front", "edge", "hemline", "by", "10").Pattern
	l := Lacking{Follower: Follower{Why: Layered, Piece: "lining"}, Before: joined}
	r, err := Carry(longer, recipe("carry", "front", "edge", "hemline", "to", "lining"), []Lacking{l})
	require.NoError(t, err)
	require.Equal(t, 590.0, edgePathOf(t, pieceOf(t, r.Pattern, "lining"), "hemline").Box().Max.Y)

	other := split.Clone()
	for k := range other.Layers[0].Differences {
		if d := &other.Layers[0].Differences[k]; d.Piece == "side lining" {
			d.By = -30
		}
	}
	res := made(t, other, "join", "lining", "edge", "seam to side lining", "with", "side lining", "at", "seam to lining")
	require.Equal(t, want, res.Pattern.Layers)
	require.Contains(t, strings.Join(res.Says, "\n"), "the whole keeps the first")
}

// The right lining has the shorter hem too.
func TestSeparateDeclaresOfBoth(t *testing.T) {
	p := stored(t, made(t, linedFront(t), "separate", "lining", "drawn", "left").Pattern)
	require.Empty(t, laySays(t, p))
	require.Equal(t, []pattern.Difference{{What: "shorter hem", By: -20, Piece: "left lining", Edge: "hemline"}, {What: "shorter hem", By: -20, Piece: "right lining", Edge: "hemline"}}, p.Layers[0].Differences)
}

// A seam and what is declared at an edge stay with the part that has the edge,
// though the other part's new edge is called like it.
func TestSplitKeepsSeamsOfEdgesNamedAlike(t *testing.T) {
	p := patternOf(oblongOf("body", 0, 0, 300, 600, "top", "seam to side", "hemline", "left"), oblongOf("other", 400, 0, 200, 600, "top", "right", "hemline", "join"),
		oblongOf("lining", 0, 0, 290, 600, "top", "seam to side", "hemline", "left"))
	sewAs(t, p, "panel", "body/seam to side", "other/join", false)
	p.Layers = []pattern.Layer{{Outer: "body", Inner: []string{"lining"}, Differences: []pattern.Difference{{What: "narrower", By: -10, Piece: "lining", Edge: "seam to side"}}}}
	r := stored(t, made(t, stored(t, p), "split", "body", "line", "top@200:hemline@100", "into", "body,side").Pattern)
	require.Equal(t, pattern.Chain{{Piece: "side", Edge: "seam to side"}}, r.Seams[0].First)
	for _, l := range r.Layers {
		require.Equal(t, l.Outer == "side", len(l.Differences) == 1, "%s: %v", l.Outer, l.Differences)
	}
	require.Len(t, r.Layers, 2)
}

// Edges of which one is sewn to a third piece too are not joined, whether or not
// the whole has another edge of that name.
func TestJoinRefusesEdgesSewnElsewhere(t *testing.T) {
	for _, far := range []string{"side seam", "other side"} {
		p := patternOf(oblongOf("back", 0, 0, 300, 600, "waist", "cb", "hemline", far), oblongOf("front", 400, 0, 200, 600, "waist", "cf", "hemline", "side seam"),
			oblongOf("strip", 700, 0, 40, 600, "upper", "outer", "lower", "inner"))
		sewAs(t, p, "side seam", "back/cb", "front/side seam", false)
		sewAs(t, p, "strip", "front/side seam", "strip/outer", true)
		p = stored(t, p)
		_, err := Make(p, recipe("join", "back", "edge", "cb", "with", "front", "at", "side seam"))
		require.ErrorContains(t, err, `front, "side seam" is sewn in the seam "strip" too`)
		require.ErrorContains(t, err, "`toile seam \"strip\" A/EDGE C/EDGE`")

		p.Seams = p.Seams[:1]
		r := stored(t, made(t, p, "join", "back", "edge", "cb", "with", "front", "at", "side seam").Pattern)
		require.Empty(t, r.Seams)
	}
}

// What lies on the strap that is cut moves, and nothing of the other strap,
// though the cut, run on, would go through that too.
func TestSpreadMovesWhatLiesOnThePart(t *testing.T) {
	q := drawPiece("body", "outer", pattern.CutOne, lineTo("left top", 0, 0, 60, 0), lineTo("left neck", 60, 0, 60, 200), lineTo("neck", 60, 200, 240, 200), lineTo("right neck", 240, 200, 240, 0),
		lineTo("right top", 240, 0, 300, 0), lineTo("right side", 300, 0, 300, 500), lineTo("hem", 300, 500, 0, 500), lineTo("left side", 0, 500, 0, 0))
	q.Marks = []pattern.Mark{{Kind: pattern.MarkDot, Name: "left dot", At: geom.Pt(30, 30)}, {Kind: pattern.MarkDot, Name: "right dot", At: geom.Pt(270, 30)},
		{Kind: pattern.MarkPlacement, Name: "left label", Path: geom.Polyline(geom.Pt(10, 60), geom.Pt(50, 60))}}
	q.Lines = []pattern.ReferenceLine{{Name: "left level", Path: geom.Polyline(geom.Pt(0, 80), geom.Pt(60, 80))}}
	q.Grain = &pattern.Grain{From: geom.Pt(30, 20), To: geom.Pt(30, 90)}
	p := stored(t, patternOf(q))
	for kind, by := range map[string]float64{"spread": -20, "close": 20} {
		for _, stays := range []string{"hem", ""} { // the grain lies on the left strap, so that part stays
			values := []string{"line", "right neck@100:right side@100", "by", "20"}
			if stays != "" {
				values = append(values, "stays", stays)
			}
			b := made(t, p, kind, "body", values...).Pattern.Pieces[0]
			require.Equal(t, geom.Pt(30, 30), b.Marks[0].At)
			require.Equal(t, geom.Pt(270, 30+by), b.Marks[1].At)
			require.Equal(t, q.Marks[2].Path, b.Marks[2].Path)
			require.Equal(t, q.Lines[0].Path, b.Lines[0].Path)
			require.Equal(t, *q.Grain, *b.Grain)
			require.Equal(t, geom.Pt(300, by), b.Corners[5].At)
			require.Equal(t, geom.Pt(0, 0), b.Corners[0].At)
		}
		// Of two lines the second stays where it is drawn, on the strap that stays.
		b := made(t, p, kind, "body", "line", "220,100:310,100;-10,100:70,100", "by", "20", "stays", "hem").Pattern.Pieces[0]
		require.Equal(t, geom.Pt(0, by), b.Corners[0].At)
		require.Equal(t, geom.Pt(300, by), b.Corners[5].At)
	}
}
