package alter

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
	"time"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/check"
)

// curvedFront is a front with a curved neckline and armhole and a slanting
// side; straightFront has no curve. Allowances 15, at the hem 40.
func curvedFront() *pattern.Pattern {
	return frontOf(geom.Path{{P0: geom.Pt(-20, 85), P1: geom.Pt(38, 85), P2: geom.Pt(74, 52), P3: geom.Pt(78, 0)}},
		geom.Path{{P0: geom.Pt(213, 45), P1: geom.Pt(186, 108), P2: geom.Pt(168, 196), P3: geom.Pt(230, 260)}})
}

func straightFront() *pattern.Pattern {
	return frontOf(geom.Polyline(geom.Pt(-20, 85), geom.Pt(78, 0)), geom.Polyline(geom.Pt(213, 45), geom.Pt(230, 260)))
}

func frontOf(neck, arm geom.Path) *pattern.Pattern {
	p := build([]string{"neckline", "shoulder", "armhole", "side seam", "hemline", "front edge"},
		neck, geom.Polyline(geom.Pt(78, 0), geom.Pt(213, 45)), arm,
		geom.Polyline(geom.Pt(230, 260), geom.Pt(260, 700)), geom.Polyline(geom.Pt(260, 700), geom.Pt(-20, 700)), geom.Polyline(geom.Pt(-20, 700), geom.Pt(-20, 85)))
	q := p.Pieces[0]
	q.Cut = pattern.CutPair
	for i := range q.Edges {
		q.Edges[i].Allowance = map[string]float64{pattern.ClothSet: 15}
	}
	q.Edges[4].Hem, q.Edges[4].Allowance = true, map[string]float64{pattern.ClothSet: 40}
	return p
}

// alterWhole makes an alteration and returns the whole pattern.
func alterWhole(t *testing.T, p *pattern.Pattern, kind, piece string, values ...string) *pattern.Pattern {
	t.Helper()
	r := Recipe{Kind: kind, Piece: piece, Values: map[string]string{}}
	for i := 0; i < len(values); i += 2 {
		r.Values[values[i]] = values[i+1]
	}
	res, err := Make(p, r)
	require.NoError(t, err)
	for i := range res.Pattern.Seams {
		require.NoError(t, res.Pattern.ValidateSeam(&res.Pattern.Seams[i]))
	}
	files, err := res.Pattern.Encode()
	require.NoError(t, err)
	again, err := pattern.Decode(files)
	require.NoError(t, err)
	return again
}

// covers checks that two pieces together cover the outer within 0.01 mm, and
// nothing twice: by the kernel's regions, and by the reference library
// (simplefeatures, a port of JTS) on chords within 0.001 mm.
func covers(t *testing.T, outer geom.Ring, parts ...*pattern.Piece) {
	t.Helper()
	left := []geom.Ring{outer}
	for _, q := range parts {
		var next []geom.Ring
		for _, r := range left {
			o, err := geom.Compare(r, ring(q), 0.01)
			require.NoError(t, err)
			for _, region := range o.Removed {
				if region.Width > 0.01 {
					require.Len(t, region.Rings, 1)
					next = append(next, region.Rings[0])
				}
			}
			for _, region := range o.Added {
				require.Less(t, region.Width, 0.01, "%s lies beyond what is left", q.Name)
			}
		}
		left = next
	}
	require.Empty(t, left, "something is not covered")

	union := reference(t, ring(parts[0]))
	for _, q := range parts[1:] {
		twice, err := sf.Intersection(union, reference(t, ring(q)))
		require.NoError(t, err)
		thin(t, twice)
		union, err = sf.Union(union, reference(t, ring(q)))
		require.NoError(t, err)
	}
	apart, err := sf.SymmetricDifference(reference(t, outer), union)
	require.NoError(t, err)
	thin(t, apart)
}

// thin checks that every part of an area is narrower than 0.01 mm.
func thin(t *testing.T, g sf.Geometry) {
	t.Helper()
	for _, part := range g.Dump() {
		if part.Area() > 0 {
			require.Less(t, 2*part.Area()/part.Boundary().Length(), 0.01, "%s", part.AsText())
		}
	}
}

func reference(t *testing.T, r geom.Ring) sf.Geometry {
	t.Helper()
	var xy []float64
	points := geom.Path(r).Flatten(0.001)
	for _, p := range append(points[:len(points)-1:len(points)-1], points[0]) {
		xy = append(xy, p.X, p.Y)
	}
	g := sf.NewPolygon([]sf.LineString{sf.NewLineString(sf.NewSequence(xy, sf.DimXY))}).AsGeometry()
	require.NoError(t, g.Validate())
	return g
}

