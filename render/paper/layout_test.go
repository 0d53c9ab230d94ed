package paper

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern/units"
)

func rectangle(name string, wide, high float64) Plot {
	ring := geom.Polygon(geom.Pt(0, 0), geom.Pt(wide, 0), geom.Pt(wide, high), geom.Pt(0, high))
	return Plot{Name: name, Box: ring.Box(), Shape: Shape{Rings: []geom.Ring{ring}},
		Picture: Picture{{Paths: [][]geom.Cubic{ring}, Closed: true, Stroke: &Stroke{Width: 0.4}}}}
}

func sizeOf(t *testing.T, name string) Size {
	s, err := ParseSize(name, units.Centimetre)
	require.NoError(t, err)
	return s
}

func jobOf(paper Size, plots ...Plot) Job {
	return Job{Title: "Orchard smock", Unit: units.Centimetre, Paper: paper, Measured: [2]float64{100, 100}, Made: time.Unix(0, 0), Plots: plots}
}

// Tiles n = ⌈(W−o)/(u−o)⌉, margin and overlap 10: FACTS, trade numbers,
// derived. The counts there are of upright sheets.
func TestSheetCounts(t *testing.T) {
	for _, c := range []struct {
		wide, high float64
		paper      string
		cols, rows int
	}{
		{600, 900, "A4", 4, 4}, {600, 900, "Letter", 4, 4}, {841, 1189, "A4", 5, 5}, {841, 1189, "Letter", 5, 5},
	} {
		size := sizeOf(t, c.paper)
		job := jobOf(size, rectangle("plot", c.wide, c.high))
		job.Lay = Upright
		g := divide(job.Plots[0].Box, size, false, scale{1, 1})
		assert.Equal(t, [2]int{c.cols, c.rows}, [2]int{g.cols, g.rows}, "%v", c)
		var b bytes.Buffer
		made, err := Write(&b, job)
		require.NoError(t, err)
		assert.Equal(t, c.cols*c.rows, made.Sheets, "%v: every sheet carries some of it", c)
		job.Lay = Fewest
		fewest, err := Write(&b, job)
		require.NoError(t, err)
		job.Lay = Level
		level, err := Write(&b, job)
		require.NoError(t, err)
		assert.Equal(t, min(made.Sheets, level.Sheets), fewest.Sheets, "%v", c)
	}
	// Level A4 is narrower down: 3 by 5 take fewer than 4 by 4.
	g := divide(rectangle("", 600, 900).Box, sizeOf(t, "A4"), true, scale{1, 1})
	assert.Equal(t, [2]int{3, 5}, [2]int{g.cols, g.rows})
}

// What just fits takes no sheet more.
func TestCountAtTheEdge(t *testing.T) {
	assert.Equal(t, 1, Count(190, 190, 10))
	assert.Equal(t, 2, Count(190.01, 190, 10))
	assert.Equal(t, 2, Count(370, 190, 10))
	assert.Equal(t, 3, Count(370.01, 190, 10))
	assert.Equal(t, 1, Count(0, 190, 10))
}

// Sheets that would be empty are left out, those inside a piece are not.
func TestOnlySheetsThatCarry(t *testing.T) {
	slanted := geom.Polygon(geom.Pt(0, 0), geom.Pt(20, 0), geom.Pt(700, 1000), geom.Pt(680, 1000))
	p := Plot{Name: "strip", Box: slanted.Box(), Shape: Shape{Rings: []geom.Ring{slanted}}}
	sheets := tiled(0, p, sizeOf(t, "A4"), Upright, scale{1, 1})
	assert.Equal(t, 4*4, sheets[0].cols*sheets[0].rows)
	assert.LessOrEqual(t, len(sheets), 10)
	for _, s := range sheets {
		cell := s.joints.cell(s.col-1, s.row-1)
		assert.True(t, p.Shape.outlined().meets(cell))
	}
	// Every place of the strip lies on a sheet that is printed.
	for _, q := range geom.Path(slanted).Flatten(0.1) {
		on := false
		for _, s := range sheets {
			on = on || s.parts[0].window.Holds(q)
		}
		assert.True(t, on, "%v", q)
	}
}

// Small plots share sheets and do not overlap there.
func TestSmallPlotsShareSheets(t *testing.T) {
	var plots []Plot
	for i := 0; i < 20; i++ {
		plots = append(plots, rectangle("bit", 40+7*float64(i%5), 30+11*float64(i%7)))
	}
	plots = append(plots, rectangle("wide", 250, 60)) // lies level alone
	use := usable(sizeOf(t, "A4"), false, scale{1, 1})
	seen := map[int]bool{}
	sheets := layOut(plots, sizeOf(t, "A4"), Fewest, scale{1, 1})
	assert.Less(t, len(sheets), 8)
	for _, s := range sheets {
		use := use
		if s.level {
			use = geom.Pt(use.Y, use.X)
		}
		var boxes []geom.Box
		for _, p := range s.parts {
			assert.False(t, seen[p.plot])
			seen[p.plot] = true
			b := geom.Box{Min: p.at, Max: p.at.Add(p.window.Size())}
			assert.True(t, b.Min.X >= 0 && b.Min.Y >= 0 && b.Max.X <= use.X+1e-6 && b.Max.Y <= use.Y+1e-6, "%v on %v", b, use)
			for _, c := range boxes {
				assert.False(t, b.Overlaps(c), "%v and %v", b, c)
			}
			boxes = append(boxes, b)
		}
	}
	assert.Len(t, seen, len(plots))
}

