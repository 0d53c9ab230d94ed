package alter

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

func deg(rad float64) float64 { return geom.InDegrees(rad) }

// Swung by 5° at R 600: arc 52.35988, chord 2R·sin(θ/2) = 52.34326, wedge
// ½R²θ = 15707.96; and back, a chord of 50 at R 600 is 4.776031° (derived).
func TestFactSwing(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 600), geom.Pt(0, 600))
	q := alter(t, p, "flare", "edge", "side seam", "angle", "5deg")
	require.InDelta(t, 52.34326, q.Corners[2].At.Dist(geom.Pt(300, 600)), 1e-3)
	require.InDelta(t, 300+52.35988, q.EdgePath(2).Length(), 2e-3)
	require.InDelta(t, 15707.96, ring(q).Area()-300*600, 0.7) // one cubic for 5° of arc, corners at 0.001 mm
	require.Len(t, q.Edges[1].Nodes, 0, "swung about its end, the edge is one line still")
	q = alter(t, p, "flare", "edge", "side seam", "by", "50")
	require.InDelta(t, 4.776031, deg(geom.AngleBetween(q.EdgePath(1).EndTangent(), geom.Pt(0, 1))), 1e-3)
}

// A tuck across the body: side (250,0)–(350,600), 50 taken out, the hem keeps
// its width: a step of 8.33333 at the tuck, the trued edge 608.27625 → 559.01699
// (common practice; derived).
func TestFactTuck(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(250, 0), geom.Pt(350, 600), geom.Pt(0, 600))
	res := made(t, p, "shorten", "panel", "edge", "hemline", "by", "50", "inside", "0,300:300,300")
	q := res.Pattern.Pieces[0]
	require.InDelta(t, 350, edgePathOf(t, q, "hemline").Length(), 1e-9)
	require.InDelta(t, 559.01699, edgePathOf(t, q, "side seam").Length(), 1e-4)
	require.Contains(t, strings.Join(res.Says, "\n"), "the sides step by 8.3 mm at the tuck")
	back := made(t, res.Pattern, "lengthen", "panel", "edge", "hemline", "by", "50", "inside", "0,275:300,275").Pattern.Pieces[0]
	require.InDelta(t, 608.27625, edgePathOf(t, back, "side seam").Length(), 1e-4)
}

// The tuck goes round the garment: each piece sewn to the next at that level
// has it, and the seams still match. 700 − 50 at every hem.
func TestTuckRound(t *testing.T) {
	p := smallSmock(t)
	res := made(t, p, "shorten", "back", "edge", "hemline", "by", "50", "inside", "side seam@200:centre back@270.801")
	for _, name := range []string{"back", "front", "front facing"} {
		q := pieceOf(t, res.Pattern, name)
		hem := edgePathOf(t, q, "hemline")
		require.InDelta(t, 650, hem.Start().Y, 1e-3, name)
		require.InDelta(t, edgePathOf(t, pieceOf(t, p, name), "hemline").Length(), hem.Length(), 1e-3, name)
	}
	require.Equal(t, pieceOf(t, p, "pocket"), pieceOf(t, res.Pattern, "pocket"))
	for i := range res.Pattern.Seams {
		fits(t, res.Pattern, &res.Pattern.Seams[i], 0.01)
	}
}

// fits requires the whole seam to be as much off as it was declared: nothing.
func fits(t *testing.T, p *pattern.Pattern, s *pattern.Seam, within float64) {
	t.Helper()
	sections, err := p.WalkSeam(s)
	require.NoError(t, err)
	sum := 0.0
	for _, c := range sections {
		sum += c.Difference()
	}
	require.InDelta(t, 0, sum, within, s.Name)
}

// Two pieces sewn together, sides of 650 with slopes 160/630 and 250/600: taken
// up 60 square to each hem they lose 61.905 and 65.000 and no longer match by
// 3.095 (common practice; derived).
func TestFactHemsTakenUpSquare(t *testing.T) {
	var lost []float64
	for _, slope := range []geom.Point{geom.Pt(160, 630), geom.Pt(250, 600)} {
		p := panel(geom.Pt(0, 0), geom.Pt(200, 0), geom.Pt(200, 0).Add(slope), geom.Pt(0, slope.Y))
		q := alter(t, p, "shorten", "edge", "hemline", "by", "60")
		lost = append(lost, 650-q.EdgePath(1).Length())
	}
	require.InDelta(t, 61.905, lost[0], 1e-3)
	require.InDelta(t, 65.000, lost[1], 1e-3)
	require.InDelta(t, 3.095, lost[1]-lost[0], 1e-3)
}

