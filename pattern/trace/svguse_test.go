package trace

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Copies by use stand where x, y and the transforms say (SVG 2, section 5.5);
// corners 0 and 2 of a square of 10, by hand.
func TestUse(t *testing.T) {
	square := `<path id="sq" d="M 0 0 h 10 v 10 h -10 z"/>`
	symbol := `<symbol id="sym" viewBox="0 0 10 10">` + square + `</symbol>`
	for content, want := range map[string][4]float64{
		`<defs>` + square + `</defs><use id="p" x="5" y="6" href="#sq"/>`:                              {5, 6, 15, 16},
		`<defs>` + square + `</defs><use id="p" x="5" y="6" xlink:href="#sq"/>`:                        {5, 6, 15, 16},
		`<defs>` + square + `</defs><use id="p" xlink:href="#none" href="#sq"/>`:                       {0, 0, 10, 10},
		`<use id="p" x="5" transform="scale(2)" href="#sq"/><defs>` + square + `</defs>`:               {10, 0, 30, 20},
		`<defs><g id="g7" transform="translate(1,2)">` + square + `</g></defs><use x="5" href="#g7"/>`: {6, 2, 16, 12},
		`<defs>` + square + `<use id="u2" x="3" href="#sq"/></defs><use id="p" y="4" href="#u2"/>`:     {3, 4, 13, 14},
		symbol + `<use x="5" y="6" width="20" height="30" href="#sym"/>`:                               {5, 11, 25, 31},
		symbol + `<use width="20" height="30" transform="rotate(90)" href="#sym"/>`:                    {-5, 0, -25, 20},
		symbol + `<use href="#sym"/>`: {0, 0, 1000, 1000},
		`<symbol id="sym" x="1" y="2">` + square + `</symbol><use x="5" href="#sym"/>`:                                                    {6, 2, 16, 12},
		`<defs><svg id="in" viewBox="0 0 10 10" width="1" height="1">` + square + `</svg></defs><use width="50" height="50" href="#in"/>`: {0, 0, 50, 50},
		`<defs><svg id="in" viewBox="0 0 10 10" width="40" height="40">` + square + `</svg></defs><use href="#in"/>`:                      {0, 0, 40, 40},
	} {
		d := mustRead(t, content)
		require.Len(t, d.Outlines, 1, content)
		r := d.Outlines[0].Ring
		for i, got := range []float64{r[0].P0.X, r[0].P0.Y, r[2].P0.X, r[2].P0.Y} {
			assert.InDelta(t, want[i], got, 1e-9, "%s, number %d", content, i)
		}
	}
}

// A copy bears its own name when it has one, else the name of what it shows.
func TestUseNames(t *testing.T) {
	shapes := `<defs><rect id="pocket" width="140" height="160"/><g id="set"><rect id="cuff" x="200" width="240" height="70"/></g></defs>`
	d := mustRead(t, shapes+`<use id="use3" href="#pocket"/><use id="left pocket" x="500" href="#pocket"/>`+
		"\n"+`<use id="both" href="#set"/>`)
	assert.Equal(t, []string{"pocket", "left pocket", "cuff"}, names(d))
	assert.Equal(t, `smock.svg:2: rect "left pocket" (shown by use on line 2)`, d.Outlines[1].Where)
	assert.Equal(t, `smock.svg:2: rect "cuff" (shown by use on line 3)`, d.Outlines[2].Where)

	// A copy that only shows an outline again is none, and takes its marks along.
	again := `<g id="set"><rect id="pocket" width="140" height="160"/><path id="edge" d="M 20,20 q 50,9 100,0"/></g>` +
		"\n" + `<use id="use3" x="300" href="#set"/>`
	d = mustRead(t, again)
	assert.Equal(t, []string{"pocket"}, names(d))
	assert.Len(t, d.Outlines[0].Lines, 1)
	require.Len(t, d.Ignored, 1)
	assert.Contains(t, d.Ignored[0], `rect "pocket" (shown by use on line 3): a copy without a name of its own`)

	_, err := readString(sheetMM(`<rect id="pocket" width="140" height="160"/>`+"\n"+
		`<use id="use3" inkscape:label="pocket" x="300" href="#pocket"/>`), Options{})
	assert.ErrorContains(t, err, `rect "pocket" (shown by use on line 3): has the same name as the outline on line 2`)
}

