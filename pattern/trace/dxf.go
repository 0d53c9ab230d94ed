package trace

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"toile/geom"
)

// ErrUnits says that a DXF file does not tell, or contradicts itself about, what
// its numbers count.
var ErrUnits = errors.New("no unit")

// ReadDXF reads a DXF file in ASCII, of R12 or any later release. name is the
// file's name for messages.
//
// A file after ASTM D6673 has one block a piece, with a text PIECE NAME: layers
// say what the lines are (1 boundary, 4 notches, 6 mirror line, 7 grain, 8
// internal lines, 11 cut-outs, 13 drill holes, 14 sewing line, 15 annotation),
// and points on the layers 2 and 3 which vertices are turn points and which lie
// on a curve; through those a smooth curve is laid. Each piece keeps the
// coordinates of its block. In any other file closed lines are outlines: they go
// by the name of their block, else their layer, if nothing else there is closed,
// else the text in them. Lines, arcs and splines of one layer that meet end to
// end are one line.
//
// Lines and polylines are exact, arcs within 4e-7 of their radius, splines exact
// up to the third degree and without weights, else within 1e-4 of a unit.
//
// What the numbers count is read from $INSUNITS and a text UNITS: METRIC (mm) or
// ENGLISH (in); ErrUnits where nothing says it or the two, or $MEASUREMENT,
// contradict each other, unless Options.Scale does. Errors are *Error and tell
// the line.
func ReadDXF(name string, r io.Reader, o Options) (*Drawing, error) {
	fail := func(err error) (*Drawing, error) {
		e := &Error{File: name, Err: err}
		if p := (*dxfProblem)(nil); errors.As(err, &p) {
			e.Line, e.Err = p.line, p.err
		}
		return nil, e
	}
	if o.Scale < 0 || math.IsNaN(o.Scale) || math.IsInf(o.Scale, 0) {
		return fail(fmt.Errorf("scale %g: give the millimetres of one drawing unit, a number above 0", o.Scale))
	}
	input, err := slurp(r)
	if err != nil {
		return fail(err)
	}
	s := newDXFScanner(input)
	d, err := readDXFDrawing(s)
	if err != nil {
		if p := (*dxfProblem)(nil); !errors.As(err, &p) {
			err = &dxfProblem{s.line, err}
		}
		return fail(err)
	}
	unit, err := d.unit(o.Scale)
	if err != nil {
		return fail(err)
	}
	x := &dxfTracing{file: name, dxfDrawing: d, o: o, toSheet: scaling(unit, -unit)}
	if p := d.codepage; p.name != "" && p.known() == nil {
		x.note(1, "the letters are in the code page %s, which is not known; those beyond ASCII are read as in western Europe", quote(p.name))
	}
	if d.pieces() {
		return x.readPieces()
	}
	return x.readPlain()
}

// dxfTracing makes outlines of what was read.
type dxfTracing struct {
	*dxfDrawing
	file    string
	o       Options
	toSheet matrix // from drawing units, y up, to mm, y down
	budget  budget
	fitted  int // points through which fewer cubics were laid, or tried
	inVain  int // of them those that took many
	ignored []string
}

// insUnits says in mm what $INSUNITS counts (0: nothing).
var insUnits = map[int]struct {
	name string
	mm   float64
}{
	1: {"inches", 25.4}, 2: {"feet", 304.8}, 4: {"millimetres", 1}, 5: {"centimetres", 10}, 6: {"metres", 1000},
	10: {"yards", 914.4}, 14: {"decimetres", 100},
}

const askScale = "; give the millimetres of one unit with --scale: 1 for a drawing in mm, 10 for cm, 25.4 for inches"

// unit is the length in mm of one unit of the drawing.
func (d *dxfDrawing) unit(scale float64) (float64, error) {
	if scale > 0 {
		return scale, nil
	}
	header := insUnits[0]
	if d.insUnits != nil {
		header = insUnits[*d.insUnits]
		if header.mm == 0 && *d.insUnits != 0 {
			return 0, fmt.Errorf("%w that a pattern is made in: the header says %d ($INSUNITS)%s", ErrUnits, *d.insUnits, askScale)
		}
	}
	text, at, err := d.unitText()
	if err != nil {
		return 0, err
	}
	switch {
	case header.mm == 0 && text == 0:
		return 0, fmt.Errorf("%w: nothing in the file says what its numbers count%s", ErrUnits, askScale)
	case header.mm != 0 && text != 0 && header.mm != text:
		return 0, problem(at, "%w that is sure: the header says %s, and a text on this line says %s%s", ErrUnits, header.name, unitWord(text), askScale)
	}
	unit, says := header.mm, header.name
	if text != 0 {
		unit, says = text, unitWord(text)
	}
	if m := d.measurement; m != nil && (*m == 0) == metric(unit) {
		return 0, fmt.Errorf("%w that is sure: $MEASUREMENT in the header says %s, and the rest of the file %s%s", ErrUnits,
			map[bool]string{true: "English", false: "metric"}[*m == 0], says, askScale)
	}
	return unit, nil
}

func unitWord(mm float64) string {
	if mm == 1 {
		return "METRIC, millimetres"
	}
	return "ENGLISH, inches"
}

func metric(mm float64) bool { return math.Mod(mm, 1) == 0 }

// unitText reads the text UNITS: METRIC or ENGLISH, 0 where there is none.
func (d *dxfDrawing) unitText() (mm float64, line int, err error) {
	for _, b := range append([]*dxfBlock{&d.sheet}, d.order...) {
		for _, e := range b.entities {
			value, ok := keyText(e.text, "units")
			if !ok {
				continue
			}
			this := map[string]float64{"METRIC": 1, "ENGLISH": 25.4}[strings.ToUpper(value)]
			switch {
			case this == 0:
				return 0, e.line, problem(e.line, "%w that is known: the text says %s; METRIC and ENGLISH are%s", ErrUnits, quote(value), askScale)
			case mm != 0 && mm != this:
				return 0, e.line, problem(e.line, "%w that is sure: the text on line %d says %s, and the one on this line %s%s", ErrUnits, line, unitWord(mm), unitWord(this), askScale)
			}
			mm, line = this, e.line
		}
	}
	return mm, line, nil
}

// keyText reads `KEY: value`; capitals make no difference.
func keyText(text, key string) (value string, ok bool) {
	before, after, ok := strings.Cut(text, ":")
	return strings.TrimSpace(after), ok && strings.EqualFold(strings.TrimSpace(before), key)
}

// pieces reports whether the file is one after ASTM D6673.
func (d *dxfDrawing) pieces() bool {
	for _, b := range d.order {
		if _, ok := b.says("piece name"); ok {
			return true
		}
	}
	return false
}

// says finds a text `KEY: value` in a block.
func (b *dxfBlock) says(key string) (string, bool) {
	for _, e := range b.entities {
		if value, ok := keyText(e.text, key); ok {
			return value, true
		}
	}
	return "", false
}

// far refuses what lies beyond any sheet.
func (x *dxfTracing) far(line int, what string, p geom.Path) error {
	if q, far := farPoint(p); far {
		return &Error{File: x.file, Line: line, What: what,
			Err: fmt.Errorf("point (%.6g, %.6g) mm is more than %g m off the sheet; check the unit", q.X, q.Y, maxCoord/1000)}
	}
	return nil
}
