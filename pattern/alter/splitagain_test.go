package alter

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// A part that is split again keeps the notch by which its seam is matched, and the
// new seam gets notches and a name of its own.
func TestSplitAgain(t *testing.T) {
	p := made(t, smallSmock(t), "split", "pocket", "line", "80,0:80,190", "into", "centre,side").Pattern
	p = p.Clone()
	for k := range p.Seams {
		if p.Seams[k].Name == "centre to side" {
			p.Seams[k].Sections = []pattern.Section{{First: pattern.NotchRef{Piece: "centre", Notch: "match"}, Second: pattern.NotchRef{Piece: "side", Notch: "match"}}, {}}
		}
	}
	sewn(t, p)
	p.Seams = append(p.Seams, pattern.Seam{Name: "side to far side", First: p.Seams[0].First, Second: p.Seams[0].Second})
	p = made(t, p, "split", "side", "line", "40,0:40,190", "into", "side,far side").Pattern
	sewn(t, p)
}

// Where two parts of one edge meet at a bend under which neither could be moved by
// itself, joining makes one edge of them, and says so; it can be shortened then. The
// bend is that of the taper: twice its amount by the length of the seam.
func TestJoinedHemIsOneEdge(t *testing.T) {
	p := made(t, smallSmock(t), "split", "pocket", "line", "80,0:80,190", "into", "pocket,side").Pattern
	p = made(t, p, "take-in", "pocket", "edge", "seam to side", "by", "4", "to", "lower edge").Pattern
	p = made(t, p, "take-in", "side", "edge", "seam to pocket", "by", "4", "to", "lower edge").Pattern
	res := made(t, p, "join", "pocket", "edge", "seam to side", "with", "side", "at", "seam to pocket")
	q := pieceOf(t, res.Pattern, "pocket")
	require.ElementsMatch(t, []string{"opening", "side edge", "lower edge", "inner edge"}, q.EdgeNames())
	require.Contains(t, res.Says, `pocket: "lower edge" bends by 2.4° where the two were joined; it is one edge`, "atan(4/190) on either side")
	made(t, res.Pattern, "shorten", "pocket", "edge", "lower edge", "by", "20")
}

// Inner pieces that do not stand side by side in their layer are joined to one that
// is named once.
func TestJoinOfTwoInnerPieces(t *testing.T) {
	p := made(t, smallSmock(t), "split", "pocket", "line", "80,0:80,190", "into", "pocket,side").Pattern.Clone()
	p.Layers = []pattern.Layer{{Outer: "front", Inner: []string{"pocket", "front facing", "side"}}}
	sewn(t, p)
	res := made(t, p, "join", "pocket", "edge", "seam to side", "with", "side", "at", "seam to pocket")
	sewn(t, res.Pattern)
	require.Equal(t, []string{"pocket", "front facing"}, res.Pattern.Layers[0].Inner)
}

// The inner edge of a facing is called otherwise than an edge of its outer.
func TestFacingOfAPieceWithAnInnerEdge(t *testing.T) {
	p := made(t, smallSmock(t), "facing", "pocket", "edges", "side edge", "width", "50", "as", "side facing").Pattern
	require.Contains(t, pieceOf(t, p, "side facing").EdgeNames(), "facing's inner edge")
}

// A follower of several pieces is each of them; carried to one the other stays, and
// a straight edge shifted along the grain is moved at equal distance.
func TestCarryToOneOfAChain(t *testing.T) {
	p := made(t, smallSmock(t), "split", "pocket", "line", "80,0:80,190", "into", "pocket,side").Pattern.Clone()
	band := drawPiece("band", "outer", pattern.CutPair, lineTo("upper", 0, -40, 160, -40), lineTo("right", 160, -40, 160, 0), lineTo("lower", 160, 0, 0, 0), lineTo("left", 0, 0, 0, -40))
	band.Slug = p.NewSlug(band.Name)
	p.Put(band)
	p.GiveIDs(band)
	p.Seams = append(p.Seams, pattern.Seam{Name: "top", First: pattern.Chain{{Piece: "band", Edge: "lower"}}, Second: pattern.Chain{{Piece: "side", Edge: "opening"}, {Piece: "pocket", Edge: "opening"}}})
	sewn(t, p)
	r := recipe("carry", "band", "edge", "lower", "to", "side")
	asked, err := FollowersAsked(p, r)
	require.NoError(t, err)
	require.Len(t, asked, 1)
	old := edgePathOf(t, band, "lower")
	down := change.Change{Kind: change.EdgeMoved, How: change.HowShifted, By: change.Amount(10), OldPath: old, NewPath: old.Moved(geom.Motion{Shift: geom.Pt(0, 10)})}
	res, err := Carry(p, r, []Lacking{{Follower: asked[0], Changes: []change.Change{down}}})
	require.NoError(t, err)
	require.InDelta(t, 200, edgePathOf(t, pieceOf(t, res.Pattern, "side"), "inner edge").Length(), 0.001)
	require.Equal(t, pieceOf(t, p, "pocket"), pieceOf(t, res.Pattern, "pocket"))
}

// What is shortened by more than all of it is told how much fits, and what is in the
// way of more.
func TestShortenedByMoreThanAll(t *testing.T) {
	_, err := Make(smallSmock(t), recipe("shorten", "back", "edge", "hemline", "by", "900"))
	require.ErrorContains(t, err, `up to 230 mm fits, as far as the notch "hip"`)
}

// Hems that meet in less of a bend than makes a corner of a traced line, 20°, are one
// hem of the whole, which is then altered as one; beyond that they are two.
func TestBentHemsJoinedAreOne(t *testing.T) {
	for _, c := range []struct{ rise, bend, edges float64 }{{20, 11.4212, 4}, {35, 19.8524, 4}, {36, 20.4079, 5}} { // 2·atan(rise/200)
		p := pattern.New("bent", units.Millimetre)
		for _, q := range []*pattern.Piece{
			drawPiece("left", "outer", pattern.CutOne, lineTo("waist", 0, 0, 200, 0), lineTo("middle", 200, 0, 200, 600),
				lineTo("hemline", 200, 600, 0, 600-c.rise), lineTo("side", 0, 600-c.rise, 0, 0)),
			drawPiece("right", "outer", pattern.CutOne, lineTo("waist", 300, 0, 500, 0), lineTo("side", 500, 0, 500, 600-c.rise),
				lineTo("hemline", 500, 600-c.rise, 300, 600), lineTo("middle", 300, 600, 300, 0)),
		} {
			q.Slug = p.NewSlug(q.Name)
			p.Put(q)
			p.GiveIDs(q)
		}
		require.InDelta(t, c.bend, 2*geom.InDegrees(math.Atan(c.rise/200)), 1e-3)
		res := made(t, p, "join", "left", "edge", "middle", "with", "right", "at", "middle", "name", "whole")
		whole := pieceOf(t, res.Pattern, "whole")
		require.Len(t, whole.Edges, int(c.edges))
		if c.edges == 4 {
			require.Contains(t, strings.Join(res.Says, "\n"), "it is one edge")
			up := pieceOf(t, made(t, res.Pattern, "shorten", "whole", "edge", "hemline", "by", "20").Pattern, "whole")
			require.InDelta(t, edgePathOf(t, whole, "hemline").Length(), edgePathOf(t, up, "hemline").Length(), 1e-3)
		}
	}
}
