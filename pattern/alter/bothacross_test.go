package alter

import (
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
)

// A dart of 30 before the place takes 30 out of the way along the seam: a notch
// at 400 on the darted side of 800 meets 370 on the plain side of 770, which
// runs the other way, so 400 from its start; the same over the taper's place.
func TestBothOverDart(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	p.Pieces[0].Marks = []pattern.Mark{{Kind: pattern.MarkDart, Name: "bust", Edge: "side seam", From: 200, To: 230, At: geom.Pt(200, 215)}}
	front := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 770), geom.Pt(0, 770)).Pieces[0]
	front.Name, front.Slug, front.ID = "front", "front", "0000000b"
	p.Put(front)
	p.Seams = []pattern.Seam{{Name: "side", First: pattern.Chain{{Piece: "panel", Edge: "side seam"}}, Second: pattern.Chain{{Piece: "front", Edge: "centre"}}}}
	for at, want := range map[string]float64{"400": 400, "400@end": 400, "400@start": 400, "100": 670, "100@end": 100} {
		partners, err := Partners(p, recipe("notch", "panel", "edge", "side seam", "at", at))
		require.NoError(t, err)
		require.Len(t, partners, 1)
		q := pieceOf(t, made(t, p, "notch", "front", flat(partners[0])...).Pattern, "front")
		_, _, along, err := q.NotchPlace(q.Notches[0])
		require.NoError(t, err)
		require.InDelta(t, want, along, 1e-3, at)
	}
	for _, kind := range []string{"flare", "take-in"} {
		r := recipe(kind, "panel", "edge", "side seam", "by", "20", "from", "400")
		if kind == "take-in" {
			r.Values["to"] = "end"
		}
		partners, err := Partners(p, r)
		require.NoError(t, err)
		m := &making{pattern: p, piece: front, recipe: partners[0]}
		along, err := m.along("from", 3, kind == "flare")
		require.NoError(t, err)
		require.InDelta(t, 400, along, 1e-3, "%s: %v", kind, partners[0])
	}
}

// Sewn to the part from 100 to 600 of a longer edge, the place is counted
// there.
func TestBothOnPartOfAnEdge(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 500), geom.Pt(0, 500))
	q := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800)).Pieces[0]
	q.Name, q.Slug, q.ID = "front", "front", "0000000b"
	p.Put(q)
	p.Seams = []pattern.Seam{{Name: "side", First: pattern.Chain{{Piece: "panel", Edge: "side seam"}}, Second: pattern.Chain{{Piece: "front", Edge: "centre", From: 100, To: 600}}}}
	partners, err := Partners(p, recipe("notch", "panel", "edge", "side seam", "at", "200"))
	require.NoError(t, err)
	require.Equal(t, "400mm@start", partners[0].Values["at"]) // 600 − 200
	_, err = Partners(p, recipe("flare", "panel", "edge", "side seam", "by", "30", "from", "200"))
	require.ErrorContains(t, err, "100 mm short of its hem")
}

