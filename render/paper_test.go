package render

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/units"
	"toile/render/paper"
)

// drawnTrue is how near in mm what is read again from a print has to lie to
// what it is of. Points in a PDF have two decimals: 0.0018 mm.
const drawnTrue = 0.02

func paperJob(t testing.TB, size string) paper.Job {
	s, err := paper.ParseSize(size, units.Centimetre)
	require.NoError(t, err)
	return paper.Job{Title: "Orchard smock", About: []string{"version 4, 2026-05-14", "fitting 2, 2026-05-12", "printed on 2026-05-15"},
		Unit: units.Centimetre, Paper: s, Measured: [2]float64{100, 100}, Made: time.Date(2026, 5, 15, 0, 0, 0, 0, time.UTC)}
}

// skirtPiece is a panel as large as several sheets, curved all round.
func skirtPiece(name string) *pattern.Piece {
	paths := []geom.Path{
		{geom.Cubic{P0: geom.Pt(40, 0), P1: geom.Pt(140, 35), P2: geom.Pt(250, 35), P3: geom.Pt(330, 0)}},
		{geom.Cubic{P0: geom.Pt(330, 0), P1: geom.Pt(410, 240), P2: geom.Pt(440, 380), P3: geom.Pt(470, 640)}},
		{geom.Cubic{P0: geom.Pt(470, 640), P1: geom.Pt(330, 700), P2: geom.Pt(120, 700), P3: geom.Pt(0, 650)}},
		{geom.Cubic{P0: geom.Pt(0, 650), P1: geom.Pt(-20, 400), P2: geom.Pt(-10, 240), P3: geom.Pt(40, 0)}},
	}
	names := []string{"waist", "side seam", "hemline", "centre seam"}
	var edges []pattern.Edge
	for i, path := range paths {
		edges = append(edges, edgeOf(names[i], fmt.Sprintf("a000000%d", i), 15, path))
	}
	p := pieceOf(name, edges, paths)
	p.Cut = pattern.CutPair
	p.Grain = &pattern.Grain{From: geom.Pt(200, 150), To: geom.Pt(200, 550)}
	p.Notches = []pattern.Notch{{Name: "hip", Edge: "side seam", At: 210, Count: 1}}
	return p
}

func printed(t testing.TB, job paper.Job, pieces ...*pattern.Piece) ([]byte, paper.Made) {
	pr := NewPrint(fixtureSheet(), "cloth", job)
	for _, p := range pieces {
		plot, missed, err := pr.Piece(p)
		require.NoError(t, err)
		require.Empty(t, missed)
		job.Plots = append(job.Plots, plot)
	}
	var b bytes.Buffer
	made, err := paper.Write(&b, job)
	require.NoError(t, err)
	return b.Bytes(), made
}

// sampled are points along curves.
func sampled(curves []geom.Cubic) []geom.Point {
	var out []geom.Point
	for _, c := range curves {
		for k := 0; k < 25; k++ {
			out = append(out, c.At(float64(k)/25))
		}
	}
	return out
}

