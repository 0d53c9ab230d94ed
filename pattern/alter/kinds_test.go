package alter

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// Turned over, x becomes min + max − x; the outline lists the same edges the
// other way round, notches stay where they are, and seams still walk.
func TestMirror(t *testing.T) {
	p := smallSmock(t)
	front := pieceOf(t, p, "front")
	res := made(t, p, "mirror", "front")
	q := pieceOf(t, res.Pattern, "front")
	flip := func(a geom.Point) geom.Point { return geom.Pt(250-a.X, a.Y) }
	for _, name := range front.EdgeNames() {
		a, b := edgePathOf(t, front, name), edgePathOf(t, q, name).Reverse()
		for k := range 9 {
			f := float64(k) / 8
			require.InDelta(t, 0, flip(a.PointAt(f*a.Length())).Dist(b.PointAt(f*b.Length())), 1e-6, name)
		}
	}
	was, _, _, err := front.NotchPlace(front.Notches[0])
	require.NoError(t, err)
	now, _, _, err := q.NotchPlace(q.Notches[0])
	require.NoError(t, err)
	require.InDelta(t, 0, flip(was).Dist(now), 1e-6)
	walksAsBefore(t, p, res.Pattern)
}

// walksAsBefore requires every seam of before to have the same sections.
func walksAsBefore(t *testing.T, before, after *pattern.Pattern) {
	t.Helper()
	for i := range before.Seams {
		k := slices.IndexFunc(after.Seams, func(s pattern.Seam) bool { return s.Name == before.Seams[i].Name })
		a, err := before.WalkSeam(&before.Seams[i])
		require.NoError(t, err)
		b, err := after.WalkSeam(&after.Seams[k])
		require.NoError(t, err)
		require.Len(t, b, len(a))
		for j := range a {
			require.InDelta(t, a[j].First, b[j].First, 0.002)
			require.InDelta(t, a[j].Second, b[j].Second, 0.002)
		}
	}
}

// A seam along part of an edge stays on that part when the piece is turned
// over.
func TestMirrorKeepsStretches(t *testing.T) {
	p := smallSmock(t)
	p.Seams[0].Sections = nil
	p.Seams[0].Second[0].From, p.Seams[0].Second[0].To = 40, 300
	res := made(t, p, "mirror", "front")
	length := edgePathOf(t, pieceOf(t, p, "front"), "side seam").Length()
	st := res.Pattern.Seams[0].Second[0]
	require.True(t, st.Turned)
	require.InDelta(t, length-300, st.From, 1e-3)
	require.InDelta(t, length-40, st.To, 1e-3)
	walksAsBefore(t, p, res.Pattern)
	again := made(t, stored(t, res.Pattern), "mirror", "front")
	require.InDelta(t, 40, again.Pattern.Seams[0].Second[0].From, 1e-3)
	require.False(t, again.Pattern.Seams[0].Second[0].Turned)
}

// Drawn whole: twice the area, its box from −250 to 250, the hem one straight
// line over the fold, the neckline one curve over it, marks and notches on both
// halves, and the seams on either side as they were on the half.
func TestUnfold(t *testing.T) {
	p := smallSmock(t)
	back := pieceOf(t, p, "back")
	back.Marks = []pattern.Mark{{Kind: pattern.MarkDot, Name: "dart end", At: geom.Pt(120, 300)}, {Kind: pattern.MarkDot, Name: "middle", At: geom.Pt(0, 100)}}
	res := made(t, p, "unfold", "back")
	q := pieceOf(t, res.Pattern, "back")
	was, err := back.NetArea()
	require.NoError(t, err)
	now, err := q.NetArea()
	require.NoError(t, err)
	require.InDelta(t, 2*was, now, 1e-6)
	require.Equal(t, pattern.CutOne, q.Cut)
	require.ElementsMatch(t, []string{"neckline", "shoulder", "armhole", "side seam", "hemline", "other side seam", "other armhole", "other shoulder"}, q.EdgeNames())
	hem := edgePathOf(t, q, "hemline")
	require.Len(t, hem, 1)
	require.Equal(t, [2]geom.Point{geom.Pt(250, 700), geom.Pt(-250, 700)}, [2]geom.Point{hem.Start(), hem.End()})
	require.InDelta(t, 2*edgePathOf(t, back, "neckline").Length(), edgePathOf(t, q, "neckline").Length(), 1e-6)
	places := map[string]geom.Point{}
	for _, n := range q.Notches {
		at, _, _, err := q.NotchPlace(n)
		require.NoError(t, err)
		places[n.Name] = at
	}
	for _, n := range back.Notches {
		at, _, _, err := back.NotchPlace(n)
		require.NoError(t, err)
		require.InDelta(t, 0, at.Dist(places[n.Name]), 1e-3, n.Name)
		require.InDelta(t, 0, geom.Pt(-at.X, at.Y).Dist(places["other "+n.Name]), 1e-3, n.Name)
	}
	require.Equal(t, geom.Pt(-120, 300), q.Marks[2].At)
	require.Len(t, q.Marks, 3, "what lies on the fold is marked once")
	require.Equal(t, "centre back", q.Lines[0].Name)
	walksAsBefore(t, p, res.Pattern)
	for _, name := range []string{"side seam", "shoulder"} {
		require.InDelta(t, 0, seamDifference(t, res.Pattern, "other "+name)-seamDifference(t, p, name), 2e-3)
	}
	_, err = Make(res.Pattern, recipe("unfold", "back"))
	require.ErrorContains(t, err, "has no fold")
}