// A check line runs over at least two sheets and is a whole number of cm.
func TestCheckLines(t *testing.T) {
	plot := rectangle("plot", 600, 900)
	sheets := tiled(0, plot, sizeOf(t, "A4"), Upright, scale{1, 1})
	addChecks(sheets, plot.Picture)
	lines := sheets[0].checks
	require.Len(t, lines, 2)
	// 4 upright sheets across: 4·180 + 10 − 10 = 720; 4 down: 4·267 + 10 − 10, whole cm: 1060.
	assert.InDelta(t, 720, lines[0].long(), 1e-9)
	assert.InDelta(t, 1060, lines[1].long(), 1e-9)
}

// A check line keeps off what is drawn along it: here along the side of the
// sheet where it would run otherwise, and beside words there.
func TestCheckLinesOnAFreeSide(t *testing.T) {
	for _, level := range []bool{false, true} {
		plot := rectangle("plot", 150, 700)
		if level {
			plot = rectangle("plot", 700, 150)
		}
		lay := map[bool]Lay{false: Upright, true: Level}[level]
		sheets := tiled(0, plot, sizeOf(t, "A4"), lay, scale{1, 1})
		addChecks(sheets, plot.Picture)
		require.Len(t, sheets[0].checks, 1)
		first := sheets[0].checks[0]
		busy := append(plot.Picture, Item{Stroke: &Stroke{}, Paths: [][]geom.Cubic{geom.Polyline(first.from, first.to)}})
		addChecks(sheets, busy)
		second := sheets[0].checks[0]
		assert.Equal(t, first.long(), second.long())
		_, off := geom.Path{geom.Line(first.from, first.to)}.Nearest(second.from)
		assert.Greater(t, off, checkRoom)
		assert.Zero(t, busy.crowd().cost(boxAlong(second.from, second.to, checkRoom, checkRoom)))
		words := append(busy, Item{Text: "a long label of an edge", Size: 3, At: second.from.Lerp(second.to, 0.4), Angle: second.to.Sub(second.from).Angle()})
		addChecks(sheets, words)
		third := sheets[0].checks[0]
		assert.Zero(t, words.crowd().cost(boxAlong(third.from, third.to, checkRoom, checkRoom)))
	}
}

func TestPaperSizes(t *testing.T) {
	for text, want := range map[string][2]float64{"a4": {210, 297}, "Letter": {215.9, 279.4}, "A0": {841, 1189}, "60cmx90cm": {600, 900}, "24in x 36in": {609.6, 914.4}, "90×60": {600, 900}, "90cmx2m": {900, 2000}, "1.2 m x 900mm": {900, 1200}} {
		s, err := ParseSize(text, units.Centimetre)
		require.NoError(t, err, text)
		assert.InDelta(t, want[0], s.Wide, 1e-9, text)
		assert.InDelta(t, want[1], s.High, 1e-9, text)
	}
	for text, says := range map[string]string{"B9": "is not known", "10x12": "at least 19 cm", "9000x30": "at most 508 cm", "20xlong": "second side", "20xm": "second side", "90cmx6m": "at most 508 cm", "x": "first side"} {
		_, err := ParseSize(text, units.Centimetre)
		require.ErrorContains(t, err, says, text)
	}
}

// A coordinate that is no number leaves no file.
func TestNoNumbersNoPrint(t *testing.T) {
	p := rectangle("plot", 100, 100)
	p.Picture[0].Paths[0][2].P1.X = 0 / (p.Box.Min.X)
	var b bytes.Buffer
	_, err := Write(&b, jobOf(sizeOf(t, "A4"), p))
	require.ErrorContains(t, err, "finite")
	assert.Zero(t, b.Len())
	_, err = Write(&b, jobOf(sizeOf(t, "A4")))
	require.ErrorContains(t, err, "nothing to print")
}

// What would fill a room with paper is refused, with the next step.
func TestTooManySheets(t *testing.T) {
	var b bytes.Buffer
	job := jobOf(sizeOf(t, "A4"), rectangle("sail", 30000, 20000))
	_, err := Write(&b, job)
	require.ErrorContains(t, err, "\"sail\" measures 3000 cm by 2000 cm and would take up to 167 by 75 sheets of A4; print it on larger paper")
	assert.Empty(t, job.Joints(job.Plots[0]))
}
