package alter

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/match"
	"toile/pattern/units"
)

// budgetCase is a pattern of curved pieces and what is asked of it, drawn at
// random.
type budgetCase struct {
	whole *pattern.Pattern // as it was drawn
	p     *pattern.Pattern // as it is before the alteration
	by    float64
	at    [2]float64 // shares along the edges that a line crosses
}

// Edges of the curved pieces, in the order in which a line from one to the
// other is asked for.
const (
	crossedTop = "shoulder"
	crossedHem = "hemline"
)

// curves is how many curves an edge stores: its start and its inner nodes.
func curves(q *pattern.Piece, edge string) int {
	i, err := q.EdgeIndex(edge)
	if err != nil {
		return 0
	}
	return len(q.Edges[i].Handles)
}

func (c *budgetCase) piece(name string) *pattern.Piece {
	q, err := c.p.Piece(name)
	if err != nil {
		return nil
	}
	return q
}

func (c *budgetCase) path(piece, edge string) geom.Path {
	q := c.piece(piece)
	i, _ := q.EdgeIndex(edge)
	return q.EdgePath(i)
}

// tail is the curve with which an edge is run on at an end: none where it ends
// straight, for a straight line run on is one line.
func (c *budgetCase) tail(piece, edge string, atEnd bool) int {
	p := c.path(piece, edge)
	last := p[0]
	if atEnd {
		last = p[len(p)-1]
	}
	if last.IsStraight(1e-6) {
		return 0
	}
	return 1
}

// lineAcross goes from the shoulder to the hem.
func (c *budgetCase) lineAcross() string {
	return fmt.Sprintf("%s@%.2f:%s@%.2f", crossedTop, c.at[0]*c.path("back", crossedTop).Length(), crossedHem, c.at[1]*c.path("back", crossedHem).Length())
}

func (c *budgetCase) amount() string { return fmt.Sprintf("%.2f", c.by) }

// budgets are how many curves edges may store: by PIECE/EDGE, the parts of an
// edge that was cut together. An edge that is not named may store what its
// source did, a piece's edge of no source nothing.
type budgets map[string]int

// budgetRow is a kind with what it may store, told from its input alone:
// its sources, meetings, cuts and declared new curves.
type budgetRow struct {
	name  string
	ask   func(c *budgetCase) Recipe
	most  func(c *budgetCase) budgets
	first func(c *budgetCase) Recipe // made before, and not counted
}

// hemAlone: the hem is shifted as it is, and cut or run on at either end (a
// tail each); its neighbours are cut where it is taken up, which adds nothing
// (extra 0), and run on where it is let down (a tail each). moved are the
// curves of the shifted hem.
func (c *budgetCase) hemAlone(moved, extra int) budgets {
	return budgets{
		"back/hemline":     moved + c.tail("back", "hemline", false) + c.tail("back", "hemline", true),
		"back/side seam":   curves(c.piece("back"), "side seam") + extra*c.tail("back", "side seam", true),
		"back/centre back": curves(c.piece("back"), "centre back") + extra*c.tail("back", "centre back", false),
	}
}

// seamMoved: the side seam is another line of so many curves, cut or run on at
// either end (a tail each), as its neighbours are at their ends there.
func (c *budgetCase) seamMoved(moved int) budgets {
	return budgets{
		"back/side seam": moved + c.tail("back", "side seam", false) + c.tail("back", "side seam", true),
		"back/armhole":   curves(c.piece("back"), "armhole") + c.tail("back", "armhole", true),
		"back/hemline":   curves(c.piece("back"), "hemline") + c.tail("back", "hemline", false),
	}
}

// opened: an edge that is cut through and trued has one node more at the cut
// and the cubic that bridges it; a straight one in parallel stays one line.
func (c *budgetCase) opened(piece string, parallel bool, edges ...string) budgets {
	b := budgets{}
	for _, e := range edges {
		n := curves(c.piece(piece), e)
		if p := c.path(piece, e); !parallel || len(p) > 1 || !p[0].IsStraight(1e-6) {
			n += 1 + 1
		}
		b[piece+"/"+e] = n
	}
	return b
}

// offsetCurves is how many cubics the parallel to an edge has.
func (c *budgetCase) offsetCurves(edge string, by float64) int {
	p, err := c.path("back", edge).Offset(by, offsetWithin)
	if err != nil {
		return 0
	}
	return len(p)
}

