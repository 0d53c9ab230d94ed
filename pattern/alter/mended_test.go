package alter

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// skirted is a front and a back skirt on the fold, 180 mm wide, and a waistband of
// both, on the fold too.
func skirted(t *testing.T) *pattern.Pattern {
	p := pattern.New("skirt", units.Millimetre)
	for _, q := range []*pattern.Piece{
		drawPiece("front", "outer", pattern.CutOnFold, lineTo("waist", 0, 0, 180, 0), lineTo("side seam", 180, 0, 220, 600), lineTo("hemline", 220, 600, 0, 600), lineTo("centre", 0, 600, 0, 0)),
		drawPiece("back", "outer", pattern.CutOnFold, lineTo("waist", 620, 0, 800, 0), lineTo("centre", 800, 0, 800, 600), lineTo("hemline", 800, 600, 580, 600), lineTo("side seam", 580, 600, 620, 0)),
		drawPiece("band", "outer", pattern.CutOnFold, lineTo("upper", 0, 700, 360, 700), lineTo("end", 360, 700, 360, 740), lineTo("lower", 360, 740, 0, 740), lineTo("centre", 0, 740, 0, 700)),
	} {
		i, err := q.EdgeIndex("centre")
		require.NoError(t, err)
		q.Edges[i].Fold, q.Edges[i].Allowance = true, nil
		q.Slug = p.NewSlug(q.Name)
		p.Put(q)
		p.GiveIDs(q)
	}
	chain := func(text string) pattern.Chain {
		c, err := p.ParseChain(text)
		require.NoError(t, err)
		return c
	}
	p.Seams = []pattern.Seam{{Name: "side", First: chain("front/side seam"), Second: chain("back/side seam")},
		{Name: "waist", First: chain("front/waist+back/waist"), Second: chain("band/lower")}}
	sewn(t, p)
	return p
}

// Pieces on the fold that are sewn to each other are unfolded half to half, in any
// order: two side seams and two waist seams, each edge in one of each, all fitting.
func TestUnfoldedPiecesAreSewnHalfToHalf(t *testing.T) {
	for _, order := range [][]string{{"back", "front", "band"}, {"band", "front", "back"}, {"front", "band", "back"}} {
		p := skirted(t)
		for _, name := range order {
			p = made(t, p, "unfold", name).Pattern
		}
		sewn(t, p)
		require.Len(t, p.Seams, 4, "%v", order)
		sides := map[string]int{}
		for i := range p.Seams {
			require.InDelta(t, 0, misfit(p, &p.Seams[i]), 1e-6)
			for _, st := range append(append(pattern.Chain{}, p.Seams[i].First...), p.Seams[i].Second...) {
				if strings.Contains(st.Edge, "side seam") {
					sides[st.Piece+"/"+st.Edge]++
				}
			}
		}
		require.Equal(t, map[string]int{"front/side seam": 1, "front/other side seam": 1, "back/side seam": 1, "back/other side seam": 1}, sides, "%v", order)
	}
}

// On a piece cut on the fold the grain keeps its direction to the fold when a slash
// opens the part on which it is drawn.
func TestGrainStaysWithTheFold(t *testing.T) {
	p := skirted(t)
	pieceOf(t, p, "front").Grain = &pattern.Grain{From: geom.Pt(150, 100), To: geom.Pt(150, 500)}
	for _, by := range []string{"20", "40"} {
		g := pieceOf(t, made(t, p, "spread", "front", "line", "waist@40:hemline@200", "by", by, "hinge", "waist").Pattern, "front").Grain
		require.InDelta(t, 0, g.To.X-g.From.X, 0.002)
		require.InDelta(t, 400, g.To.Y-g.From.Y, 0.002)
		require.InDelta(t, 150, g.From.X, 0.002, "as far from the fold as before")
	}
}

// A slash does not run into the mouth of a dart or the intake of a pleat.
func TestSlashesKeepOutOfMouths(t *testing.T) {
	for _, kind := range []pattern.MarkKind{pattern.MarkDart, pattern.MarkPleat} {
		p := skirted(t)
		pieceOf(t, p, "front").Marks = []pattern.Mark{{Kind: kind, Name: "in", Edge: "waist", From: 80, To: 100, At: geom.Pt(90, 120), Direction: "start"}}
		for _, alter := range []string{"spread", "close"} {
			_, err := Make(p, recipe(alter, "front", "line", "waist@90:hemline@100", "by", "20", "hinge", "hemline"))
			require.ErrorContains(t, err, `the line runs into the mouth of the `+string(kind)+` "in", which takes 80 mm to 100 mm`)
			made(t, p, alter, "front", "line", "waist@60:hemline@100", "by", "5", "hinge", "hemline")
		}
	}
}

// Where the edges beside a seam run on at different angles it does not fit after it
// was shifted, which is said; where they do not, nothing is.
func TestShiftedSeamThatNoLongerFits(t *testing.T) {
	p := skirted(t)
	require.NotContains(t, strings.Join(made(t, p, "shift-seam", "front", "edge", "side seam", "by", "10").Says, "\n"), "no longer fits")
	q := pieceOf(t, p, "front")
	q.Corners[0].At = geom.Pt(0, 60) // a waist that rises to the side
	q.Edges[0].SetPath(geom.Path{geom.Line(geom.Pt(0, 60), geom.Pt(180, 0))})
	q.Edges[3].SetPath(geom.Path{geom.Line(geom.Pt(0, 600), geom.Pt(0, 60))})
	require.Contains(t, strings.Join(made(t, p, "shift-seam", "front", "edge", "side seam", "by", "10").Says, "\n"), `seam "side" no longer fits by`)
}

// Marks and lines of one name on both pieces are both there when they are joined.
func TestJoinKeepsMarksOfOneName(t *testing.T) {
	p := made(t, smallSmock(t), "split", "front", "line", "shoulder@60:hemline@120", "into", "front,side").Pattern
	p = made(t, p, "flare", "front", "edge", "seam to side", "by", "20").Pattern
	p = made(t, p, "flare", "side", "edge", "seam to front", "by", "20").Pattern
	res := made(t, p, "join", "front", "edge", "seam to side", "with", "side", "at", "seam to front")
	var names []string
	for _, k := range pieceOf(t, res.Pattern, "front").Marks {
		names = append(names, k.Name)
	}
	require.Contains(t, names, "pocket top")
	require.Contains(t, names, "pocket top 2")
	require.Contains(t, res.Says, `"pocket top" of side is called "pocket top 2" now, as front has one of that name`)
}
