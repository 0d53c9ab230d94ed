package alter

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// build makes a pattern of one piece with these edges.
func build(names []string, paths ...geom.Path) *pattern.Pattern {
	q := &pattern.Piece{Name: "panel", Slug: "panel", ID: "0000000a", Cloth: "outer", Cut: pattern.CutOne}
	for i, path := range paths {
		q.Corners = append(q.Corners, pattern.Corner{At: path.Start()})
		e := pattern.Edge{Name: names[i], ID: fmt.Sprintf("%08x", i+1)}
		e.SetPath(path)
		q.Edges = append(q.Edges, e)
	}
	p := pattern.New("test", units.Millimetre)
	p.Put(q)
	return p
}

func panel(points ...geom.Point) *pattern.Pattern {
	names := []string{"waist", "side seam", "hemline", "centre"}
	var paths []geom.Path
	for i, q := range points {
		paths = append(paths, geom.Polyline(q, points[(i+1)%len(points)]))
	}
	return build(names, paths...)
}

func alter(t *testing.T, p *pattern.Pattern, kind string, values ...string) *pattern.Piece {
	t.Helper()
	r := Recipe{Kind: kind, Piece: "panel", Values: map[string]string{}}
	for i := 0; i < len(values); i += 2 {
		r.Values[values[i]] = values[i+1]
	}
	res, err := Make(p, r)
	require.NoError(t, err)
	return res.Pattern.Pieces[0]
}

// Shorten at the hem: side (25,0)–(35,60) cm cut 5 up ends at (34.166667, 55),
// 55.758657 long. Common practice; derived.
func TestShortenCutsTheSide(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(250, 0), geom.Pt(350, 600), geom.Pt(0, 600))
	q := alter(t, p, "shorten", "edge", "hemline", "by", "50")
	require.InDelta(t, 341.667, q.Corners[2].At.X, 1e-9)
	require.InDelta(t, 550, q.Corners[2].At.Y, 1e-9)
	require.InDelta(t, 557.58657, q.EdgePath(1).Length(), 1e-3)
	require.Equal(t, p.Pieces[0].Edges[0], q.Edges[0])
	back := alter(t, &pattern.Pattern{Unit: p.Unit, Tolerances: p.Tolerances, Sets: p.Sets, Pieces: []*pattern.Piece{q}}, "lengthen", "edge", "hemline", "by", "50")
	for i := range q.Corners {
		require.InDelta(t, 0, back.Corners[i].At.Dist(p.Pieces[0].Corners[i].At), 0.005)
	}
}

// Two pieces sewn together lose the same length: sides of 650, slopes 160/630
// and 250/600: taking 65 along the side leaves 585. Common practice; derived.
func TestShortenAlongTheSide(t *testing.T) {
	for _, slope := range []geom.Point{geom.Pt(160, 630), geom.Pt(250, 600)} {
		p := panel(geom.Pt(0, 0), geom.Pt(200, 0), geom.Pt(200, 0).Add(slope), geom.Pt(0, slope.Y))
		require.InDelta(t, 650, p.Pieces[0].EdgePath(1).Length(), 1e-9)
		q := alter(t, p, "shorten", "edge", "hemline", "by", "65", "along", "side seam")
		require.InDelta(t, 585, q.EdgePath(1).Length(), 1e-3)
	}
}

// A side swung 200 below the waist by a chord of 50: 4.776031°, end (349.9566,
// 797.9167), length kept; the hem runs on by an arc of R 600, 50.0145 long.
// Derived.
func TestFlare(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	q := alter(t, p, "flare", "edge", "side seam", "by", "50", "from", "200")
	require.InDelta(t, 0, q.Corners[2].At.Dist(geom.Pt(349.9566, 797.9167)), 1e-3)
	require.InDelta(t, 800, q.EdgePath(1).Length(), 1e-3)
	require.InDelta(t, 300+50.0145, q.EdgePath(2).Length(), 2e-3)
	far := q.EdgePath(1).EndTangent()
	require.InDelta(t, math.Pi/2, math.Abs(geom.AngleBetween(far, q.EdgePath(2).StartTangent())), 1e-4)
	require.InDelta(t, 15004.34, geom.Ring(ring(q)).Area()-300*800, 0.3) // corners stored at 0.001 mm
}