// The outline read again from the sheets, laid so that their crosses meet, is
// the cutting line, and every place of it is shown on a sheet.
func TestOutlineRunsOnAcrossSheets(t *testing.T) {
	for _, measured := range [][2]float64{{100, 100}, {99.2, 98.7}} {
		job := paperJob(t, "A4")
		job.Measured = measured
		p := skirtPiece("skirt")
		file, made := printed(t, job, p)
		cutting, err := p.CuttingLine("cloth")
		require.NoError(t, err)
		pages := readPDF(t, file)[made.Plan:]
		require.Len(t, pages, made.Sheets)
		// What the printer makes of a page.
		feed := func(q geom.Point) geom.Point { return geom.Pt(q.X*measured[0]/100, q.Y*measured[1]/100) }

		var meet []geom.Point // crosses, on the piece's sheet
		var windows []geom.Box
		worst := 0.0
		for _, page := range pages {
			lines := page.cuttingLines()
			require.Len(t, lines, 1)
			shift := cutting.Ring[0].P0.Sub(feed(lines[0][0].P0))
			for _, q := range sampled(lines[0]) {
				_, d := geom.Path(cutting.Ring).Nearest(feed(q).Add(shift))
				worst = math.Max(worst, d)
			}
			for _, c := range page.crosses() {
				meet = append(meet, feed(c).Add(shift))
			}
			require.Len(t, page.clips, 1)
			windows = append(windows, geom.Box{Min: feed(page.clips[0].Min).Add(shift), Max: feed(page.clips[0].Max).Add(shift)})
		}
		t.Logf("measured %v: %d sheets, %d crosses, the outline within %.4f mm", measured, len(pages), len(meet), worst)
		require.Less(t, worst, drawnTrue)
		require.Greater(t, len(meet), 4)
		for i, a := range meet {
			partner := false
			for k, b := range meet {
				require.True(t, a.Dist(b) < drawnTrue || a.Dist(b) > 5, "crosses %v and %v", a, b)
				partner = partner || (k != i && a.Dist(b) < drawnTrue)
			}
			require.True(t, partner, "the cross at %v is on one sheet alone", a)
		}
		for _, q := range sampled(cutting.Ring) {
			shown := false
			for _, w := range windows {
				shown = shown || w.Grow(-0.4).Holds(q)
			}
			require.True(t, shown, "the cutting line at %v is on no sheet", q)
		}
	}
}

// withPage renders one page with poppler.
func withPage(t *testing.T, file []byte, page, dpi int) image.Image {
	dir := t.TempDir()
	pdf := filepath.Join(dir, "print.pdf")
	require.NoError(t, os.WriteFile(pdf, file, 0o644))
	out, err := exec.Command("pdftoppm", "-r", fmt.Sprint(dpi), "-gray", "-png", "-singlefile", "-f", fmt.Sprint(page), "-l", fmt.Sprint(page), pdf, filepath.Join(dir, "page")).CombinedOutput()
	require.NoError(t, err, string(out))
	return readImage(t, filepath.Join(dir, "page.png"))
}

// lineCentres are the centres of dark lines along a row or column, in pixels:
// the mean of their pixels, weighed by how dark they are.
func lineCentres(dark func(int) float64, n int) []float64 {
	var out []float64
	sum, at := 0.0, 0.0
	for i := 0; i <= n; i++ {
		d := 0.0
		if i < n {
			d = dark(i)
		}
		if d > 0.02 {
			sum, at = sum+d, at+d*(float64(i)+0.5)
		} else if sum > 0 {
			out = append(out, at/sum)
			sum, at = 0, 0
		}
	}
	return out
}

// The square of 10 cm, as poppler draws it at 300 dpi, and as a printer that
// draws smaller would. 10 cm: FACTS, printing at true size; common practice.
func TestSquareMeasures(t *testing.T) {
	need(t, "pdftoppm")
	const dpi = 300
	for _, measured := range [][2]float64{{100, 100}, {99.2, 98.5}} {
		job := paperJob(t, "A4")
		job.Measured = measured
		file, _ := printed(t, job, pocketPiece())
		img := withPage(t, file, 1, dpi)
		dark := func(x, y int) float64 {
			g, _, _, _ := img.At(x, y).RGBA()
			return 1 - float64(g)/0xFFFF
		}
		mm := 25.4 / float64(dpi)
		y := int(90 / mm) // through the square, clear of its words
		across := lineCentres(func(x int) float64 { return dark(x, y) }, int(115/mm))
		x := int(15 / mm)
		down := lineCentres(func(y int) float64 { return dark(x, y+int(33/mm)) }, int(103/mm))
		require.Len(t, across, 2)
		require.Len(t, down, 2)
		wide := (across[1] - across[0]) * mm * measured[0] / 100
		high := (down[1] - down[0]) * mm * measured[1] / 100
		t.Logf("measured %v: the square is %.3f by %.3f mm", measured, wide, high)
		assert.InDelta(t, 100, wide, 0.1)
		assert.InDelta(t, 100, high, 0.1)
	}
}

