package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// edgeDrawn is one edge of a piece under way.
type edgeDrawn struct {
	name string
	path geom.Path
}

func lineTo(name string, x0, y0, x1, y1 float64) edgeDrawn {
	return edgeDrawn{name, geom.Polyline(geom.Pt(x0, y0), geom.Pt(x1, y1))}
}

func curveTo(name string, v ...float64) edgeDrawn {
	return edgeDrawn{name, geom.Path{{P0: geom.Pt(v[0], v[1]), P1: geom.Pt(v[2], v[3]), P2: geom.Pt(v[4], v[5]), P3: geom.Pt(v[6], v[7])}}}
}

func drawPiece(name, cloth string, cut pattern.Cut, edges ...edgeDrawn) *pattern.Piece {
	q := &pattern.Piece{Name: name, Cloth: cloth, Cut: cut}
	for _, d := range edges {
		q.Corners = append(q.Corners, pattern.Corner{At: d.path.Start()})
		e := pattern.Edge{Name: d.name, Allowance: map[string]float64{pattern.ClothSet: 10, pattern.ToileSet: 20}}
		if d.name == "centre back" {
			e.Fold, e.Allowance = true, nil
		}
		e.SetPath(d.path)
		q.Edges = append(q.Edges, e)
	}
	return q
}

// smallSmock is a pattern of a back on the fold, a front that is a pair, its
// facing, and a pocket, in mm; side seams, shoulders and the facing are sewn.
// The armholes end straight, so that what is cut off them can be run on again.
func smallSmock(t testing.TB) *pattern.Pattern {
	t.Helper()
	back := drawPiece("back", "outer", pattern.CutOnFold,
		curveTo("neckline", 0, 20, 30, 20, 60, 18, 70, 0), lineTo("shoulder", 70, 0, 190, 40),
		edgeDrawn{"armhole", geom.Path{{P0: geom.Pt(190, 40), P1: geom.Pt(170, 110), P2: geom.Pt(166, 197), P3: geom.Pt(190, 215)}, geom.Line(geom.Pt(190, 215), geom.Pt(210, 230))}}, lineTo("side seam", 210, 230, 250, 700),
		lineTo("hemline", 250, 700, 0, 700), lineTo("centre back", 0, 700, 0, 20))
	front := drawPiece("front", "outer", pattern.CutPair,
		lineTo("shoulder", 50, 40, 170, 0), curveTo("neckline", 170, 0, 180, 70, 220, 90, 250, 90),
		lineTo("front edge", 250, 90, 250, 700), lineTo("hemline", 250, 700, 0, 700),
		lineTo("side seam", 0, 700, 40, 230), edgeDrawn{"armhole", geom.Path{geom.Line(geom.Pt(40, 230), geom.Pt(65, 215)), {P0: geom.Pt(65, 215), P1: geom.Pt(90, 200), P2: geom.Pt(80, 110), P3: geom.Pt(50, 40)}}})
	facing := drawPiece("front facing", "facing cloth", pattern.CutPair,
		curveTo("neckline", 170, 0, 180, 70, 220, 90, 250, 90), lineTo("front edge", 250, 90, 250, 700),
		lineTo("hemline", 250, 700, 190, 700), lineTo("inner edge", 190, 700, 120, 17), lineTo("shoulder", 120, 17, 170, 0))
	pocket := drawPiece("pocket", "outer", pattern.CutPair,
		lineTo("opening", 0, 0, 160, 0), lineTo("side edge", 160, 0, 160, 190),
		lineTo("lower edge", 160, 190, 0, 190), lineTo("inner edge", 0, 190, 0, 0))
	back.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 240, Count: 2}, {Name: "nape", Edge: "neckline", At: 40, Count: 1}}
	front.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 240, FromEnd: true, Count: 1}}
	front.Marks = []pattern.Mark{{Kind: pattern.MarkButton, Name: "button", At: geom.Pt(235, 110), Size: 20},
		{Kind: pattern.MarkPlacement, Name: "pocket top", Path: geom.Polyline(geom.Pt(60, 430), geom.Pt(220, 430))}}
	front.Lines = []pattern.ReferenceLine{{Name: "centre front", Path: geom.Polyline(geom.Pt(235, 90), geom.Pt(235, 700))}}
	front.Grain = &pattern.Grain{From: geom.Pt(150, 200), To: geom.Pt(150, 600)}
	p := pattern.New("small smock", units.Millimetre)
	for _, q := range []*pattern.Piece{back, front, facing, pocket} {
		q.Slug = p.NewSlug(q.Name)
		p.Put(q)
		p.GiveIDs(q)
	}
	sew := func(name, a, b string, sameWay bool, sections ...pattern.Section) {
		first, err := p.ParseChain(a)
		require.NoError(t, err)
		second, err := p.ParseChain(b)
		require.NoError(t, err)
		p.Seams = append(p.Seams, pattern.Seam{Name: name, First: first, Second: second, SameWay: sameWay, Sections: sections})
	}
	hip := func(piece string) pattern.NotchRef { return pattern.NotchRef{Piece: piece, Notch: "hip"} }
	sew("side seam", "back/side seam", "front/side seam", false, pattern.Section{First: hip("back"), Second: hip("front")}, pattern.Section{})
	sew("shoulder", "back/shoulder", "front/shoulder", false)
	sew("facing", "front/front edge", "front facing/front edge", true)
	p.Layers = []pattern.Layer{{Outer: "front", Inner: []string{"front facing"}}}
	sewn(t, p)
	return p
}

// sewn requires pieces and seams to be in order, and that the files can be
// read again.
func sewn(t testing.TB, p *pattern.Pattern) {
	t.Helper()
	for _, q := range p.Pieces {
		require.NoError(t, q.Validate())
	}
	for i := range p.Seams {
		require.NoError(t, p.ValidateSeam(&p.Seams[i]))
	}
	files, err := p.Encode()
	require.NoError(t, err)
	_, err = pattern.Decode(files)
	require.NoError(t, err)
}

// recipe makes a recipe; keys and values come in pairs.
func recipe(kind, piece string, values ...string) Recipe {
	r := Recipe{Kind: kind, Piece: piece, Values: map[string]string{}}
	for i := 0; i < len(values); i += 2 {
		r.Values[values[i]] = values[i+1]
	}
	return r
}

func made(t testing.TB, p *pattern.Pattern, kind, piece string, values ...string) Result {
	t.Helper()
	res, err := Make(p, recipe(kind, piece, values...))
	require.NoError(t, err, "%s %s %v", kind, piece, values)
	return res
}

func pieceOf(t testing.TB, p *pattern.Pattern, name string) *pattern.Piece {
	t.Helper()
	q, err := p.Piece(name)
	require.NoError(t, err)
	return q
}

func edgePathOf(t testing.TB, q *pattern.Piece, name string) geom.Path {
	t.Helper()
	i, err := q.EdgeIndex(name)
	require.NoError(t, err)
	return q.EdgePath(i)
}
