package paper

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"toile/geom"
)

// Plot is one picture to print whole, on as many sheets as it takes.
type Plot struct {
	Name    string // said on each of its sheets
	Picture Picture
	Box     geom.Box // what has to be on paper, mm
	Shape   Shape    // where it has something to show

	// Within is the straight-sided ring outside of which nothing of the picture is
	// drawn, nil for everywhere; Beside is drawn all the same.
	Within geom.Ring
	Beside Picture
}

// Lay says which way round the sheets are.
type Lay string

// The ways sheets are laid.
const (
	Upright Lay = "portrait"
	Level   Lay = "landscape"
	Fewest  Lay = "" // whichever takes fewer sheets
)

// part is what a sheet shows of a plot: the window in the plot's mm, and where
// on the sheet its corner lies, in mm of the plot from the margin.
type part struct {
	plot   int
	window geom.Box
	at     geom.Point
}

// sheet is one sheet of paper. Row and column count from 1 within a plot that
// takes more than one; where a sheet holds whole plots both are 1 of 1.
type sheet struct {
	level    bool
	parts    []part
	row, col int
	rows     int
	cols     int
	joints   grid
	checks   []checkLine
	drawn    crowd // of the plot, where there are check lines
}

// grid is how a plot is divided.
type grid struct {
	level      bool
	cols, rows int
	origin     geom.Point // of the first sheet's window, in the plot's mm
	use        geom.Point // of one sheet
}

// window is what the sheet in a column and a row shows, counted from 0.
func (g grid) window(col, row int) geom.Box {
	at := g.origin.Add(geom.Pt(float64(col)*(g.use.X-Overlap), float64(row)*(g.use.Y-Overlap)))
	return geom.Box{Min: at, Max: at.Add(g.use)}
}

// cell is the part of a window that is that sheet's own: to the middle of what
// it shares with others. All cells together are the whole plot, so that a sheet
// with nothing in its cell is not missed.
func (g grid) cell(col, row int) geom.Box {
	b := g.window(col, row)
	if col > 0 {
		b.Min.X += Overlap / 2
	}
	if col < g.cols-1 {
		b.Max.X -= Overlap / 2
	}
	if row > 0 {
		b.Min.Y += Overlap / 2
	}
	if row < g.rows-1 {
		b.Max.Y -= Overlap / 2
	}
	return b
}

// scale is by how much everything is drawn larger, across and down, so that a
// printer which draws it smaller gets it right.
type scale struct{ x, y float64 }

// usable is how much of a picture one sheet shows, in the picture's mm.
func usable(paper Size, level bool, by scale) geom.Point {
	s := paper.turned(level)
	return geom.Pt((s.Wide-2*Margin)/by.x, (s.High-2*Margin)/by.y)
}

// divide lays a grid of sheets over a box, the box in its middle.
func divide(b geom.Box, paper Size, level bool, by scale) grid {
	use, size := usable(paper, level, by), b.Size()
	g := grid{level: level, use: use, cols: Count(size.X, use.X, Overlap), rows: Count(size.Y, use.Y, Overlap)}
	whole := geom.Pt(float64(g.cols)*(use.X-Overlap)+Overlap, float64(g.rows)*(use.Y-Overlap)+Overlap)
	g.origin = b.Min.Sub(whole.Sub(size).Mul(0.5))
	return g
}

// ways are the ways round to try.
func (l Lay) ways() []bool {
	switch l {
	case Upright:
		return []bool{false}
	case Level:
		return []bool{true}
	}
	return []bool{false, true}
}

// tiled divides one plot into the sheets that carry something, the way round
// that takes fewer of them; upright where it is the same.
func tiled(index int, p Plot, paper Size, lay Lay, by scale) []sheet {
	shape := p.Shape.outlined()
	var best []sheet
	for _, level := range lay.ways() {
		g := divide(p.Box, paper, level, by)
		var sheets []sheet
		for row := 0; row < g.rows; row++ {
			for col := 0; col < g.cols; col++ {
				if !shape.meets(g.cell(col, row)) {
					continue
				}
				sheets = append(sheets, sheet{level: level, row: row + 1, col: col + 1, rows: g.rows, cols: g.cols, joints: g,
					parts: []part{{index, g.window(col, row), geom.Point{}}}})
			}
		}
		if best == nil || len(sheets) < len(best) {
			best = sheets
		}
	}
	return best
}

// Joints are the lines along which the sheets of a plot are pasted together, in
// its mm: the middles of the strips they share. Words keep off them. There are
// none where the plot has room on one sheet.
func (j Job) Joints(p Plot) []geom.Path {
	by := j.scale()
	if j.tooManyOf(p) {
		return nil // Write refuses it
	}
	for _, level := range j.Lay.ways() {
		if fits(p, usable(j.Paper, level, by)) {
			return nil
		}
	}
	sheets := tiled(0, p, j.Paper, j.Lay, by)
	if len(sheets) == 0 {
		return nil
	}
	g, b := sheets[0].joints, p.Box
	var out []geom.Path
	for i := 1; i < g.cols; i++ {
		x := g.window(i, 0).Min.X + Overlap/2
		out = append(out, geom.Polyline(geom.Pt(x, b.Min.Y), geom.Pt(x, b.Max.Y)))
	}
	for i := 1; i < g.rows; i++ {
		y := g.window(0, i).Min.Y + Overlap/2
		out = append(out, geom.Polyline(geom.Pt(b.Min.X, y), geom.Pt(b.Max.X, y)))
	}
	return out
}