// swung: a swung edge is cut at the pivot (1), its blend is a cubic more; the
// hem is led on with one eased cubic.
func (c *budgetCase) swung(pivot, blend int) budgets {
	return budgets{
		"back/side seam": curves(c.piece("back"), "side seam") + pivot + blend,
		"back/hemline":   curves(c.piece("back"), "hemline") + 1,
	}
}

// truedAcross: the edge is cut where it begins to be drawn anew, which takes
// nodes away, and has one eased cubic more; the side is cut or run on (a tail).
func (c *budgetCase) truedAcross(piece, side string, sideAtEnd bool) budgets {
	return budgets{
		piece + "/hemline": curves(c.piece(piece), "hemline") + 1,
		piece + "/" + side: curves(c.piece(piece), side) + c.tail(piece, side, sideAtEnd),
	}
}

// joined is what an edge stores that was cut at a share of its length and is
// one again.
func (c *budgetCase) joined(edge string, share float64) int {
	i, _ := c.whole.Pieces[0].EdgeIndex(edge)
	p := c.whole.Pieces[0].EdgePath(i)
	const least = 0.03 // of a curve's parameter, from its ends
	if t := p.PlaceAt(share * p.Length()).T; !p[p.PlaceAt(share*p.Length()).Curve].IsStraight(1e-6) && (t < least || t > 1-least) {
		return len(p) + 1
	}
	return len(p)
}

// merged puts budgets of several edges together.
func merged(all ...budgets) budgets {
	out := budgets{}
	for _, b := range all {
		for k, n := range b {
			out[k] = n
		}
	}
	return out
}

func splitAcross(c *budgetCase) Recipe {
	return recipe("split", "back", "line", c.lineAcross(), "into", "back,side back")
}

// faced drafts the facing that a lining is cut to.
func faced(c *budgetCase) Recipe {
	return recipe("facing", "back", "edges", "neckline", "width", "40", "as", "back facing")
}