func seamDifference(t *testing.T, p *pattern.Pattern, name string) float64 {
	t.Helper()
	k := slices.IndexFunc(p.Seams, func(s pattern.Seam) bool { return s.Name == name })
	require.GreaterOrEqual(t, k, 0, name)
	sections, err := p.WalkSeam(&p.Seams[k])
	require.NoError(t, err)
	sum := 0.0
	for _, s := range sections {
		sum += s.Difference()
	}
	return sum
}

// Left and right of a pair: each cut once, the other one's mirror image, and
// sewn as the pair was. Once both sides of a seam are separated, left goes with
// left; a seam of the pair with itself joins the two.
func TestSeparate(t *testing.T) {
	p := smallSmock(t)
	back := pieceOf(t, p, "back")
	back.Cut, back.Edges[5].Fold = pattern.CutPair, false // a centre back seam
	p.Seams = append(p.Seams, pattern.Seam{Name: "centre back seam", First: pattern.Chain{{Piece: "back", Edge: "centre back"}}, Second: pattern.Chain{{Piece: "back", Edge: "centre back"}}, SameWay: true})
	one := made(t, p, "separate", "front", "drawn", "left").Pattern
	left, right := pieceOf(t, one, "left front"), pieceOf(t, one, "right front")
	require.Equal(t, "left", left.Side)
	require.Equal(t, "right", right.Side)
	require.Equal(t, pieceOf(t, p, "front").ID, left.ID)
	require.Equal(t, left.ID, right.Was)
	a, err := left.NetArea()
	require.NoError(t, err)
	b, err := right.NetArea()
	require.NoError(t, err)
	require.InDelta(t, a, b, 1e-6)
	require.Len(t, one.Layers, 2)
	two := made(t, stored(t, one), "separate", "back", "drawn", "right").Pattern
	sewn(t, two)
	joined := map[string]bool{}
	for _, s := range two.Seams {
		joined[s.First.String()+" "+s.Second.String()] = true
		require.InDelta(t, 0, seamDifference(t, two, s.Name), 1e-2, s.Name)
	}
	require.True(t, joined["right back/centre back left back/centre back:turned"], "%v", joined)
	for _, s := range two.Seams {
		text := s.First.String() + s.Second.String()
		if strings.Contains(text, "back/side seam") {
			require.NotEqual(t, strings.Contains(text, "left"), strings.Contains(text, "right"), text)
		}
	}
	require.Len(t, two.Seams, len(p.Seams)+3, "side seam, shoulder and facing twice, the centre back seam once")
}

// What one piece gives the other takes: both areas together stay, laid together
// the seam is one line still, and it walks as before.
func TestShiftSeam(t *testing.T) {
	p := slanted()
	res := made(t, p, "shift-seam", "panel", "edge", "side seam", "by", "12.5")
	var was, now float64
	for i := range p.Pieces {
		a, err := p.Pieces[i].NetArea()
		require.NoError(t, err)
		b, err := res.Pattern.Pieces[i].NetArea()
		require.NoError(t, err)
		was, now = was+a, now+b
	}
	require.InDelta(t, was, now, 0.5)
	fits(t, res.Pattern, &res.Pattern.Seams[0], 0.005)
	q := pieceOf(t, res.Pattern, "panel")
	_, d := edgePathOf(t, q, "side seam").Nearest(geom.Pt(300, 300))
	require.InDelta(t, 12.5, d, 2e-3)
	_, err := Make(p, recipe("shift-seam", "panel", "edge", "waist", "by", "5"))
	require.ErrorContains(t, err, "sewn to no single edge")
}

