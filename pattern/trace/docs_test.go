package trace

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var exampleBlock = regexp.MustCompile("(?ms)^```(svg|points)\n(.*?)^```$")

// told is what docs/tracing.md says of a piece of its examples.
type told struct {
	piece                       string
	notches, lines, dots, texts int
}

// The page for whoever draws says what the readers do: every example is read,
// and gives the pieces and marks the page tells of.
func TestTracingPage(t *testing.T) {
	page, err := os.ReadFile("../../docs/tracing.md")
	require.NoError(t, err)
	blocks := exampleBlock.FindAllStringSubmatch(string(page), -1)
	examples := []struct {
		kind    string
		pieces  []told
		notches []string // names, in the order of the file
		lines   []string
	}{
		{"svg", []told{{"back", 3, 2, 1, 1}, {"pocket", 0, 1, 0, 0}}, []string{"", "waist", ""}, []string{"grain line", "pocket place", "hem fold"}},
		{"svg", []told{{"cuff", 0, 0, 0, 0}}, nil, nil},
		{"svg", []told{{"yoke", 0, 0, 0, 0}, {"yoke lining", 0, 0, 0, 0}}, nil, nil},
		{"svg", []told{{"side panel", 4, 0, 0, 0}}, []string{"", "hip", "", ""}, nil},
		{"points", []told{{"front", 2, 3, 1, 1}, {"pocket", 0, 0, 0, 0}}, []string{"waist", ""}, []string{"pocket place", "facing fold", "grain"}},
	}
	require.Len(t, blocks, len(examples))
	for i, want := range examples {
		require.Equal(t, want.kind, blocks[i][1], "example %d", i+1)
		d := readExample(t, blocks[i])
		var pieces []told
		var notches, lines []string
		for _, o := range d.Outlines {
			checkRing(t, o.Ring)
			pieces = append(pieces, told{o.Name, len(o.Notches), len(o.Lines), len(o.Dots), len(o.Texts)})
			for _, n := range o.Notches {
				notches = append(notches, n.Name)
			}
			for _, l := range o.Lines {
				lines = append(lines, l.Name)
			}
		}
		assert.Equal(t, want.pieces, pieces, "example %d", i+1)
		assert.Equal(t, want.notches, notches, "example %d", i+1)
		assert.Equal(t, want.lines, lines, "example %d", i+1)
		assert.Empty(t, d.Ignored, "example %d", i+1)
	}
}

func readExample(t *testing.T, block []string) *Drawing {
	t.Helper()
	var d *Drawing
	var err error
	if block[1] == "svg" {
		d, err = ReadSVG("example.svg", strings.NewReader(block[2]), Options{})
	} else {
		d, err = ReadPoints("example.points", strings.NewReader(block[2]), PointsOptions{})
	}
	require.NoError(t, err)
	return d
}

// The sizes and places that the page's examples state, by hand: the cuff is
// 25 cm × 7 cm, the copied yoke 200 mm × 90 mm at x = 300 mm, the hip
// notch on x = 249.8; the pocket's one named side is its mouth.
func TestTracingPageSizes(t *testing.T) {
	page, err := os.ReadFile("../../docs/tracing.md")
	require.NoError(t, err)
	blocks := exampleBlock.FindAllStringSubmatch(string(page), -1)
	require.Len(t, blocks, 5)
	assert.InDelta(t, 250*70, outlineOf(t, readExample(t, blocks[1]), "cuff").Ring.Area(), 1e-6)
	lining := outlineOf(t, readExample(t, blocks[2]), "yoke lining").Ring
	assert.InDelta(t, 200*90, lining.Area(), 1e-6)
	assert.InDelta(t, 300, lining.Box().Min.X, 1e-9)
	for i, n := range outlineOf(t, readExample(t, blocks[3]), "side panel").Notches {
		assert.InDelta(t, 249.8, n.At.X, 1e-9, "notch %d", i)
	}
	points := readExample(t, blocks[4])
	front, pocket := outlineOf(t, points, "front"), outlineOf(t, points, "pocket")
	assert.Equal(t, map[int]string{0: "shoulder", 1: "armhole", 6: "side seam", 7: "hemline", 9: "centre front", 10: "neckline"}, front.EdgeNames)
	assert.Equal(t, map[int]string{0: "mouth"}, pocket.EdgeNames)
	assert.Equal(t, map[int]bool{0: true, 1: true, 2: true, 4: true}, pocket.Corners)
}

// Every word a points file knows stands on the page.
func TestTracingPageHasAllWords(t *testing.T) {
	page, err := os.ReadFile("../../docs/tracing.md")
	require.NoError(t, err)
	for _, word := range strings.Fields("`piece: `unit: corner curve` `notch: `dot: `line: `grain: `text: " +
		"--drawn --allowance --edge --fold --scale --all --place --drawn-within") {
		assert.Contains(t, string(page), word)
	}
}
