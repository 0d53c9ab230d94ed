package alter

import (
	"fmt"
	"strconv"
	"strings"

	"toile/geom"
	"toile/pattern/units"
)

// DrawnText writes a path for a recipe: absolute lines and cubics in mm on the
// sheet, at most 3 decimals, in the path data of SVG.
func DrawnText(p geom.Path, closed bool) string {
	var b strings.Builder
	point := func(q geom.Point) { b.WriteString(" " + units.Number(q.X, 3) + " " + units.Number(q.Y, 3)) }
	if len(p) == 0 {
		return ""
	}
	b.WriteString("M")
	point(p.Start())
	for _, c := range p {
		if c.IsStraight(1e-6) {
			b.WriteString(" L")
			point(c.P3)
			continue
		}
		b.WriteString(" C")
		point(c.P1)
		point(c.P2)
		point(c.P3)
	}
	if closed {
		b.WriteString(" Z")
	}
	return b.String()
}

// drawn reads what DrawnText writes; closed says that it ends where it starts.
func (m *making) drawn(key string) (path geom.Path, closed bool, err error) {
	path, closed, err = parseDrawn(m.text(key))
	if err != nil {
		return nil, false, fmt.Errorf("%s: %w", key, err)
	}
	return path, closed, nil
}

// takes is how many points a letter of a drawn path takes.
var takes = map[string]int{"M": 1, "L": 1, "C": 3, "Z": 0}

// pencil draws one line by letters and points.
type pencil struct {
	path      geom.Path
	at, start geom.Point
	begun     bool
	closed    bool
}

func parseDrawn(text string) (path geom.Path, closed bool, err error) {
	var p pencil
	for words := strings.Fields(text); len(words) > 0; {
		letter := words[0]
		n, known := takes[letter]
		switch {
		case !known:
			return nil, false, fmt.Errorf("the path has %q where M, L, C or Z is expected; write it in absolute lines and curves", letter)
		case (letter == "M") == p.begun:
			return nil, false, fmt.Errorf("the path begins with M and has one alone; draw one line without a gap")
		case p.closed:
			return nil, false, fmt.Errorf("the path goes on after its end")
		case len(words) < 1+2*n:
			return nil, false, fmt.Errorf("the path ends within %q", letter)
		}
		points, err := readPoints(words[1:1+2*n], n)
		if err != nil {
			return nil, false, err
		}
		words = words[1+2*n:]
		p.draw(letter, points)
	}
	if len(p.path) == 0 || p.path.Length() < 1 {
		return nil, false, fmt.Errorf("the path is shorter than 1 mm; draw more of it")
	}
	return p.path, p.closed, nil
}

func (p *pencil) draw(letter string, points []geom.Point) {
	switch letter {
	case "M":
		p.start, p.at, p.begun = points[0], points[0], true
		return
	case "L":
		p.path = append(p.path, geom.Line(p.at, points[0]))
	case "C":
		p.path = append(p.path, geom.Cubic{P0: p.at, P1: points[0], P2: points[1], P3: points[2]})
	case "Z":
		p.closed = true
		if p.at.Dist(p.start) > 1e-9 {
			p.path = append(p.path, geom.Line(p.at, p.start))
		}
		return
	}
	p.at = points[len(points)-1]
}

func readPoints(words []string, n int) ([]geom.Point, error) {
	points := make([]geom.Point, n)
	for k := range points {
		for j, v := range []*float64{&points[k].X, &points[k].Y} {
			x, err := strconv.ParseFloat(words[2*k+j], 64)
			if err != nil || !(geom.Point{X: x}).Finite() {
				return nil, fmt.Errorf("the path has %q where a number is expected", words[2*k+j])
			}
			*v = x
		}
	}
	return points, nil
}
