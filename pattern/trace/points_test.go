package trace

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
)

func readPointsString(s string) (*Drawing, error) {
	return ReadPoints("smock.points", strings.NewReader(s), PointsOptions{})
}

func mustPoints(t *testing.T, s string) *Drawing {
	t.Helper()
	d, err := readPointsString(s)
	require.NoError(t, err)
	for _, o := range d.Outlines {
		checkRing(t, o.Ring)
	}
	return d
}

// A piece with straight edges and three curves, measured off its paper every
// 2 cm along the armhole and 4 cm along the hem to 0.1 mm, is the outline of
// the drawing within 0.05 mm.
func TestPointsGiveTheDrawing(t *testing.T) {
	drawing, err := Read("../../testdata/trace/points/front.svg", Options{}, PointsOptions{})
	require.NoError(t, err)
	listed, err := Read("../../testdata/trace/points/front.points", Options{}, PointsOptions{})
	require.NoError(t, err)
	want, got := outlineOf(t, drawing, "front"), outlineOf(t, listed, "front")
	off := apart(want.Ring, got.Ring)
	assert.Less(t, off, 0.05)
	t.Logf("points and drawing are at most %.4f mm apart", off)
	assert.Equal(t, map[int]string{0: "shoulder", 1: "armhole", 13: "side seam", 14: "hemline", 20: "centre front", 21: "neckline"}, got.EdgeNames)
	assert.Equal(t, map[int]bool{0: true, 1: true, 13: true, 14: true, 20: true, 21: true}, got.Corners)
	require.Len(t, got.Notches, 1)
	assert.InDelta(t, 0, want.Notches[0].At.Dist(got.Notches[0].At), 0.05)
	assert.InDelta(t, 0, want.Dots[0].At.Dist(got.Dots[0].At), 1e-9)
	assert.Equal(t, "grain", got.Lines[0].Name)
	assert.InDelta(t, 0, want.Lines[0].Path.Start().Dist(got.Lines[0].Path.Start()), 1e-9)
	assert.Nil(t, want.Corners)
	assert.Equal(t, `../../testdata/trace/points/front.points:4: piece "front"`, got.Where)
}

// Listed the other way round it is the same outline with the same names on
// the same edges.
func TestPointsOtherWay(t *testing.T) {
	text, err := os.ReadFile("../../testdata/trace/points/front.points")
	require.NoError(t, err)
	clock := outlineOf(t, mustPoints(t, string(text)), "front")
	head, body, _ := strings.Cut(string(text), "# across, down\n")
	body, tail, _ := strings.Cut(body, "\n\n")
	lines := strings.Split(body, "\n")
	// Going back, the name of an edge stands at its other end.
	var names, back []string
	for _, l := range lines {
		if f := strings.SplitN(l, "corner", 2); len(f) == 2 {
			names = append(names, strings.TrimSpace(f[1]))
		}
	}
	corner := 0
	for i := len(lines) - 1; i >= 0; i-- {
		at, _, isCorner := strings.Cut(lines[i], "corner")
		if isCorner {
			k := len(names) - 1 - corner
			back = append(back, at+"corner "+names[(k+len(names)-1)%len(names)])
			corner++
		} else {
			back = append(back, lines[i])
		}
	}
	anti := outlineOf(t, mustPoints(t, head+strings.Join(back, "\n")+"\n\n"+tail), "front")
	assert.Less(t, apart(clock.Ring, anti.Ring), 1e-9)
	byPlace := func(o Outline) map[string]string {
		m := map[string]string{}
		for i, name := range o.EdgeNames {
			assert.True(t, o.Corners[i])
			m[coords(geom.Path{geom.Line(o.Ring[i].P0, o.Ring[i].P0.Add(geom.Pt(1, 0)))})] = name
		}
		return m
	}
	assert.Equal(t, byPlace(clock), byPlace(anti))
	assert.Len(t, anti.Corners, len(clock.Corners))
}

