package paper

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
)

// Sizes of the small drawings of the plan, in mm.
const (
	mapWide  = 44.0
	mapHigh  = 52.0
	mapGap   = 5.0
	mapWords = 2.4
)

// small is a drawing of the plan: all sheets of a plot, or one shared sheet.
type small struct {
	name    string
	windows []geom.Box // of its sheets, in mm of what it shows
	numbers []int
	parts   []part // what is drawn, each moved by at − window.Min
}

// smalls lists the drawings of the plan in the order of the sheets.
func (b *book) smalls() []small {
	var out []small
	for i := 0; i < len(b.sheets); i++ {
		s := b.sheets[i]
		if s.rows*s.cols == 1 {
			use := usable(b.job.Paper, s.level, b.by)
			name := b.job.Plots[s.parts[0].plot].Name
			if len(s.parts) > 1 {
				name = b.firstWords(s.parts)
			}
			out = append(out, small{name, []geom.Box{{Max: use}}, []int{i + 1}, s.parts})
			continue
		}
		plot := s.parts[0].plot
		m := small{name: b.job.Plots[plot].Name, parts: []part{{plot: plot}}}
		for ; i < len(b.sheets) && b.sheets[i].rows*b.sheets[i].cols > 1 && b.sheets[i].parts[0].plot == plot; i++ {
			m.windows = append(m.windows, b.sheets[i].parts[0].window)
			m.numbers = append(m.numbers, i+1)
		}
		i--
		out = append(out, m)
	}
	return out
}

// firstWords lists what lies on a shared sheet, each name up to its comma.
func (b *book) firstWords(parts []part) string {
	var names []string
	for _, p := range parts {
		name, _, _ := strings.Cut(b.job.Plots[p.plot].Name, ",")
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return strings.Join(names, ", ")
}

// mapLines is how many lines the name over a small drawing may have.
const mapLines = 4

// nameLines wraps the name over a small drawing.
func (b *book) nameLines(m small) []string {
	s := style{size: mapWords, bold: true}
	lines := b.wrap(m.name, s, mapWide)
	if len(lines) <= mapLines {
		return lines
	}
	last, _ := b.fitted(strings.Join(lines[mapLines-1:], " "), s, mapWords, mapWide)
	return append(lines[:mapLines-1:mapLines-1], last)
}

// maps draws them side by side.
func (b *book) maps() {
	smalls := b.smalls()
	lines := 1
	for _, m := range smalls {
		lines = max(lines, len(b.nameLines(m)))
	}
	words := mapWords * (lineStep*float64(lines-1) + 2)
	x, high := Margin, 0.0
	for _, m := range smalls {
		box := geom.EmptyBox()
		for _, w := range m.windows {
			box = box.Union(w)
		}
		size := box.Size()
		by := math.Min(mapWide/size.X, mapHigh/size.Y)
		if x+mapWide > b.job.Paper.Wide-Margin {
			b.y += high + mapGap
			x, high = Margin, 0
		}
		if tall := by*size.Y + words; b.y+tall > b.bottom() {
			b.room(tall + high)
			x, high = Margin, 0
		}
		b.smallDrawing(m, geom.Pt(x, b.y+words), box.Min, by)
		x += mapWide + mapGap
		high = math.Max(high, by*size.Y+words)
	}
	b.y += high + mapGap
}

// smallDrawing draws one: outlines, the frames of the sheets, their numbers.
func (b *book) smallDrawing(m small, at, origin geom.Point, by float64) {
	lines := b.nameLines(m)
	for i, line := range lines {
		b.text(at.Sub(geom.Pt(0, 1+mapWords*lineStep*float64(len(lines)-1-i))), line, style{size: mapWords, bold: true})
	}
	for _, p := range m.parts {
		shift := p.at.Sub(p.window.Min)
		place := func(q geom.Point) geom.Point { return at.Add(q.Add(shift).Sub(origin).Mul(by)) }
		for _, ring := range b.job.Plots[p.plot].Shape.Rings {
			var laid []geom.Cubic
			for _, c := range ring {
				laid = append(laid, geom.Cubic{P0: place(c.P0), P1: place(c.P1), P2: place(c.P2), P3: place(c.P3)})
			}
			b.paths([][]geom.Cubic{laid}, true, &Stroke{Color: black, Width: 0.2}, nil)
		}
	}
	for i, w := range m.windows {
		frame := geom.Box{Min: at.Add(w.Min.Sub(origin).Mul(by)), Max: at.Add(w.Max.Sub(origin).Mul(by))}
		b.box(frame, Stroke{Color: grey, Width: 0.15})
		size := math.Min(4, 0.5*math.Min(frame.Size().X, frame.Size().Y))
		b.text(frame.Centre().Add(geom.Pt(0, 0.35*size)), fmt.Sprint(m.numbers[i]), style{size: size, bold: true, align: 0.5, color: grey})
	}
}