// sharesOuter checks that each edge of an inner piece that bears an outer's
// edge's name lies on that edge, and has its bytes where it is whole.
func sharesOuter(t *testing.T, outer, inner *pattern.Piece, names ...string) {
	t.Helper()
	for _, name := range names {
		i, err := outer.EdgeIndex(name)
		require.NoError(t, err)
		k, err := inner.EdgeIndex(name)
		require.NoError(t, err)
		require.Equal(t, outer.Edges[i].Nodes, inner.Edges[k].Nodes, name)
		require.Equal(t, outer.Edges[i].Handles, inner.Edges[k].Handles, name)
		require.Equal(t, outer.EdgePath(i), inner.EdgePath(k), name)
	}
}

// A facing of the front edge and neckline, 70 and 60 wide: its outer edges are
// the outer's to the byte, its inner edge lies at its width, and the lining
// takes up the rest.
func TestFacingAndLining(t *testing.T) {
	for name, p := range map[string]*pattern.Pattern{"straight": straightFront(), "curved": curvedFront()} {
		t.Run(name, func(t *testing.T) {
			before := pieceOf(t, p, "panel").Clone()
			p = alterWhole(t, p, "facing", "panel", "edges", "front edge,neckline", "width", "70,60", "as", "facing")
			p = alterWhole(t, p, "lining", "panel", "facing", "facing", "as", "lining")
			panel, facing, lining := pieceOf(t, p, "panel"), pieceOf(t, p, "facing"), pieceOf(t, p, "lining")
			require.Equal(t, before.Edges, panel.Edges)
			sharesOuter(t, panel, facing, "front edge", "neckline")
			sharesOuter(t, panel, lining, "armhole", "side seam")
			covers(t, ring(panel), facing, lining)
			require.Equal(t, []pattern.Layer{{Outer: "panel", Inner: []string{"facing", "lining"}}}, p.Layers)
			for i := range p.Seams {
				sections, err := p.WalkSeam(&p.Seams[i])
				require.NoError(t, err)
				require.InDelta(t, 0, sections[0].Difference(), 0.005, p.Seams[i].Name)
			}
			require.Len(t, p.Seams, 3)
		})
	}
}

// Any widths, rounded inner corners, another row of edges, and the lining cut
// to what was drafted.
func TestLiningCoversTheRest(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 3))
	rows := []string{"front edge", "neckline", "armhole", "hemline", "front edge,neckline", "hemline,front edge", "hemline,front edge,neckline"}
	for k := range 60 {
		p := curvedFront()
		if k%3 == 0 {
			p = straightFront()
		}
		row := rows[rng.IntN(len(rows))]
		width := fmt.Sprintf("%.1f", 20+rng.Float64()*45)
		values := []string{"edges", row, "width", width, "as", "facing"}
		if rng.IntN(2) == 0 {
			values = append(values, "round", "15")
		}
		p = alterWhole(t, p, "facing", "panel", values...)
		p = alterWhole(t, p, "lining", "panel", "facing", "facing", "as", "lining")
		covers(t, ring(pieceOf(t, p, "panel")), pieceOf(t, p, "facing"), pieceOf(t, p, "lining"))
		require.False(t, t.Failed(), "%s at %s", row, width)
	}
}

// A split outer: the facing and the lining are drafted from both parts laid
// together, where they lie and after one was moved over the sheet.
func TestLayersOfASplitOuter(t *testing.T) {
	for _, moved := range []geom.Motion{{}, {Shift: geom.Pt(400, 31.5), Turn: 0.3}} {
		p := curvedFront()
		whole := ring(p.Pieces[0])
		p = alterWhole(t, p, "split", "panel", "line", "shoulder@90:hemline@120", "into", "panel,side panel")
		for k, q := range p.Pieces {
			if q.Name == "side panel" {
				p.Pieces[k] = q.Moved(moved)
			}
		}
		p = alterWhole(t, p, "facing", "panel", "edges", "hemline,front edge,neckline", "width", "60", "as", "facing", "with", "side panel")
		p = alterWhole(t, p, "lining", "panel", "facing", "facing", "as", "lining", "with", "side panel")
		covers(t, whole, pieceOf(t, p, "facing"), pieceOf(t, p, "lining"))
		require.Equal(t, []pattern.Layer{{Outer: "panel", Inner: []string{"facing", "lining"}}, {Outer: "side panel", Inner: []string{"facing", "lining"}}}, p.Layers)
		for i := range p.Seams {
			sections, err := p.WalkSeam(&p.Seams[i])
			require.NoError(t, err)
			require.InDelta(t, 0, sections[0].Difference(), 0.01, p.Seams[i].Name)
		}
	}
}

