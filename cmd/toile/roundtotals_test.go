package main

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/diff"
	"toile/geom"
	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
	"toile/pattern/units"
)

// tube is a back and a front of 250 by 600, straight up and down, sewn at their sides,
// with grain lines; the fold of one cut on the fold lies at x = 0.
func tube(t *testing.T, back, front pattern.Cut) *pattern.Pattern {
	t.Helper()
	p := pattern.New("tube", units.Millimetre)
	for name, cut := range map[string]pattern.Cut{"back": back, "front": front} {
		q := &pattern.Piece{Name: name, Cloth: "outer", Cut: cut, Slug: p.NewSlug(name), Grain: &pattern.Grain{From: geom.Pt(100, 100), To: geom.Pt(100, 500)}}
		at := []geom.Point{geom.Pt(0, 0), geom.Pt(250, 0), geom.Pt(250, 600), geom.Pt(0, 600)}
		for i, edge := range []string{"waist", "side", "hemline", "centre"} {
			q.Corners = append(q.Corners, pattern.Corner{At: at[i]})
			e := pattern.Edge{Name: edge, Allowance: map[string]float64{pattern.ClothSet: 10}}
			e.SetPath(geom.Polyline(at[i], at[(i+1)%4]))
			if cut == pattern.CutOnFold && edge == "centre" {
				e.Fold, e.Allowance = true, nil
			}
			q.Edges = append(q.Edges, e)
		}
		p.Put(q)
		p.GiveIDs(q)
		require.NoError(t, q.Validate())
	}
	first, err := p.ParseChain("back/side")
	require.NoError(t, err)
	second, err := p.ParseChain("front/side")
	require.NoError(t, err)
	p.Seams = []pattern.Seam{{Name: "side", First: first, Second: second, SameWay: true}} // both are drawn with it on the right
	return p
}

// girth is what the hems of all pieces come to, each as often as it is cut, in mm: of
// straight tubes, their width.
func girth(p *pattern.Pattern) (sum float64) {
	for _, q := range p.Pieces {
		box := q.EdgePath(q.HemEdge()).Box().Size()
		sum += math.Hypot(box.X, box.Y) * map[pattern.Cut]float64{pattern.CutOne: 1, pattern.CutPair: 2, pattern.CutOnFold: 2}[q.Cut]
	}
	return sum
}

// Both sentences of what an amount comes to round the garment, and the figure in a diff,
// are what all the cut pieces are wider by: added up from their corners.
func TestRoundTheGarmentIsWhatAllPiecesGain(t *testing.T) {
	one, pair, fold := pattern.CutOne, pattern.CutPair, pattern.CutOnFold
	for _, c := range []struct {
		name        string
		back, front pattern.Cut
		before      [][]string
		r           []string
		both        bool
		gains       float64 // closed form: copies of edges by 10, or by the mean of 8 and 12
		told        float64 // of one edge with those that it is sewn to
	}{
		{"single", one, one, nil, []string{"let-out", "back", "edge", "side", "by", "10"}, false, 10, 10},
		{"pair", pair, one, nil, []string{"let-out", "back", "edge", "side", "by", "10"}, false, 20, 20},
		{"on the fold", fold, pair, nil, []string{"let-out", "back", "edge", "side", "by", "10"}, false, 20, 20},
		{"two singles", one, one, nil, []string{"let-out", "back", "edge", "side", "by", "10"}, true, 20, 20},
		{"fold and pair", fold, pair, nil, []string{"let-out", "back", "edge", "side", "by", "10"}, true, 40, 40},
		{"two pairs", pair, pair, nil, []string{"flare", "back", "edge", "side", "by", "10"}, true, 40, 40},
		{"all round", fold, pair, nil, []string{"let-out", "back", "edge", "side", "all-round", "40"}, true, 40, 40},
		{"drawn whole, from the pair", fold, pair, [][]string{{"unfold", "back"}}, []string{"let-out", "front", "edge", "side", "by", "10"}, true, 40, 40},
		{"drawn whole, averaged", fold, pair, [][]string{{"unfold", "back"}}, []string{"average-sides", "back", "edge", "side", "left", "-8", "right", "-12"}, true, 40, 40},
		{"drawn whole, averaged alone", fold, pair, [][]string{{"unfold", "back"}}, []string{"average-sides", "back", "edge", "side", "left", "-8", "right", "-12"}, false, 20, 20},
		{"separated, averaged", fold, pair, [][]string{{"unfold", "back"}, {"separate", "front", "drawn", "left"}}, []string{"average-sides", "back", "edge", "side", "left", "-8", "right", "-12"}, true, 40, 20},
		{"both drawn whole, one side", fold, fold, [][]string{{"unfold", "back"}, {"unfold", "front"}}, []string{"average-sides", "back", "edge", "side", "left", "-8", "right", "-12"}, false, 20, 20},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := tube(t, c.back, c.front)
			for _, b := range c.before {
				p = altered(t, p, b[0], b[1], b[2:]...)
			}
			r := alter.Recipe{Kind: c.r[0], Piece: c.r[1], Values: map[string]string{}}
			for i := 2; i < len(c.r); i += 2 {
				r.Values[c.r[i]] = c.r[i+1]
			}
			r, says, err := alter.ShareOut(p, r, c.both)
			require.NoError(t, err)
			recipes := []alter.Recipe{r}
			if c.both {
				partners, err := alter.Partners(p, r)
				require.NoError(t, err)
				recipes = append(recipes, partners...)
			}
			after := p
			for _, one := range recipes {
				res, err := alter.Make(after, one)
				require.NoError(t, err)
				after = res.Pattern
			}
			round := regexp.MustCompile(`[0-9.]+ mm (left and right together|round the garment)`)
			require.Equal(t, units.Millimetre.Format(c.gains)+" round the garment", round.FindString(says))
			within := 0.01
			if c.r[0] == "flare" {
				within = 0.4 // the chord leads a little up
			}
			require.InDelta(t, c.gains, girth(after)-girth(p), within)
			told := requireTold(t, p, after)
			if c.both {
				require.InDelta(t, c.told, told.garment, 0.01)
				require.Contains(t, told.says, units.Millimetre.Format(c.told)+" round the garment")
			}
		})
	}
}

