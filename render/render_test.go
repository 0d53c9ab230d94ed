package render

import (
	"bytes"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
)

// TestEveryDrawingIsWellFormed reads each with encoding/xml; labels clear.
func TestEveryDrawingIsWellFormed(t *testing.T) {
	labels := 0
	negativeZero := regexp.MustCompile(`[" (,]-0(\.0*)?[" ),]`)
	for _, d := range drawings() {
		svg := svgOf(t, d)
		labels += requireClear(t, svg)
		require.False(t, negativeZero.MatchString(svg), "%s has a negative zero", d.name)
		requireLacks(t, svg, "NaN")
	}
	require.Greater(t, labels, 60)
}

// TestHostileText tries to break out through names, notes and texts.
func TestHostileText(t *testing.T) {
	s, d, p := hostileDiff()
	for _, draw := range []drawn{
		{"overlay", func(b *bytes.Buffer) error { return Overlay(b, s, d, p) }},
		{"all", func(b *bytes.Buffer) error { return OverlayAll(b, s, d) }},
		{"piece", func(b *bytes.Buffer) error { return Piece(b, s, p.Old, "cloth") }},
	} {
		svg := svgOf(t, draw)
		seen := false
		for _, e := range readSVG(t, svg) {
			require.NotEqual(t, "script", e.name)
			for name := range e.attrs {
				require.False(t, strings.HasPrefix(name, "on"), name)
			}
			seen = seen || strings.Contains(e.text, "</text><script>alert(1")
		}
		require.True(t, seen, "%s: the name is not shown as it is", draw.name)
		for _, r := range svg {
			require.False(t, r < 0x20 && r != '\n' && r != '\t' || r == 0x202E || r == 0xFFFD, "%s: %U", draw.name, r)
		}
	}
}

// TestRegionAreas measures the region paths with the reader of these tests and
// holds them against the areas of the difference; closed forms beside them.
func TestRegionAreas(t *testing.T) {
	corner := cornerRounded()
	// r²(1−π/4) of a 90° corner rounded by r = 40, within the area error of the
	// quarter circle by one cubic, (0.7856180832 − π/4)·r² (Riškus 2006).
	bezier := (0.7856180832 - math.Pi/4) * 1600
	require.InDelta(t, 1600*(1-math.Pi/4), corner.Removed, bezier+1e-6)
	// The wedge of the flare: FACTS row 'side seam swung', 15,004.34 mm².
	require.InDelta(t, 15004.34, flared().Added, 0.01)
	for _, p := range []change.PieceDiff{hemUp(), neckLowered(), corner, flared(), cuffChanged()} {
		var one, all bytes.Buffer
		require.NoError(t, Overlay(&one, fixtureSheet(), fixtureDiff(p), p))
		require.NoError(t, OverlayAll(&all, fixtureSheet(), fixtureDiff(p)))
		for _, svg := range []string{one.String(), all.String()} {
			elements := readSVG(t, svg)
			require.InDelta(t, p.Added, classArea(t, elements, "added"), 1e-3, p.Piece)
			require.InDelta(t, p.Removed, classArea(t, elements, "removed"), 1e-3, p.Piece)
			if len(p.Overlap.Kept) > 0 {
				require.InDelta(t, p.Kept, classArea(t, elements, "kept"), 1e-3, p.Piece)
			}
		}
	}
}

// TestRegionPathsKeepSheetCoordinates: the strip of the raised hem lies where
// it lies on FROM's sheet.
func TestRegionPathsKeepSheetCoordinates(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Overlay(&b, fixtureSheet(), fixtureDiff(hemUp()), hemUp()))
	requireHas(t, b.String(), `<path d="M0 740 C`)
	for _, e := range readSVG(t, b.String()) {
		if e.attrs["class"] == "removed" {
			require.Equal(t, matrix{a: 1, d: 1}, e.to)
		}
	}
}

// TestHatchCoversItsRegion: hatch lines stay inside the ring, and their length
// times their distance is the area (Cavalieri), within a line's width at the
// rim.
func TestHatchCoversItsRegion(t *testing.T) {
	hole := geom.Polygon(geom.Pt(30, 30), geom.Pt(30, 60), geom.Pt(60, 60), geom.Pt(60, 30)) // anticlockwise
	rings := []geom.Ring{geom.Polygon(geom.Pt(0, 0), geom.Pt(100, 0), geom.Pt(100, 80), geom.Pt(0, 80)), hole}
	for _, angle := range []float64{risingHatch, fallingHatch} {
		const step = 0.5
		sum := 0.0
		for _, l := range hatchLines(rings, angle, step, 0.01) {
			mid := l.a.Lerp(l.b, 0.5)
			require.True(t, rings[0].Holds(mid) && !hole.Holds(mid), "%v", mid)
			require.InDelta(t, 0, math.Abs(l.b.Sub(l.a).Unit().Cross(geom.Pt(1, 0).Turn(angle))), 1e-9)
			sum += l.a.Dist(l.b) * step
		}
		require.InDelta(t, 8000-900, sum, 20)
	}
	rising := hatchLines(rings[:1], risingHatch, 5, 0.01)[0]
	require.Less(t, (rising.b.X-rising.a.X)*(rising.b.Y-rising.a.Y), 0.0, "+45° rises to the right as seen")
}

