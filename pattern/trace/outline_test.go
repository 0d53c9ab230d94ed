package trace

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

// A name is the label, else data-name, else title, else id, literally; what a
// program gave is none.
func TestNames(t *testing.T) {
	for attrs, want := range map[string]string{
		`id="back"`:          "back",
		`id="side panel"`:    "side panel",
		`id=" side  panel "`: " side  panel ",
		`id="path12" inkscape:label="side  panel"`: "side  panel",
		`id="back" inkscape:label=""`:              "back",
		`id="back" data-name="Back 2"`:             "Back 2",
		`id="back" aria-label="lettering"`:         "back",
		`id="path"`:                                "path",
		`id="rect 12"`:                             "rect 12",
		`id="path12a"`:                             "path12a",
		`id="line-up"`:                             "line-up",
		`id="path12"`:                              "",
		`id="path1234-5"`:                          "",
		`id="path1234-5-3"`:                        "",
		`id="rect12"`:                              "",
		`id="use7"`:                                "",
		`id="Path_2"`:                              "",
		`id="SVGID_1_"`:                            "",
		`inkscape:label="g5"`:                      "",
		`aria-label="lettering"`:                   "",
		``:                                         "",
	} {
		d, err := readString(sheetMM(`<path `+attrs+` d="M 0 0 h 30 v 40 z"/>`), Options{})
		if want == "" {
			assert.ErrorIs(t, err, ErrNoOutline, attrs)
			assert.ErrorContains(t, err, "take all with --all", attrs)
			continue
		}
		require.NoError(t, err, attrs)
		assert.Equal(t, []string{want}, names(d))
	}
	d := mustRead(t, `<path id="path3" d="M 0 0 h 30 v 40 z"><title> yoke </title></path>`)
	assert.Equal(t, []string{"yoke"}, names(d))
}

func TestAll(t *testing.T) {
	content := sheetMM(`<path id="path3" d="M 0 0 h 30 v 40 z"/><rect x="100" width="30" height="40"/>
		<rect id="back" x="200" width="30" height="40"/><circle id="circle9" cx="215" cy="20" r="3"/>`)
	d, err := readString(content, Options{All: true})
	require.NoError(t, err)
	assert.Equal(t, []string{"path3", "outline 1", "back"}, names(d))
	assert.Equal(t, []Dot{{At: geom.Pt(215, 20), Radius: 3}}, rounded(d.Outlines[2].Dots))
	d, err = readString(content, Options{})
	require.NoError(t, err)
	assert.Equal(t, []string{"back"}, names(d))
}

func rounded(dots []Dot) []Dot {
	for i := range dots {
		dots[i].Radius = math.Round(dots[i].Radius*1e6) / 1e6
	}
	return dots
}

