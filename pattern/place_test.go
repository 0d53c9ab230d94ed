package pattern

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/units"
)

// Places as people measure them, on a rectangle where each is plain.
func TestFindPlace(t *testing.T) {
	p := rectangle()
	p.Edges[3].Fold, p.Cut = true, CutOnFold
	p.Grain = &Grain{From: geom.Pt(100, 100), To: geom.Pt(100, 700)}
	p.Notches = []Notch{{Name: "knee", Edge: "b", At: 250, Count: 1}}
	p.Marks = []Mark{{Kind: MarkButton, Name: "button", At: geom.Pt(20, 30)}}
	p.Lines = []ReferenceLine{{Name: "stand", Path: geom.Polyline(geom.Pt(20, 0), geom.Pt(20, 800))}, {Name: "middle", Path: geom.Polyline(geom.Pt(150, 800), geom.Pt(150, 0))}}
	for text, want := range map[string]geom.Point{
		"b@10":                         geom.Pt(300, 10),
		"b@10@start":                   geom.Pt(300, 10),
		"b@10@end":                     geom.Pt(300, 790),
		"b@10@knee":                    geom.Pt(300, 260),
		"b@-10@knee":                   geom.Pt(300, 240),
		"b@10@a":                       geom.Pt(300, 10), // from the end at the edge a
		"b@10@c":                       geom.Pt(300, 790),
		"b@10@c/b":                     geom.Pt(300, 790),
		"b@10@knee@c":                  geom.Pt(300, 260), // from the notch towards it
		"b@10@knee@a":                  geom.Pt(300, 240),
		"b@knee":                       geom.Pt(300, 250),
		"b@120 from a":                 geom.Pt(300, 120),
		"b@10, 40 in":                  geom.Pt(260, 10),
		"b@10@end, 4cm in, 5 up":       geom.Pt(260, 785),
		"knee, 15 out":                 geom.Pt(315, 250),
		"button, 110 down":             geom.Pt(20, 140),
		"20,30, 110 down":              geom.Pt(20, 140),
		"80 from d, 120 from a":        geom.Pt(80, 120),
		"80 from fold, 120 from a":     geom.Pt(80, 120),
		"50 from stand, 100 from c":    geom.Pt(70, 700), // the greater part lies to the right
		"-5 from stand, 100 from c":    geom.Pt(15, 700),
		"10 from middle, 0 from a":     geom.Pt(160, 0), // through the middle: to its right
		"10 from grain, 0 from a":      geom.Pt(110, 0),
		"80 from d, 120 from a, 5 up":  geom.Pt(80, 115),
		"a/b":                          geom.Pt(300, 0),
		"12mm , 1in":                   geom.Pt(12, 25.4),
		"notch:knee, 10 in":            geom.Pt(290, 250),
		"mark:button, 1cm up, 1cm up":  geom.Pt(20, 10),
		"0 from stand, 1 1/2in from a": geom.Pt(20, 38.1),
	} {
		s, err := p.FindPlace(text, Ruler{Unit: units.Millimetre})
		if assert.NoError(t, err, text) {
			assert.InDelta(t, 0, s.At.Dist(want), 1e-6, "%s: %v", text, s.At)
		}
	}
	for text, says := range map[string]string{
		"b@10@hip":                  `front, "b": there is no notch "hip" on it to measure from; write L@start, L@end or L@NOTCH`,
		"b@790@knee":                `front, "b": 790 mm lies off the edge, which is 800 mm long`,
		"b@10, 40 sideways":         `"40 sideways"`,
		"button, 10 in":             `lies on no edge, so that "10 in" has no direction`,
		"10 from hem, 10 from a":    `front has no edge or line "hem" to measure from; its edges are "a", "b", "c", "d", its reference lines "stand", "middle"`,
		"10 from a, 10 from c":      `no place lies so far from both "a" and "c"`,
		"b@10 from d":               "meets \"b\" at 0 places, and has to meet it at one",
		"far from a, 10 from b":     `"far"`,
		"b@10, 40 in, 12 from a":    `is no step from a place`,
		"9000 from a, 9000 from b ": "",
	} {
		_, err := p.FindPlace(text, Ruler{Unit: units.Millimetre})
		if says != "" {
			assert.ErrorContains(t, err, says, text)
		}
	}
}

// Beyond what is sewn of an edge it is told how long it is on the mock-up: of 300 mm
// a dart of 30 and a pleat of 40 are closed there.
func TestBeyondTheSewnEdge(t *testing.T) {
	p, q := New("sewn", units.Millimetre), rectangle()
	q.Slug = "front"
	q.Marks = []Mark{{Kind: MarkDart, Name: "dart", At: geom.Pt(160, 90), Edge: "a", From: 145, To: 175}, {Kind: MarkPleat, Name: "pleat", Edge: "a", From: 200, To: 240}}
	p.Put(q)
	_, err := q.AlongEdge(0, "250", false, Ruler{Unit: units.Millimetre, Sewn: p})
	require.ErrorContains(t, err, `front, "a": 250 mm lies off the edge, which is 230 mm long on the mock-up; give a length within it`)
	at, err := q.AlongEdge(0, "230", false, Ruler{Unit: units.Millimetre, Sewn: p})
	require.NoError(t, err)
	require.InDelta(t, 300, at, 1e-9)
}