// TestBadNumbersAreRefused: a figure that is no number gives an error and no
// output.
func TestBadNumbersAreRefused(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1)} {
		p := hemUp()
		p.New.Corners[1].At.X = bad
		var b bytes.Buffer
		require.Error(t, Overlay(&b, fixtureSheet(), fixtureDiff(p), p))
		require.Error(t, OverlayAll(&b, fixtureSheet(), fixtureDiff(p)))
		require.Error(t, Piece(&b, fixtureSheet(), p.New, "cloth"))
		q, s := backPiece(740), fixtureSheet()
		q.Grain.To.Y = bad
		require.Error(t, Piece(&b, s, q, "cloth"))
		q = backPiece(740)
		q.Marks = []pattern.Mark{{Kind: pattern.MarkDot, Name: "dot", At: geom.Pt(bad, 10)}}
		require.Error(t, Piece(&b, s, q, "cloth"))
		s.Notes = []PinnedNote{{Key: "1.1", At: geom.Pt(10, bad)}}
		require.Error(t, Overlay(&b, s, fixtureDiff(hemUp()), hemUp()))
		require.Zero(t, b.Len())
	}
}

// TestNothingToDraw: a piece without outlines is an error that names it.
func TestNothingToDraw(t *testing.T) {
	var b bytes.Buffer
	p := change.PieceDiff{Piece: "sleeve", State: change.Altered}
	require.ErrorContains(t, Overlay(&b, fixtureSheet(), fixtureDiff(p), p), "sleeve")
	require.Error(t, Piece(&b, fixtureSheet(), nil, "cloth"))
	p.New = &pattern.Piece{Name: "sleeve"}
	require.ErrorContains(t, Overlay(&b, fixtureSheet(), fixtureDiff(p), p), "sleeve")
	require.Zero(t, b.Len())
}

// TestAllWithNothingChanged lists the pieces and is a drawing all the same.
func TestAllWithNothingChanged(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, OverlayAll(&b, fixtureSheet(), fixtureDiff(change.PieceDiff{Piece: "sleeve", State: change.Same})))
	readSVG(t, b.String())
	requireHas(t, b.String(), ">sleeve</text>")
}

// TestLegendListsWhatIsUsed and nothing else.
func TestLegendListsWhatIsUsed(t *testing.T) {
	words := func(p change.PieceDiff) string {
		var b bytes.Buffer
		require.NoError(t, Overlay(&b, fixtureSheet(), fixtureDiff(p), p))
		var out []string
		for _, e := range readSVG(t, b.String()) {
			out = append(out, e.text)
		}
		return strings.Join(out, "\n")
	}
	hem, flare := words(hemUp()), words(flared())
	require.Contains(t, hem, "\nremoved\n")
	require.NotContains(t, hem, "\nadded\n")
	require.NotContains(t, hem, legendWords[legendPivot])
	require.Contains(t, flare, "\nadded\n")
	require.Contains(t, flare, legendWords[legendPivot])
	require.Contains(t, flare, "4.78°")
}

// TestHemDimensions: the amount stands at both ends and at the arrow, whether
// the neighbours were cut or not.
func TestHemDimensions(t *testing.T) {
	p := hemUp()
	for _, cut := range []bool{true, false} {
		if !cut {
			p.Changes = p.Changes[:1]
		}
		var b bytes.Buffer
		require.NoError(t, Overlay(&b, fixtureSheet(), fixtureDiff(p), p))
		text := drawnText(t, b.String())
		require.Equal(t, 3, strings.Count(text, "6 cm"), text)
		require.Contains(t, text, "hemline −6 cm")
		require.Equal(t, cut, strings.Contains(text, "side seam cut 6 cm shorter"), text)
		require.Equal(t, cut, strings.Contains(text, "centre back cut 6 cm shorter"), text)
	}
}

// TestSwingTurnsOutward: the reached end of the flare is the worked one,
// (349.9566, 797.9167), in the drawing's own arrow.
func TestSwingTurnsOutward(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Overlay(&b, fixtureSheet(), fixtureDiff(flared()), flared()))
	requireHas(t, b.String(), "M349.957 797.917 L", "no arrow head at the worked end")
}

// TestSwingBelowTheMiddle: with the pivot nearer to the end that swings, the
// arrow is still at that end. Swung about (300, 600) by 30 at the hem: R 200,
// reached at (300 + 200·sin θ, 600 + 200·cos θ), θ = 2·asin(30/400).
func TestSwingBelowTheMiddle(t *testing.T) {
	theta := 2 * math.Asin(30.0/400)
	reached := geom.Pt(300+200*math.Sin(theta), 600+200*math.Cos(theta))
	old, new := backPiece(800), backPiece(800)
	new.Corners[2].At = reached
	new.Edges[1].SetPath(geom.Polyline(geom.Pt(300, 0), geom.Pt(300, 600), reached))
	c := change.Change{Kind: change.EdgeSwung, Edges: []string{"side seam"}, Pivot: &change.XY{300, 600},
		Turn: change.Amount(geom.InDegrees(theta)), By: change.Amount(30), Says: "side seam swung"}
	for _, at := range []*change.XY{nil, {300, 800}} {
		c.At = at
		p := change.PieceDiff{Piece: "back", State: change.Altered, Old: old, New: new, Changes: []change.Change{c}}
		var b bytes.Buffer
		require.NoError(t, Overlay(&b, fixtureSheet(), fixtureDiff(p), p))
		requireHas(t, b.String(), `<path d="M`+units.Number(reached.X, 3)+" "+units.Number(reached.Y, 3)+" L")
	}
}

