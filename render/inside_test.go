package render

import (
	"html"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// requireInside fails where a line, a circle, a rectangle or a path leaves the
// sheet. It returns how many places were looked at.
func requireInside(t *testing.T, svg string) int {
	t.Helper()
	elements := readSVG(t, svg)
	low, high := sheetBox(t, elements)
	count := 0
	for _, e := range elements {
		for _, p := range elementPoints(t, e) {
			q := e.to.apply(p)
			const hair = 1e-3
			inside := q.x >= low.x-hair && q.y >= low.y-hair && q.x <= high.x+hair && q.y <= high.y+hair
			require.True(t, inside, "a %s of class %q leaves the sheet at %v", e.name, e.attrs["class"], q)
			count++
		}
	}
	return count
}

// elementPoints are places along what an element draws.
func elementPoints(t *testing.T, e element) []xy {
	switch e.name {
	case "line":
		return []xy{{e.number(t, "x1"), e.number(t, "y1")}, {e.number(t, "x2"), e.number(t, "y2")}}
	case "circle":
		x, y, r := e.number(t, "cx"), e.number(t, "cy"), e.number(t, "r")
		return []xy{{x - r, y}, {x + r, y}, {x, y - r}, {x, y + r}}
	case "rect":
		x, y := e.number(t, "x"), e.number(t, "y")
		return []xy{{x, y}, {x + e.number(t, "width"), y + e.number(t, "height")}}
	case "path":
		return pathSamples(t, e.attrs["d"])
	}
	return nil
}

var textElement = regexp.MustCompile(`<text[^>]*>([^<]*)</text>`)

// drawnText is what stands in the drawing of an overlay itself, and what is
// told to have had no room there; not the sentences beside it.
func drawnText(t *testing.T, svg string) string {
	t.Helper()
	start := strings.Index(svg, `class="labels"`)
	require.Positive(t, start)
	labels, beside, ok := strings.Cut(svg[start:], `class="title"`)
	require.True(t, ok)
	if _, missed, ok := strings.Cut(beside, `class="missed"`); ok {
		end := strings.Index(missed, "</g>")
		require.Positive(t, end)
		labels += missed[:end]
	}
	var text strings.Builder
	for _, found := range textElement.FindAllStringSubmatch(labels, -1) {
		text.WriteString(html.UnescapeString(found[1]) + " ")
	}
	return text.String()
}

// coveringLabels counts the labels of a drawing, and those that cover a line
// of it other than hatches and leaders: arrows, dimensions, marks, grain.
func coveringLabels(t *testing.T, svg string) (labels, covering int) {
	t.Helper()
	drawing, _, ok := strings.Cut(svg, `class="leaders"`)
	require.True(t, ok)
	var lines []xy
	hatch := regexp.MustCompile(`class="(hatch-added|hatch-removed|added|removed|kept|gap|sheet|band)"`)
	for _, found := range regexp.MustCompile(`<(?:path|line|circle)[^>]*/>`).FindAllString(drawing, -1) {
		if hatch.MatchString(found) {
			continue
		}
		for _, e := range readSVG(t, found) {
			lines = append(lines, elementPoints(t, e)...)
			if e.name == "line" {
				a, b := xy{e.number(t, "x1"), e.number(t, "y1")}, xy{e.number(t, "x2"), e.number(t, "y2")}
				lines = append(lines, samples(a, a, b, b)...)
			}
		}
	}
	for _, b := range labelBoxes(t, readSVG(t, svg)) {
		labels++
		for _, p := range lines {
			if b.apart(p) == 0 {
				covering++
				break
			}
		}
	}
	return labels, covering
}

// TestNothingIsClipped: whatever is drawn lies on the sheet, over the goldens
// and over pieces and changes made at random.
func TestNothingIsClipped(t *testing.T) {
	const seed, rounds = 20260701, 25
	t.Logf("seed %d", seed)
	places := 0
	for _, d := range append(drawings(), narrowDrawings()...) {
		t.Run(d.name, func(t *testing.T) { places += requireInside(t, svgOf(t, d)) })
	}
	m := maker{rand.New(rand.NewPCG(seed, 1))}
	for range rounds {
		p := m.changed(m.name())
		for _, d := range m.everyDrawing(p) {
			t.Run(d.name, func(t *testing.T) { places += requireInside(t, svgOf(t, d)) })
		}
	}
	require.Greater(t, places, 1000*rounds)
}
