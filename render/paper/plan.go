package paper

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"toile/geom"
	"toile/pattern/units"
)

// Square is the side of the test square in mm, and what the printer makes of it
// where it prints true.
const Square = 100.0

// Job is what is to be printed.
type Job struct {
	Title    string    // the pattern
	About    []string  // which version, which fitting, which day: on every sheet
	Says     []string  // what else the plan page tells of the print
	Sections []Section // words behind the plan of the sheets
	Unit     units.Unit
	Paper    Size
	Lay      Lay
	// Measured is what the square of 100 mm measured on a print without this
	// setting, across and down, in mm; 100 and 100 where the printer is true.
	Measured [2]float64
	Made     time.Time
	Plots    []Plot
	Legend   Picture // from 0,0 down, LegendWide wide
}

// LegendWide is the width in mm of the column of a legend.
const LegendWide = 78.0

// Section is a heading with paragraphs.
type Section struct {
	Heading string
	Lines   []string
}

// Made says what was printed.
type Made struct {
	Sheets  int      // without the plan
	Plan    int      // pages of the plan
	Lacking []string // signs that the typeface lacks: '?' stands for them
}

// Foot is what every sheet says of the print.
func (j Job) Foot() string {
	return strings.Join(append([]string{j.Title}, j.About...), " · ")
}

// scale is by how much the job is drawn larger than true.
func (j Job) scale() scale { return scale{Square / j.Measured[0], Square / j.Measured[1]} }

// book is a job being printed.
type book struct {
	*writer
	job    Job
	by     scale
	sheets []sheet
	y      float64 // how far down the page the plan has come
	plan   int
}

// Write prints the job as PDF: the plan, then the sheets. Nothing is written
// when it fails.
func Write(out io.Writer, job Job) (Made, error) {
	if len(job.Plots) == 0 {
		return Made{}, fmt.Errorf("there is nothing to print")
	}
	if err := job.tooMany(); err != nil {
		return Made{}, err
	}
	w, err := newWriter(job.Title, job.Made)
	if err != nil {
		return Made{}, err
	}
	b := &book{writer: w, job: job, by: job.scale()}
	b.sheets = layOut(job.Plots, job.Paper, job.Lay, b.by)
	b.drawPlan()
	for i, s := range b.sheets {
		b.drawSheet(i+1, len(b.sheets), s)
	}
	return Made{Sheets: len(b.sheets), Plan: b.plan, Lacking: w.lacking()}, b.finish(out)
}

// Sizes of the letters of the plan, in mm.
const (
	planTitle   = 6.0
	planHeading = 3.8
	planLetters = 3.0
	lineStep    = 1.35 // in parts of the letter size
)

func (b *book) bottom() float64 { return b.job.Paper.High - Margin - 2 }
func (b *book) wide() float64   { return b.job.Paper.Wide - 2*Margin }

// planPage begins a page of the plan.
func (b *book) planPage() {
	b.page(b.job.Paper, false)
	b.plan++
	head := fmt.Sprintf("plan, page %d", b.plan)
	right := style{size: headLetters, bold: true, align: 1}
	b.text(geom.Pt(b.job.Paper.Wide-Margin, headLine), head, right)
	foot, how := b.fitted(b.job.Foot(), style{size: headLetters}, leastLetters, b.wide())
	b.text(geom.Pt(Margin, b.job.Paper.High-Margin+footLine), foot, how)
	b.y = Margin
}

// room begins a new page where less than so many mm are left.
func (b *book) room(high float64) {
	if b.y+high > b.bottom() && b.y > Margin {
		b.planPage()
		b.y += 4
	}
}

// drawPlan writes the pages of words, with the test square and the plan of the
// sheets.
func (b *book) drawPlan() {
	b.planPage()
	b.y += planTitle
	title, how := b.fitted(b.job.Title, style{size: planTitle, bold: true}, planHeading, b.wide())
	b.text(geom.Pt(Margin, b.y), title, how)
	b.y += 2.5
	for _, line := range append(append([]string{}, b.job.About...), b.job.Says...) {
		b.paragraph(Margin, b.wide(), line, planLetters, 0)
	}
	b.y += 3
	b.squareWithWords()
	b.heading("The sheets")
	b.paragraph(Margin, b.wide(), b.sheetsWords(), planLetters, 0)
	b.y += 2
	b.maps()
	for _, s := range b.job.Sections {
		b.room(planHeading*2 + planLetters*lineStep*2)
		b.heading(s.Heading)
		for _, line := range s.Lines {
			b.paragraph(Margin, b.wide(), line, planLetters, 2*planLetters)
		}
	}
}

func (b *book) heading(text string) {
	b.room(3 * planHeading)
	b.y += planHeading * 1.9
	b.text(geom.Pt(Margin, b.y), text, style{size: planHeading, bold: true})
	b.y += 1.5
}

