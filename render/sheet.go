package render

import (
	"fmt"
	"math"

	"toile/geom"
	"toile/pattern/change"
	"toile/pattern/units"
)

// Sheet is what every drawing of a pattern bears besides the piece itself.
type Sheet struct {
	Pattern string
	Unit    units.Unit
	Version string // what is drawn, as in "version 11, 2026-05-14"; "" where that is said otherwise
	Date    string // the day of the drawing, "" to leave it out
	Fitting string // "" or as in "fitting 2, 2026-05-14"
	Notes   []PinnedNote
}

// drawn says when the drawing was made.
func (s Sheet) drawn() string {
	if s.Date == "" {
		return ""
	}
	return "drawn on " + s.Date
}

// PinnedNote is a note of a fitting at its place, in mm on the piece's sheet.
type PinnedNote struct {
	Key, Text string
	At        geom.Point
	Open      bool
	Answered  int // the version that answered it, 0 where that is not said
}

// now says which state the later outline is of.
func (s Sheet) now() string {
	if s.Version == "" {
		return ""
	}
	return "now: " + s.Version
}

// heading writes the head of a block with a hairline below it.
func (d *drawing) heading(at geom.Point, text string, width float64) float64 {
	t := d.pen.text
	high := d.canvas.lines(at, []string{text}, t, true)
	y := at.Y + high + 0.05*t
	d.line(geom.Pt(at.X, y), geom.Pt(at.X+width, y), d.stroke(black, d.pen.narrow/2)...)
	return high + 0.3*t
}

// paragraph is text of one kind in a block; hang is a number or sign before it.
type paragraph struct {
	hang, text string
	scale      float64 // of the letter size
	bold       bool
	most       int // lines at most, 0 any
}

// textBlock is a heading with paragraphs, wrapped to the width.
func (d *drawing) textBlock(class, heading string, width float64, paragraphs []paragraph) block {
	if len(paragraphs) == 0 {
		return block{}
	}
	t := d.pen.text
	type set struct {
		paragraph
		lines  []string
		indent float64
	}
	var sets []set
	high := 0.0
	if heading != "" {
		high = lineHeight*t + 0.3*t
	}
	for _, p := range paragraphs {
		s := set{paragraph: p}
		if p.hang != "" {
			s.indent = textWidth(p.hang, p.scale*t, true) + 0.5*t
		}
		s.lines = wrap(p.text, p.scale*t, p.bold, width-s.indent, p.most)
		high += (float64(len(s.lines))*lineHeight*p.scale + 0.25) * t
		sets = append(sets, s)
	}
	return block{high: high, draw: func(at geom.Point) {
		d.group(attr("class", class))
		if heading != "" {
			at.Y += d.heading(at, heading, width)
		}
		for _, s := range sets {
			if s.hang != "" {
				d.canvas.lines(at, []string{s.hang}, s.scale*t, true)
			}
			at.Y += d.canvas.lines(at.Add(geom.Pt(s.indent, 0)), s.lines, s.scale*t, s.bold) + 0.25*t
		}
		d.ungroup()
	}}
}

// titleBlock frames what the drawing is of.
func (d *drawing) titleBlock(width float64, title string, rows []string) block {
	t := d.pen.text
	pad := 0.7 * t
	paragraphs := []paragraph{{text: title, scale: 1.5, bold: true, most: 4}}
	for _, r := range rows {
		if r != "" {
			paragraphs = append(paragraphs, paragraph{text: r, scale: 1, most: 6})
		}
	}
	inner := d.textBlock("title", "", width-2*pad, paragraphs)
	return block{high: inner.high + 2*pad, draw: func(at geom.Point) {
		frame := geom.Box{Min: at, Max: at.Add(geom.Pt(width, inner.high+2*pad))}
		d.rect(frame, d.stroke(black, d.pen.narrow, attr("class", "frame"))...)
		inner.draw(at.Add(geom.Pt(pad, pad)))
	}}
}