// TestPieceSheet: a fold is neither cut nor sewn, and the caution stands there
// once without a claim.
func TestPieceSheet(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Piece(&b, fixtureSheet(), backPiece(740), "cloth"))
	elements := readSVG(t, b.String())
	for _, e := range elements {
		switch e.attrs["class"] {
		case "sewing", "cutting":
			require.NotContains(t, e.attrs["d"], "Z", "%s closes over the fold", e.attrs["class"])
		case "folded":
			require.NotEmpty(t, e.attrs["stroke-dasharray"])
		}
		if e.attrs["class"] == "cutting" {
			require.Empty(t, e.attrs["stroke-dasharray"])
		}
		if e.attrs["class"] == "sewing" {
			require.NotEmpty(t, e.attrs["stroke-dasharray"])
		}
	}
	require.Equal(t, 1, strings.Count(b.String(), "blade"))
	var c bytes.Buffer
	require.NoError(t, Overlay(&c, fixtureSheet(), fixtureDiff(hemUp()), hemUp()))
	requireLacks(t, c.String(), "blade")
}

// TestPieceWithoutCuttingLine: an allowance that leaves none is told, the
// sewing line is drawn all the same.
func TestPieceWithoutCuttingLine(t *testing.T) {
	p, _ := yoke(85)
	p.Edges[0].Allowance["cloth"] = 100
	_, want := p.CuttingLine("cloth")
	require.Error(t, want)
	var b bytes.Buffer
	require.NoError(t, Piece(&b, fixtureSheet(), p, "cloth"))
	requireHas(t, b.String(), "No cutting line")
	requireHas(t, b.String(), `class="sewing"`)
}

// TestTextWidthIsNeverTooNarrow holds the classes against advance widths of a
// wide sans-serif, in parts of the letter size, on words of these drawings;
// the widths were measured in DejaVu Sans.
func TestTextWidthIsNeverTooNarrow(t *testing.T) {
	for text, measured := range map[string]float64{
		"illicit":     0.278*5 + 0.550 + 0.392,
		"hemline":     0.634 + 0.615 + 0.974 + 0.278*2 + 0.634 + 0.615,
		"WWW":         3 * 0.989,
		"side seam":   0.521 + 0.278 + 0.635 + 0.615 + 0.318 + 0.521 + 0.615 + 0.613 + 0.974,
		"0123456789":  6.36,
		"raffraffraf": 0.411*3 + 0.613*3 + 0.352*5,
	} {
		got := textWidth(text, 1, false)
		require.GreaterOrEqual(t, got, measured, text)
		require.Less(t, got, measured*1.35, text)
	}
}

func TestWrap(t *testing.T) {
	lines := wrap("allowance 1.5 cm, now 2.5 cm on the lower edge", 1, false, 11, 0)
	for _, l := range lines {
		require.LessOrEqual(t, textWidth(l, 1, false), 11.0)
		require.False(t, strings.HasPrefix(l, "cm"), "a figure has lost its unit: %q", lines)
	}
	require.Equal(t, "allowance 1.5 cm, now 2.5 cm on the lower edge", strings.Join(lines, " "))
	short := wrap(strings.Repeat("long words ", 50), 1, false, 11, 2)
	require.Len(t, short, 2)
	require.True(t, strings.HasSuffix(short[1], "…"))
	require.Empty(t, wrap(" \x00\n\t ", 1, false, 11, 0))
}

// TestIndex parses the page with the HTML5 rules of golang.org/x/net/html.
func TestIndex(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Index(&b, indexFixture()))
	doc, err := html.Parse(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	var images []string
	var text strings.Builder
	for n := range doc.Descendants() {
		if n.Type == html.TextNode {
			text.WriteString(n.Data)
		}
		if n.Type != html.ElementNode {
			continue
		}
		require.NotContains(t, []string{"script", "iframe", "link", "object"}, n.Data)
		for _, a := range n.Attr {
			require.False(t, strings.HasPrefix(a.Key, "on"), a.Key)
			if a.Key == "src" || a.Key == "href" {
				require.True(t, strings.HasPrefix(a.Val, "./"), a.Val)
				require.NotContains(t, a.Val, "..")
			}
			if n.Data == "img" && a.Key == "src" {
				images = append(images, a.Val)
			}
		}
	}
	require.Equal(t, []string{"./drawings/overlay%20hem%231%3F.svg", "./%22x", "./piece-back.svg"}, images)
	require.Contains(t, text.String(), "<script>alert(1)</script>", "the text is shown, not run")
}
