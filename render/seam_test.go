package render

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// chained is a seam in three sections of 120, 300 and 160 mm: one that matches,
// one whose second side is 6 mm longer than its ease-in of 18, one whose second
// side is 6 mm too short. The first chain goes over two pieces.
func chained() (*pattern.Pattern, *pattern.Seam) {
	strip := func(name, edge string, long float64) *pattern.Piece {
		q := polygonPiece(name, []string{edge, "end", "other side", "other end"}, geom.Pt(0, 0), geom.Pt(long, 0), geom.Pt(long, 60), geom.Pt(0, 60))
		q.Slug = pattern.Slug(name, nil)
		return q
	}
	back, front, sleeve := strip("back", "armhole", 290), strip("front", "armhole", 290), strip("sleeve", "head", 598)
	back.Notches = []pattern.Notch{{Name: "back notch", Edge: "armhole", At: 120, Count: 2}}
	front.Notches = []pattern.Notch{{Name: "front notch", Edge: "armhole", At: 130, Count: 1}}
	sleeve.Notches = []pattern.Notch{{Name: "back notch", Edge: "head", At: 120, FromEnd: true, Count: 2}, {Name: "front notch", Edge: "head", At: 154, Count: 1}}
	p := pattern.New("Orchard smock", "cm")
	for _, q := range []*pattern.Piece{back, front, sleeve} {
		p.Put(q)
	}
	p.Seams = []pattern.Seam{{Name: "armhole", First: pattern.Chain{{Piece: "back", Edge: "armhole"}, {Piece: "front", Edge: "armhole"}}, Second: pattern.Chain{{Piece: "sleeve", Edge: "head"}},
		Sections: []pattern.Section{
			{First: pattern.NotchRef{Piece: "back", Notch: "back notch"}, Second: pattern.NotchRef{Piece: "sleeve", Notch: "back notch"}},
			{First: pattern.NotchRef{Piece: "front", Notch: "front notch"}, Second: pattern.NotchRef{Piece: "sleeve", Notch: "front notch"}, Ease: 18}, {}},
		Openings: []pattern.Opening{{Name: "gusset", From: 440, To: 560}}, Finish: "felled"}}
	return p, &p.Seams[0]
}

func chainFindings() []change.Finding {
	return []change.Finding{
		{Kind: change.SeamSection, Seam: "armhole", Section: "back notch to front notch", MM: 6, Mismatch: true, Where: "seam “armhole”, back notch to front notch", Says: "the head is 0.6 cm too long", Do: "take it out"},
		{Kind: change.SeamSection, Seam: "armhole", Section: "front notch to end", MM: -6, Mismatch: true, Where: "seam “armhole”, front notch to end", Says: "the head is 0.6 cm too short", Do: "let it out"},
		{Kind: change.NotchAlone, Seam: "armhole", Where: "sleeve, notch “crown”", Says: "nothing meets it", Do: "set its partner"},
	}
}

func seamDrawings() []drawn {
	p, s := chained()
	odd, small := *s, *s
	odd.Name = hostile
	odd.Openings = []pattern.Opening{{Name: hostile, From: 10, To: 30}}
	odd.Sections = append([]pattern.Section(nil), s.Sections...)
	odd.Sections[1].Gathered, odd.Sections[0].Ease = true, -8
	small.Name, small.Sections, small.Openings = "shoulder", nil, nil
	small.First, small.Second = pattern.Chain{{Piece: "back", Edge: "end"}}, pattern.Chain{{Piece: "front", Edge: "other end", To: 57}}
	return []drawn{
		{"seam-armhole", func(b *bytes.Buffer) error { return Seam(b, fixtureSheet(), p, s, chainFindings()) }},
		{"seam-hostile", func(b *bytes.Buffer) error {
			return Seam(b, fixtureSheet(), p, &odd, []change.Finding{{Where: hostile, Says: hostile, Do: hostile}})
		}},
		{"seam-small", func(b *bytes.Buffer) error { return Seam(b, fixtureSheet(), p, &small, nil) }},
	}
}

// What is out is drawn at true size: 6 mm too long on one section, 6 mm missing
// on the next, beside lines of 580 and 598 mm.
func TestSeamShowsTheDrift(t *testing.T) {
	svg := svgOf(t, seamDrawings()[0])
	for _, class := range []string{"long", "short"} {
		wide := 0.0
		for _, e := range readSVG(t, svg) {
			if e.name == "rect" && e.attrs["class"] == class {
				wide += e.number(t, "width")
			}
		}
		require.InDelta(t, 6, wide, 1e-3, class)
	}
	requireHas(t, svg, "0.6 cm too long", "0.6 cm too short")
	requireHas(t, svg, "ease-in 1.8 cm")
	requireHas(t, svg, "gusset")
	requireHas(t, svg, "32.4 cm")
	requireClear(t, svg)
	requireUncovered(t, svg)
	sides := 0.0
	for _, e := range readSVG(t, svg) {
		if e.name == "path" && e.attrs["class"] == "side" {
			points := pathSamples(t, e.attrs["d"])
			sides += points[len(points)-1].x - points[0].x
		}
	}
	require.InDelta(t, 580+598, sides, 1e-2)
}

func TestSeamThatCannotBeWalked(t *testing.T) {
	p, s := chained()
	s.First[0].Piece = "gone"
	var b bytes.Buffer
	require.ErrorContains(t, Seam(&b, fixtureSheet(), p, s, nil), `there is no piece "gone"`)
	require.Zero(t, b.Len())
}