// headOf is what a sheet says above its frame, as another program reads it.
func headOf(t *testing.T, pdf string, page pdfPage, number int) string {
	t.Helper()
	pixels := func(mm float64) string { return fmt.Sprint(int(mm / mmPerPoint)) } // of 72 an inch
	n := fmt.Sprint(number)
	out, err := exec.Command("pdftotext", "-raw", "-enc", "UTF-8", "-f", n, "-l", n,
		"-x", "0", "-y", "0", "-W", pixels(page.wide), "-H", pixels(paper.Margin), pdf, "-").Output()
	require.NoError(t, err)
	return string(out)
}

// Every sheet says above the pieces that are drawn on it and no others, and
// version, day, fitting, row and column; names in other alphabets can be searched;
// another program finds nothing wrong with the file.
func TestEverySheetIsNamed(t *testing.T) {
	need(t, "pdftotext", "qpdf")
	folded := backPiece(800)
	folded.Name = "юбка, спинка"
	pieces := []*pattern.Piece{skirtPiece("Rockbahn für Änne"), folded, pocketPiece()}
	file, made := printed(t, paperJob(t, "A4"), pieces...)
	pdf := filepath.Join(t.TempDir(), "print.pdf")
	require.NoError(t, os.WriteFile(pdf, file, 0o644))
	out, err := exec.Command("qpdf", "--check", pdf).CombinedOutput()
	require.NoError(t, err, string(out))
	rows, times := map[string]bool{}, map[string]int{}
	for i, read := range readPDF(t, file)[made.Plan:] {
		page := fmt.Sprint(made.Plan + i + 1)
		text, err := exec.Command("pdftotext", "-raw", "-enc", "UTF-8", "-f", page, "-l", page, pdf, "-").Output()
		require.NoError(t, err)
		said, head := string(text), headOf(t, pdf, read, made.Plan+i+1)
		for _, p := range pieces {
			drawn := read.shows(t, p)
			assert.Equal(t, drawn, strings.Contains(head, p.Name+", "+cutWords(p)), "sheet %d, %s drawn: %t, above it stands: %s", i+1, p.Name, drawn, head)
			if drawn {
				times[p.Name]++
			}
		}
		for _, want := range []string{"Orchard smock", "version 4, 2026-05-14", "fitting 2, 2026-05-12", "printed on 2026-05-15", fmt.Sprintf("sheet %d of %d", i+1, made.Sheets)} {
			assert.Contains(t, said, want, "sheet %d", i+1)
		}
		require.Regexp(t, `row \d of \d, column \d of \d`, head)
		rows[said] = true
	}
	assert.Len(t, rows, made.Sheets, "no two sheets say the same")
	assert.Len(t, times, len(pieces))
	require.Empty(t, made.Lacking)
}

// shows reports whether the cutting line of a piece is drawn on a page.
func (p pdfPage) shows(t *testing.T, piece *pattern.Piece) bool {
	t.Helper()
	cutting, err := piece.CuttingLine("cloth")
	require.NoError(t, err)
	for _, line := range p.cuttingLines() {
		for _, c := range line {
			for _, d := range cutting.Ring {
				if size := d.P3.Sub(d.P0); size.Len() > 50 && c.P3.Sub(c.P0).Dist(size) < drawnTrue {
					return true
				}
			}
		}
	}
	return false
}

// A sign that the letters lack is told, not left out.
func TestLackingSignsAreTold(t *testing.T) {
	_, made := printed(t, paperJob(t, "A4"), polygonPiece("裙 skirt", []string{"a", "b", "c"}, geom.Pt(0, 0), geom.Pt(150, 0), geom.Pt(60, 150)))
	assert.Equal(t, []string{"裙"}, made.Lacking)
}

