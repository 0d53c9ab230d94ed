package render

import (
	"math"

	"toile/geom"
)

// The sizes of a page, in parts of the letter size except for the first two.
const (
	// onScreen makes letters 12.5 px high when the whole sheet is fit to a
	// screen 1000 px wide.
	onScreen = 0.0125
	// onTall keeps long narrow pieces from getting letters too small to read
	// when the sheet is fit to a screen 1200 px high.
	onTall = 0.0105
	// smallest is the least letter size in mm, for a piece that is next to nothing.
	smallest = 0.5

	labelRoom = 8.5  // around the piece, for labels and dimensions
	column    = 25.0 // the width of a column of words
	gap       = 1.5  // between the parts of a page
	border    = 1.2  // around everything
)

// page is how a sheet is divided: the drawing with room for its labels, and
// columns of words beside it or, for a wide piece, below.
type page struct {
	text    float64  // letter size in mm
	drawing geom.Box // where the piece and its labels are
	columns []geom.Point
	width   float64 // of a column in mm
}

// newPage divides a sheet for what lies in the box.
func newPage(content geom.Box) page {
	size := content.Size()
	beside := size.Y*1.1 >= size.X
	around := 2*labelRoom + 2*border
	if beside {
		around += column + gap
	}
	text := math.Max(size.X*onScreen/(1-onScreen*around), math.Max(size.Y*onTall, smallest))
	p := page{text: text, drawing: content.Grow(labelRoom * text), width: column * text}
	if beside {
		p.columns = []geom.Point{geom.Pt(p.drawing.Max.X+gap*text, p.drawing.Min.Y)}
		return p
	}
	p.columnsBelow()
	return p
}

// columnsBelow divides the width below the drawing into columns.
func (p *page) columnsBelow() {
	wide, between := p.drawing.Size().X, gap*p.text
	count := math.Max(1, math.Floor((wide+between)/(column*p.text+between)))
	p.width = (wide - (count-1)*between) / count
	p.columns = nil
	for i := 0.0; i < count; i++ {
		p.columns = append(p.columns, geom.Pt(p.drawing.Min.X+i*(p.width+between), p.drawing.Max.Y+between))
	}
}

// block is a part of the words beside a drawing: its height and how to write
// it at its top left corner.
type block struct {
	high float64
	draw func(at geom.Point)
	// onPage draws it on a page that was begun after it was measured.
	onPage func(on *fittingPage, at geom.Point)
}

// set writes the blocks into the columns, each into the shortest one so far,
// and returns the whole sheet.
func (p page) set(blocks []block) geom.Box {
	sheet := p.drawing
	used := append([]geom.Point(nil), p.columns...)
	for _, b := range blocks {
		if b.high == 0 {
			continue
		}
		at := 0
		for i := range used {
			if used[i].Y < used[at].Y-1e-9 {
				at = i
			}
		}
		b.draw(used[at])
		used[at].Y += b.high
		sheet = sheet.Extend(used[at]).Extend(used[at].Add(geom.Pt(p.width, 0)))
		used[at].Y += gap * p.text
	}
	return sheet.Grow(border * p.text)
}