func budgetRows() []budgetRow {
	hem := func(kind string, more ...string) func(c *budgetCase) Recipe {
		return func(c *budgetCase) Recipe {
			return recipe(kind, "back", append([]string{"edge", "hemline", "by", c.amount()}, more...)...)
		}
	}
	side := func(kind string, more ...string) func(c *budgetCase) Recipe {
		return func(c *budgetCase) Recipe {
			return recipe(kind, "back", append([]string{"edge", "side seam", "by", c.amount()}, more...)...)
		}
	}
	across := func(kind string, more ...string) func(c *budgetCase) Recipe {
		return func(c *budgetCase) Recipe {
			return recipe(kind, "back", append([]string{"line", c.lineAcross(), "by", c.amount()}, more...)...)
		}
	}
	own := func(extra int) func(c *budgetCase) budgets {
		return func(c *budgetCase) budgets { return c.hemAlone(curves(c.piece("back"), "hemline"), extra) }
	}
	parallel := func(sign float64, extra int) func(c *budgetCase) budgets {
		return func(c *budgetCase) budgets { return c.hemAlone(c.offsetCurves("hemline", sign*c.by), extra) }
	}
	seam := func(sign float64) func(c *budgetCase) budgets {
		return func(c *budgetCase) budgets { return c.seamMoved(c.offsetCurves("side seam", sign*c.by)) }
	}
	taper := func(sign float64) func(c *budgetCase) budgets {
		return func(c *budgetCase) budgets {
			p := c.path("back", "side seam")
			return c.seamMoved(len(match.Tapered(p, 0, sign*c.by/p.Length())))
		}
	}
	inside := []string{"inside", "side seam@250:centre back@230"}
	return []budgetRow{
		// The hem as it is, its neighbours cut.
		{"shorten", hem("shorten"), own(0), nil},
		{"shorten along", hem("shorten", "along", "side seam"), own(0), nil},
		// The parallel to the hem, its neighbours cut.
		{"shorten parallel", hem("shorten", "parallel", "true"), parallel(-1, 0), nil},
		// The hem as it is, its neighbours run on.
		{"lengthen", hem("lengthen"), own(1), nil},
		{"lengthen along", hem("lengthen", "along", "side seam"), own(1), nil},
		{"lengthen parallel", hem("lengthen", "parallel", "true"), parallel(1, 1), nil},
		// The sides of both pieces at that level cut and trued; hems only move.
		{"shorten inside", hem("shorten", inside...), tucked, nil},
		{"lengthen inside", hem("lengthen", inside...), tucked, nil},
		// The parallel to the seam, its ends and its neighbours' cut or run on.
		{"let-out", side("let-out"), seam(1), nil},
		{"take-in", side("take-in"), seam(-1), nil},
		// The tapered line in place of the seam.
		{"let-out tapered", side("let-out", "to", "end"), taper(1), nil},
		{"take-in tapered", side("take-in", "to", "end"), taper(-1), nil},
		// Swung about its end: no cut. Swung about a place on it: the cut there.
		{"flare from the end", side("flare"), func(c *budgetCase) budgets { return c.swung(0, 0) }, nil},
		{"flare", side("flare", "from", "150"), func(c *budgetCase) budgets { return c.swung(1, 0) }, nil},
		{"flare blended", side("flare", "from", "150", "blend", "true"), func(c *budgetCase) budgets { return c.swung(1, 1) }, nil},
		// Both edges that the line crosses cut and trued; the others only move.
		{"spread", across("spread"), func(c *budgetCase) budgets { return c.opened("back", true, crossedTop, crossedHem) }, nil},
		{"close", across("close"), func(c *budgetCase) budgets { return c.opened("back", true, crossedTop, crossedHem) }, nil},
		{"spread hinged", across("spread", "hinge", crossedTop), func(c *budgetCase) budgets { return c.opened("back", false, crossedTop, crossedHem) }, nil},
		{"close hinged", across("close", "hinge", crossedTop), func(c *budgetCase) budgets { return c.opened("back", false, crossedTop, crossedHem) }, nil},
		// A node at each of the two cuts, and the straight line on either part.
		{"split", splitAcross, func(c *budgetCase) budgets {
			return budgets{"back/shoulder": curves(c.piece("back"), "shoulder") + 1, "back/hemline": curves(c.piece("back"), "hemline") + 1,
				"back/seam to side back": 1, "side back/seam to back": 1}
		}, nil},
		// What was split is whole again, each cubic that was cut one cubic, but
		// for a cut so near a curve's end that its digits no longer tell (1).
		{"join", func(*budgetCase) Recipe {
			return recipe("join", "back", "edge", "seam to side back", "with", "side back", "at", "seam to back")
		}, func(c *budgetCase) budgets {
			return budgets{"back/shoulder": c.joined(crossedTop, c.at[0]), "back/hemline": c.joined(crossedHem, c.at[1])}
		}, splitAcross},
		// Towards a fold: the fold itself is cut or run on, straight.
		{"true across the fold", func(*budgetCase) Recipe {
			return recipe("true", "back", "edge", "hemline", "across", "centre back", "over", "60")
		}, func(c *budgetCase) budgets { return c.truedAcross("back", "centre back", false) }, nil},
		// Across the seam: the hem and the side of both pieces.
		{"true across the seam", func(*budgetCase) Recipe {
			return recipe("true", "back", "edge", "hemline", "across", "side seam", "over", "60")
		}, func(c *budgetCase) budgets {
			return merged(c.truedAcross("back", "side seam", true), c.truedAcross("front", "side seam", false))
		}, nil},
		// The drawn path's two cubics in place of the edge's, from end to end.
		{"redraw", func(c *budgetCase) Recipe {
			p := c.path("back", "neckline")
			a, b := p.Start(), p.End()
			m := a.Lerp(b, 0.5).Add(geom.Pt(3, 6))
			return recipe("redraw", "back", "edge", "neckline", "path", fmt.Sprintf("M %g %g C %g %g %g %g %g %g C %g %g %g %g %g %g",
				a.X, a.Y, a.X+12, a.Y, m.X-12, m.Y+5, m.X, m.Y, m.X+12, m.Y-5, b.X-3, b.Y+12, b.X, b.Y))
		}, func(*budgetCase) budgets { return budgets{"back/neckline": 2} }, nil},
		// A rounding is a radius; nothing of it is stored on the edges.
		{"round-corner", func(c *budgetCase) Recipe {
			return recipe("round-corner", "back", "corner", "side seam/hemline", "radius", c.amount())
		}, func(c *budgetCase) budgets {
			return budgets{"back/side seam": curves(c.piece("back"), "side seam"), "back/hemline": curves(c.piece("back"), "hemline")}
		}, nil},
		// The edges of the outer whole or cut; the inner edge is the parallel to
		// the neckline, run on at either end (a tail each).
		{"facing", faced, func(c *budgetCase) budgets {
			return merged(c.like("back facing"), budgets{"back facing/inner edge": c.offsetCurves("neckline", -40) + 2})
		}, nil},
		// The edges of the outer whole or cut, and the facing's inner edge.
		{"lining", func(*budgetCase) Recipe {
			return recipe("lining", "back", "facing", "back facing", "as", "back lining")
		}, func(c *budgetCase) budgets {
			return merged(c.like("back lining"), budgets{"back lining/inner edge": c.innerEdges()})
		}, faced},
	}
}

