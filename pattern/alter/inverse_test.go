package alter

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// curvedPanel is a piece of six edges at random, all curved but the shoulder and
// the centre: neckline, armhole, side seam and hemline, with notches. (mm)
func curvedPanel(rng *rand.Rand) *pattern.Pattern {
	by := func(most float64) float64 { return (2*rng.Float64() - 1) * most }
	neck, tip := geom.Pt(0, 60+by(20)), geom.Pt(80+by(15), by(5))
	point, under := geom.Pt(190+by(20), 40+by(10)), geom.Pt(230+by(20), 230+by(20))
	side, low := geom.Pt(260+by(60), 700+by(60)), geom.Pt(by(30), 720+by(30))
	bowed := func(a, b geom.Point, one, two geom.Point) geom.Path {
		return geom.Path{{P0: a, P1: a.Lerp(b, 1./3).Add(one), P2: a.Lerp(b, 2./3).Add(two), P3: b}}
	}
	p := build([]string{"neckline", "shoulder", "armhole", "side seam", "hemline", "centre"},
		geom.Path{{P0: neck, P1: neck.Add(geom.Pt(40, 0)), P2: tip.Add(geom.Pt(-5, 30)), P3: tip}},
		geom.Polyline(tip, point),
		geom.Path{{P0: point, P1: point.Add(geom.Pt(-20, 60)), P2: under.Add(geom.Pt(-50, -30+by(15))), P3: under}},
		bowed(under, side, geom.Pt(by(25), 0), geom.Pt(by(25), 0)),
		bowed(side, low, geom.Pt(0, by(20)), geom.Pt(0, by(20))),
		geom.Polyline(low, neck))
	q := p.Pieces[0]
	for i := range q.Edges {
		q.Edges[i].Allowance = map[string]float64{pattern.ClothSet: 10, pattern.ToileSet: 15}
	}
	q.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 200, Count: 1}, {Name: "knee", Edge: "side seam", At: 50, FromEnd: true, Count: 1}, {Name: "arm", Edge: "armhole", At: 90, Count: 1}}
	return p
}

// seeds are one that is always played and one at random, both printed.
func seeds(t *testing.T, fixed uint64) []uint64 {
	all := []uint64{fixed, rand.Uint64()}
	t.Logf("seeds %d", all)
	return all
}

// Over curved edges and neighbours what was added first and is taken back later
// comes back within 0.005 mm. Where the first alteration cut a line it does not,
// as docs/altering.md says, and no test asks it to. Inputs of a mended bug: the
// ends of a line that was run on by a few hundredths of a millimetre were stored
// with their direction lost, and the parallel back looped or was off there.
func TestAddedAndTakenBackOverCurves(t *testing.T) {
	asked := 0
	for _, seed := range seeds(t, 20261128) {
		rng := rand.New(rand.NewPCG(seed, 9))
		for range 60 {
			p := stored(t, curvedPanel(rng))
			by := fmt.Sprintf("%.2f", 0.2+rng.Float64()*14)
			for _, c := range [][3]string{{"lengthen", "shorten", "hemline"}, {"let-out", "take-in", "hemline"}, {"let-out", "take-in", "neckline"}, {"let-out", "take-in", "side seam"}, {"let-out", "take-in", "armhole"}} {
				res, err := Make(p, recipe(c[0], "panel", "edge", c[2], "by", by))
				if err != nil {
					require.Equal(t, "armhole", c[2], "%s %s by %s: %v", c[0], c[2], by, err) // deeper than it is hollow
					continue
				}
				between := stored(t, res.Pattern)
				if cutSomething(t, p.Pieces[0], between.Pieces[0], c[2]) {
					continue
				}
				asked++
				back, err := Make(between, recipe(c[1], "panel", "edge", c[2], "by", by))
				require.NoError(t, err, "%s %s by %s", c[0], c[2], by)
				sameOutlines(t, p, back.Pattern, 0.005)
			}
		}
	}
	require.Greater(t, asked, 250)
}

// cutSomething reports whether an edge or a neighbour lost more than 2 mm at an
// end: a line that is run on again by its last bend leaves where it ran by the
// cube of that length.
func cutSomething(t *testing.T, was, now *pattern.Piece, edge string) bool {
	t.Helper()
	i, err := was.EdgeIndex(edge)
	require.NoError(t, err)
	n := len(was.Edges)
	for _, k := range []int{(i + n - 1) % n, (i + 1) % n} {
		if now.EdgePath(k).Length() < was.EdgePath(k).Length()-2 {
			return true
		}
	}
	moved := was.Corners[i].At.Sub(now.Corners[i].At) // as far as the start lies beyond, in the edge's direction
	begin, end := was.EdgePath(i).StartTangent(), was.EdgePath(i).EndTangent()
	return moved.Dot(begin) < -2 || was.Corners[(i+1)%n].At.Sub(now.Corners[(i+1)%n].At).Dot(end) > 2
}

// Amounts of the size of rounding are made, or refused for another reason than a
// crossing that rounding alone makes; and what is made can be read again. Inputs
// of a mended bug: `flare … --by 0.0001mm` was refused as crossing itself.
func TestAmountsAsSmallAsRounding(t *testing.T) {
	tiny := []string{"0.0001", "0.0007", "0.001", "0.002", "0.004", "0.01", "0.03"}
	for _, by := range tiny {
		for _, piece := range []string{"back", "front"} {
			stored(t, made(t, smallSmock(t), "flare", piece, "edge", "side seam", "by", by).Pattern)
		}
	}
	for _, seed := range seeds(t, 8) {
		rng := rand.New(rand.NewPCG(seed, 9))
		for range 12 {
			p := stored(t, curvedPanel(rng))
			for _, by := range tiny {
				for _, r := range []Recipe{
					recipe("flare", "panel", "edge", "side seam"), recipe("flare", "panel", "edge", "side seam", "from", "120"),
					recipe("let-out", "panel", "edge", "side seam"), recipe("take-in", "panel", "edge", "side seam"),
					recipe("let-out", "panel", "edge", "armhole"), recipe("let-out", "panel", "edge", "neckline"),
					recipe("shorten", "panel", "edge", "hemline"), recipe("lengthen", "panel", "edge", "hemline"),
				} {
					r.Values["by"] = by
					res, err := Make(p, r)
					require.NoError(t, err, "%v", r)
					stored(t, res.Pattern)
				}
			}
		}
	}
}

// What is made can be kept, or is refused in words of the piece and its edge: a
// hollow let out by more than its radius crosses itself, and no line of a file is
// named. Inputs of a mended bug: it was made, and only reading it again found it.
func TestHollowLetOutTooFarIsRefused(t *testing.T) {
	refused := 0
	for _, seed := range seeds(t, 7) {
		rng := rand.New(rand.NewPCG(seed, 9))
		for range 40 {
			p := stored(t, curvedPanel(rng))
			by := fmt.Sprintf("%.2f", 60+90*rng.Float64())
			res, err := Make(p, recipe("let-out", "panel", "edge", "armhole", "by", by))
			if err == nil {
				stored(t, res.Pattern)
				continue
			}
			refused++
			require.Contains(t, err.Error(), "panel: ")
			require.Contains(t, err.Error(), "armhole")
			require.NotContains(t, err.Error(), ".yaml")
		}
	}
	require.NotZero(t, refused)
}