// After a split across the body the side seam of the front is a chain: a notch
// goes to the part it lies on, and a swing too where it lies in one part.
func TestBothOnChain(t *testing.T) {
	p := smallSmock(t)
	p.Seams[0].Sections = nil
	r := made(t, p, "split", "front", "line", "0,500:250,500", "into", "front,lower front").Pattern
	upper := edgePathOf(t, pieceOf(t, r, "front"), "side seam").Length()
	for at, want := range map[string]string{"100": "front", "300": "lower front"} {
		partners, err := Partners(r, recipe("notch", "back", "edge", "side seam", "at", at))
		require.NoError(t, err)
		require.Len(t, partners, 1)
		require.Equal(t, want, partners[0].Piece)
		q := pieceOf(t, made(t, r, "notch", want, flat(partners[0])...).Pattern, want)
		_, _, along, err := q.NotchPlace(q.Notches[len(q.Notches)-1])
		require.NoError(t, err)
		i, _ := q.EdgeIndex("side seam")
		from := q.EdgePath(i).Length() - along // from its upper end
		if want == "lower front" {
			from += upper
		}
		back := edgePathOf(t, pieceOf(t, r, "back"), "side seam").Length()
		front := upper + edgePathOf(t, pieceOf(t, r, "lower front"), "side seam").Length()
		require.InDelta(t, map[string]float64{"100": 100, "300": 300}[at]*front/back, from, 2, at)
	}
	for _, from := range []string{"", "100"} {
		_, err := Partners(r, recipe("flare", "back", "edge", "side seam", "by", "30", "from", from))
		require.ErrorContains(t, err, "swing each by itself")
	}
	flare := recipe("flare", "back", "edge", "side seam", "by", "30", "from", "320")
	partners, err := Partners(r, flare)
	require.NoError(t, err)
	require.Len(t, partners, 1)
	require.Equal(t, "lower front", partners[0].Piece)
	after := made(t, r, "flare", "back", flat(flare)...).Pattern
	after = made(t, after, "flare", "lower front", flat(partners[0])...).Pattern
	sections, err := after.WalkSeam(&after.Seams[0])
	require.NoError(t, err)
	before, err := r.WalkSeam(&r.Seams[0])
	require.NoError(t, err)
	require.InDelta(t, before[0].Difference(), sections[0].Difference(), 0.01)
	// The other way round: the lower front alone hangs on a part of the back.
	partners, err = Partners(r, recipe("notch", "lower front", "edge", "side seam", "at", "60"))
	require.NoError(t, err)
	require.Equal(t, "back", partners[0].Piece)
}

// An allowance on both sides of a seam keeps its width, whichever way the sides
// run; it is no place along the edge.
func TestBothForAllowance(t *testing.T) {
	p := smallSmock(t)
	for _, e := range [][2]string{{"back", "side seam"}, {"front", "side seam"}, {"back", "shoulder"}, {"front", "front edge"}} {
		partners, err := Partners(p, recipe("allowance", e[0], "edge", e[1], "to", "16mm"))
		require.NoError(t, err)
		require.Len(t, partners, 1)
		got, err := Make(p, partners[0])
		require.NoError(t, err, "%v", partners[0])
		q := pieceOf(t, got.Pattern, partners[0].Piece)
		i, err := q.EdgeIndex(partners[0].Values["edge"])
		require.NoError(t, err)
		require.Equal(t, 16.0, q.Edges[i].Allowance[pattern.ClothSet])
	}
}

// A side of 800 sewn to an upper part of 300 and a lower one of 500: a swing that
// takes in both is refused with the pivot that works, the joint, and that can be
// made; both sides walk as long as before.
func TestFlareOverAJointNamesItsPivot(t *testing.T) {
	p := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 800), geom.Pt(0, 800))
	for name, high := range map[string]float64{"upper": 300, "lower": 500} {
		q := panel(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, high), geom.Pt(0, high)).Pieces[0]
		q.Name, q.Slug, q.ID = name, name, ""
		p.Put(q)
		p.GiveIDs(q)
	}
	chain := func(text string) pattern.Chain {
		c, err := p.ParseChain(text)
		require.NoError(t, err)
		return c
	}
	p.Seams = []pattern.Seam{{Name: "side", First: chain("panel/side seam"), Second: chain("upper/centre+lower/centre")},
		{Name: "joint", First: chain("upper/hemline"), Second: chain("lower/waist")}}
	sewn(t, p)
	r := recipe("flare", "panel", "edge", "side seam", "by", "40", "from", "100")
	_, err := Partners(p, r)
	require.ErrorContains(t, err, "`toile alter flare panel \"side seam\" 40 --from 300mm@start --both`")
	r.Values["from"] = "300mm@start"
	partners, err := Partners(p, r)
	require.NoError(t, err)
	require.Len(t, partners, 1)
	require.Equal(t, "lower", partners[0].Piece)
	for _, one := range append([]Recipe{r}, partners...) {
		res, err := Make(p, one)
		require.NoError(t, err)
		p = res.Pattern
	}
	sections, err := p.WalkSeam(&p.Seams[0])
	require.NoError(t, err)
	require.InDelta(t, 0, sections[0].Difference(), 0.005)
	require.InDelta(t, 800, sections[0].First, 0.005)
}