// The left side 6 let out, the right as it was: both 3 let out, the other edges
// as they were, and what the sides differed by said first.
func TestAverageSides(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(250, 0), geom.Pt(350, 600), geom.Pt(0, 600))
	p.Pieces[0].Cut = pattern.CutPair
	p = made(t, p, "separate", "panel", "drawn", "left").Pattern
	p = made(t, p, "let-out", "left panel", "edge", "side seam", "by", "6").Pattern
	res := made(t, p, "average-sides", "left panel", "with", "right panel")
	require.Contains(t, res.Says[0], "are up to 6")
	want := made(t, panel(geom.Pt(0, 0), geom.Pt(250, 0), geom.Pt(350, 600), geom.Pt(0, 600)), "let-out", "panel", "edge", "side seam", "by", "3").Pattern.Pieces[0]
	left, right := pieceOf(t, res.Pattern, "left panel"), pieceOf(t, res.Pattern, "right panel")
	for i, c := range want.Corners {
		require.InDelta(t, 0, c.At.Dist(left.Corners[i].At), 2e-3)
	}
	for _, name := range want.EdgeNames() {
		require.InDelta(t, edgePathOf(t, want, name).Length(), edgePathOf(t, right, name).Length(), 2e-3, name)
	}
	again := made(t, stored(t, res.Pattern), "average-sides", "left panel", "with", "right panel")
	require.Contains(t, again.Says[0], "alike already")

	// The halves of one piece drawn whole, about its middle: corners (200, 0) and
	// (212, 0) from it become (206, 0).
	whole := build([]string{"top", "right", "bottom", "left"}, geom.Polyline(geom.Pt(-200, 0), geom.Pt(212, 0)), geom.Polyline(geom.Pt(212, 0), geom.Pt(200, 500)),
		geom.Polyline(geom.Pt(200, 500), geom.Pt(-200, 500)), geom.Polyline(geom.Pt(-200, 500), geom.Pt(-200, 0)))
	whole.Pieces[0].Lines = []pattern.ReferenceLine{{Name: "centre", Path: geom.Polyline(geom.Pt(0, 0), geom.Pt(0, 500))}}
	q := made(t, whole, "average-sides", "panel", "axis", "centre").Pattern.Pieces[0]
	require.Equal(t, []geom.Point{geom.Pt(-206, 0), geom.Pt(206, 0), geom.Pt(200, 500), geom.Pt(-200, 500)}, []geom.Point{q.Corners[0].At, q.Corners[1].At, q.Corners[2].At, q.Corners[3].At})
}

// A drawn edge is stored as it was drawn; its neighbours end where it does. One
// drawn elsewhere is laid on the edge's start and towards its end.
func TestRedraw(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	drawn := geom.Cubic{P0: geom.Pt(0, 20), P1: geom.Pt(100, 60), P2: geom.Pt(200, 60), P3: geom.Pt(300, 20)}
	q := alter(t, p, "redraw", "edge", "waist", "path", DrawnText(geom.Path{drawn}, false))
	require.Equal(t, geom.Path{drawn}, q.EdgePath(0))
	require.Equal(t, geom.Pt(300, 20), q.EdgePath(1).Start())
	require.Equal(t, geom.Pt(0, 20), q.EdgePath(3).End())
	backwards := alter(t, p, "redraw", "edge", "waist", "path", DrawnText(geom.Path{drawn}.Reverse(), false))
	require.Equal(t, q.EdgePath(0), backwards.EdgePath(0))
	elsewhere := geom.Path{drawn}.Moved(geom.Motion{Turn: 1, Shift: geom.Pt(900, 50)})
	laid := alter(t, p, "redraw", "edge", "waist", "path", DrawnText(elsewhere, false), "place", "fit")
	require.InDelta(t, 0, laid.EdgePath(0)[0].P1.Dist(geom.Pt(100, 40)), 5e-3)
	require.InDelta(t, 0, laid.EdgePath(0).End().Dist(geom.Pt(300, 0)), 5e-3)
	short := alter(t, p, "redraw", "edge", "waist", "path", "M 20 10 L 280 30") // run on to both sides
	require.InDelta(t, 0, short.Corners[0].At.Dist(geom.Pt(0, 10-20*20./260)), 1e-3)
	require.InDelta(t, 0, short.Corners[1].At.Dist(geom.Pt(300, 30+20*20./260)), 1e-3)

	whole := alter(t, p, "redraw", "path", "M 310 810 L -5 805 L 0 0 L 300 0 Z")
	require.Equal(t, []geom.Point{geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(310, 810), geom.Pt(-5, 805)},
		[]geom.Point{whole.Corners[0].At, whole.Corners[1].At, whole.Corners[2].At, whole.Corners[3].At})
	require.Equal(t, p.Pieces[0].Edges[0], whole.Edges[0])
}