// A drawing with everything: what becomes what.
func TestMarks(t *testing.T) {
	d := mustRead(t, `
		<path id="back" d="M 100,100 H 400 V 600 H 100 Z M 200,210 a 4 4 0 0 1 8 0 a 4 4 0 0 1 -8 0"/>
		<path id="path1" d="M 400,300 h -6"/>
		<path id="balance" d="M 400.3,350 h 8"/>
		<path id="path2" d="M 100,400 l 5,4 l -5,4"/>
		<path id="path3" d="M 400,500 h -25"/>
		<path id="path4" d="M 150,150 v 20"/>
		<path id="fold" inkscape:label="grain line" d="M 250,200 V 550"/>
		<line id="line5" x1="120" y1="620" x2="120" y2="700"/>
		<circle id="circle6" cx="300" cy="200" r="4.9"/>
		<ellipse id="button" cx="300" cy="250" rx="2" ry="2"/>
		<ellipse id="ellipse7" cx="300" cy="270" rx="2" ry="3"/>
		<circle id="circle8" cx="300" cy="300" r="5.1"/>
		<circle id="circle9" cx="700" cy="700" r="2"/>
		<rect id="pocket" x="150" y="450" width="100" height="100"/>
		<path id="path10" d="M 160,460 h 80"/>
		<circle id="tiny" cx="800" cy="100" r="4"/>
		<text x="160" y="480" id="text1">cut <tspan>t</tspan>wo</text>
		<text x="1" y="2"><tspan x="300" y="400">on the
			fold</tspan><tspan x="300" y="420">twice</tspan></text>
		<text x="900" y="900">legend</text><text id="size" x="900" y="900">legend</text>
		<path id="scale bar" d="M 500,700 h 100"/><path id="tick" d="M 500,720 l 3,3 l 3,-3"/>`)
	require.Equal(t, []string{"back", "pocket", "tiny"}, names(d))
	back, pocket := outlineOf(t, d, "back"), outlineOf(t, d, "pocket")
	assert.InDelta(t, 300*500, back.Ring.Area(), 1e-9)
	assert.Equal(t, []Notch{{At: geom.Pt(400, 300)}, {At: geom.Pt(400, 350), Name: "balance"}, {At: geom.Pt(100, 404)}}, near(back.Notches))
	require.Len(t, back.Lines, 3)
	assert.Equal(t, "400,500 L375,500", coords(back.Lines[0].Path), "25 mm is a line, not a notch")
	assert.Equal(t, "150,150 L150,170", coords(back.Lines[1].Path), "short, but not on the outline")
	assert.Equal(t, "grain line", back.Lines[2].Name)
	assert.Equal(t, []Dot{{At: geom.Pt(204, 210), Radius: 4}, {At: geom.Pt(300, 200), Radius: 4.9}, {Name: "button", At: geom.Pt(300, 250), Radius: 2}}, rounded(back.Dots))
	assert.Equal(t, []Text{{"on the fold twice", geom.Pt(300, 400)}}, back.Texts)
	assert.Equal(t, []Text{{"cut two", geom.Pt(160, 480)}}, pocket.Texts, "the innermost piece takes a mark")
	require.Len(t, pocket.Lines, 1)
	require.Len(t, d.Ignored, 4)
	for i, want := range []string{
		`ellipse "ellipse7": this and 1 more closed lines without a name inside "back" are left out`,
		`path "scale bar": open and in no outline`, `path "tick": open and in no outline`,
		`text "size": text in no outline`,
	} {
		assert.Contains(t, d.Ignored[i], want)
	}
}

func near(n []Notch) []Notch {
	for i := range n {
		n[i].At = geom.Pt(math.Round(n[i].At.X*1e6)/1e6, math.Round(n[i].At.Y*1e6)/1e6)
	}
	return n
}

// Where two pieces lie together, a notch belongs to the one it runs into.
func TestNotchBetweenPieces(t *testing.T) {
	d := mustRead(t, `<rect id="left" width="200" height="300"/><rect id="right" x="200" width="200" height="300"/>
		<path id="path1" d="M 200,100 h 6"/><path id="path2" d="M 200,150 h -6"/><path id="path3" d="M 200.2,200 h -6"/>`)
	assert.Equal(t, []Notch{{At: geom.Pt(200, 150), Name: ""}, {At: geom.Pt(200, 200), Name: ""}}, near(outlineOf(t, d, "left").Notches))
	assert.Equal(t, []Notch{{At: geom.Pt(200, 100), Name: ""}}, near(outlineOf(t, d, "right").Notches))
}

func TestOpenOutline(t *testing.T) {
	for content, want := range map[string]string{
		`<path id="back" d="M 10,10 H 300 V 400 H 10 V 13.2"/>`:                                           `smock.svg:2: path "back": outline open: gap of 3.2 mm between end (10.00, 13.20) and start (10.00, 10.00); close it`,
		`<polyline id="back" points="10,10 300,10 300,400"/>`:                                             `polyline "back": outline open`,
		`<rect id="p" width="30" height="30"/><path id="back" d="M 100,100 H 300 V 400 H 100 V 100.02"/>`: "gap of 0.02 mm",
	} {
		d, err := readString(sheetMM(content), Options{})
		assert.Nil(t, d)
		assert.ErrorIs(t, err, ErrOpen)
		assert.ErrorContains(t, err, want)
	}
}

// The gap at which an end counts as the start is in mm on the sheet, whatever
// the user unit, and the last curve is bent to meet it.
func TestSmallGaps(t *testing.T) {
	d := mustRead(t, `<path id="p" transform="scale(100)" d="M 0,0 C 1,0 2,1 2,2 H 0 V 0.00009"/>`)
	r := outlineOf(t, d, "p").Ring
	assert.Len(t, r, 3)
	_, err := readString(sheetMM(`<path id="p" transform="scale(100)" d="M 0,0 C 1,0 2,1 2,2 H 0 V 0.00011"/>`), Options{})
	assert.ErrorIs(t, err, ErrOpen)
	// Rounding to six digits leaves gaps that Z closes without a corner.
	d = mustRead(t, `<path id="p" d="m 100,100 c 33.3333,0 66.6667,33.3333 66.6667,66.6667 c 0,33.3333 -33.3333,66.6667 -66.6668,66.6667 c -80,0 -80,-133.3335 0,-133.3335 z"/>`)
	assert.Len(t, outlineOf(t, d, "p").Ring, 3)
}

