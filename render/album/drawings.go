package album

import (
	"fmt"
	"math"
	"unicode/utf8"

	"toile/geom"
	"toile/pattern/units"
)

// drawing is a small overlay: the later state over the earlier one, with what
// was added and removed hatched. It refers to the paths of the page.
type drawing struct {
	ID, Label        string
	View             string
	X, Y, Wide, High string
	Old, New         *use
	Differ           bool // there are both, and they lie apart
	Moved            bool // lines within it do too
	Lines            []lineData
	// The masks reach further than what they cut out, so that no edge of theirs
	// is seen.
	MaskX, MaskY, MaskWide, MaskHigh string
	Hatch                            string // which of the hatches suits the scale
	Bar                              *bar
	Pins                             []pin
	box, plot                        geom.Box // all of it, and without the scale bar
}

// widened makes a box at least so many mm wide and high about its middle.
func widened(box geom.Box, size float64) geom.Box {
	more := geom.Pt(math.Max(0, size-box.Size().X)/2, math.Max(0, size-box.Size().Y)/2)
	return geom.Box{Min: box.Min.Sub(more), Max: box.Max.Add(more)}
}

// use is a state where it lies.
type use struct {
	Outline int
	Laid    string
	Details bool
}

// bar is a scale bar under the drawing.
type bar struct {
	X1, X2, Y, Low, High string
	Text, Word, Size     string // the words, where they begin, and their size in mm
}

// thumbnail is the size in CSS pixels that a small drawing is made for.
const thumbnail = 240.0

// sizeOf is the size in mm of the largest piece of a version's steps.
func sizeOf(moves []move, shapes []shape) float64 {
	size := 0.0
	for _, m := range moves {
		for _, h := range []held{m.before, m.after} {
			if h.track >= 0 {
				box := shapes[h.outline].box
				size = math.Max(size, math.Max(box.Size().X, box.Size().Y))
			}
		}
	}
	return size
}

// leastOfAll is the least size of a piece, to the largest beside it, that is
// drawn in the same scale: a smaller one would not be seen well.
const leastOfAll = 1.0 / 3

// drawn makes the drawing of a step, nil where there is neither state. The
// pieces of one version are drawn in one scale, that of the largest, where they
// are not too small for it.
func drawn(id, name string, m move, shapes []shape, unit units.Unit, largest float64) *drawing {
	d := &drawing{ID: id, Label: name}
	box := geom.EmptyBox()
	lay := func(h held) *use {
		if h.track < 0 {
			return nil
		}
		s := &shapes[h.outline]
		box = box.Union(s.boxLaid(h.laid))
		return &use{h.outline, matrix(h.laid), s.details != ""}
	}
	d.Old, d.New = lay(m.before), lay(m.after)
	d.Differ = d.Old != nil && d.New != nil && (d.Old.Laid != d.New.Laid || shapes[m.before.outline].outline != shapes[m.after.outline].outline)
	if box.Empty() {
		return nil
	}
	d.Moved = d.Differ && d.Old.Details && shapes[m.before.outline].details+d.Old.Laid != shapes[m.after.outline].details+d.New.Laid
	for _, c := range m.step.Diff.Changes {
		for _, l := range linesOf(m, c) {
			d.Lines = append(d.Lines, l)
			box = box.Union(l.box)
		}
	}
	size := math.Max(box.Size().X, box.Size().Y)
	if size >= leastOfAll*largest {
		box = widened(box, largest)
		size = math.Max(size, largest)
	}
	box = box.Grow(math.Max(size*0.04, 2*notchLong))
	d.plot = box
	d.Bar = scaleBar(&box, unit)
	d.box = box
	d.X, d.Y, d.Wide, d.High = number(box.Min.X), number(box.Min.Y), number(box.Size().X), number(box.Size().Y)
	wide := box.Grow(math.Max(box.Size().X, box.Size().Y) * 0.1)
	d.MaskX, d.MaskY, d.MaskWide, d.MaskHigh = number(wide.Min.X), number(wide.Min.Y), number(wide.Size().X), number(wide.Size().Y)
	d.View = d.X + " " + d.Y + " " + d.Wide + " " + d.High
	d.Hatch = hatchFor(math.Max(box.Size().X, box.Size().Y) / thumbnail)
	return d
}

// barLetters is the size of the words at a scale bar to that of the drawing.
const barLetters = 0.055

// scaleBar puts a bar of a round length below the box, and makes room for it.
func scaleBar(box *geom.Box, unit units.Unit) *bar {
	wide := box.Size().X
	long := 10.0
	steps := []float64{20, 50, 100, 200, 500, 1000}
	if unit == units.Inch {
		long, steps = 12.7, []float64{25.4, 50.8, 101.6, 203.2, 508, 1016}
	}
	for _, l := range steps {
		if l < wide*0.6 {
			long = l
		}
	}
	size := math.Max(box.Size().X, box.Size().Y)
	tall := size * 0.08
	y := box.Max.Y + tall*0.2
	box.Max.Y += tall
	tick := tall * 0.2
	start := box.Min.X + wide*0.02
	words := lengths{unit}.both(long)
	letters := size * barLetters
	if end := start + long + letters*(1+0.6*float64(utf8.RuneCountInString(words))); end > box.Max.X {
		box.Max.X = end
	}
	return &bar{X1: number(start), X2: number(start + long), Y: number(y + tick), Low: number(y), High: number(y + 2*tick),
		Text: words, Word: number(start + long + letters*0.6), Size: number(letters)}
}

// hatch is a pair of hatches for drawings of one scale.
type hatch struct{ Name, Step, Width string }

// hatchSteps are the distances of hatch lines in mm. A drawing takes the one
// nearest to hatchApart pixels: near enough to be seen as a tone, far enough
// apart to stay lines on a printer.
var hatchSteps = []float64{0.5, 1, 2, 4, 8, 16, 32, 64, 128}

const (
	hatchApart = 6.0
	hatchLine  = 0.2 // of the distance
)

func hatches() []hatch {
	var out []hatch
	for i, step := range hatchSteps {
		out = append(out, hatch{fmt.Sprint(i), units.Number(step, 2), units.Number(step*hatchLine, 3)})
	}
	return out
}

// hatchFor chooses the hatches for a scale in mm a pixel.
func hatchFor(scale float64) string {
	best, off := 0, math.Inf(1)
	for i, step := range hatchSteps {
		if d := math.Abs(math.Log(step / (hatchApart * scale))); d < off {
			best, off = i, d
		}
	}
	return fmt.Sprint(best)
}