// What recipes keep of a path is read again as it was written.
func TestDrawnText(t *testing.T) {
	for _, text := range []string{"M 0 0 L 10.5 0 C 11 1 12 -3.25 14 9", "M 0 0 L 10 0 L 10 10 L 0 0 Z"} {
		path, closed, err := parseDrawn(text)
		require.NoError(t, err)
		require.Equal(t, text, DrawnText(path, closed))
	}
	for text, says := range map[string]string{"": "shorter than 1 mm", "L 1 1": "begins with M", "M 0 0 L 10 0 M 1 1 L 2 2": "has one alone",
		"M 0 0 H 20": `"H" where`, "M 0 0 L 10": "ends within", "M 0 0 L x 10": "number", "M 0 0 L 50 0 Z L 3 3": "goes on", "M 0 0 L NaN 1": "number"} {
		_, _, err := parseDrawn(text)
		require.ErrorContains(t, err, says, text)
	}
}

func FuzzDrawn(f *testing.F) {
	f.Add("M 0 0 L 10.5 0 C 11 1 12 -3.25 14 9 Z")
	f.Add("M 1e9 0 L")
	f.Fuzz(func(t *testing.T, text string) {
		path, closed, err := parseDrawn(text)
		if err != nil {
			return
		}
		require.NotEmpty(t, path)
		for _, c := range path {
			require.True(t, c.Finite())
		}
		_ = DrawnText(path, closed)
	})
}

// The grain turned by 30° about its middle; along an edge; renamed and removed
// parts are known by their new names, or not at all, wherever they are named.
func TestGrainRenameRemove(t *testing.T) {
	p := smallSmock(t)
	g := pieceOf(t, made(t, p, "grain", "front", "turn", "30deg", "bias", "true").Pattern, "front").Grain
	require.InDelta(t, 0, g.From.Lerp(g.To, 0.5).Dist(geom.Pt(150, 400)), 1e-3)
	require.InDelta(t, 30, deg(geom.AngleBetween(geom.Pt(0, 1), g.To.Sub(g.From))), 1e-3)
	require.True(t, g.Bias)
	g = pieceOf(t, made(t, p, "grain", "front", "along", "side seam").Pattern, "front").Grain
	require.InDelta(t, math.Atan2(40, 470), math.Abs(geom.AngleBetween(geom.Pt(0, 1), g.To.Sub(g.From))), 1e-5)
	res := made(t, p, "rename", "back", "to", "rear")
	require.Equal(t, "rear/side seam", res.Pattern.Seams[0].First.String())
	require.Equal(t, "rear", res.Pattern.Seams[0].Sections[0].First.Piece)
	require.Equal(t, "back", pieceOf(t, res.Pattern, "rear").Slug, "the file stays")
	res = made(t, p, "rename", "front", "notch", "hip", "to", "hip line")
	require.Equal(t, "hip line", res.Pattern.Seams[0].Sections[0].Second.Notch)
	sewn(t, res.Pattern)
	res = made(t, p, "remove", "front", "name", "hip", "seams", "true")
	require.Len(t, res.Pattern.Seams[0].Sections, 1)
	sewn(t, res.Pattern)
	res = made(t, p, "remove", "front", "seams", "true")
	require.Empty(t, res.Pattern.Seams)
	require.Empty(t, res.Pattern.Layers)
}

