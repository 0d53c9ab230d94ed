package trace

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shownFile is a file with the block of a piece, and what is shown on the sheet.
func shownFile(inside, more, sheet string) string {
	block := groups(0, "BLOCK", 8, 1, 2, "front", 70, 0, 10, 0, 20, 0) + dxfText1("PIECE NAME: front") +
		dxfPolyline("14", [3]float64{0, 0, 0}, [3]float64{200, 0, 0}, [3]float64{200, 300, 0}, [3]float64{0, 300, 0}) + inside + groups(0, "ENDBLK", 8, 1)
	return dxfFile(insUnitsOf(4), block+more, sheet)
}

// A piece that is shown several times, mirrored or of another size, or only
// within another block, is taken once, and that is told.
func TestDXFPiecesShownAgain(t *testing.T) {
	insert := func(more ...any) string {
		return groups(append([]any{0, "INSERT", 8, 1, 2, "front", 10, 0, 20, 0}, more...)...)
	}
	marker := groups(0, "BLOCK", 8, 1, 2, "marker", 70, 0, 10, 0, 20, 0) + insert() + groups(0, "ENDBLK", 8, 1)
	for name, c := range map[string]struct{ file, says string }{
		"once":     {shownFile("", "", insert()), ""},
		"mirrored": {shownFile("", "", insert()+insert(41, -1)), `block "front" is shown 2 times and taken once, as it is shown first; mirrored: 1 of 1`},
		"larger":   {shownFile("", "", insert()+insert(41, 2, 42, 2)), "of another size: 1 of 1"},
		"rows":     {shownFile("", "", insert(71, 3, 45, 400)), "is shown 3 times"},
		"within":   {shownFile("", marker, groups(0, "INSERT", 8, 1, 2, "marker", 10, 0, 20, 0, 41, 2, 42, 2)), `block "front" is shown only within block "marker"; it is taken once, as it is shown there first`},
		"within two": {shownFile("", marker+groups(0, "BLOCK", 8, 1, 2, "lay", 70, 0, 10, 0, 20, 0, 0, "INSERT", 8, 1, 2, "marker", 10, 5, 20, 0, 41, -1, 42, 1, 0, "ENDBLK", 8, 1),
			groups(0, "INSERT", 8, 1, 2, "lay", 10, 0, 20, 0, 41, 2, 42, 2)), `block "front" is shown only within block "marker"`},
	} {
		d := mustDXF(t, c.file)
		require.Len(t, d.Outlines, 1, name)
		area, left := 60_000.0, 0.0
		if strings.HasPrefix(name, "within") {
			area = 4 * 60_000
		}
		if name == "within two" { // turned over and twice as large
			left = -400
		}
		assert.InDelta(t, area, d.Outlines[0].Ring.Area(), 1e-6, name)
		assert.InDelta(t, left, d.Outlines[0].Ring.Box().Min.X, 1e-6, name)
		said := strings.Join(d.Ignored, "\n")
		if c.says == "" {
			assert.Empty(t, said, name)
		} else {
			assert.Contains(t, said, c.says, name)
		}
	}
}

// A mirror line along an edge is the fold; one in the middle of a piece drawn
// whole is a line, and told of, as is a second one.
func TestDXFMirrorLines(t *testing.T) {
	insert := groups(0, "INSERT", 8, 1, 2, "front", 10, 0, 20, 0)
	edge, other, middle := dxfLine("6", 0, 0, 0, 300), dxfLine("6", 200, 0, 200, 300), dxfLine("6", 100, 0, 100, 300)
	d := mustDXF(t, shownFile(edge, "", insert))
	assert.NotEmpty(t, d.Outlines[0].Fold)
	assert.Empty(t, d.Ignored)
	d = mustDXF(t, shownFile(middle, "", insert))
	assert.Empty(t, d.Outlines[0].Fold)
	require.Len(t, d.Outlines[0].Lines, 1)
	assert.Equal(t, "mirror line", d.Outlines[0].Lines[0].Name)
	assert.Contains(t, strings.Join(d.Ignored, "\n"), "its mirror line lies on no edge")
	d = mustDXF(t, shownFile(edge+other, "", insert))
	assert.InDelta(t, 0, d.Outlines[0].Fold.Box().Max.X, 1e-9, "the first")
	assert.Contains(t, strings.Join(d.Ignored, "\n"), "a second mirror line")
}

// A piece that is called like what programs hand out is one where an export of
// toile's says so, also after another program saved it and dropped the label.
func TestOwnNamesAreNotAutomatic(t *testing.T) {
	read := func(attrs string) *Drawing {
		t.Helper()
		d, err := ReadSVG("x.svg", strings.NewReader(`<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" width="300mm" height="300mm" viewBox="0 0 300 300">`+
			`<path id="pocket" d="M 200,0 L 290,0 L 290,90 Z"/><path `+attrs+` d="M 0,0 L 100,0 L 100,100 L 0,100 Z"/></svg>`), Options{})
		require.NoError(t, err)
		return d
	}
	for attrs, pieces := range map[string]int{
		`id="toile-path12-2" inkscape:label="path12" data-name="path12"`: 2,
		`id="toile-path12-2" data-name="path12"`:                         2,
		`id="path12-2" data-name="path12"`:                               1,
		`id="x" inkscape:label="path12"`:                                 1,
		`id="path12"`:                                                    1,
	} {
		assert.Len(t, read(attrs).Outlines, pieces, attrs)
	}
}