// Three parallel cuts opened by 20 each in one go add 60 (common practice;
// derived).
func TestFactSlashAndSpread(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	res := made(t, p, "spread", "panel", "line", "60,0:60,800; 130,0:130,800; 200,0:200,800", "by", "20", "stays", "centre")
	q := res.Pattern.Pieces[0]
	require.InDelta(t, 360, q.EdgePath(0).Length(), 1e-9)
	require.Equal(t, geom.Pt(360, 800), q.Corners[2].At)
	require.Contains(t, res.Says[0], "60 mm in all")
	hinged := made(t, p, "spread", "panel", "line", "60,0:60,800; 130,0:130,800; 200,0:200,800", "by", "20", "hinge", "waist", "stays", "centre").Pattern.Pieces[0]
	turn := 3 * 2 * math.Asin(20./2/800) // each wedge turns what lies beyond it
	require.InDelta(t, turn, geom.AngleBetween(hinged.EdgePath(1).EndTangent(), geom.Pt(0, 1)), 1e-3)
}

// A dart's point moved from leg 100 to leg 160, its mouth of 30 kept: the angle
// goes from 17.253853° to 10.758753° (common practice; derived).
func TestFactDartPoint(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	deep := func(leg float64) string { return fmt.Sprintf("waist@150, %.9fmm in", math.Sqrt(leg*leg-15*15)) }
	angle := func(q *pattern.Piece) float64 {
		k, w := q.Marks[0], q.EdgePath(0)
		return deg(math.Abs(geom.AngleBetween(w.PointAt(k.From).Sub(k.At), w.PointAt(k.To).Sub(k.At))))
	}
	res := made(t, p, "mark", "panel", "kind", "dart", "at", deep(100), "edge", "waist", "from", "135", "until", "165")
	require.InDelta(t, 17.253853, angle(res.Pattern.Pieces[0]), 1e-3)
	res = made(t, res.Pattern, "move", "panel", "name", "dart", "to", deep(160))
	require.InDelta(t, 10.758753, angle(res.Pattern.Pieces[0]), 1e-3)
	require.InDelta(t, 30, res.Pattern.Pieces[0].Marks[0].To-res.Pattern.Pieces[0].Marks[0].From, 1e-9)
}

// slanted is a panel and its mirror image sewn along sides that slant 1 in 6:
// both hems straight.
func slanted() *pattern.Pattern {
	p := panel(geom.Pt(0, 0), geom.Pt(250, 0), geom.Pt(350, 600), geom.Pt(0, 600))
	q := p.Pieces[0].Clone().Moved(geom.Motion{Mirror: true})
	q.Name, q.Slug, q.ID = "other", "other", "0000000b"
	p.Put(q)
	p.Seams = []pattern.Seam{{Name: "side", First: pattern.Chain{{Piece: "panel", Edge: "side seam"}}, Second: pattern.Chain{{Piece: "other", Edge: "side seam"}}}}
	return p
}

// A straight hem with both sides slanting 1 in 6: 80.537678° each, 161.075356
// together, not smooth. Trued on a circle about (0, −1500), R 2100: the side
// point is (345.23787, 571.42724), both sides shorter by 28.57276 vertically;
// so it says which is held (derived).
func TestFactTrueHem(t *testing.T) {
	p := slanted()
	res := made(t, p, "true", "panel", "edge", "hemline", "hold", "centre")
	says := strings.Join(res.Says, "\n")
	require.Contains(t, says, "met \"side seam\" at 80.54°, now at 90.00°")
	require.Contains(t, says, "laid together it was 161.08°")
	require.Contains(t, says, "the centre is held, and the seam ends 29 mm earlier")
	for _, name := range []string{"panel", "other"} {
		q := pieceOf(t, res.Pattern, name)
		hem := edgePathOf(t, q, "hemline")
		if name == "other" {
			hem = hem.Reverse()
		}
		require.InDelta(t, 345.23787, math.Abs(hem.Start().X), 1e-3)
		require.InDelta(t, 571.42724, hem.Start().Y, 1e-3)
		require.InDelta(t, 600, hem.End().Y, 1e-9)
		for k := range 21 {
			// One cubic for 9.5° of arc: off by 0.4e-9 of R at most (Goldapp 1991, from
			// memory); what shows is the rounding to 0.001 mm.
			require.InDelta(t, 2100, hem.PointAt(hem.Length()*float64(k)/20).Dist(geom.Pt(0, -1500)), 2e-3)
		}
	}
	fits(t, res.Pattern, &res.Pattern.Seams[0], 1e-6)
	require.InDelta(t, 180, hemAngles(t, res.Pattern, "side seam", "hemline"), 1e-3)

	res = made(t, p, "true", "panel", "edge", "hemline", "hold", "side")
	require.Equal(t, geom.Pt(350, 600), res.Pattern.Pieces[1].Corners[2].At)
	require.InDelta(t, 180, hemAngles(t, res.Pattern, "side seam", "hemline"), 1e-3)
	hem := edgePathOf(t, pieceOf(t, res.Pattern, "panel"), "hemline")
	// The circle about the same point through (350, 600): R² = 350² + 2100².
	require.InDelta(t, math.Hypot(350, 2100)-1500, hem.End().Y, 1e-3)
	require.InDelta(t, 0, hem.End().X, 1e-9)
}