func ring(q *pattern.Piece) geom.Ring { r, _ := q.SharpRing(); return r }

// Let out 10 at each place; tapered from nothing at the waist.
func TestLetOut(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	q := alter(t, p, "let-out", "edge", "side seam", "by", "10")
	require.Equal(t, geom.Pt(310, 800), q.Corners[2].At)
	q = alter(t, p, "take-in", "edge", "side seam", "by", "10", "to", "end")
	require.Equal(t, geom.Pt(300, 0), q.Corners[1].At)
	require.Equal(t, geom.Pt(290, 800), q.Corners[2].At)
}

// 400×600 split across the 400 with 15 each side: the cut area grows from
// 2400 to 2520 cm² in all (derived); joined again it is the old outline, with
// all that the piece had, and its edges have their ids. The pattern that was given
// is as it was.
func TestSplitThenJoin(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(400, 0), geom.Pt(400, 600), geom.Pt(0, 600))
	before, err := p.Encode()
	require.NoError(t, err)
	r := Recipe{Kind: "split", Piece: "panel", Values: map[string]string{"line": "0,300:400,300", "into": "panel,lower panel", "allowance": "15"}}
	res, err := Make(p, r)
	require.NoError(t, err)
	require.Len(t, res.Pattern.Pieces, 2)
	total := 0.0
	for _, q := range res.Pattern.Pieces {
		area, err := q.CutArea(pattern.ClothSet)
		require.NoError(t, err)
		total += area
	}
	require.InDelta(t, 252000, total, 1e-6)
	require.Len(t, res.Pattern.Seams, 1)
	a, b := res.Pattern.Pieces[0], res.Pattern.Pieces[1]
	if a.Name != "panel" {
		a, b = b, a
	}
	require.True(t, hasEdge(a, "seam to lower panel"))
	res, err = Make(res.Pattern, Recipe{Kind: "join", Piece: "panel", Values: map[string]string{
		"edge": "seam to lower panel", "with": b.Name, "at": "seam to panel"}})
	require.NoError(t, err)
	require.Len(t, res.Pattern.Pieces, 1)
	require.Empty(t, res.Pattern.Seams)
	q := res.Pattern.Pieces[0]
	require.Len(t, q.Edges, 4)
	o, err := geom.Compare(ring(p.Pieces[0]), ring(q), 0.001)
	require.NoError(t, err)
	require.Empty(t, o.Added)
	require.Empty(t, o.Removed)
	sameOutlines(t, p, res.Pattern, 0.001)
	for _, e := range p.Pieces[0].Edges {
		require.Equal(t, e.ID, q.Edges[slices.Index(q.EdgeNames(), e.Name)].ID, e.Name)
	}
	again, err := p.Encode()
	require.NoError(t, err)
	require.Equal(t, before, again, "the pattern that was given is as it was")
	again, err = res.Pattern.Encode()
	require.NoError(t, err)
	require.Equal(t, before, again, "joined again it has the same files")
}

// A tuck across the body: side (25,0)–(35,60) cm, 5 taken out, the hem's width
// kept: the trued side is 55.901699 long. Common practice; derived.
func TestTuckAcross(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(250, 0), geom.Pt(350, 600), geom.Pt(0, 600))
	require.InDelta(t, 608.27625, p.Pieces[0].EdgePath(1).Length(), 1e-4)
	q := alter(t, p, "close", "line", "0,300:300,300", "by", "50", "stays", "waist")
	require.Equal(t, geom.Pt(350, 550), q.Corners[2].At)
	require.Equal(t, geom.Pt(0, 550), q.Corners[3].At)
	require.InDelta(t, 559.01699, q.EdgePath(1).Length(), 1e-4)
}