// hemDown is the skirt with its hem lowered: the strip is to be pasted on.
func hemDown(t *testing.T) (old, now *pattern.Piece) {
	old, now = skirtPiece("skirt"), skirtPiece("skirt")
	// Both sides run on straight, as they end.
	side, centre := old.EdgePath(1), old.EdgePath(3)
	a, b := side.End().Add(side.EndTangent().Mul(45)), centre.Start().Sub(centre.StartTangent().Mul(45))
	now.Corners[2].At, now.Corners[3].At = a, b
	now.Edges[2].SetPath(geom.Path{{P0: a, P1: geom.Pt(330, 750), P2: geom.Pt(120, 760), P3: b}})
	now.Edges[1].SetPath(append(side, geom.Line(side.End(), a)))
	now.Edges[3].SetPath(append(geom.Path{geom.Line(b, centre.Start())}, centre...))
	require.NoError(t, now.Validate())
	return old, now
}

// What is pasted on fits: the strip as printed and the old piece are the new
// piece. The union is that of a reference library for polygons.
func TestPastedStripFits(t *testing.T) {
	old, now := hemDown(t)
	p := change.PieceDiff{Piece: "skirt", State: change.Altered, Old: old, New: now}
	job := paperJob(t, "A4")
	changed, err := NewPrint(fixtureSheet(), "cloth", job).Changed(p)
	require.NoError(t, err)
	require.Len(t, changed.Plots, 1)
	require.Contains(t, changed.Says[0], "skirt, strip 1 of 1: paste on")
	job.Plots = changed.Plots
	var b bytes.Buffer
	made, err := paper.Write(&b, job)
	require.NoError(t, err)
	whole, all := printed(t, paperJob(t, "A4"), now)
	require.NotEmpty(t, whole)
	require.Less(t, made.Sheets, all.Sheets, "a strip takes fewer sheets than the piece")

	oldCut, err := old.CuttingLine("cloth")
	require.NoError(t, err)
	newCut, err := now.CuttingLine("cloth")
	require.NoError(t, err)
	for _, page := range readPDF(t, b.Bytes())[made.Plan:] {
		lines := page.cuttingLines()
		require.Len(t, lines, 1)
		shift := newCut.Ring[0].P0.Sub(lines[0][0].P0)
		var strip []geom.Cubic
		for _, q := range page.paths {
			if q.filled && q.fill == "0.878 0.933 0.965" { // blue 0072B2, 12 % on white
				require.Nil(t, strip)
				require.Len(t, q.curves, 1)
				strip = geom.Path(q.curves[0]).Moved(geom.Motion{Shift: shift})
			}
		}
		require.NotNil(t, strip)
		for _, q := range sampled(strip) {
			_, a := geom.Path(oldCut.Ring).Nearest(q)
			_, b := geom.Path(newCut.Ring).Nearest(q)
			require.Less(t, math.Min(a, b), drawnTrue, "the strip's rim at %v lies on neither cutting line", q)
		}
		for _, q := range sampled(newCut.Ring) {
			_, a := geom.Path(oldCut.Ring).Nearest(q)
			_, b := geom.Path(strip).Nearest(q)
			require.Less(t, math.Min(a, b), drawnTrue, "the new cutting line at %v is neither old nor the strip's", q)
		}
		union, err := sf.Union(polygonOf(t, oldCut.Ring).AsGeometry(), polygonOf(t, strip).AsGeometry())
		require.NoError(t, err)
		off, err := sf.SymmetricDifference(union, polygonOf(t, newCut.Ring).AsGeometry())
		require.NoError(t, err)
		assertStripLines(t, page, shift, oldCut.Ring, newCut.Ring, strip, "0.000 0.447 0.698")
		t.Logf("pasted and new differ by %.3f mm² along %.0f mm", off.Area(), newCut.Ring.Length())
		require.Less(t, off.Area(), drawnTrue*geom.Path(strip).Length())
	}
}