// An edge may start at a smooth point; turned round, its place is kept.
func TestPointsSmoothEdgeStart(t *testing.T) {
	list := "piece: p\nunit: mm\n0,0 corner top\n100,0 corner side\n110,50 curve hip\n100,100 corner\n0,100 corner\n"
	p := outlineOf(t, mustPoints(t, list), "p")
	assert.Equal(t, map[int]string{0: "top", 1: "side", 2: "hip"}, p.EdgeNames)
	assert.Equal(t, map[int]bool{0: true, 1: true, 3: true, 4: true}, p.Corners)
	assert.InDelta(t, 0, p.Ring[1].Tangent(1).Dist(p.Ring[2].Tangent(0)), 1e-9)

	// The same going anticlockwise: 0,0 → 0,100 → 100,100 → 110,50 → 100,0.
	back := "piece: p\nunit: mm\n0,0\n0,100 corner hem\n100,100\n110,50 curve side\n100,0 corner top\n"
	q := outlineOf(t, mustPoints(t, back), "p")
	assert.Less(t, apart(p.Ring, q.Ring), 1e-9)
	// clockwise from 0,0: curve 0 top, 1 side, 2 the unnamed one, 3 hem, 4 unnamed
	assert.Equal(t, map[int]string{0: "top", 1: "side", 2: "", 3: "hem"}, q.EdgeNames)
	assert.Equal(t, map[int]bool{0: true, 1: true, 3: true, 4: true}, q.Corners)
}

func TestPointsFormat(t *testing.T) {
	d := mustPoints(t, "\ufeff# two pieces\r\nUnit: MM\r\npiece:  \"pocket #1\" # the left one\r\n"+
		"0,0\r\n 0 , 0 \r\n-1 1/2,40   CORNER  long edge # said\r\n+30.5,.5\tcorner \"5/8 edge\"\r\n0,0\r\n"+
		"piece: strap\nunit: in\n0,0\n5/8,0\n5/8,12\n0,12\n−0,6\n")
	require.Equal(t, []string{"pocket #1", "strap"}, names(d))
	assert.Equal(t, "0,0 L30.5,0.5 L-1.5,40 L0,0", coords(geom.Path(d.Outlines[0].Ring)))
	// Listed anticlockwise: from (30.5, 0.5) to (0, 0) was the '5/8 edge'.
	assert.Equal(t, map[int]string{0: "5/8 edge", 1: "long edge"}, d.Outlines[0].EdgeNames)
	assert.InDelta(t, 5./8*12*25.4*25.4, d.Outlines[1].Ring.Area(), 1e-9)
	assert.Empty(t, d.Outlines[1].EdgeNames)
	for text, mm := range map[string]float64{"unit: mm\n": 1, "": 10, "unit: inch\n": 25.4, "unit: centimetres\n": 10} {
		d := mustPoints(t, text+"0,0\n2,0\n2,2\n0,2\n")
		assert.Equal(t, []string{"smock"}, names(d), "called as the file")
		assert.InDelta(t, 4*mm*mm, d.Outlines[0].Ring.Area(), 1e-9)
	}
	d, err := ReadPoints("x.points", strings.NewReader("0,0\n2,0\n2,2\n"), PointsOptions{Unit: 25.4})
	require.NoError(t, err)
	assert.InDelta(t, 2*25.4*25.4, d.Outlines[0].Ring.Area(), 1e-9)
}

func TestPointsMarks(t *testing.T) {
	d := mustPoints(t, "unit: mm\n0,0\n100,0\n100,200\n0,200\n"+
		"notch: 101, 50 side\nnotch: 99,150\ndot: 10,20 button\nline: 10,10 to 90,10 to 90,20 pocket top\n"+
		"grain: 50,20 to 50,180\ntext: 20, 30 cut 2, fold here: no\n")
	o := d.Outlines[0]
	assert.Equal(t, []Notch{{At: geom.Pt(100, 50), Name: "side"}, {At: geom.Pt(100, 150)}}, near(o.Notches))
	assert.Equal(t, []Dot{{Name: "button", At: geom.Pt(10, 20)}}, o.Dots)
	require.Len(t, o.Lines, 2)
	assert.Equal(t, "10,10 L90,10 L90,20", coords(o.Lines[0].Path))
	assert.Equal(t, "pocket top", o.Lines[0].Name)
	assert.Equal(t, "grain", o.Lines[1].Name)
	assert.Equal(t, []Text{{"cut 2, fold here: no", geom.Pt(20, 30)}}, o.Texts)
}

// All points on a curve: a round crown, smooth all round.
func TestPointsWithoutCorner(t *testing.T) {
	text := "piece: crown\nunit: mm\n"
	for _, p := range onCircle(90, 0, 2*math.Pi*27/28, 28) {
		text += fmt.Sprintf("%.6f, %.6f curve\n", p.X, p.Y)
	}
	o := mustPoints(t, text).Outlines[0]
	assert.Empty(t, o.Corners)
	for _, c := range o.Ring {
		for i := range 51 {
			assert.InDelta(t, 90, c.At(float64(i)/50).Len(), 0.01)
		}
	}
}