// Three parallel cuts opened by 2 each add 6. Common practice; derived.
func TestSlashAndSpread(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	for _, x := range []string{"60", "130", "200"} {
		res, err := Make(p, Recipe{Kind: "spread", Piece: "panel", Values: map[string]string{
			"line": x + ",0:" + x + ",800", "by": "20", "stays": "centre"}})
		require.NoError(t, err)
		p = res.Pattern
	}
	q := p.Pieces[0]
	require.InDelta(t, 360, q.EdgePath(0).Length(), 1e-9)
	require.InDelta(t, 360, q.EdgePath(2).Length(), 1e-9)
	require.Equal(t, geom.Pt(360, 800), q.Corners[2].At)
}

// Hinged at the waist: the far end opens by the chord, the side keeps its
// length, the hem runs smoothly over the cut.
func TestSpreadHinged(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	q := alter(t, p, "spread", "line", "waist@150:hemline@150", "by", "40", "hinge", "waist", "stays", "centre")
	require.InDelta(t, 800, q.EdgePath(1).Length(), 2e-3)
	theta := 2 * math.Asin(40./2/800)
	want := geom.Pt(150, 800).Turn(-theta).Add(geom.Pt(150, 0)) // the corner (300,800) turned about (150,0)
	require.InDelta(t, 0, q.Corners[2].At.Dist(want), 1e-3)
	hem := q.EdgePath(2)
	for i := 1; i < len(hem); i++ {
		require.InDelta(t, 0, geom.AngleBetween(hem[i-1].Tangent(1), hem[i].Tangent(0)), 1e-4)
	}
}

// A notch 310 along the side, and its partner on the edge sewn to it, which
// runs the other way.
func TestNotchBoth(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	q := p.Pieces[0].Clone()
	q.Name, q.Slug, q.ID = "front", "front", "0000000b"
	p.Put(q)
	p.Seams = []pattern.Seam{{Name: "side", First: pattern.Chain{{Piece: "panel", Edge: "side seam"}}, Second: pattern.Chain{{Piece: "front", Edge: "centre"}}}}
	r := Recipe{Kind: "notch", Piece: "panel", Values: map[string]string{"edge": "side seam", "at": "310"}}
	partners, err := Partners(p, r)
	require.NoError(t, err)
	require.Len(t, partners, 1)
	for _, r := range append([]Recipe{r}, partners...) {
		res, err := Make(p, r)
		require.NoError(t, err)
		p = res.Pattern
	}
	for _, name := range []string{"panel", "front"} {
		q, err := p.Piece(name)
		require.NoError(t, err)
		require.Len(t, q.Notches, 1)
		at, _, _, err := q.NotchPlace(q.Notches[0])
		require.NoError(t, err)
		require.InDelta(t, 310, at.Y, 1e-9, name)
	}
}

// Refusals name what is wrong and leave the pattern alone.
func TestRefusals(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	before, err := p.Encode()
	require.NoError(t, err)
	for _, c := range []struct {
		kind, says string
		values     map[string]string
	}{
		{"flare", "lies off the edge, which is 800", map[string]string{"edge": "side seam", "by": "50", "from": "900"}},
		{"flare", "either the chord", map[string]string{"edge": "side seam"}},
		{"split", "crosses the outline nowhere", map[string]string{"line": "900,0:900,500", "into": "a,b"}},
		{"split", "two names", map[string]string{"line": "100,0:100,800", "into": "a"}},
		{"round-corner", "radius", map[string]string{"corner": "side seam/hemline", "radius": "5000"}},
		{"shorten", "hemline", map[string]string{"edge": "hemline", "by": "900"}},
		{"take-in", "side seam", map[string]string{"edge": "side seam", "by": "400"}},
		{"let-out", "no edge", map[string]string{"edge": "sleeve", "by": "10"}},
		{"nonsense", "there is no alteration", nil},
		{"spread", "cannot hinge", map[string]string{"line": "150,0:150,800", "by": "10", "hinge": "side seam"}},
	} {
		_, err := Make(p, Recipe{Kind: c.kind, Piece: "panel", Values: c.values})
		require.ErrorContains(t, err, c.says, "%v", c)
	}
	after, err := p.Encode()
	require.NoError(t, err)
	require.Equal(t, before, after)
}