// Outer 280 wide, facing 70 finished, allowance 15: cut facing 100, cut lining
// 240, in all 340 = 280 + 4 × 15; the lining's cut edge lies 70 = 100 − 2 × 15
// inside the outer's. Common practice; derived.
func TestFactsOfALining(t *testing.T) {
	p := lined(t)
	cut := func(name string) geom.Box {
		line, err := pieceOf(t, p, name).CuttingLine(pattern.ClothSet)
		require.NoError(t, err)
		return line.Ring.Box()
	}
	outer, facing, lining := cut("panel"), cut("facing"), cut("lining")
	require.InDelta(t, 100, facing.Size().X, 1e-9)
	require.InDelta(t, 240, lining.Size().X, 1e-9)
	require.InDelta(t, 280+4*15, facing.Size().X+lining.Size().X, 1e-9)
	require.InDelta(t, 70, outer.Max.X-lining.Max.X, 1e-9)
}

// lined is a front 280 wide with a facing of 70 and its lining.
func lined(t *testing.T) *pattern.Pattern {
	p := panel(geom.Pt(0, 0), geom.Pt(280, 0), geom.Pt(280, 600), geom.Pt(0, 600))
	for i := range p.Pieces[0].Edges {
		p.Pieces[0].Edges[i].Allowance = map[string]float64{pattern.ClothSet: 15}
	}
	p = alterWhole(t, p, "facing", "panel", "edges", "side seam", "width", "70", "as", "facing")
	return alterWhole(t, p, "lining", "panel", "facing", "facing", "as", "lining")
}

// The three wrong ways to cut that lining (facing 70 finished, allowance 15):
// its sewing line on the facing's cutting line is 15 too short inside, its
// cutting line there 30 too short, the allowance taken twice 15 too long.
// Common practice; derived. Each can be drawn and kept, and check finds each
// with its amount, beside a shorter hem that is declared too.
func TestWrongLinings(t *testing.T) {
	right := pieceOf(t, lined(t), "lining")
	for _, c := range []struct {
		kind, by string
		at, out  float64 // where the sewing line lies from the front edge; how much too long
	}{{"take-in", "15", 85, -15}, {"take-in", "30", 100, -30}, {"let-out", "15", 55, 15}} {
		p := alterWhole(t, lined(t), c.kind, "lining", "edge", innerEdge, "by", c.by)
		wrong := pieceOf(t, p, "lining")
		i, err := wrong.EdgeIndex(innerEdge)
		require.NoError(t, err)
		require.InDelta(t, c.at, 280-wrong.EdgePath(i).Start().X, 1e-9)
		require.InDelta(t, c.out, ring(wrong).Box().Size().X-ring(right).Box().Size().X, 1e-9)
		layerOff(t, p, c.out, 1e-3)
		for _, hem := range []string{"15", "20", "30"} {
			p := alterWhole(t, p, "shorten", "lining", "edge", "hemline", "by", hem)
			by, err := strconv.ParseFloat(hem, 64)
			require.NoError(t, err)
			p.Layers[0].Differences = []pattern.Difference{{What: "shorter hem", By: -by, Piece: "lining", Edge: "hemline"}}
			layerOff(t, p, c.out, 1e-3)
		}
	}
}

// layerOff requires check to find the inner pieces to be off at their joint, by
// these amounts in mm, larger positive, and nowhere else.
func layerOff(t *testing.T, p *pattern.Pattern, off, within float64) {
	t.Helper()
	found, err := check.Run(p, check.Options{})
	require.NoError(t, err)
	n := 0
	for _, f := range found.Findings {
		if f.Kind != change.LayerOff {
			continue
		}
		n++
		require.True(t, f.Mismatch, f.Says)
		require.InDelta(t, off, f.MM, within, f.Says)
		require.Contains(t, f.Where, "facing, \"inner edge")
	}
	require.NotZero(t, n, "nothing found")
}