// hemAngles is the sum of the angles in degrees of the lines at a seam, panel
// and other laid together.
func hemAngles(t *testing.T, p *pattern.Pattern, side, line string) float64 {
	t.Helper()
	sum := 0.0
	for _, q := range p.Pieces {
		s, l := edgePathOf(t, q, side), edgePathOf(t, q, line)
		if s.Start().Dist(l.End()) < 1e-6 {
			s, l = s.Reverse(), l.Reverse()
		}
		require.InDelta(t, 0, s.End().Dist(l.Start()), 1e-6)
		sum += math.Abs(deg(geom.AngleBetween(s.EndTangent().Mul(-1), l.StartTangent())))
	}
	return sum
}

// The same flare on both sides of a seam: the seam walks to 0.00 mm, and the
// hem, which was not smooth, is smooth across it once trued.
func TestFlareBothThenTrue(t *testing.T) {
	p := slanted()
	r := recipe("flare", "panel", "edge", "side seam", "by", "50", "from", "200")
	partners, err := Partners(p, r)
	require.NoError(t, err)
	require.Len(t, partners, 1)
	for _, r := range append([]Recipe{r}, partners...) {
		res, err := Make(p, r)
		require.NoError(t, err)
		p = res.Pattern
	}
	fits(t, p, &p.Seams[0], 0.005)
	require.InDelta(t, 161.075, hemAngles(t, p, "side seam", "hemline"), 0.01, "a flare keeps the angle at the hem")
	p = made(t, p, "true", "panel", "edge", "hemline").Pattern
	fits(t, p, &p.Seams[0], 0.005)
	require.InDelta(t, 180, hemAngles(t, p, "side seam", "hemline"), 1e-2)
	again := made(t, stored(t, p), "true", "panel", "edge", "hemline")
	require.InDelta(t, 180, hemAngles(t, again.Pattern, "side seam", "hemline"), 1e-2)
}

// Let out 40 all round over four edges: 10 an edge; a pinch 10 deep takes out
// 20 (derived).
func TestFactAllRound(t *testing.T) {
	p := smallSmock(t)
	r := recipe("let-out", "back", "edge", "side seam", "all-round", "40")
	one, says, err := ShareOut(p, r, true) // back on the fold, front a pair: four edges
	require.NoError(t, err)
	require.Equal(t, "let out 10 mm an edge: 40 mm round the garment", says)
	require.Equal(t, "10mm", one.Values["by"])
	require.Equal(t, "40", r.Values["all-round"], "the recipe it was given")
	_, says, err = ShareOut(p, recipe("take-in", "front", "edge", "side seam", "by", "10"), false)
	require.NoError(t, err)
	require.Equal(t, "taken in 10 mm an edge: 20 mm round the garment", says)
	_, says, err = ShareOut(p, recipe("take-in", "pocket", "edge", "side edge", "by", "10"), false)
	require.NoError(t, err)
	require.Empty(t, says, "no grain line and no fold tell which way is its width")
	pieceOf(t, p, "pocket").Grain = &pattern.Grain{From: geom.Pt(80, 20), To: geom.Pt(80, 150)}
	_, says, err = ShareOut(p, recipe("take-in", "pocket", "edge", "side edge", "by", "10"), false)
	require.NoError(t, err)
	require.Equal(t, "taken in 10 mm an edge: 10 mm at each pocket", says, "a pair of pockets, each by itself")
	res := made(t, p, "let-out", "back", "edge", "side seam", "all-round", "40") // on the back alone: two edges of 20
	require.Contains(t, res.Says[0], "let out 20 mm an edge: 40 mm round the garment")
	was, now := edgePathOf(t, pieceOf(t, p, "back"), "hemline"), edgePathOf(t, pieceOf(t, res.Pattern, "back"), "hemline")
	side := edgePathOf(t, pieceOf(t, p, "back"), "side seam").StartTangent()
	require.InDelta(t, 20/side.Y, now.Length()-was.Length(), 1e-3) // 20 square to a slanting side
	for _, values := range [][]string{{"edge", "side seam"}, {"edge", "side seam", "by", "10", "all-round", "40"}} {
		_, _, err := ShareOut(p, recipe("let-out", "back", values...), false)
		require.ErrorContains(t, err, "all-round")
	}
}