func tucked(c *budgetCase) budgets {
	return merged(c.opened("back", true, "side seam", "centre back"), c.opened("front", true, "side seam", "centre front"))
}

// like are the budgets of a piece drafted from the back: of each edge what the
// back's has.
func (c *budgetCase) like(name string) budgets {
	b := budgets{}
	for _, e := range c.piece("back").EdgeNames() {
		b[name+"/"+e] = curves(c.piece("back"), e)
	}
	return b
}

// innerEdges are the curves of the facing's inner edge, corner after corner.
func (c *budgetCase) innerEdges() int {
	n := 0
	for _, e := range c.piece("back facing").Edges {
		if strings.HasPrefix(e.Name, innerEdge) {
			n += len(e.Handles)
		}
	}
	return n
}

// bowedEdge is an edge of one to three curves that run smoothly on, bowed by a
// share of its chord at most, and now and then straight.
func bowedEdge(rng *rand.Rand, name string, a, b geom.Point, bow float64) edgeDrawn {
	if rng.IntN(6) == 0 {
		return edgeDrawn{name, geom.Polyline(a, b)}
	}
	high, skew := bow*(2*rng.Float64()-1), bow*(2*rng.Float64()-1)
	chord := b.Sub(a)
	at := func(f float64) geom.Point {
		return rounded(a.Lerp(b, f).Add(chord.Left().Mul(f * (1 - f) * (4*high + skew*(1-2*f)))))
	}
	slope := func(f float64) geom.Point {
		return chord.Add(chord.Left().Mul(4*high*(1-2*f) + skew*(1-6*f+6*f*f)))
	}
	n := 1 + rng.IntN(3)
	var path geom.Path
	for k := range n {
		f, g := float64(k)/float64(n), float64(k+1)/float64(n)
		one, two := (0.8+0.4*rng.Float64())*(g-f)/3, (0.8+0.4*rng.Float64())*(g-f)/3
		path = append(path, geom.Cubic{P0: at(f), P1: rounded(at(f).Add(slope(f).Mul(one))), P2: rounded(at(g).Sub(slope(g).Mul(two))), P3: at(g)})
	}
	return edgeDrawn{name, path}
}

// curvedSmock is a back on the fold and the front that is its mirror image, all
// their edges but the centres curved at random, sewn at the side.
func curvedSmock(t testing.TB, rng *rand.Rand) *pattern.Pattern {
	t.Helper()
	near := func(x, y float64) geom.Point {
		return rounded(geom.Pt(x+12*(2*rng.Float64()-1), y+12*(2*rng.Float64()-1)))
	}
	nape, neck, tip, under, low := geom.Pt(0, 40), near(75, 0), near(180, 35), near(270, 190), near(290, 690)
	centre := geom.Pt(0, 700)
	back := drawPiece("back", "outer", pattern.CutOnFold,
		bowedEdge(rng, "neckline", nape, neck, 0.1), bowedEdge(rng, "shoulder", neck, tip, 0.03), bowedEdge(rng, "armhole", tip, under, 0.06),
		bowedEdge(rng, "side seam", under, low, 0.04), bowedEdge(rng, "hemline", low, centre, 0.03), lineTo("centre back", 0, 700, 0, 40))
	front := back.Moved(geom.Motion{Mirror: true, Shift: geom.Pt(900, 0)})
	asStored(front)
	front.Name, front.Cut = "front", pattern.CutPair
	for i := range front.Edges {
		if e := &front.Edges[i]; e.Fold {
			e.Name, e.Fold, e.Allowance = "centre front", false, map[string]float64{pattern.ClothSet: 10}
		}
	}
	p := pattern.New("curved smock", units.Millimetre)
	for _, q := range []*pattern.Piece{back, front} {
		q.Slug = p.NewSlug(q.Name)
		p.Put(q)
		p.GiveIDs(q)
	}
	p.Seams = []pattern.Seam{{Name: "side seam", First: pattern.Chain{{Piece: "back", Edge: "side seam"}}, Second: pattern.Chain{{Piece: "front", Edge: "side seam"}}}}
	sewn(t, p)
	return p
}

