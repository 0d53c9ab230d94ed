package trace

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"toile/geom"
)

// Limits of a points file.
const (
	maxPoints     = 100_000
	maxLineLength = 10_000 // bytes
)

// notchSlack is how far beside the outline a measured notch may lie, in mm:
// what a ruler and a pencil line allow.
const notchSlack = 2

// unitsOfPoints are the units a points file can name, in mm.
var unitsOfPoints = map[string]float64{
	"mm": 1, "millimetre": 1, "millimetres": 1, "millimeters": 1,
	"cm": 10, "centimetre": 10, "centimetres": 10, "centimeters": 10,
	"in": 25.4, "inch": 25.4, "inches": 25.4,
}

// ReadPoints reads a list of points measured off paper with a ruler:
//
//	piece: back
//	unit: cm                 # else PointsOptions.Unit, else cm
//	# across, down
//	0, 0        corner  neckline
//	7.5, 1.2    curve
//	14 1/2, 0   corner  shoulder
//	…
//	notch: 21.5, 30  side
//	dot: 10, 12
//	line: 7, 10 to 7, 50  grain
//	grain: 7, 10 to 7, 50
//	text: 5, 20  cut two
//
// Points go round the outline in either direction. Each is a corner, also
// without the word, or a place on a curve; any other word is an error. Between
// corners without curve points the edge is straight, else a smooth curve runs
// through all points (geom.Through). What follows the word is the name of the
// edge that starts there, up to # and quoted where it holds one. Several
// pieces may follow one another. Points before the first piece line belong to
// a piece called as the file.
//
// Errors are *Error with the line.
func ReadPoints(name string, r io.Reader, o PointsOptions) (*Drawing, error) {
	p := &pointsReader{file: name, unit: o.Unit}
	if o.Unit < 0 || math.IsNaN(o.Unit) || math.IsInf(o.Unit, 0) {
		return nil, p.fail(fmt.Errorf("unit of %g mm: give a length above 0", o.Unit))
	}
	if p.unit == 0 {
		p.unit = unitsOfPoints["cm"]
	}
	input, err := slurp(r)
	if err != nil {
		return nil, p.fail(err)
	}
	lines := bufio.NewScanner(input)
	lines.Buffer(nil, maxLineLength)
	for lines.Scan() {
		p.line++
		if err := p.take(lines.Text()); err != nil {
			return nil, p.fail(err)
		}
	}
	if err := lines.Err(); err != nil {
		p.line++
		return nil, p.fail(fmt.Errorf("not a points file: %w", err))
	}
	return p.drawing()
}

// pointsReader gathers pieces line by line.
type pointsReader struct {
	file   string
	line   int
	unit   float64
	total  int
	pieces []*listed
}

// listed is a piece as listed: its points, and marks that wait for the ring.
type listed struct {
	name    string
	line    int
	points  []measured
	notches []mark
	inside  Outline // lines, dots and texts
}

// measured is a point of the outline, in mm.
type measured struct {
	at     geom.Point
	corner bool
	edge   string // the edge that starts here
	line   int
}

type mark struct {
	at   geom.Point
	name string
	line int
}

func (p *pointsReader) fail(err error) error {
	what := ""
	if n := len(p.pieces); n > 0 {
		what = fmt.Sprintf("piece %q", p.pieces[n-1].name)
	}
	return &Error{File: p.file, Line: p.line, What: what, Err: err}
}

// take reads one line.
func (p *pointsReader) take(line string) error {
	if !utf8.ValidString(line) || strings.ContainsRune(line, 0) {
		return errors.New("not plain text: save the file as UTF-8")
	}
	line = strings.TrimSpace(withoutComment(line))
	if line == "" {
		return nil
	}
	key, value, ok := keyed(line)
	if !ok {
		return p.point(line)
	}
	switch key {
	case "piece":
		return p.begin(value)
	case "unit":
		return p.setUnit(value)
	case "notch", "dot", "line", "grain", "text":
		return p.mark(key, value)
	}
	return fmt.Errorf("%s is not known; a line is `across, down`, or begins with one of piece: unit: notch: dot: line: grain: text: and a value",
		quote(key+":"))
}

// keyed divides `word: value`.
func keyed(line string) (key, value string, ok bool) {
	key, value, ok = strings.Cut(line, ":")
	key = strings.ToLower(strings.TrimSpace(key))
	ok = ok && key != "" && !strings.ContainsFunc(key, func(r rune) bool { return r < 'a' || r > 'z' })
	return key, strings.TrimSpace(value), ok
}

// withoutComment cuts a line at the first # outside of double quotes.
func withoutComment(line string) string {
	quoted := false
	for i, r := range line {
		switch {
		case r == '"':
			quoted = !quoted
		case r == '#' && !quoted:
			return line[:i]
		}
	}
	return line
}

// unquoted takes the double quotes off a name.
func unquoted(s string) string {
	s = strings.TrimSpace(s)
	if len(s) >= 2 && s[0] == '"' && s[len(s)-1] == '"' {
		return s[1 : len(s)-1]
	}
	return s
}