// polygonOf is a ring as a polygon of the reference library.
func polygonOf(t *testing.T, ring []geom.Cubic) sf.Polygon {
	var flat []float64
	for _, c := range ring {
		points := c.Flatten(1e-4)
		for _, p := range points[:len(points)-1] {
			flat = append(flat, p.X, p.Y)
		}
	}
	flat = append(flat, flat[0], flat[1])
	line := sf.NewLineString(sf.NewSequence(flat, sf.DimXY))
	return sf.NewPolygon([]sf.LineString{line})
}

// What is cut off shows the line to cut along, and the strip that goes is the
// old piece less the new one. The union is that of a reference library.
func TestCutOffStrip(t *testing.T) {
	now, old := hemDown(t)
	job := paperJob(t, "A4")
	changed, err := NewPrint(fixtureSheet(), "cloth", job).Changed(change.PieceDiff{Piece: "skirt", State: change.Altered, Old: old, New: now})
	require.NoError(t, err)
	require.Contains(t, changed.Says[0], "cut off")
	require.Len(t, changed.How, 1)
	require.Contains(t, changed.How[0], "What is hatched goes")
	require.Len(t, changed.Plots, 1)

	job.Plots = changed.Plots
	var b bytes.Buffer
	made, err := paper.Write(&b, job)
	require.NoError(t, err)
	oldCut, err := old.CuttingLine("cloth")
	require.NoError(t, err)
	newCut, err := now.CuttingLine("cloth")
	require.NoError(t, err)
	for _, page := range readPDF(t, b.Bytes())[made.Plan:] {
		lines := page.cuttingLines()
		require.Len(t, lines, 1)
		shift := newCut.Ring[0].P0.Sub(lines[0][0].P0)
		var strip []geom.Cubic
		for _, q := range page.paths {
			if q.filled && q.fill == "0.980 0.925 0.878" { // vermillion D55E00, 12 % on white
				require.Nil(t, strip)
				require.Len(t, q.curves, 1)
				strip = geom.Path(q.curves[0]).Moved(geom.Motion{Shift: shift})
			}
		}
		require.NotNil(t, strip)
		union, err := sf.Union(polygonOf(t, newCut.Ring).AsGeometry(), polygonOf(t, strip).AsGeometry())
		require.NoError(t, err)
		off, err := sf.SymmetricDifference(union, polygonOf(t, oldCut.Ring).AsGeometry())
		require.NoError(t, err)
		require.Less(t, off.Area(), drawnTrue*geom.Path(strip).Length())
		assertStripLines(t, page, shift, oldCut.Ring, newCut.Ring, strip, "0.835 0.369 0.000")
		both, err := sf.Intersection(polygonOf(t, newCut.Ring).AsGeometry(), polygonOf(t, strip).AsGeometry())
		require.NoError(t, err)
		require.Less(t, both.Area(), drawnTrue*geom.Path(strip).Length(), "what goes is no part of what stays")
	}
}

