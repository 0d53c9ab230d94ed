package render

import (
	"fmt"
	"io"
	"math"
	"strings"

	"toile/geom"
	"toile/pattern/change"
)

// Sizes of the cells of a sheet of all changed pieces, in letter sizes.
const (
	cellRoom  = 2.5  // around a piece, for the numbers of its changes
	cellLeast = 20.0 // the least width of a cell, for its words
	sheetWide = 1.5  // width of the grid to its height, about
)

// cell is one changed piece on the sheet of all.
type cell struct {
	*overlay
	bounds geom.Box // what is drawn, on FROM's sheet
	name   []string
	words  block
	size   geom.Point
	at     geom.Point // the cell's top left corner on the sheet of all
}

// OverlayAll draws all changed pieces on one sheet, each at true size with its
// name, its overlay, and its changes in words, numbered in the drawing; pieces
// that stayed the same are listed by name. Each piece is shifted to its place
// and keeps its direction. The sheet's notes are not drawn: their places belong
// to single pieces.
func OverlayAll(w io.Writer, s Sheet, d change.Diff) error {
	cells, same, err := allCells(d)
	if err != nil {
		return err
	}
	text := allTextSize(cells)
	draw := newDrawing(s, text)
	grid := draw.arrange(cells, text)
	for i := range cells {
		draw.cell(&cells[i])
	}
	head := draw.titleBlock(grid.Size().X, s.Pattern, allRows(s, d))
	head.draw(geom.Pt(grid.Min.X, grid.Min.Y-head.high-gap*text))

	page := page{text: text, drawing: grid}
	page.columnsBelow()
	sheet := page.set([]block{
		draw.sameBlock(page.width, same),
		draw.textBlock("seams", "Seams that fit otherwise", page.width, seamRows(s, d.Seams)),
		draw.textBlock("texts", "Words that changed", page.width, textRows(d.Texts)),
		draw.legendBlock(page.width),
		draw.scaleBlock(page.width, s.Unit),
	})
	sheet.Min.Y -= head.high + gap*text
	return draw.finish(w, sheet, s.Pattern, fromTo(d))
}

func allCells(d change.Diff) (cells []cell, same []string, err error) {
	for _, p := range d.Pieces {
		if p.State == change.Same || p.State == "" {
			same = append(same, p.Piece)
			continue
		}
		o, err := overlaid(d, p)
		if err != nil {
			return nil, nil, err
		}
		box := o.box()
		if err := boxFits(p.Piece, box); err != nil {
			return nil, nil, err
		}
		cells = append(cells, cell{overlay: o, bounds: box})
	}
	return cells, same, nil
}

// allTextSize makes the letters as large as on a single sheet for the width
// the grid is going to have, about.
func allTextSize(cells []cell) float64 {
	area, widest := 0.0, 0.0
	for _, c := range cells {
		size := c.bounds.Size()
		area += size.X * size.Y
		widest = math.Max(widest, size.X)
	}
	wide := math.Max(math.Sqrt(1.8*sheetWide*area), widest*1.1)
	return math.Max(onScreen*wide, 2*smallest)
}

// arrange gives every cell its size and place, row by row, and returns the
// grid's box.
func (d *drawing) arrange(cells []cell, t float64) geom.Box {
	area, widest := 0.0, (column+gap)*t
	for i := range cells {
		c := &cells[i]
		size := c.bounds.Size()
		c.size.X = math.Max(size.X+2*cellRoom*t, cellLeast*t)
		c.name = wrap(c.title(), 1.3*t, true, c.size.X, 3)
		rows := c.changeRows(d.sheet.Unit)
		for _, laid := range placementRows(c.diff, laidOver, d.sheet.Unit) {
			rows = append(rows, paragraph{text: laid, scale: 1})
		}
		c.words = d.textBlock("changes", "", c.size.X, rows)
		c.size.Y = size.Y + (2*cellRoom+1.3*lineHeight*float64(len(c.name)))*t + c.words.high
		area += (c.size.X + gap*t) * (c.size.Y + 2*gap*t)
		widest = math.Max(widest, c.size.X)
	}
	wide := math.Max(widest, math.Sqrt(sheetWide*area))
	grid := geom.Box{Max: geom.Pt(widest, 0)}
	for i := range cells {
		cells[i].at = freePlace(cells[:i], cells[i].size, wide, gap*t)
		grid = grid.Extend(cells[i].at.Add(cells[i].size))
	}
	return grid
}