// An outline keeps its shape, start and divisions however it is written.
func TestStartAndDirection(t *testing.T) {
	clock := outlineOf(t, mustRead(t, `<path id="p" d="M 50,50 L 350,50 C 350,200 300,300 300,500 L 50,500 Z"/>`), "p").Ring
	anti := outlineOf(t, mustRead(t, `<path id="p" d="M 50,50 V 500 H 300 C 300,300 350,200 350,50 Z"/>`), "p").Ring
	assert.Equal(t, coords(geom.Path(clock)), coords(geom.Path(anti)))
	other := outlineOf(t, mustRead(t, `<path id="p" d="m 300,500 h -250 v -450 h 300 c 0,150 -50,250 -50,450 z"/>`), "p").Ring
	assert.Equal(t, geom.Pt(300, 500), other[0].P0)
	assert.Less(t, apart(clock, other), 1e-9)
}

func TestSeveralOutlinesInOnePath(t *testing.T) {
	lettering := `<path id="path7" d="M 0 0 h 9 v 99 z M 50 50 h 30 v 30 z"/>`
	d, err := readString(sheetMM(backRect+lettering), Options{All: true})
	require.NoError(t, err)
	assert.Equal(t, []string{"back"}, names(d))
	assert.Contains(t, strings.Join(d.Ignored, "\n"), `path "path7": has 2 closed outlines; break it apart`)
	_, err = readString(sheetMM(`<path id="p" d="M 0 0 h 99 v 99 z m 300 300 a 4 4 0 0 1 8 0 a 4 4 0 0 1 -8 0"/>`), Options{})
	assert.ErrorContains(t, err, "has 2 closed outlines", "a circle outside of its own outline")
}

func TestIgnoredIsBounded(t *testing.T) {
	d := mustRead(t, backRect+strings.Repeat(`<use href="#gone"/>`, 300))
	require.Len(t, d.Ignored, maxIgnored+1)
	assert.Equal(t, "smock.svg: and 200 more", d.Ignored[maxIgnored])
}

// Far-off things nobody named do no harm.
func TestFarAndUnnamed(t *testing.T) {
	d := mustRead(t, backRect+`<path id="path1" d="M 0,0 L 1e7,1e7"/><text x="1e300" y="0">x</text>`)
	assert.Equal(t, []string{"back"}, names(d))
	assert.Empty(t, outlineOf(t, d, "back").Lines)
}

// A text's place: the innermost tspan that holds its first letter.
func TestTextPlace(t *testing.T) {
	for text, want := range map[string]geom.Point{
		`<text x="10" y="20">a</text>`:                                                                         {X: 10, Y: 20},
		`<text x="10 15 20" y="20,30">abc</text>`:                                                              {X: 10, Y: 20},
		`<text x="10" y="20"><tspan y="30">a</tspan></text>`:                                                   {X: 10, Y: 30},
		`<text x="10" y="20">a<tspan x="99" y="30">b</tspan></text>`:                                           {X: 10, Y: 20},
		`<text x="10" y="20"><tspan x="1" y="1" style="display:none">no</tspan><tspan x="40">a</tspan></text>`: {X: 40, Y: 20},
		`<text x="5%" y="20" transform="rotate(90) translate(0,-100)">a</text>`:                                {X: 80, Y: 50},
		`<g transform="translate(10,10)"><text>a</text></g>`:                                                   {X: 10, Y: 10},
	} {
		o := outlineOf(t, mustRead(t, `<rect id="back" width="300" height="400"/>`+text), "back")
		require.Len(t, o.Texts, 1, text)
		assert.InDelta(t, 0, want.Dist(o.Texts[0].At), 1e-9, text)
	}
	d := mustRead(t, backRect+`<text>`+strings.Repeat("x", maxText+1)+`</text><text><textPath href="#back">round</textPath></text><text x="z">a</text>`)
	assert.Len(t, d.Ignored, 3)
	assert.Empty(t, outlineOf(t, d, "back").Texts)
}