// paragraph writes wrapped text from x, going on to the next page where needed;
// the lines after the first are set in by hang.
func (b *book) paragraph(x, width float64, text string, size, hang float64) {
	s := style{size: size}
	for i, line := range b.wrap(text, s, width-hang) {
		b.room(size * lineStep)
		b.y += size * lineStep
		at := x
		if i > 0 {
			at += hang
		}
		b.text(geom.Pt(at, b.y), line, s)
	}
}

// wrap breaks text into lines no wider than width; a word wider than that is
// broken anywhere.
func (b *book) wrap(text string, s style, width float64) []string {
	var lines []string
	line := ""
	put := func() {
		if line != "" {
			lines = append(lines, line)
		}
		line = ""
	}
	for _, word := range strings.Fields(text) {
		if joined := strings.TrimSpace(line + " " + word); b.width(joined, s) <= width {
			line = joined
			continue
		}
		put()
		for _, r := range word {
			if line != "" && b.width(line+string(r), s) > width {
				put()
			}
			line += string(r)
		}
	}
	put()
	return lines
}

// squareWithWords draws the test square, and beside it how to print and what
// to do where it measures wrong.
func (b *book) squareWithWords() {
	side := geom.Pt(Square*b.by.x, Square*b.by.y)
	b.room(side.Y + 4)
	top := b.y
	box := geom.Box{Min: geom.Pt(Margin, top), Max: geom.Pt(Margin, top).Add(side)}
	b.box(box, Stroke{Color: black, Width: 0.25})
	inside := fmt.Sprintf("test square: %s each side", b.job.Unit.Format(Square))
	if b.job.Unit != units.Centimetre {
		inside += " (10 cm)"
	}
	b.text(geom.Pt(box.Centre().X, top+8), inside, style{size: planLetters, align: 0.5})
	x := box.Max.X + 6
	width := b.job.Paper.Wide - Margin - x
	if width < 60 { // narrow paper: the words stand inside
		x, width = Margin+5, side.X-10
		b.y += 12
	}
	for _, line := range b.printWords() {
		b.paragraph(x, width, line, planLetters*0.95, 0)
		b.y += 0.8
	}
	b.y = math.Max(b.legend(x, width, b.y+2, box.Max.Y), box.Max.Y) + 1
}

// legend draws the legend under the words beside the square where it has room
// down to the square's end, else below; it returns how far down it came.
func (b *book) legend(x, width, y, end float64) float64 {
	if len(b.job.Legend) == 0 {
		return y
	}
	size := b.job.Legend.Box().Max
	if y+size.Y > end || width < LegendWide {
		b.y = math.Max(y, end)
		b.room(size.Y + 2)
		x, y = Margin, b.y+2
	}
	shift := geom.Pt(x, y)
	b.picture(b.job.Legend, geom.Box{Max: geom.Pt(b.job.Paper.High, b.job.Paper.High)}, shift.Add)
	return y + size.Y
}

// printWords say how to print true.
func (b *book) printWords() []string {
	true100 := b.job.Measured == [2]float64{Square, Square}
	words := []string{
		"Print this page first, at “actual size” or 100 %, never “fit to page”, and on " + b.job.Paper.Name + ".",
		"Measure the square both ways with a ruler. Within half a millimetre it is right.",
	}
	if true100 {
		return append(words,
			"If it is wrong, look at the printer's settings first: 94 % tells of “fit to page” from A4 to Letter.",
			"If it stays a little off, print again with what you measured, as in --measured 99.2mm, or across and down as in --measured 99.2mm,99.6mm.",
			"Feed errors add up: after pasting, measure the long check lines from long tick to long tick too. Off by 1 mm in 50 cm, paste again or spread it over the joints.")
	}
	return append(words,
		fmt.Sprintf("This print is drawn %s across and %s down, for a printer that made %s and %s of 100 mm. On another printer it is wrong.",
			percent(b.by.x), percent(b.by.y), units.Millimetre.Format(b.job.Measured[0]), units.Millimetre.Format(b.job.Measured[1])),
		"If the square is still wrong, print once without --measured, measure, and give that.")
}

// percent says how much larger or smaller something is drawn.
func percent(by float64) string {
	text := units.Number(math.Abs(by-1)*100, 2) + " %"
	switch {
	case by > 1:
		return text + " larger"
	case by < 1:
		return text + " smaller"
	}
	return "as it is"
}

func (b *book) sheetsWords() string {
	n := len(b.sheets)
	if n == 1 {
		return "One sheet of " + b.job.Paper.Name + ", after this plan."
	}
	words := fmt.Sprintf("%d sheets of %s, after this plan; the numbers in the drawings are theirs.", n, b.job.Paper.Name)
	for _, s := range b.sheets {
		if s.rows*s.cols > 1 {
			return words + " Sheets that would be empty are left out. Neighbours share 10 mm: cut one of the two along its thin frame, lay it over the other so that the crosses lie on each other, and paste."
		}
	}
	return words
}