// Swung 200 below the waist a side of 800 has a dent of 4.776° at the pivot
// (derived); blended it has none, ends where it did, and is shorter by what a
// circle of that turn saves on two tangents of 100: 200 − r·θ, r = 100/tan(θ/2).
func TestFactBlend(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	res := made(t, p, "flare", "panel", "edge", "side seam", "by", "50", "from", "200")
	require.Contains(t, strings.Join(res.Says, "\n"), "a dent of 4.78°")
	plain := res.Pattern.Pieces[0]
	q := alter(t, p, "flare", "edge", "side seam", "by", "50", "from", "200", "blend", "true")
	require.Equal(t, plain.Corners, q.Corners)
	side := q.EdgePath(1)
	require.Len(t, side, 3)
	for i := 1; i < len(side); i++ {
		require.InDelta(t, 0, geom.AngleBetween(side[i-1].Tangent(1), side[i].Tangent(0)), 1e-5)
	}
	theta := 2 * math.Asin(50./2/600)
	require.InDelta(t, 200-100/math.Tan(theta/2)*theta, 800-side.Length(), 2e-3)
}

// 7 buttons from 100 to 580: 80 apart (derived).
func TestFactButtons(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	res := made(t, p, "mark", "panel", "kind", "button", "at", "centre@700, 20 in", "to", "centre@220, 20 in", "count", "7", "size", "20")
	require.Contains(t, res.Says[0], "80 mm apart")
	for k, b := range res.Pattern.Pieces[0].Marks {
		require.Equal(t, fmt.Sprintf("button %d", k+1), b.Name)
		require.Equal(t, geom.Pt(20, 100+80*float64(k)), b.At)
	}
}

// A concave sewing line of radius 80 with allowances 6, 10, 15: cut to sewn
// length 0.925, 0.875, 0.8125; impossible when the allowance is as wide as the
// radius (derived). That is refused, and the pattern stays.
func TestFactConcaveAllowance(t *testing.T) {
	hollow := geom.Arc(geom.Pt(0, 0), 80, math.Pi/2, -math.Pi/2) // from (0, 80) to (80, 0): the piece lies outside
	p := build([]string{"neckline", "shoulder", "side", "hem", "front"},
		hollow, geom.Polyline(geom.Pt(80, 0), geom.Pt(300, 0)), geom.Polyline(geom.Pt(300, 0), geom.Pt(300, 400)),
		geom.Polyline(geom.Pt(300, 400), geom.Pt(0, 400)), geom.Polyline(geom.Pt(0, 400), geom.Pt(0, 80)))
	for allowance, ratio := range map[string]float64{"6": 0.925, "10": 0.875, "15": 0.8125} {
		q := alter(t, p, "allowance", "edge", "neckline", "to", allowance)
		line, err := q.CuttingLine(pattern.ClothSet)
		require.NoError(t, err)
		for k, c := range line.Ring {
			if mid := c.At(0.5); line.Edge[k] == 0 && !c.IsStraight(1e-3) {
				require.InDelta(t, ratio, mid.Len()/80, 4e-4) // one cubic a quarter: 2.7e-4 of the radius (Riškus 2006)
			}
		}
	}
	_, err := Make(p, recipe("allowance", "panel", "edge", "neckline", "to", "80"))
	require.ErrorContains(t, err, "is wider than the hollow of radius")
	require.ErrorContains(t, err, "make it narrower there")
	require.Zero(t, p.Pieces[0].Edges[0].Allowance[pattern.ClothSet])
}

// 5/8 in is 15.875 mm, not 15 (definition of the inch).
func TestFactInch(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	p.Unit = units.Inch
	q := alter(t, p, "allowance", "edge", "side seam", "to", "5/8")
	require.Equal(t, 15.875, q.Edges[1].Allowance[pattern.ClothSet])
}
