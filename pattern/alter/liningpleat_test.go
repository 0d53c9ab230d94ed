package alter

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/check"
)

// pleated is the small smock's back with a neck facing of 50, a hem facing of 40 where
// asked, and a lining beside them with a back pleat of 25 mm.
func pleated(t *testing.T, hem bool) *pattern.Pattern {
	t.Helper()
	p := alterWhole(t, smallSmock(t), "facing", "back", "edges", "neckline", "width", "50", "as", "neck facing")
	facings := "neck facing"
	if hem {
		p = alterWhole(t, p, "hem-facing", "back", "width", "40", "as", "hem facing")
		facings += ",hem facing"
	}
	return alterWhole(t, p, "lining", "back", "facing", facings, "differs", "back pleat@centre back=25", "as", "lining")
}

// A lining with a back pleat beside a neck facing, the commonest back of a waistcoat:
// below the facing's inner edge, which meets the fold at 70 (20 of the neckline and 50),
// it is 25 wider as far as the hem at 700 or its facing, and nowhere else. Areas add up
// to that exactly; each place of the back is covered once. Declared differences are
// common practice. Input of a mended fault: it was refused, having a second fold.
func TestLiningPleatedBesideANeckFacing(t *testing.T) {
	for _, hem := range []bool{false, true} {
		p := pleated(t, hem)
		back, lining, facing := pieceOf(t, p, "back"), pieceOf(t, p, "lining"), pieceOf(t, p, "neck facing")
		require.Equal(t, pattern.CutOnFold, lining.Cut)
		inner, down := ring(facing).Box().Max.Y, 700.0
		require.InDelta(t, 70, inner, 0.01)
		area := math.Abs(ring(lining).Area()) + math.Abs(ring(facing).Area())
		covers := []geom.Ring{ring(lining), ring(facing)}
		if hem {
			down = 660
			area += math.Abs(ring(pieceOf(t, p, "hem facing")).Area())
			covers = append(covers, ring(pieceOf(t, p, "hem facing")))
		}
		require.InDelta(t, math.Abs(ring(back).Area())+25*(down-70), area, 1)
		seed := rand.Uint64()
		t.Logf("seed %d", seed)
		r := rand.New(rand.NewPCG(seed, 1))
		for range 400 {
			at := geom.Pt(-40+300*r.Float64(), 720*r.Float64())
			if _, d := geom.Path(ring(back)).Nearest(at); d < 0.1 || math.Abs(at.X+25) < 0.1 || math.Abs(at.Y-70) < 0.1 || math.Abs(at.Y-down) < 0.1 {
				continue
			}
			wants, times := ring(back).Holds(at), 0
			if at.X < 0 {
				wants = at.X > -25 && at.Y > 70 && at.Y < down
			}
			for _, c := range covers {
				if _, d := geom.Path(c).Nearest(at); d < 0.1 {
					times = -100 // on the line between two
				} else if c.Holds(at) {
					times++
				}
			}
			require.True(t, times < 0 || wants == (times == 1) && times < 2, "%v: %v, covered %d times", at, wants, times)
		}
	}
}

// The pleat is laid at the seam to the facing: that is walked as meant, and check has
// nothing to say; after the facing was made wider and the lining followed, neither.
func TestPleatIsLaidAtTheSeamToTheFacing(t *testing.T) {
	p := pleated(t, true)
	requireLaid(t, p, 2)
	before := p
	p = alterWhole(t, p, "let-out", "neck facing", "edge", "inner edge", "by", "10")
	l := Lacking{Follower: Followers(p, "neck facing", "inner edge")[0], Before: before,
		Changes: []change.Change{{Kind: change.EdgeMoved, How: change.HowParallel, By: change.Amount(10)}}}
	require.Equal(t, "lining", l.Piece)
	res, err := Carry(p, recipe("carry", "neck facing", "edge", "inner edge"), []Lacking{l})
	require.NoError(t, err)
	requireLaid(t, res.Pattern, 2)
	require.InDelta(t, 80, onFold(t, res.Pattern, "lining"), 0.01)
}

// onFold is where on the sheet, down from its top, a piece's fold begins.
func onFold(t *testing.T, p *pattern.Pattern, name string) float64 {
	t.Helper()
	q := pieceOf(t, p, name)
	i, err := q.EdgeIndex("centre back")
	require.NoError(t, err)
	return min(q.EdgePath(i).Start().Y, q.EdgePath(i).End().Y)
}

// requireLaid demands that so many seams of the lining to facings are 25 longer on its
// side, as meant, and that check finds no layer and no section off.
func requireLaid(t *testing.T, p *pattern.Pattern, seams int) {
	t.Helper()
	n := 0
	for i := range p.Seams {
		s := &p.Seams[i]
		if s.Second[0].Piece != "lining" {
			continue
		}
		n++
		sections, err := p.WalkSeam(s)
		require.NoError(t, err)
		require.Len(t, sections, 1)
		require.InDelta(t, 25, sections[0].Difference(), 0.01)
		require.Equal(t, 25.0, sections[0].Ease)
	}
	require.Equal(t, seams, n)
	found, err := check.Run(p, check.Options{})
	require.NoError(t, err)
	for _, f := range found.Findings {
		require.False(t, f.Mismatch || f.Kind == change.LayerOff, f.Says)
	}
}

// A facing drawn by hand whose inner edge meets the fold aslant: the pleat below it is
// square to the fold all the same. Ease-in that is recorded says itself what
// is meant.
func TestPleatBelowASlantingFacing(t *testing.T) {
	p := smallSmock(t)
	facing := drawPiece("neck facing", "facing cloth", pattern.CutOnFold,
		curveTo("neckline", 0, 20, 30, 20, 60, 18, 70, 0), lineTo("shoulder", 70, 0, 118, 16),
		lineTo("inner edge", 118, 16, 0, 90), lineTo("centre back", 0, 90, 0, 20))
	p.Put(facing)
	p.GiveIDs(facing)
	p.Layers = append(p.Layers, pattern.Layer{Outer: "back", Inner: []string{"neck facing"}})
	p = alterWhole(t, p, "lining", "back", "facing", "neck facing", "differs", "back pleat@centre back=25", "as", "lining")
	require.InDelta(t, math.Abs(ring(pieceOf(t, p, "back")).Area())+25*(700-90), math.Abs(ring(pieceOf(t, p, "lining")).Area())+math.Abs(ring(pieceOf(t, p, "neck facing")).Area()), 1)
	requireLaid(t, p, 1)
	s := &p.Seams[len(p.Seams)-1]
	s.Sections = []pattern.Section{{Ease: 24}}
	sections, err := p.WalkSeam(s)
	require.NoError(t, err)
	require.Equal(t, 24.0, sections[0].Ease)
}

// Drawn whole, the pleat is ease-in of the seams of both halves.
func TestPleatOfALiningDrawnWhole(t *testing.T) {
	p := pleated(t, false)
	for _, name := range []string{"lining", "neck facing"} {
		p = alterWhole(t, p, "unfold", name)
	}
	n := 0
	for i := range p.Seams {
		if p.Seams[i].Second[0].Piece != "lining" {
			continue
		}
		n++
		sections, err := p.WalkSeam(&p.Seams[i])
		require.NoError(t, err)
		require.InDelta(t, 25, sections[0].Difference(), 0.01)
		require.Equal(t, 25.0, sections[0].Ease)
	}
	require.Equal(t, 2, n)
}