// versionWords names a version with its text.
func versionWords(v change.Version) string {
	switch {
	case v.Working:
		return "the working pattern"
	case v.Number > 0 && v.Text != "":
		return fmt.Sprintf("version %d, “%s”", v.Number, plain(v.Text))
	case v.Number > 0:
		return fmt.Sprintf("version %d", v.Number)
	case v.Text != "":
		return v.Text
	}
	return "nothing"
}

// notesBlock tells the pinned notes by their numbers on the drawing.
func (d *drawing) notesBlock(width float64, notes []PinnedNote) block {
	var rows []paragraph
	for i, n := range notes {
		state := "answered"
		switch {
		case n.Open:
			state = "open"
		case n.Answered > 0:
			state = fmt.Sprintf("answered by version %d", n.Answered)
		}
		text := fmt.Sprintf("note %s, %s: %s", n.Key, state, n.Text)
		rows = append(rows, paragraph{hang: noteLetter(i), text: text, scale: 1, most: 8})
	}
	return d.textBlock("notes", "Notes pinned", width, rows)
}

// scaleSteps are the lengths a scale bar may have, in the pattern's unit.
var scaleSteps = map[units.Unit][]float64{
	units.Millimetre: {5, 10, 20, 50, 100, 200, 500, 1000},
	units.Centimetre: {0.5, 1, 2, 5, 10, 20, 50, 100},
	units.Inch:       {0.25, 0.5, 1, 2, 4, 8, 12, 24, 36},
}

// scaleBlock is the scale bar: four stretches of known length.
func (d *drawing) scaleBlock(width float64, unit units.Unit) block {
	if unit == "" {
		unit = units.Centimetre
	}
	t := d.pen.text
	steps := scaleSteps[unit]
	long := steps[0] * unit.MM()
	for _, s := range steps {
		if mm := s * unit.MM(); mm <= width-4*t {
			long = mm
		}
	}
	words := wrap("At true size this bar measures "+unit.Format(long)+".", t, false, width, 3)
	return block{high: 3.2*t + float64(len(words))*lineHeight*t, draw: func(at geom.Point) {
		d.group(attr("class", "scale"))
		bar := 0.5 * t
		for i := 0; i < 4; i++ {
			x := at.X + long*float64(i)/4
			fill := []string{black, white}[i%2]
			d.rect(geom.Box{Min: geom.Pt(x, at.Y+bar/2), Max: geom.Pt(x+long/4, at.Y+1.5*bar)},
				attr("fill", fill), attr("stroke", black), d.length("stroke-width", d.pen.narrow))
		}
		y := at.Y + 1.6*bar
		d.canvas.lines(geom.Pt(at.X, y), []string{"0"}, t, false)
		d.canvas.lines(geom.Pt(at.X+long, y), []string{unit.Format(long)}, t, false, attr("text-anchor", "middle"))
		d.canvas.lines(geom.Pt(at.X, y+1.5*t), words, t, false)
		d.ungroup()
	}}
}

// missedBlock tells the labels for which the drawing had no room.
func (d *drawing) missedBlock(width float64, missed []string) block {
	var rows []paragraph
	for _, m := range missed {
		rows = append(rows, paragraph{hang: "–", text: m, scale: 1})
	}
	return d.textBlock("missed", "No room in the drawing for", width, rows)
}

// farthest is how far from the sheet's origin in mm something may lie: 100 m,
// more than any cloth and still exact in what is written.
const farthest = 1e5

// boxFits refuses what no sheet can hold.
func boxFits(name string, b geom.Box) error {
	for _, v := range []float64{b.Min.X, b.Min.Y, b.Max.X, b.Max.Y} {
		if !(math.Abs(v) <= farthest) {
			return fmt.Errorf("%s: something of it lies at %v mm, where it cannot be drawn; bring it within 100 m of the sheet's origin", plain(name), v)
		}
	}
	return nil
}