// between is the room in mm left between plots that share a sheet, and above
// each for its name.
const between = 8.0

// fits reports whether a plot has room on one sheet.
func fits(p Plot, use geom.Point) bool {
	s := p.Box.Size()
	return s.X <= use.X+countWithin && s.Y <= use.Y+countWithin
}

// together packs plots that fit a sheet into as few as it can: on shelves, the
// tallest first, each on the first shelf with room. (Shelf packing, first fit
// by falling height: Coffman, Garey, Johnson and Tarjan, 1980; from memory.)
func together(plots []Plot, chosen []int, paper Size, level bool, by scale) []sheet {
	order := slices.Clone(chosen)
	sort.SliceStable(order, func(a, b int) bool {
		return plots[order[a]].Box.Size().Y > plots[order[b]].Box.Size().Y
	})
	p := packing{use: usable(paper, level, by)}
	for _, plot := range order {
		p.put(plot, plots[plot].Box, level)
	}
	return p.sheets
}

// packing is sheets being filled, shelf by shelf.
type packing struct {
	use     geom.Point // of one sheet
	sheets  []sheet
	ends    []float64 // how far down each sheet is used
	shelves []shelf
}

// shelf is a row of plots on a sheet: its top, its height, and how far it is
// used.
type shelf struct {
	sheet              int
	top, high, reached float64
}

// put lays a plot on the first shelf with room, else on a new shelf of the
// first sheet with room, else on a new sheet.
func (p *packing) put(plot int, box geom.Box, level bool) {
	size := box.Size()
	i := slices.IndexFunc(p.shelves, func(s shelf) bool {
		return size.Y <= s.high+countWithin && s.reached+size.X <= p.use.X+countWithin
	})
	if i < 0 {
		on := slices.IndexFunc(p.ends, func(end float64) bool { return end+size.Y <= p.use.Y+countWithin })
		if on < 0 {
			on = len(p.sheets)
			p.sheets = append(p.sheets, sheet{level: level, row: 1, col: 1, rows: 1, cols: 1})
			p.ends = append(p.ends, 0)
		}
		i = len(p.shelves)
		p.shelves = append(p.shelves, shelf{sheet: on, top: p.ends[on], high: size.Y})
		p.ends[on] += size.Y + between
	}
	s := &p.shelves[i]
	on := &p.sheets[s.sheet]
	on.parts = append(on.parts, part{plot, box, geom.Pt(s.reached, s.top)})
	s.reached += size.X + between
}

// mostSheets is how many sheets one plot may take: more than any garment on the
// smallest paper, and few enough to look through.
const mostSheets = 2000

// tooMany refuses a plot that no one could paste together.
func (j Job) tooMany() error {
	for _, p := range j.Plots {
		if g := divide(p.Box, j.Paper, j.Lay == Level, j.scale()); j.tooManyOf(p) {
			name, _, _ := strings.Cut(p.Name, ",") // without how it is cut
			return fmt.Errorf("%q measures %s by %s and would take up to %d by %d sheets of %s; print it on larger paper, or look whether its unit is right",
				name, j.Unit.Format(p.Box.Size().X), j.Unit.Format(p.Box.Size().Y), g.cols, g.rows, j.Paper.Name)
		}
	}
	return nil
}

func (j Job) tooManyOf(p Plot) bool {
	g := divide(p.Box, j.Paper, j.Lay == Level, j.scale())
	return float64(g.cols)*float64(g.rows) > mostSheets
}

// layOut divides all plots into sheets: first those that take several, each by
// itself, then those that share a sheet.
func layOut(plots []Plot, paper Size, lay Lay, by scale) []sheet {
	var sheets []sheet
	var small []int
	for i, p := range plots {
		alone := true
		for _, level := range lay.ways() {
			alone = alone && !fits(p, usable(paper, level, by))
		}
		if alone {
			several := tiled(i, p, paper, lay, by)
			addChecks(several, p.Picture)
			sheets = append(sheets, several...)
		} else {
			small = append(small, i)
		}
	}
	return append(sheets, shared(plots, small, paper, lay, by)...)
}

// shared packs the small plots, with as many sheets upright, or level, as come
// out fewer.
func shared(plots []Plot, small []int, paper Size, lay Lay, by scale) []sheet {
	var best []sheet
	for _, first := range lay.ways() {
		var now, later []int
		for _, i := range small {
			if fits(plots[i], usable(paper, first, by)) {
				now = append(now, i)
			} else {
				later = append(later, i)
			}
		}
		sheets := together(plots, now, paper, first, by)
		if len(later) > 0 {
			sheets = append(sheets, together(plots, later, paper, !first, by)...)
		}
		if best == nil || len(sheets) < len(best) {
			best = sheets
		}
	}
	return best
}