// Measured on the sewn mock-up: a pleat of 40 taken up from 150 to 190 puts
// what lies 170 along the seam at 210 on paper (150 + 40 + 20); a dart between
// two lines adds its width at that level; what is eased in counts as long as
// the edge it is sewn to.
func TestOnToile(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	p = made(t, p, "mark", "panel", "kind", "pleat", "edge", "waist", "from", "150", "until", "190").Pattern
	at := func(p *pattern.Pattern, values ...string) float64 {
		r := made(t, p, "notch", "panel", append(values, "on-toile", "true")...).Pattern.Pieces
		q := r[slices.IndexFunc(r, func(q *pattern.Piece) bool { return q.Name == "panel" })]
		_, _, along, err := q.NotchPlace(q.Notches[0])
		require.NoError(t, err)
		return along
	}
	require.InDelta(t, 210, at(p, "edge", "waist", "at", "170"), 1e-9)
	require.InDelta(t, 140, at(p, "edge", "waist", "at", "140"), 1e-9)
	require.InDelta(t, 150, at(p, "edge", "waist", "at", "150"), 1e-9)
	require.InDelta(t, 300-110-30, at(p, "edge", "waist", "at", "100@end")-at(p, "edge", "waist", "at", "40@start"), 1e-9) // 200 and 40
	require.InDelta(t, 140, at(p, "edge", "waist", "at", "120@end"), 1e-9)                                                 // 110 to the pleat, 10 beyond it

	p = panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	p = made(t, p, "mark", "panel", "kind", "dart", "at", "150,100", "edge", "waist", "from", "130", "until", "170").Pattern
	q := made(t, p, "mark", "panel", "kind", "dot", "at", "200 from centre, 50 from waist", "on-toile", "true").Pattern.Pieces[0]
	require.Equal(t, geom.Pt(220, 50), q.Marks[1].At) // half way down a dart of 40 is 20 wide
	q = made(t, p, "mark", "panel", "kind", "dot", "at", "200 from centre, 50 from waist").Pattern.Pieces[0]
	require.Equal(t, geom.Pt(200, 50), q.Marks[1].At)

	// A side of 800 eased in to 760: 380 sewn is 400 on paper.
	p = panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	o := p.Pieces[0].Clone()
	o.Name, o.Slug, o.ID = "other", "other", "0000000b"
	o.Corners[2].At.Y, o.Corners[3].At.Y = 760, 760
	p.Put(o)
	p.Seams = []pattern.Seam{{Name: "side", First: pattern.Chain{{Piece: "other", Edge: "centre"}}, Second: pattern.Chain{{Piece: "panel", Edge: "side seam"}}, Sections: []pattern.Section{{Ease: 40}}}}
	require.InDelta(t, 400, at(p, "edge", "side seam", "at", "380"), 1e-6)
	require.InDelta(t, 400, at(p, "edge", "side seam", "at", "380@end"), 1e-6)
	_, err := Make(p, recipe("notch", "panel", "edge", "side seam", "at", "790", "on-toile", "true"))
	require.ErrorContains(t, err, "lies off the edge")
}