// freePlace finds the highest place below the cells already placed, and of
// equally high ones the leftmost, for a cell of the given size.
func freePlace(placed []cell, size geom.Point, wide, between float64) geom.Point {
	best := geom.Pt(0, math.Inf(1))
	lefts := []float64{0}
	for _, c := range placed {
		lefts = append(lefts, c.at.X, c.at.X+c.size.X+between)
	}
	for _, x := range lefts {
		if x > 0 && x+size.X > wide {
			continue
		}
		y := 0.0
		for _, c := range placed {
			if x < c.at.X+c.size.X+between-1e-9 && c.at.X < x+size.X+between-1e-9 {
				y = math.Max(y, c.at.Y+c.size.Y+2*between)
			}
		}
		if y < best.Y-1e-9 || y < best.Y+1e-9 && x < best.X {
			best = geom.Pt(x, y)
		}
	}
	return best
}

// cell draws one piece in its cell: name, drawing, words.
func (d *drawing) cell(c *cell) {
	t := d.pen.text
	d.group(attr("class", "cell"))
	below := d.canvas.lines(c.at, c.name, 1.3*t, true)
	size := c.bounds.Size()
	corner := c.at.Add(geom.Pt((c.size.X-size.X)/2, below+cellRoom*t))
	d.shift(corner.Sub(c.bounds.Min))
	c.drawing = &drawing{canvas: d.canvas, pen: d.pen, sheet: d.sheet, legend: d.legend, brief: true}
	c.outlines()
	c.numbered()
	side := (c.size.X - size.X) / 2
	room := geom.Box{Min: c.bounds.Min.Sub(geom.Pt(side, cellRoom*t)), Max: c.bounds.Max.Add(geom.Pt(side, cellRoom*t))}
	c.setLabels(room)
	d.ungroup()
	c.words.draw(c.at.Add(geom.Pt(0, below+size.Y+2*cellRoom*t)))
	d.ungroup()
}

// numbered draws the changes with their numbers instead of words.
func (o *overlay) numbered() {
	kept := o.labels
	for i, one := range o.diff.Changes {
		o.labels = nil
		o.change(one)
		if len(o.labels) == 0 {
			continue
		}
		o.legend.use(legendNumber)
		l := o.labels[0]
		l.text, l.disc, l.bold, l.along = fmt.Sprint(i+1), true, true, geom.Point{}
		kept = append(kept, l)
	}
	o.labels = kept
}

func allRows(s Sheet, d change.Diff) []string {
	return []string{"from " + versionWords(d.From) + " to " + versionWords(d.To),
		s.now(), strings.Trim(s.Fitting+", "+s.drawn(), ", ")}
}

func (d *drawing) sameBlock(width float64, same []string) block {
	if len(same) == 0 {
		return block{}
	}
	return d.textBlock("same", "Unchanged", width, []paragraph{{text: strings.Join(same, ", "), scale: 1}})
}

func seamRows(s Sheet, seams []change.SeamDiff) []paragraph {
	var rows []paragraph
	for _, m := range seams {
		name := m.Seam
		if m.Section != "" {
			name += ", " + m.Section
		}
		rows = append(rows, paragraph{hang: "–", scale: 1, text: fmt.Sprintf("%s: difference %s → %s", name,
			s.Unit.FormatSigned(m.Difference[0]), s.Unit.FormatSigned(m.Difference[1]))})
	}
	return rows
}

func textRows(texts []change.TextDiff) []paragraph {
	var rows []paragraph
	for _, t := range texts {
		rows = append(rows, paragraph{hang: "–", scale: 1, most: 8,
			text: fmt.Sprintf("%s: “%s” → “%s”", t.What, plain(t.Before), plain(t.After))})
	}
	return rows
}