// Only what changed is printed: nothing for a piece that stayed, a place for a
// new notch, the whole for one that is new or hardly the same.
func TestWhatIsPrintedOfAChange(t *testing.T) {
	pr := NewPrint(fixtureSheet(), "cloth", paperJob(t, "A4"))
	old, now := skirtPiece("skirt"), skirtPiece("skirt")
	c, err := pr.Changed(change.PieceDiff{Piece: "skirt", Old: old, New: now})
	require.NoError(t, err)
	assert.Empty(t, c.Plots)
	assert.Equal(t, []string{"skirt: its paper stays as it is; what changed are words"}, c.Says)

	now.Notches[0].At = 320
	c, err = pr.Changed(change.PieceDiff{Piece: "skirt", Old: old, New: now,
		Changes: []change.Change{{Kind: change.NotchMoved, Notch: "hip"}}})
	require.NoError(t, err)
	require.Len(t, c.Plots, 1)
	assert.Equal(t, "skirt, strip 1 of 1: new hip", c.Plots[0].Name)
	at, _, _, err := now.NotchPlace(now.Notches[0])
	require.NoError(t, err)
	assert.True(t, c.Plots[0].Box.Holds(at))
	// It is found by the nearest corner, without which it could be laid anywhere
	// along its seam.
	assert.True(t, c.Plots[0].Box.Holds(geom.Pt(330, 0)), "%v", c.Plots[0].Box)
	assert.Less(t, c.Plots[0].Box.Size().X, 150.0)

	// A mark in the middle is found by the nearest corner.
	now.Notches[0].At = old.Notches[0].At
	now.Marks = []pattern.Mark{{Kind: pattern.MarkDot, Name: "dot", At: geom.Pt(180, 250)}}
	c, err = pr.Changed(change.PieceDiff{Piece: "skirt", Old: skirtPiece("skirt"), New: now,
		Changes: []change.Change{{Kind: change.MarkAdded, Mark: "dot"}}})
	require.NoError(t, err)
	require.Len(t, c.Plots, 1)
	assert.True(t, c.Plots[0].Box.Holds(geom.Pt(180, 250)) && c.Plots[0].Box.Holds(geom.Pt(40, 0)), "%v", c.Plots[0].Box)

	c, err = pr.Changed(change.PieceDiff{Piece: "skirt", New: now})
	require.NoError(t, err)
	require.Len(t, c.Plots, 1)
	assert.Contains(t, c.Says[0], "it is new")
	c, err = pr.Changed(change.PieceDiff{Piece: "pocket", Old: now, New: pocketPiece()})
	require.NoError(t, err)
	require.Len(t, c.Plots, 1)
	assert.Contains(t, c.Says[0], "printed whole")
	c, err = pr.Changed(change.PieceDiff{Piece: "skirt", Old: now})
	require.NoError(t, err)
	assert.Empty(t, c.Plots)
}

// An allowance that leaves no cutting line is refused, with its piece.
func TestNoCuttingLineNoPrint(t *testing.T) {
	p := polygonPiece("cuff", []string{"a", "b", "c", "d"}, geom.Pt(0, 0), geom.Pt(200, 0), geom.Pt(200, 100), geom.Pt(0, 100))
	p.Edges[0].SetPath(geom.Path{{P0: geom.Pt(0, 0), P1: geom.Pt(100, 60), P2: geom.Pt(100, 60), P3: geom.Pt(200, 0)}})
	p.Edges[0].Allowance["cloth"] = 80
	_, _, err := NewPrint(fixtureSheet(), "cloth", paperJob(t, "A4")).Piece(p)
	require.ErrorContains(t, err, "cuff")
	require.ErrorContains(t, err, "allowance of 80 mm")
}

// The recorder leaves nothing out in silence.
func TestRecorderRefusesWhatItDoesNotKnow(t *testing.T) {
	for name, draw := range map[string]func(*recorder){
		"curve":     func(r *recorder) { r.Path("M0 0 Q1 1 2 2") },
		"number":    func(r *recorder) { r.Path("M0 x") },
		"transform": func(r *recorder) { r.Group(attr("transform", "scale(2)")) },
		"colour":    func(r *recorder) { r.Rect(0, 0, 1, 1, attr("fill", "tomato")) },
	} {
		d, r := newRecording(fixtureSheet(), paperLetters)
		draw(r)
		_, err := d.recorded(r)
		require.Error(t, err, name)
	}
}

func BenchmarkPrint(b *testing.B) {
	var pieces []*pattern.Piece
	for i := 0; i < 60; i++ {
		pieces = append(pieces, skirtPiece(fmt.Sprintf("panel %d", i+1)))
	}
	sheets := 0
	for b.Loop() {
		_, made := printed(b, paperJob(b, "A4"), pieces...)
		sheets = made.Sheets
	}
	b.ReportMetric(float64(sheets), "sheets")
}