// told is what a diff says of what changes come to.
type toldRound struct {
	garment float64
	says    string
}

// requireTold gathers it; all changes have to give the same figure.
func requireTold(t *testing.T, before, after *pattern.Pattern) (told toldRound) {
	t.Helper()
	d, err := diff.Patterns(before, after, change.Version{Working: true}, change.Version{Working: true})
	require.NoError(t, err)
	var says []string
	for _, q := range d.Pieces {
		for _, ch := range q.Changes {
			says = append(says, ch.Says)
			if ch.Garment == nil {
				continue
			}
			require.True(t, told.garment == 0 || told.garment == *ch.Garment, ch.Says)
			told.garment = *ch.Garment
		}
	}
	told.says = strings.Join(says, "\n")
	return told
}

// Nothing adds up where edges move along the grain, or nobody can tell: of a hem, a
// waist, a shoulder that slants, an armhole that runs both ways, a piece with neither
// fold nor grain line. --all-round is refused for what is length.
func TestNothingRoundWhereItIsLength(t *testing.T) {
	sleeved := gown(t)
	q, err := sleeved.Piece("collar")
	require.NoError(t, err)
	q.Cut, q.Side = pattern.CutPair, "" // neither fold nor grain line
	for _, c := range []struct {
		piece, edge string
		round       bool
	}{{"back", "hemline", false}, {"back", "shoulder", false}, {"front", "shoulder", false}, {"front", "neckline", false}, {"collar", "back end", false},
		{"front", "side seam", true}, {"front", "front edge", true}, {"back", "side seam", true}} {
		r := alter.Recipe{Kind: "let-out", Piece: c.piece, Values: map[string]string{"edge": c.edge, "by": "5"}}
		_, says, err := alter.ShareOut(sleeved, r, false)
		require.NoError(t, err)
		require.Equal(t, c.round, strings.Contains(says, "round the garment"), "%s %s: %s", c.piece, c.edge, says)
		told := requireTold(t, sleeved, altered(t, sleeved, "let-out", c.piece, "edge", c.edge, "by", "5"))
		require.Equal(t, c.round, strings.Contains(told.says, "10 mm left and right together"), "%s %s: %s", c.piece, c.edge, told.says)
	}
	_, _, err = alter.ShareOut(sleeved, alter.Recipe{Kind: "let-out", Piece: "back", Values: map[string]string{"edge": "shoulder", "all-round": "20"}}, false)
	require.ErrorContains(t, err, `"shoulder" runs, at least in part, across the body`)
	// 45° is the limit: a side that slants by a little less counts as width, by a
	// little more it does not.
	for slant, round := range map[float64]bool{44: true, 46: false} {
		p := tube(t, pattern.CutPair, pattern.CutOne)
		q, err := p.Piece("back")
		require.NoError(t, err)
		q.Corners[2].At.X += 600 * math.Tan(geom.Degrees(slant))
		_, says, err := alter.ShareOut(p, alter.Recipe{Kind: "let-out", Piece: "back", Values: map[string]string{"edge": "side", "by": "5"}}, false)
		require.NoError(t, err)
		require.Equal(t, round, says != "", "%v°", slant)
	}
}

// A lining that is let out makes the garment no wider: what its own pieces gain is said
// as that, and no figure of the garment is given.
func TestALiningIsNotTheGarmentRound(t *testing.T) {
	p := tube(t, pattern.CutOnFold, pattern.CutPair)
	p.Layers = []pattern.Layer{{Outer: "coat back", Inner: []string{"back"}}, {Outer: "coat front", Inner: []string{"front"}}}
	r := alter.Recipe{Kind: "let-out", Piece: "back", Values: map[string]string{"edge": "side", "by": "10"}}
	_, says, err := alter.ShareOut(p, r, true)
	require.NoError(t, err)
	require.Equal(t, "let out 10 mm an edge: 40 mm in all", says)
	after := altered(t, altered(t, p, "let-out", "back", "edge", "side", "by", "10"), "let-out", "front", "edge", "side", "by", "10")
	told := requireTold(t, p, after)
	require.Zero(t, told.garment)
	require.Contains(t, told.says, "let out 10 mm, 20 mm left and right together; with front, 40 mm in all")
	require.NotContains(t, told.says, "garment")
}
