package paper

import (
	"toile/geom"
)

// Color is red, green and blue, each from 0 to 255.
type Color struct{ R, G, B uint8 }

// Stroke is how a line is drawn; widths and dashes in mm.
type Stroke struct {
	Color  Color
	Width  float64
	Dashes []float64
}

// Item is one thing drawn: lines with a stroke, a fill, or both; or one line of
// text.
type Item struct {
	Paths  [][]geom.Cubic
	Closed bool // every path is closed
	Stroke *Stroke
	Fill   *Color // by the even-odd rule

	Text  string
	At    geom.Point // where the base line starts
	Angle float64    // radians, clockwise as seen
	Size  float64    // of the letters in mm
	Bold  bool
	Align float64 // the part of its length that lies before At: 0, 0.5 or 1
}

// bounds is the box of everything the item draws, but for half a line width.
func (i *Item) bounds() geom.Box {
	b := geom.EmptyBox()
	for _, path := range i.Paths {
		for _, c := range path {
			b = b.Union(c.Box())
		}
	}
	if i.Text != "" {
		long := 1.3 * i.Size * float64(len([]rune(i.Text))) // longer than any
		u := geom.Pt(1, 0).Turn(i.Angle)
		b = b.Extend(i.At.Sub(u.Mul(long * i.Align))).Extend(i.At.Add(u.Mul(long * (1 - i.Align)))).Grow(i.Size)
	}
	return b
}

// Picture is what is drawn, in mm, in the order of drawing.
type Picture []Item

// Box is the box of all lines.
func (p Picture) Box() geom.Box {
	b := geom.EmptyBox()
	for i := range p {
		if p[i].Text == "" {
			b = b.Union(p[i].bounds())
		}
	}
	return b
}

// Shape is where a plot has something to show: inside of rings, by the even-odd
// rule of each, and along lines. It tells which sheets are printed.
type Shape struct {
	Rings []geom.Ring
	Lines []geom.Path
}

// LinesOf is the shape of all lines of a picture.
func LinesOf(p Picture) Shape {
	var s Shape
	for i := range p {
		for _, path := range p[i].Paths {
			s.Lines = append(s.Lines, path)
		}
	}
	return s
}

// meetWithin is how near in mm the lines are followed to tell whether they
// reach onto a sheet.
const meetWithin = 0.05

// outlined is a shape with its lines as polygons, made once.
type outlined struct {
	rings []geom.Ring
	lines [][]geom.Point
	boxes []geom.Box
}

func (s Shape) outlined() outlined {
	o := outlined{rings: s.Rings}
	add := func(path geom.Path) {
		if len(path) > 0 {
			o.lines = append(o.lines, path.Flatten(meetWithin))
			o.boxes = append(o.boxes, path.Box())
		}
	}
	for _, r := range s.Rings {
		add(geom.Path(r))
	}
	for _, l := range s.Lines {
		add(l)
	}
	return o
}

// meets reports whether something of the shape lies in the box.
func (o outlined) meets(b geom.Box) bool {
	for i, points := range o.lines {
		if !o.boxes[i].Overlaps(b) {
			continue
		}
		for k := range points {
			if segmentMeets(points[max(0, k-1)], points[k], b) {
				return true
			}
		}
	}
	for _, r := range o.rings {
		if r.Box().Holds(b.Centre()) && r.Holds(b.Centre()) {
			return true
		}
	}
	return false
}