// Visibility is handed down to a copy, display of the original's parents is not.
func TestUseAndStyle(t *testing.T) {
	hidden := `<g display="none"><rect id="pocket" width="140" height="160"/></g>`
	assert.Equal(t, []string{"pocket"}, names(mustRead(t, hidden+`<use href="#pocket"/>`)))
	for _, off := range []string{
		`<use id="p" href="#pocket" display="none"/>`, `<use id="p" href="#pocket" visibility="hidden"/>`,
		`<use id="p" href="#sym"/><symbol id="sym" display="none"><rect id="x" width="9" height="9"/></symbol>`,
	} {
		assert.Equal(t, []string{"back"}, names(mustRead(t, backRect+hidden+off)), off)
	}
}

func TestUseOfNothing(t *testing.T) {
	d := mustRead(t, backRect+`<use/><use id="x" href="#gone"/><use href="other.svg#y"/>`)
	require.Len(t, d.Ignored, 2)
	assert.Contains(t, d.Ignored[0], `smock.svg:2: use "x": shows "#gone", which the file does not have`)
	assert.Contains(t, d.Ignored[1], `"other.svg#y", which is not in this file`)
}

func TestUseOfItself(t *testing.T) {
	for _, content := range []string{
		`<g id="a"><use href="#a"/></g>`,
		`<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>`,
		`<use id="a" href="#a"/>`,
		`<use id="a" href="#b"/><use id="b" href="#a"/>`,
		`<symbol id="a"><use href="#a"/></symbol><use href="#a"/>`,
	} {
		_, err := readString(sheetMM(content), Options{})
		assert.ErrorContains(t, err, "holds this use element itself", content)
	}
	_, err := readString(`<svg id="top" width="9mm"><use href="#top"/></svg>`, Options{})
	assert.ErrorContains(t, err, "holds this use element itself")
}

// Groups that show the group before ten times: ten to the thirtieth squares
// from three thousand bytes. One error, at once, in little memory.
func TestUseBomb(t *testing.T) {
	var b strings.Builder
	b.WriteString(`<defs><path id="l0" d="M 0 0 h 10 v 10 z"/>`)
	for i := 1; i <= 30; i++ {
		fmt.Fprintf(&b, "\n<g id=\"l%d\">%s</g>", i, strings.Repeat(fmt.Sprintf(`<use href="#l%d"/>`, i-1), 10))
	}
	b.WriteString(`</defs><use id="bomb" href="#l30"/>`)
	grown := memoryOf(func() {
		d, err := readString(sheetMM(b.String()), Options{})
		assert.Nil(t, d)
		assert.ErrorIs(t, err, ErrTooLarge)
		assert.ErrorContains(t, err, "elements are drawn, copies counted")
	})
	assert.Less(t, grown, uint64(256<<20), "bytes allocated")
}

// The same by long chains, and by one long path shown many times.
func TestUseChainAndLongPaths(t *testing.T) {
	var b strings.Builder
	for i := range 1000 {
		fmt.Fprintf(&b, `<use id="u%d" href="#u%d"/>`, i, i+1)
	}
	_, err := readString(sheetMM(`<defs>`+b.String()+`</defs><use href="#u0"/>`), Options{})
	assert.ErrorContains(t, err, "nested more than 200 deep")

	long := `<defs><path id="p" d="M 0 0` + strings.Repeat(" 1 1 0 1", 20_000) + `"/></defs>`
	_, err = readString(sheetMM(long+strings.Repeat(`<use href="#p"/>`, 1000)), Options{})
	assert.ErrorContains(t, err, "more than 1000000 curves")

	blank := `<defs><path id="p" d="` + strings.Repeat(" ", 1_000_000) + `"/></defs>`
	_, err = readString(sheetMM(blank+strings.Repeat(`<use href="#p"/>`, 1000)), Options{})
	assert.ErrorContains(t, err, "MB of path data")
}

// What refusing a bomb costs; the budget keeps it to a fraction of a second.
func BenchmarkUseBomb(b *testing.B) {
	var text strings.Builder
	text.WriteString(`<defs><path id="l0" d="M 0 0 h 10 v 10 z"/>`)
	for i := 1; i <= 30; i++ {
		fmt.Fprintf(&text, "\n<g id=\"l%d\">%s</g>", i, strings.Repeat(fmt.Sprintf(`<use href="#l%d"/>`, i-1), 10))
	}
	text.WriteString(`</defs><use id="bomb" href="#l30"/>`)
	for b.Loop() {
		if _, err := readString(sheetMM(text.String()), Options{}); err == nil {
			b.Fatal("a bomb was read")
		}
	}
}