// The same on a front whose facing turns from the front edge into a curved
// neckline: a lining drafted from a facing too wide by one allowance or two, or
// too narrow by one, beside the right facing, its hem 20 shorter as declared.
func TestWrongLiningsOfACurvedFront(t *testing.T) {
	for width, off := range map[string]float64{"60": 0, "70": -10, "80": -20, "50": 10} {
		p := curvedFront()
		p = alterWhole(t, p, "facing", "panel", "edges", "front edge,neckline", "width", "60", "as", "facing")
		for _, q := range p.Pieces {
			for i := range q.Edges {
				q.Edges[i].Allowance = map[string]float64{pattern.ClothSet: 10}
			}
		}
		p = alterWhole(t, p, "facing", "panel", "edges", "front edge,neckline", "width", width, "as", "drafted from")
		p = alterWhole(t, p, "lining", "panel", "facing", "drafted from", "as", "lining", "allowance", "10", "differs", "shorter hem@hemline=-20")
		p = alterWhole(t, p, "remove", "drafted from", "seams", "true")
		p.Layers = []pattern.Layer{{Outer: "panel", Inner: []string{"facing", "lining"}, Differences: []pattern.Difference{{What: "shorter hem", By: -20, Piece: "lining", Edge: "hemline"}}}}
		if off != 0 {
			layerOff(t, p, off, 0.05)
			continue
		}
		found, err := check.Run(p, check.Options{})
		require.NoError(t, err)
		require.False(t, slices.ContainsFunc(found.Findings, func(f change.Finding) bool { return f.Kind == change.LayerOff }), "a right lining: %+v", found.Findings)
	}
}

// A right lining is not the bare difference: back pleat, shorter hem and turn
// of cloth are declared, made, and recorded. Common practice.
func TestDeclaredDifferences(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(280, 0), geom.Pt(280, 600), geom.Pt(0, 600))
	p.Pieces[0].Edges[3].Fold, p.Pieces[0].Cut = true, pattern.CutOnFold
	p = alterWhole(t, p, "lining", "panel", "as", "lining", "differs", "back pleat@centre=25,shorter hem@hemline=-20,turn of cloth@side seam=-1.5")
	lining := pieceOf(t, p, "lining")
	box := ring(lining).Box()
	require.Equal(t, geom.Pt(-25, 0), box.Min)
	require.Equal(t, geom.Pt(278.5, 580), box.Max)
	require.Equal(t, pattern.CutOnFold, lining.Cut)
	require.Equal(t, []pattern.Layer{{Outer: "panel", Inner: []string{"lining"}, Differences: []pattern.Difference{
		{What: "back pleat", By: 25, Piece: "lining", Edge: "centre"},
		{What: "shorter hem", By: -20, Piece: "lining", Edge: "hemline"},
		{What: "turn of cloth", By: -1.5, Piece: "lining", Edge: "side seam"}}}}, p.Layers)
}

// The other way: the lining is cut like the outer, and the facing's inner edge
// is drawn on it where it is sewn on top.
func TestLiningCutLikeTheOuter(t *testing.T) {
	p := curvedFront()
	p = alterWhole(t, p, "facing", "panel", "edges", "front edge,neckline", "width", "60", "round", "30", "as", "facing")
	p = alterWhole(t, p, "lining", "panel", "facing", "facing", "whole", "true", "as", "lining")
	panel, lining := pieceOf(t, p, "panel"), pieceOf(t, p, "lining")
	sharesOuter(t, panel, lining, panel.EdgeNames()...)
	require.Len(t, p.Layers, 2)
	require.NotEmpty(t, lining.Marks)
	facing := pieceOf(t, p, "facing")
	i, err := facing.EdgeIndex(innerEdge)
	require.NoError(t, err)
	require.Equal(t, facing.EdgePath(i), lining.Marks[0].Path)
	require.Equal(t, pattern.MarkPlacement, lining.Marks[0].Kind)
}

// A facing that was drawn by hand, uneven and elsewhere on the sheet, is laid
// on the outer by the edges they share.
func TestLiningOfAnUnevenFacing(t *testing.T) {
	p := curvedFront()
	inner := geom.Path{{P0: geom.Pt(138, 20), P1: geom.Pt(128, 110), P2: geom.Pt(50, 120), P3: geom.Pt(50, 250)}, geom.Line(geom.Pt(50, 250), geom.Pt(85, 700))}
	f := build([]string{"neck", "shoulder", "inside", "hem", "front"},
		p.Pieces[0].EdgePath(0), geom.Polyline(geom.Pt(78, 0), geom.Pt(138, 20)), inner,
		geom.Polyline(geom.Pt(85, 700), geom.Pt(-20, 700)), geom.Polyline(geom.Pt(-20, 700), geom.Pt(-20, 85))).Pieces[0]
	f.Name, f.Slug, f.ID = "facing", "facing", "0000000c"
	p.Put(f.Moved(geom.Motion{Turn: 0.7, Shift: geom.Pt(500, -40)}))
	p = alterWhole(t, p, "lining", "panel", "facing", "facing", "as", "lining")
	covers(t, ring(pieceOf(t, p, "panel")), f, pieceOf(t, p, "lining"))
}