// sourceOf is the edge that one came from, by its name: a part's number and the
// name of the part of the piece left out.
func sourceOf(b budgets, before *pattern.Pattern, piece, edge string) string {

	for {
		for _, name := range []string{piece, "back", "side back"} {
			if _, ok := b[name+"/"+edge]; ok {
				return name + "/" + edge
			}
			if q, err := before.Piece(name); err == nil && curves(q, edge) > 0 {
				return name + "/" + edge
			}
		}
		cut := strings.LastIndex(edge, " ")
		if cut < 0 {
			return ""
		}
		edge = edge[:cut]
	}
}

// overBudget tells the edges of the result that store more than their sources,
// meetings, cuts and declared curves.
func overBudget(b budgets, before, after *pattern.Pattern) (over []string) {
	stored := map[string]int{}
	for _, q := range after.Pieces {
		for _, e := range q.Edges {
			from := sourceOf(b, before, q.Name, e.Name)
			if from == "" {
				over = append(over, fmt.Sprintf("%s/%s comes from nothing", q.Name, e.Name))
				continue
			}
			stored[from] += len(e.Handles)
		}
	}
	for from, n := range stored {
		most, ok := b[from]
		if !ok {
			piece, edge, _ := strings.Cut(from, "/")
			q, _ := before.Piece(piece)
			most = curves(q, edge)
		}
		if n > most {
			over = append(over, fmt.Sprintf("%s stores %d curves, and %d are accounted for", from, n, most))
		}
	}
	slices.Sort(over)
	return over
}

// No alteration stores more nodes than its sources, meetings, cuts and declared
// curves: on curved pieces drawn at random, edge by edge.
func TestNodesAreAccountedFor(t *testing.T) {
	const seed, rounds = 20260611, 40
	t.Logf("seed %d", seed)
	for _, row := range budgetRows() {
		t.Run(row.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(seed, 2))
			done, full := 0, 0
			for range rounds {
				c := &budgetCase{p: curvedSmock(t, rng), by: 2 + 18*rng.Float64(), at: [2]float64{0.3 + 0.4*rng.Float64(), 0.3 + 0.4*rng.Float64()}}
				c.whole = c.p
				if row.first != nil {
					res, err := Make(c.p, row.first(c))
					if err != nil {
						continue
					}
					c.p = stored(t, res.Pattern)
				}
				res, err := Make(c.p, row.ask(c))
				if err != nil { // a refusal stores nothing
					t.Logf("refused: %v", err)
					continue
				}
				done++
				b := row.most(c)
				require.Empty(t, overBudget(b, c.p, res.Pattern), "%v", row.ask(c))
				if key := fullEdge(b, res.Pattern); key != "" { // a test that never comes near its bounds says little
					full++
					require.NotEmpty(t, overBudget(b, c.p, withNode(res.Pattern, key)), "a node more on %s is noticed", key)
				}
			}
			t.Logf("%d of %d made, %d of them store all that is accounted for on some edge", done, rounds, full)
			require.Greater(t, done, rounds/2)
			require.Positive(t, full)
		})
	}
}

// fullEdge is an edge that stores all that is accounted for.
func fullEdge(b budgets, p *pattern.Pattern) string {
	for _, q := range p.Pieces {
		for _, e := range q.Edges {
			if n, ok := b[q.Name+"/"+e.Name]; ok && n == len(e.Handles) {
				return q.Name + "/" + e.Name
			}
		}
	}
	return ""
}

// withNode is the pattern with the first curve of an edge stored as two.
func withNode(p *pattern.Pattern, key string) *pattern.Pattern {
	more := p.Clone()
	piece, edge, _ := strings.Cut(key, "/")
	q, _ := more.Piece(piece)
	i, _ := q.EdgeIndex(edge)
	path := q.EdgePath(i)
	a, b := path[0].Split(0.5)
	q.Edges[i].SetPath(append(geom.Path{a, b}, path[1:]...))
	return more
}
