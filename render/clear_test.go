package render

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// outlineClasses are the strokes that no label's ground may cover.
var outlineClasses = map[string]bool{"old": true, "new": true, "sewing": true, "cutting": true, "folded": true, "notch": true}

// strokePoints are places close together along the outlines and notches of a
// drawing, on the sheet, with half the width of each stroke.
func strokePoints(t *testing.T, elements []element) (points []xy, half []float64) {
	t.Helper()
	for _, e := range elements {
		if !outlineClasses[e.attrs["class"]] || e.name != "path" && e.name != "line" {
			continue
		}
		own := []xy(nil)
		if e.name == "line" {
			a, b := xy{e.number(t, "x1"), e.number(t, "y1")}, xy{e.number(t, "x2"), e.number(t, "y2")}
			own = samples(a, a, b, b)
		} else {
			own = pathSamples(t, e.attrs["d"])
		}
		for _, p := range own {
			points, half = append(points, e.to.apply(p)), append(half, e.number(t, "stroke-width")/2)
		}
	}
	return points, half
}

// pathSamples reads a path of M, L, C and Z.
func pathSamples(t *testing.T, d string) []xy {
	t.Helper()
	tokens := strings.Fields(strings.NewReplacer("M", " M ", "L", " L ", "C", " C ", "Z", " Z ").Replace(d))
	var out []xy
	var start, at xy
	number := func(i int) float64 {
		v, err := strconv.ParseFloat(tokens[i], 64)
		require.NoError(t, err)
		return v
	}
	point := func(i int) xy { return xy{number(i), number(i + 1)} }
	for i := 0; i < len(tokens); {
		switch tokens[i] {
		case "M":
			start = point(i + 1)
			at = start
			i += 3
		case "L":
			out = append(out, samples(at, at, point(i+1), point(i+1))...)
			at = point(i + 1)
			i += 3
		case "C":
			out = append(out, samples(at, point(i+1), point(i+3), point(i+5))...)
			at = point(i + 5)
			i += 7
		case "Z":
			out = append(out, samples(at, at, start, start)...)
			i++
		default:
			t.Fatalf("path command %q", tokens[i])
		}
	}
	return out
}

func samples(a, b, c, e xy) []xy {
	const n = 400
	var out []xy
	for k := 0; k <= n; k++ {
		u := float64(k) / n
		v := 1 - u
		out = append(out, xy{
			v*v*v*a.x + 3*v*v*u*b.x + 3*v*u*u*c.x + u*u*u*e.x,
			v*v*v*a.y + 3*v*v*u*b.y + 3*v*u*u*c.y + u*u*u*e.y,
		})
	}
	return out
}

// apart is how far a place lies outside of a label's ground, 0 within it.
func (b labelBox) apart(p xy) float64 {
	off := func(from, to xy) float64 { // beyond the side, seen from the ground
		u := xy{to.x - from.x, to.y - from.y}
		l := math.Hypot(u.x, u.y)
		along := ((p.x-from.x)*u.x + (p.y-from.y)*u.y) / l
		return math.Max(0, math.Max(-along, along-l))
	}
	return math.Hypot(off(b.corners[0], b.corners[1]), off(b.corners[1], b.corners[2]))
}

// requireUncovered fails where the ground of a label covers a part of an
// outline's or a notch's stroke. It returns how many places were looked at.
func requireUncovered(t *testing.T, svg string) int {
	t.Helper()
	elements := readSVG(t, svg)
	points, half := strokePoints(t, elements)
	for i, b := range labelBoxes(t, elements) {
		for k, p := range points {
			if b.apart(p) < half[k] {
				t.Fatalf("label %d covers an outline or a notch at %v", i, p)
			}
		}
	}
	return len(points)
}

// TestLabelsCoverNoOutline: over the drawings of these tests, and over pieces
// and changes made at random.
func TestLabelsCoverNoOutline(t *testing.T) {
	const seed, rounds = 20260611, 25
	t.Logf("seed %d", seed)
	places := 0
	for _, d := range append(drawings(), narrowDrawings()...) {
		t.Run(d.name, func(t *testing.T) {
			svg := svgOf(t, d)
			places += requireUncovered(t, svg)
			requireClear(t, svg)
		})
	}
	m := maker{rand.New(rand.NewPCG(seed, 1))}
	for i := 0; i < rounds; i++ {
		for _, draw := range m.everyDrawing(m.changed(m.name())) {
			t.Run(fmt.Sprintf("%d/%s", i, draw.name), func(t *testing.T) { places += requireUncovered(t, svgOf(t, draw)) })
		}
	}
	require.Greater(t, places, 100*rounds)
}

// narrowDrawings are pieces that leave little or no room for words: a carrier
// of 6 mm, a binding, and a piece with a zigzag edge and many notches.
func narrowDrawings() []drawn {
	sheet := func(name string, p *pattern.Piece) drawn {
		return drawn{name, func(b *bytes.Buffer) error { return Piece(b, fixtureSheet(), p, "cloth") }}
	}
	return []drawn{sheet("piece-strip", strip("belt carrier strip", 120, 6)), sheet("piece-binding", strip("neck binding", 900, 30)),
		sheet("piece-zigzag", zigzag())}
}

func strip(name string, long, high float64) *pattern.Piece {
	p := polygonPiece(name, []string{"edge 1", "edge 2", "edge 3", "edge 4"},
		geom.Pt(0, 0), geom.Pt(long, 0), geom.Pt(long, high), geom.Pt(0, high))
	for i := range p.Edges {
		p.Edges[i].Allowance = nil
	}
	return p
}