func (p *pointsReader) begin(name string) error {
	name = unquoted(name)
	if name == "" {
		return errors.New("piece: without a name; write `piece: back`")
	}
	for _, before := range p.pieces {
		if before.name == name {
			return fmt.Errorf("a second piece called %q; the first is on line %d", name, before.line)
		}
	}
	p.pieces = append(p.pieces, &listed{name: name, line: p.line})
	return nil
}

// current gives the piece being listed; without a piece line the file's name
// is its name.
func (p *pointsReader) current() *listed {
	if len(p.pieces) == 0 {
		base := filepath.Base(p.file)
		p.pieces = append(p.pieces, &listed{name: strings.TrimSuffix(base, filepath.Ext(base)), line: p.line})
	}
	return p.pieces[len(p.pieces)-1]
}

func (p *pointsReader) setUnit(value string) error {
	unit, ok := unitsOfPoints[strings.ToLower(strings.TrimSpace(value))]
	if !ok {
		return fmt.Errorf("unit %s is not known; write `unit: cm`, `unit: mm` or `unit: in`", quote(value))
	}
	if n := len(p.pieces); n > 0 && len(p.pieces[n-1].points) > 0 {
		return errors.New("the unit must stand before the points of the piece")
	}
	p.unit = unit
	return nil
}

// place turns a pair as written into a point in mm.
func (p *pointsReader) place(q geom.Point) (geom.Point, error) {
	if q = q.Mul(p.unit); math.Abs(q.X) > maxCoord || math.Abs(q.Y) > maxCoord {
		return q, fmt.Errorf("%.6g, %.6g mm is more than %g m away; check the number and the unit", q.X, q.Y, maxCoord/1000)
	}
	if p.total++; p.total > maxPoints {
		return q, tooLarge("more than %d points", maxPoints)
	}
	return q, nil
}

// point reads `across, down [corner|curve [edge]]`.
func (p *pointsReader) point(line string) error {
	q, rest, err := readPair(line)
	if err == nil {
		q, err = p.place(q)
	}
	if err != nil {
		return err
	}
	m := measured{at: q, corner: true, line: p.line}
	word, after, _ := strings.Cut(strings.ReplaceAll(rest, "\t", " "), " ")
	switch strings.ToLower(word) {
	case "", "corner":
	case "curve":
		m.corner = false
	default:
		return fmt.Errorf("%s after the two numbers is not known; the word there is corner or curve, "+
			"and the name of the edge that starts at the point follows it, as in `corner hemline`", quote(word))
	}
	m.edge = unquoted(after)
	p.current().add(m)
	return nil
}

// add appends a point; one measured twice in a row counts once.
func (l *listed) add(m measured) {
	if n := len(l.points); n > 0 && l.points[n-1].at.Dist(m.at) <= closeGap {
		l.points[n-1].merge(m)
		return
	}
	l.points = append(l.points, m)
}

func (m *measured) merge(again measured) {
	m.corner = m.corner || again.corner
	if again.edge != "" {
		m.edge = again.edge
	}
}

// mark reads the rest of a line with a keyword.
func (p *pointsReader) mark(key, value string) error {
	pairs, name, err := readPairs(value)
	if err != nil {
		return fmt.Errorf("%s: %w", key, err)
	}
	for i := range pairs {
		if pairs[i], err = p.place(pairs[i]); err != nil {
			return fmt.Errorf("%s: %w", key, err)
		}
	}
	name = unquoted(name)
	long := key == "line" || key == "grain"
	if long != (len(pairs) > 1) {
		if long {
			return fmt.Errorf("%s: two points or more are needed; write `%s: 3, 5 to 3, 40`", key, key)
		}
		return fmt.Errorf("%s: one point is needed, not %d", key, len(pairs))
	}
	l := p.current()
	switch key {
	case "notch":
		l.notches = append(l.notches, mark{pairs[0], name, p.line})
	case "dot":
		l.inside.Dots = append(l.inside.Dots, Dot{Name: name, At: pairs[0]})
	case "text":
		if name == "" {
			return errors.New("text: nothing is written; write `text: 3, 5 cut two`")
		}
		l.inside.Texts = append(l.inside.Texts, Text{Text: name, At: pairs[0]})
	default:
		if key == "grain" && name == "" {
			name = "grain"
		}
		l.inside.Lines = append(l.inside.Lines, Line{Name: name, Path: geom.Polyline(pairs...)})
	}
	return nil
}

func (p *pointsReader) drawing() (*Drawing, error) {
	d := &Drawing{File: p.file}
	for _, l := range p.pieces {
		o, err := l.outline(p.file)
		if err != nil {
			return nil, err
		}
		d.Outlines = append(d.Outlines, o)
	}
	if len(d.Outlines) == 0 {
		return nil, &Error{File: p.file, Err: fmt.Errorf("%w: no point is listed; "+
			"write `piece: NAME` and then a line `across, down` for each point", ErrNoOutline)}
	}
	return d, nil
}