// Names of ends hold on a mirror image, on which the edge runs the other way, and
// where one means something else too, the corner does.
func TestEndNames(t *testing.T) {
	p := rectangle()
	for _, q := range []*Piece{p, p.Moved(geom.Motion{Mirror: true})} {
		i, err := q.EdgeIndex("b")
		require.NoError(t, err)
		for _, name := range []string{"a", "c", "b/a", "c/b"} {
			atEnd, ok := q.EndNamed(i, name)
			require.True(t, ok)
			corner := map[string]string{"a": "a/b", "b/a": "a/b", "c": "b/c", "c/b": "b/c"}[name]
			n := len(q.Edges)
			require.Equal(t, q.CornerIndex(corner), (i+map[bool]int{true: 1}[atEnd])%n, name)
		}
	}
	_, ok := p.EndNamed(1, "d")
	require.False(t, ok)
	require.Equal(t, "c", p.EndName(1, true))
	p.Notches = []Notch{{Name: "c", Edge: "b", At: 100, Count: 1}}
	require.Equal(t, "b/c", p.EndName(1, true))
	p.Edges[0].Name = "end"
	require.Equal(t, "b/end", p.EndName(1, false))
}

// A place at two distances lies at those distances: measured back square to
// both lines, on random quadrilaterals with one curved side.
func TestFromTwoLinesMeasuredBack(t *testing.T) {
	const seed = 7
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))
	for range 200 {
		u := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
		p := polygonPiece(CutOne, geom.Pt(0, u(-40, 40)), geom.Pt(u(260, 340), u(-40, 40)), geom.Pt(u(260, 340), u(560, 640)), geom.Pt(u(-40, 40), u(560, 640)))
		a, b := p.Corners[0].At, p.Corners[1].At
		p.Edges[0].SetPath(geom.Path{{P0: a, P1: a.Lerp(b, 1./3).Add(geom.Pt(0, u(-30, 30))), P2: a.Lerp(b, 2./3).Add(geom.Pt(0, u(-30, 30))), P3: b}})
		first, second := math.Round(u(30, 120)), math.Round(u(30, 120))
		s, err := p.FindPlace(units.Number(first, 0)+" from a, "+units.Number(second, 0)+" from b", Ruler{Unit: units.Millimetre})
		require.NoError(t, err)
		for i, want := range []float64{first, second} {
			_, d := onBothEnds(p.EdgePath(i)).Nearest(s.At)
			require.InDelta(t, want, d, 0.002)
		}
	}
}

// What is sewn to a place: the same length along a seam without notches, the
// same share between matched notches, on either side, through darts.
func TestAcross(t *testing.T) {
	p := New("test", units.Millimetre)
	front, back := oblong("front", 300, 800), oblong("back", 300, 760)
	front.Notches = []Notch{{Name: "hip", Edge: "right", At: 200, Count: 1}}
	back.Notches = []Notch{{Name: "hip", Edge: "left", At: 180, FromEnd: true, Count: 1}}
	p.Put(front)
	p.Put(back)
	p.Seams = []Seam{{Name: "side", First: Chain{{Piece: "front", Edge: "right"}}, Second: Chain{{Piece: "back", Edge: "left"}},
		Sections: []Section{{First: NotchRef{"front", "hip"}, Second: NotchRef{"back", "hip"}}, {}}}}
	at := func(piece, edge string, along float64) OnEdge {
		found, err := p.Across(piece, edge, along)
		require.NoError(t, err)
		require.Len(t, found, 1)
		return found[0]
	}
	require.Equal(t, OnEdge{"back", "left", 760 - 90, "side"}, at("front", "right", 100))
	require.InDelta(t, 760-180-290, at("front", "right", 500).Along, 1e-9) // half of 600 is half of 580
	require.InDelta(t, 100, at("back", "left", 760-90).Along, 1e-9)
	back.Marks = []Mark{{Kind: MarkDart, Name: "dart", At: geom.Pt(100, 700), Edge: "left", From: 700, To: 720}}
	require.InDelta(t, 760-40-20-60, at("front", "right", 125).Along, 1e-9) // 160 of 180 are sewn, 100 for 125: 40 to the dart, 60 beyond it
	found, err := p.Across("front", "top", 10)
	require.NoError(t, err)
	require.Empty(t, found)
}

// What is no place is refused, whatever it is.
func FuzzFindPlace(f *testing.F) {
	for _, text := range []string{"b@10@end, 4cm in", "80 from a, 12 from b", "button", "a/b", "1,2", "@@, in", " from , from ", "b@1 from a"} {
		f.Add(text)
	}
	p := rectangle()
	p.Notches = []Notch{{Name: "knee", Edge: "b", At: 250, Count: 1}}
	p.Marks = []Mark{{Kind: MarkDart, Name: "dart", At: geom.Pt(100, 100), Edge: "a", From: 90, To: 110}}
	q := New("test", units.Centimetre)
	p.Slug = "front"
	q.Put(p)
	f.Fuzz(func(t *testing.T, text string) {
		for _, r := range []Ruler{{Unit: units.Centimetre}, {Unit: units.Centimetre, Sewn: q}} {
			if s, err := p.FindPlace(text, r); err == nil {
				require.True(t, s.At.Finite(), "%q", text)
			} else {
				require.NotEmpty(t, err.Error())
			}
		}
	})
}