func TestPointsRefusals(t *testing.T) {
	square := "0,0\n10,0\n10,10\n"
	for text, want := range map[string]string{
		"":                                       "smock.points: no outline found: no point is listed",
		"# nothing\n":                            "no point is listed",
		"piece: a\n0,0\n1,1\n":                   `smock.points:1: piece "a": 2 point(s); an outline needs three or more`,
		"piece: a\n0,0\n1,1\n0,0\n":              "2 point(s)",
		"0,0\n1,1\n2,2\n":                        `piece "smock": encloses no area`,
		"piece:\n":                               "smock.points:1: piece: without a name",
		"piece: a\n" + square + "piece: a\n":     `smock.points:5: piece "a": a second piece called "a"; the first is on line 1`,
		"unit: ell\n":                            `smock.points:1: unit "ell" is not known; write`,
		"0,0\nunit: mm\n":                        "the unit must stand before the points",
		"colour: red\n":                          `"colour:" is not known; a line is`,
		"3,5, 7\n":                               "the comma parts across from down; write decimals with a point",
		"3,5 7,2\n":                              "write decimals with a point",
		"3,5; 7,2\n":                             "write decimals with a point",
		"3 5\n":                                  `after "3" a comma and the measure down are expected`,
		"3\n":                                    `after "3" a comma`,
		"corner\n":                               `across: "corner" is not a number`,
		"3, b\n":                                 `down: "b" is not a number`,
		"3,\n":                                   `down: "" is not a number`,
		"3cm, 4cm\n":                             `after "3" a comma`,
		"3, 4cm\n":                               `"cm" follows the number directly; leave units off`,
		"--3, 4\n":                               `across: "--3, 4" is not a number`,
		"1.2.3, 4\n":                             "is not a number",
		"1/0, 4\n":                               `after "1" a comma`,
		"NaN, 4\n":                               "is not a number",
		"1e5, 4\n":                               `after "1" a comma`,
		"99999, 4\n":                             "999990, 40 mm is more than 100 m away",
		"1" + strings.Repeat("0", 400) + ", 4\n": "is beyond all measure",
		square + "5,0 curv\n":                    "smock.points:4: piece \"smock\": \"curv\" after the two numbers is not known; the word there is corner or curve",
		square + "5,0 notch middle\n":            "\"notch\" after the two numbers is not known; the word there is corner or curve",
		"0,0 side seam\n" + square:               "smock.points:1: \"side\" after the two numbers",
		square + "5,0 \"curve\"\n":               "is not known; the word there is corner or curve",
		square + "notch: 7, 3\n":                 "smock.points:4: piece \"smock\": notch at (70, 30) mm lies 28.3 mm off the outline",
		square + "notch: 5, 0 to 6, 0\n":         "notch: one point is needed, not 2",
		square + "line: 5, 0\n":                  "line: two points or more are needed",
		square + "grain: 5 0\n":                  "grain: after",
		square + "text: 5, 0\n":                  "text: nothing is written",
		"\xff\xfe\x00":                           "smock.points",
		"0,0\x00\n":                              "not plain text",
		"\xe9\n":                                 "save the file as UTF-8",
		strings.Repeat("1", 20_000):              "not a points file",
	} {
		d, err := readPointsString(text)
		assert.Nil(t, d, text)
		assert.ErrorContains(t, err, want, "%.60q", text)
	}
	_, err := ReadPoints("x.points", strings.NewReader(square), PointsOptions{Unit: -1})
	assert.ErrorContains(t, err, "give a length above 0")
}

func TestTooManyPoints(t *testing.T) {
	_, err := readPointsString(strings.Repeat("1,1\n2,1\n", 60_000))
	assert.ErrorIs(t, err, ErrTooLarge)
}

// A point measured twice counts once, as a corner if either was one, with
// whichever name it has.
func TestPointsMeasuredTwice(t *testing.T) {
	o := mustPoints(t, "unit: mm\n0,0 curve\n100,0 corner\n100,0 curve side\n100,100 curve\n100,100 corner\n0,100\n0,0 corner\n").Outlines[0]
	assert.Len(t, o.Ring, 4)
	assert.Equal(t, map[int]bool{0: true, 1: true, 2: true, 3: true}, o.Corners)
	assert.Equal(t, map[int]string{1: "side"}, o.EdgeNames)
	assert.InDelta(t, 100*100, o.Ring.Area(), 1e-9)
}
