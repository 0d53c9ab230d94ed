package trace

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pocketAndFlap are two blocks: 100 × 50 mm, and 100 × 30 mm.
func pocketAndFlap() string {
	block := func(name string, high float64) string {
		return groups(0, "BLOCK", 8, 0, 2, name, 70, 0, 10, 0, 20, 0) +
			dxfPolyline("0", [3]float64{0, 0, 0}, [3]float64{100, 0, 0}, [3]float64{100, high, 0}, [3]float64{0, high, 0}) +
			groups(0, "ENDBLK", 8, 0)
	}
	return block("pocket", 50) + block("flap", 30)
}

func dxfInsertOf(block string, x float64, more ...any) string {
	return groups(append([]any{0, "INSERT", 8, 0, 2, block, 10, x, 20, 0}, more...)...)
}

// A block put down several times is one piece, as it is shown first, and the
// copies are told of: a mirrored one, one turned, one of another size.
func TestDXFCopiesOfABlock(t *testing.T) {
	for _, c := range []struct {
		shown, says string
		outlines    []string
	}{
		{dxfInsertOf("pocket", 0) + dxfInsertOf("pocket", 300, 41, -1) + dxfInsertOf("flap", 600),
			`block "pocket" is shown 2 times and taken once, as it is shown first; mirrored: 1 of 1; to have both cut, write` + " `cut: a pair`" + ``, []string{"pocket", "flap"}},
		{dxfInsertOf("pocket", 0) + dxfInsertOf("pocket", 300, 50, 90) + dxfInsertOf("pocket", 600, 41, 1.2, 42, 1.2),
			`is shown 3 times and taken once, as it is shown first; of another size: 1 of 2`, []string{"pocket"}},
		{dxfInsertOf("pocket", 0, 70, 3, 71, 2, 44, 200, 45, 200), `is shown 6 times`, []string{"pocket"}},
		{dxfInsertOf("pocket", 0) + dxfInsertOf("pocket", 100), `is shown 2 times`, []string{"pocket"}}, // side by side
	} {
		d := mustDXF(t, dxfFile(insUnitsOf(4), pocketAndFlap(), c.shown))
		require.Equal(t, c.outlines, names(d))
		assert.InDelta(t, 5000, outlineOf(t, d, "pocket").Ring.Area(), 1e-9)
		require.Len(t, d.Ignored, 1)
		assert.Contains(t, d.Ignored[0], c.says)
	}
}

// Where each showing holds a text of its own, each is a piece.
func TestDXFCopiesWithTexts(t *testing.T) {
	text := func(s string, x float64) string { return groups(0, "TEXT", 8, 0, 10, x, 20, 20, 40, 5, 1, s) }
	d := mustDXF(t, dxfFile(insUnitsOf(4), pocketAndFlap(), dxfInsertOf("pocket", 0)+dxfInsertOf("pocket", 300)+text("left pocket", 20)+text("right pocket", 320)))
	assert.Equal(t, []string{"left pocket", "right pocket"}, names(d))
	assert.Empty(t, d.Ignored)
}

// The attributes of a block name its showings.
func TestDXFAttributesNameCopies(t *testing.T) {
	insert := func(name string, x float64, unseen int) string {
		return groups(0, "INSERT", 8, 0, 2, "pocket", 66, 1, 10, x, 20, 0, 0, "ATTRIB", 8, 0, 10, x+20, 20, 20, 40, 5, 1, name, 2, "NAME", 70, 0,
			0, "ATTRIB", 8, 0, 10, x+30, 20, 20, 40, 5, 1, "not to be seen", 2, "NOTE", 70, unseen, 0, "SEQEND", 8, 0)
	}
	d := mustDXF(t, dxfFile(insUnitsOf(4), pocketAndFlap(), insert("left pocket", 0, 1)+insert("right pocket", 300, 1)))
	assert.Equal(t, []string{"left pocket", "right pocket"}, names(d))
	assert.Empty(t, d.Ignored)
	d = mustDXF(t, dxfFile(insUnitsOf(4), pocketAndFlap(), insert("left pocket", 0, 0)+insert("right pocket", 300, 0)))
	assert.NotEqual(t, []string{"left pocket", "right pocket"}, names(d), "which of two texts?")
}

// What has no name is told of with its number and the way to take it.
func TestDXFUnnamedToldOf(t *testing.T) {
	square := func(layer string, x float64) string {
		return dxfPolyline(layer, [3]float64{x, 0, 0}, [3]float64{x + 100, 0, 0}, [3]float64{x + 100, 60, 0}, [3]float64{x, 40, 0})
	}
	d := mustDXF(t, inMM(square("back", 0)+square("other", 200)+square("other", 400)))
	assert.Equal(t, []string{"back"}, names(d))
	require.Len(t, d.Ignored, 1)
	assert.Contains(t, d.Ignored[0], "this and 1 more closed outlines without a name are left out; label those that are pieces, or take all with --all")
}

// A line drawn twice, also backwards, closes the outline once.
func TestDXFLineDrawnTwice(t *testing.T) {
	d := mustDXF(t, inMM(dxfLine("cuff", 0, 0, 200, 0)+dxfLine("cuff", 200, 100, 200, 0)+dxfLine("cuff", 0, 100, 200, 100)+
		dxfLine("cuff", 0, 100, 0, 0)+dxfLine("cuff", 200, 0, 0, 0)))
	require.Equal(t, []string{"cuff"}, names(d))
	assert.InDelta(t, 20000, d.Outlines[0].Ring.Area(), 1e-9)
	require.Len(t, d.Ignored, 1)
	assert.Contains(t, d.Ignored[0], "a line is drawn twice; taken once")
}

// Lettering made into paths is told of in one sentence; a cutting line that lies
// on the sewing line, and a frame round the pieces, are nothing left out.
func TestUnnamedInOneSentence(t *testing.T) {
	letters := ""
	for _, x := range []string{"110", "130", "150"} {
		letters += `<path id="path` + x + `" d="M ` + x + `,120 h 8 v 12 h -8 Z"/>`
	}
	d := mustRead(t, `<path id="rect7" d="M 0,0 H 990 V 990 H 0 Z"/><path id="back" d="M 100,100 H 400 V 400 H 100 Z"/>`+
		`<path id="path99" d="M 100,100 H 400 V 400 H 100 Z"/>`+letters)
	require.Len(t, d.Ignored, 1)
	assert.Contains(t, d.Ignored[0], `path "path110": this and 2 more closed lines without a name inside "back" are left out`)
}