// Interfacing inside the facing's sewing line, without allowance: every place
// of its outline lies 2 inside the facing's, on straight edges exactly.
func TestInterfacing(t *testing.T) {
	p := curvedFront()
	p = alterWhole(t, p, "facing", "panel", "edges", "front edge,neckline", "width", "60", "as", "facing")
	p = alterWhole(t, p, "interfacing", "facing", "inset", "2", "as", "stiffening")
	facing, stiff := pieceOf(t, p, "facing"), pieceOf(t, p, "stiffening")
	require.Equal(t, "interfacing", stiff.Cloth)
	line := geom.Path(ring(facing))
	for _, c := range ring(stiff) {
		for k := range 7 {
			at := c.At(float64(k+1) / 8)
			_, d := line.Nearest(at)
			require.Greater(t, d, 2-0.005, "%v", at)
			require.Less(t, d, 2*math.Sqrt2+0.005, "%v: farther off only where the lines inside a hollow corner meet", at)
			require.True(t, geom.Ring(ring(facing)).Holds(at))
		}
	}
	cut, err := stiff.CutArea(pattern.ClothSet)
	require.NoError(t, err)
	net, err := stiff.NetArea()
	require.NoError(t, err)
	require.InDelta(t, net, cut, 1e-6)
	require.Equal(t, "facing", p.Layers[1].Outer)
	p = alterWhole(t, p, "interfacing", "facing", "allowance", "10", "as", "sewn in")
	sharesOuter(t, facing, pieceOf(t, p, "sewn in"), facing.EdgeNames()...)
}

// A hem facing lies along the hem, and the hem has the allowance of a seam
// then; on a folded outer it lies on the fold.
func TestHemFacing(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(250, 0), geom.Pt(350, 600), geom.Pt(0, 600))
	q := p.Pieces[0]
	q.Edges[3].Fold, q.Cut = true, pattern.CutOnFold
	for i := range 3 {
		q.Edges[i].Allowance = map[string]float64{pattern.ClothSet: 12}
	}
	q.Edges[2].Hem, q.Edges[2].Allowance = true, map[string]float64{pattern.ClothSet: 50}
	p = alterWhole(t, p, "hem-facing", "panel", "width", "60", "as", "facing")
	f := pieceOf(t, p, "facing")
	require.Equal(t, pattern.CutOnFold, f.Cut)
	require.InDelta(t, 60*(350+340)/2, ring(f).Area(), 0.2) // a trapezium, its corners stored at 0.001
	for _, piece := range []string{"panel", "facing"} {
		i, err := pieceOf(t, p, piece).EdgeIndex("hemline")
		require.NoError(t, err)
		require.Equal(t, 12.0, pieceOf(t, p, piece).Edges[i].AllowanceFor(pattern.ClothSet))
	}
}

// Refusals name what is wrong.
func TestLayerRefusals(t *testing.T) {
	p := curvedFront()
	p = alterWhole(t, p, "facing", "panel", "edges", "front edge", "width", "60", "as", "facing")
	for _, c := range []struct {
		kind, says string
		values     map[string]string
	}{
		{"facing", "do not lie in a row", map[string]string{"edges": "front edge,armhole", "width": "50"}},
		{"facing", "named twice", map[string]string{"edges": "front edge,front edge", "width": "50"}},
		{"facing", "3 widths for 2 edges", map[string]string{"edges": "front edge,neckline", "width": "5,5,5"}},
		{"facing", "there is a piece \"facing\" already", map[string]string{"edges": "armhole", "width": "50", "as": "facing"}},
		{"facing", "reaches beyond it", map[string]string{"edges": "front edge", "width": "500"}},
		{"facing", "smaller width", map[string]string{"edges": "armhole", "width": "900"}},
		{"lining", "covers all", map[string]string{"facing": "copy"}},
		{"lining", "is the outer itself", map[string]string{"facing": "panel"}},
		{"lining", "no piece", map[string]string{"facing": "hood"}},
		{"lining", "name the facing", map[string]string{"whole": "true"}},
		{"lining", "is no difference", map[string]string{"differs": "hem=-2"}},
		{"lining", "no edge \"hem\"", map[string]string{"differs": "short@hem=-2"}},
		{"lining", "not sewn together", map[string]string{"with": "copy"}},
		{"interfacing", "one of the two", map[string]string{"inset": "2", "allowance": "5"}},
	} {
		q := p.Clone()
		copied := pieceOf(t, q, "panel").Clone()
		copied.Name, copied.Slug, copied.ID = "copy", "copy", "0000000d"
		q.Put(copied)
		_, err := Make(q, Recipe{Kind: c.kind, Piece: "panel", Values: c.values})
		require.ErrorContains(t, err, c.says, "%v", c)
	}
}