// zigzag has eighteen short edges above and eight notches with long names.
func zigzag() *pattern.Piece {
	points := []geom.Point{}
	var names []string
	for i := 0; i <= 18; i++ {
		points = append(points, geom.Pt(float64(i)*10, float64(i%2)*12))
		names = append(names, fmt.Sprintf("edge %d", i+1))
	}
	points = append(points, geom.Pt(190, 12), geom.Pt(190, 100), geom.Pt(0, 100))
	names = append(names, "right side", "lower edge", "left side")
	p := polygonPiece("zigzag-edged front facing with a fairly long name", names, points...)
	for i := range p.Edges {
		p.Edges[i].ID = fmt.Sprintf("%08x", i+1)
		p.Edges[i].Allowance["cloth"] = 9.525
	}
	for i := 0; i < 8; i++ {
		p.Notches = append(p.Notches, pattern.Notch{Name: fmt.Sprintf("a rather long notch number %d", i),
			Edge: "lower edge", At: 10 + 8*float64(i), FromEnd: true, Count: 1})
	}
	return p
}

// TestNarrowPiecesAreLabelledOutside: no title on a strip that has no room for
// it; the sheet bears it all the same. Each edge is pointed at by its name or
// its number.
func TestNarrowPiecesAreLabelledOutside(t *testing.T) {
	for _, d := range narrowDrawings()[:2] {
		svg := svgOf(t, d)
		titles := 0
		elements := readSVG(t, svg)
		for _, e := range elements {
			if e.text == "belt carrier strip" || e.text == "neck binding" {
				titles++
			}
		}
		require.Equal(t, 1, titles, "%s: in the title block only", d.name)
		size := map[string]xy{"piece-strip": {120, 6}, "piece-binding": {900, 30}}[d.name]
		edges := 0
		for _, e := range elements {
			if e.name != "text" || !strings.HasPrefix(e.text, "edge ") || e.attrs["text-anchor"] != "" {
				continue
			}
			edges++
			at := e.to.apply(xy{e.number(t, "x"), e.number(t, "y")})
			require.False(t, at.x > 0 && at.x < size.x && at.y > 0 && at.y < size.y, "%s: %q lies inside at %v", d.name, e.text, at)
		}
		require.Equal(t, 8, edges, "each edge beside the piece and in the list")
		requireLacks(t, svg, "allowance 0")
		require.Equal(t, 1, strings.Count(svg, "no allowances"))
		requireLacks(t, svg, "No room in the drawing for")
	}
	svg := svgOf(t, narrowDrawings()[2])
	drawnWords, _, _ := strings.Cut(svg[strings.Index(svg, `class="labels"`):], `class="title"`)
	for i := 1; i <= 18; i++ {
		whole := strings.Contains(drawnWords, fmt.Sprintf(">edge %d:", i))
		number := strings.Contains(drawnWords, fmt.Sprintf(`font-weight="bold" >%d<`, i))
		require.True(t, whole || number, "edge %d is not pointed at", i)
	}
}

// TestLegendOfMarks: each kind of mark is listed as itself, slivers that
// nobody can see are no regions, and a rounding is no distance.
func TestLegendOfMarks(t *testing.T) {
	words := func(p change.PieceDiff) string {
		var b bytes.Buffer
		require.NoError(t, Overlay(&b, fixtureSheet(), fixtureDiff(p), p))
		var out []string
		for _, e := range readSVG(t, b.String()) {
			out = append(out, e.text)
		}
		return strings.Join(out, "\n") + "\n"
	}
	line := func(item legendItem) string { return "\n" + legendWords[item] + "\n" }
	old, new := pocketPiece(), pocketPiece()
	place := func(y float64) []pattern.Mark {
		return []pattern.Mark{{Kind: pattern.MarkPlacement, Name: "pocket top", Path: geom.Polyline(geom.Pt(40, y), geom.Pt(160, y))}}
	}
	old.Marks, new.Marks = place(60), place(90)
	hair := geom.Polygon(geom.Pt(20, 10), geom.Pt(180, 10), geom.Pt(180, 10+5e-6), geom.Pt(20, 10+5e-6))
	p := change.PieceDiff{Piece: "pocket", State: change.Altered, Old: old, New: new,
		Overlap: geom.Overlap{Added: region(hair), Removed: region(hair)},
		Changes: []change.Change{{Kind: change.MarkMoved, Mark: "pocket top", ByVector: &change.XY{0, 30}, At: &change.XY{100, 90}, Says: "moved"}}}
	got := words(p)
	for _, item := range []legendItem{legendPlacement, legendOldMark, legendMoved, legendNew} {
		require.Contains(t, got, line(item))
	}
	for _, item := range []legendItem{legendMark, legendAdded, legendRemoved, legendDimension, legendFoldLine, legendSlit} {
		require.NotContains(t, got, line(item))
	}
	got = words(cornerRounded())
	require.Contains(t, got, line(legendRadius))
	require.NotContains(t, got, line(legendDimension))
	for i, w := range legendWords {
		require.NotEmpty(t, w, "legend item %d has no words", i)
	}
}

// TestSheetNamesItsVersion and labels its date.
func TestSheetNamesItsVersion(t *testing.T) {
	s := fixtureSheet()
	s.Version = "version 11, 2026-05-14"
	var b, c bytes.Buffer
	require.NoError(t, Piece(&b, s, pocketPiece(), "cloth"))
	requireHas(t, b.String(), ">version 11, 2026-05-14<")
	requireHas(t, b.String(), ">drawn on 2026-05-14<")
	requireLacks(t, b.String(), ">2026-05-14<")
	require.NoError(t, Overlay(&c, s, fixtureDiff(hemUp()), hemUp()))
	requireHas(t, c.String(), ">now: version 11, 2026-05-14<")
}