// Refusals of the kinds name the piece, what is in the way and the next step,
// and leave the pattern as it was.
func TestKindsRefuse(t *testing.T) {
	p := smallSmock(t)
	before, err := p.Encode()
	require.NoError(t, err)
	for _, c := range []struct {
		r    Recipe
		says string
	}{
		{recipe("flare", "back", "edge", "side seam", "by", "50", "from", "900"), "back, \"side seam\": 900 mm lies off the edge, which is 471.7 mm long; give a length within it"},
		{recipe("split", "front", "line", "900,0:900,500", "into", "a,b"), "crosses the outline nowhere, and has to cross it twice; move it"},
		{recipe("split", "front", "line", "side seam@231.699:front edge@200", "into", "front,lower front"), "runs through the notch \"hip\"; move the line or the notch"},
		{recipe("round-corner", "pocket", "corner", "side edge/lower edge", "radius", "400"), "a radius of 400.00 mm does not fit the corner; about 159.37 mm does"},
		{recipe("allowance", "back", "edge", "centre back", "to", "10"), "a fold has no allowance; name another edge, or unfold"},
		{recipe("allowance", "back", "edge", "armhole", "to", "10", "set", "paper"), "there is no allowance set \"paper\"; the sets are cloth, toile"},
		{recipe("true", "front", "edge", "hemline", "across", "neckline"), "\"neckline\" does not meet \"hemline\"; give one of its neighbours, \"front edge\" or \"side seam\""},
		{recipe("true", "front", "edge", "hemline"), "crosses both \"front edge\" and \"side seam\"; say which with --across"},
		{recipe("true", "pocket", "edge", "opening"), "say what is sewn first"},
		{recipe("true", "front", "edge", "hemline", "across", "side seam", "hold", "hem"), "it is centre or side"},
		{recipe("unfold", "front"), "front has no fold; it is drawn whole already"},
		{recipe("separate", "back", "drawn", "left"), "is no pair; unfold one on fold first"},
		{recipe("separate", "front"), "say with --drawn left or --drawn right"},
		{recipe("rename", "front", "to", "back"), "there is a piece \"back\" already; choose another name"},
		{recipe("rename", "front", "edge", "hemline", "to", "shoulder"), "is that of edge 1; choose another"},
		{recipe("remove", "front"), "is sewn in by the seam \"side seam\"; give --seams"},
		{recipe("remove", "back", "name", "hip"), "is matched at the notch \"hip\"; give --seams"},
		{recipe("remove", "back", "name", "nothing"), "its notches are \"hip\", \"nape\""},
		{recipe("mark", "front", "kind", "sequin", "at", "100,100"), "there is no mark \"sequin\"; it is button"},
		{recipe("mark", "front", "kind", "button", "at", "100,100", "name", "button"), "has a mark \"button\" already; choose another name"},
		{recipe("mark", "front", "kind", "slit", "at", "100,100"), "say where the slit ends, with --to"},
		{recipe("mark", "front", "kind", "dot", "at", "100,100", "count", "5"), "a row of 5 needs its last place"},
		{recipe("move", "front", "name", "hip", "down", "10"), "lies on an edge; move it along that, with --by or --to"},
		{recipe("redraw", "front", "edge", "neckline", "path", "M 0 0 L 10 0 L 10 10 Z"), "this one is closed; open it at the corners"},
		{recipe("redraw", "front", "path", "M 0 0 L 10 0 L 10 10"), "this one is open; close it, or name the edge"},
		{recipe("redraw", "front", "edge", "neckline", "path", "M 900 0 L 990 0"), "no longer meet"},
		{recipe("redraw", "pocket", "path", "M 900 0 L 990 0 L 990 90 Z"), "place it with --place fit"},
		{recipe("average-sides", "back"), "is cut on the fold, so that its halves are alike; unfold it first"},
		{recipe("average-sides", "front", "with", "pocket"), "front is cut a pair, left and right alike in one drawing"},
		{recipe("shift-seam", "front", "edge", "hemline", "by", "5"), "is sewn to no single edge"},
		{recipe("shorten", "back", "edge", "hemline", "by", "50", "inside", "900,0:990,0"), "crosses the outline nowhere"},
		{recipe("grain", "front"), "give --turn, --along or --line"},
		{recipe("notch", "back", "edge", "side seam", "at", "10@nape"), "there is no notch \"nape\" on it to measure from"},
	} {
		_, err := Make(p, c.r)
		require.ErrorContains(t, err, c.says, "%v", c.r)
	}
	after, err := p.Encode()
	require.NoError(t, err)
	require.Equal(t, before, after)
}

// Places counted from a notch, from a line or on the mock-up go over the seam
// to the place they are sewn to; kinds for one piece alone refuse --both.
func TestBothGoesOverTheSeam(t *testing.T) {
	p := smallSmock(t)
	p.Seams[0].Sections = nil
	length := edgePathOf(t, pieceOf(t, p, "front"), "side seam").Length()
	for at, want := range map[string]float64{"30@hip": 270, "hip": 240, "200 from hemline": edgePathOf(t, pieceOf(t, p, "back"), "side seam").Length() - 200*math.Hypot(40, 470)/470, "50": 50} {
		partners, err := Partners(p, recipe("notch", "back", "edge", "side seam", "at", at))
		require.NoError(t, err, at)
		require.Len(t, partners, 1)
		q := pieceOf(t, made(t, p, partners[0].Kind, partners[0].Piece, flat(partners[0])...).Pattern, "front")
		_, _, along, err := q.NotchPlace(q.Notches[1])
		require.NoError(t, err)
		require.InDelta(t, length-want, along, 2e-3, at)
	}
	for _, r := range []Recipe{recipe("mark", "front", "kind", "dot", "at", "1,1", "edge", "side seam"), recipe("shift-seam", "front", "edge", "side seam", "by", "1"), recipe("mirror", "front")} {
		_, err := Partners(p, r)
		require.ErrorContains(t, err, "leave --both out")
	}
}

func flat(r Recipe) (values []string) {
	for k, v := range r.Values {
		values = append(values, k, v)
	}
	return values
}
