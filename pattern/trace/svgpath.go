package trace

import (
	"fmt"
	"math"
	"strings"

	"toile/geom"
)

// arcTolerance is how near the cubics that stand in for an arc stay to the
// true ellipse, in mm. A fifth is left for rounding and for what follows.
const arcTolerance = 0.001 * 0.8

// subpath is one run of the pen, in mm on the sheet.
type subpath struct {
	curves geom.Path
	closed bool // ended with Z
}

// pen draws in user units and keeps cubics in mm.
type pen struct {
	m      matrix
	budget *budget
	subs   []subpath
	start  geom.Point // of the subpath, in user units
	at     geom.Point // in user units
	down   bool       // the subpath has been begun
}

func (p *pen) moveTo(q geom.Point) {
	p.at, p.start, p.down = q, q, false
}

// begin opens a subpath where the pen stands; after a Z that is where the one
// before started.
func (p *pen) begin() {
	if !p.down {
		p.subs = append(p.subs, subpath{})
		p.start, p.down = p.at, true
	}
}

func (p *pen) add(c geom.Cubic) error {
	p.begin()
	if err := p.budget.curves(1); err != nil {
		return err
	}
	drawn := p.m.applyCubic(c)
	if !drawn.Finite() {
		return fmt.Errorf("coordinates near (%g, %g) go beyond what numbers can hold", c.P0.X, c.P0.Y)
	}
	s := &p.subs[len(p.subs)-1]
	if n := len(s.curves); n > 0 {
		drawn.P0 = s.curves[n-1].P3
	}
	s.curves = append(s.curves, drawn)
	p.at = c.P3
	return nil
}

func (p *pen) lineTo(q geom.Point) error { return p.add(geom.Line(p.at, q)) }

// arcTo draws an arc with radii and flags as path command A has them; axis is
// in degrees.
func (p *pen) arcTo(rx, ry, axis float64, large, sweep bool, q geom.Point) error {
	tolerance := arcTolerance / math.Max(p.m.stretch(), 1e-12)
	arc := geom.EllipticalArc(p.at, q, rx, ry, math.Mod(axis, 360)*math.Pi/180, large, sweep, tolerance)
	for _, c := range arc {
		if err := p.add(c); err != nil {
			return err
		}
	}
	return nil
}

// close ends a subpath with Z; one that has not been begun draws nothing.
func (p *pen) close() {
	if !p.down {
		p.at = p.start
		return
	}
	p.subs[len(p.subs)-1].closed = true
	p.at, p.down = p.start, false
}

// pathReader reads path data (W3C, SVG 2, section 9.3) with a pen.
type pathReader struct {
	numbers
	pen
	command  byte
	relative bool
	handle   geom.Point // the last control point, for S and T
	handleOf byte       // the kind of curve it belongs to: 'C', 'Q' or 0
}

// readPath draws path data; errors tell the character.
func readPath(d string, m matrix, b *budget) ([]subpath, error) {
	r := &pathReader{numbers: numbers{s: d}, pen: pen{m: m, budget: b}}
	if err := b.text(len(d)); err != nil {
		return nil, err
	}
	if strings.TrimSpace(d) == "none" {
		return nil, nil
	}
	r.skipSpace()
	for first := true; !r.done(); first = false {
		letter := r.s[r.i]
		if strings.IndexByte("MmZzLlHhVvCcSsQqTtAa", letter) < 0 || first && letter|0x20 != 'm' {
			if first {
				return nil, fmt.Errorf("path data must begin with M, not %s", r.excerpt())
			}
			return nil, fmt.Errorf("path data: a command is expected at %s", r.excerpt())
		}
		r.i++
		if err := r.run(letter); err != nil {
			return nil, fmt.Errorf("path data: %w", err)
		}
		r.skipSpace()
	}
	return r.subs, nil
}

// run makes one command with all its repeats.
func (r *pathReader) run(letter byte) error {
	r.command, r.relative = letter&^0x20, letter&0x20 != 0
	r.skipSpace()
	if r.command == 'Z' {
		r.close()
		r.handleOf = 0
		return nil
	}
	for {
		if err := r.step(); err != nil {
			return err
		}
		if r.command == 'M' { // further pairs are lines
			r.command = 'L'
		}
		if !r.skipComma() && !r.atNumber() {
			return nil
		}
	}
}

// step makes one command with one set of numbers.
func (r *pathReader) step() error {
	switch r.command {
	case 'C', 'S', 'Q', 'T':
		return r.curve()
	}
	r.handleOf = 0
	switch r.command {
	case 'M':
		q, err := r.point()
		if err == nil {
			r.moveTo(q)
		}
		return err
	case 'L':
		q, err := r.point()
		if err != nil {
			return err
		}
		return r.lineTo(q)
	case 'H', 'V':
		return r.level()
	default:
		return r.arc()
	}
}

// point reads a coordinate pair, relative ones added to where the pen is.
func (r *pathReader) point() (geom.Point, error) {
	x, err := r.number()
	if err != nil {
		return geom.Point{}, err
	}
	r.skipComma()
	y, err := r.number()
	q := geom.Pt(x, y)
	if r.relative {
		q = q.Add(r.at)
	}
	return q, err
}

// level draws a horizontal or vertical line.
func (r *pathReader) level() error {
	v, err := r.number()
	if err != nil {
		return err
	}
	q := r.at
	along := &q.X
	if r.command == 'V' {
		along = &q.Y
	}
	if r.relative {
		v += *along
	}
	*along = v
	return r.lineTo(q)
}

// curve draws a cubic or quadratic Bézier, smooth or not.
func (r *pathReader) curve() error {
	kind, wanted := byte('C'), 3
	if r.command == 'Q' || r.command == 'T' {
		kind, wanted = 'Q', 2
	}
	var q []geom.Point
	if r.command == 'S' || r.command == 'T' { // the handle before, reflected
		first := r.at
		if r.handleOf == kind {
			first = r.at.Mul(2).Sub(r.handle)
		}
		q = append(q, first)
	}
	for first := true; len(q) < wanted; first = false {
		if !first {
			r.skipComma()
		}
		p, err := r.point()
		if err != nil {
			return err
		}
		q = append(q, p)
	}
	r.handle, r.handleOf = q[wanted-2], kind
	if kind == 'Q' {
		return r.add(geom.Quadratic(r.at, q[0], q[1]))
	}
	return r.add(geom.Cubic{P0: r.at, P1: q[0], P2: q[1], P3: q[2]})
}

// arc draws an elliptical arc.
func (r *pathReader) arc() error {
	var v [3]float64
	for i := range v {
		x, err := r.number()
		if err != nil {
			return err
		}
		v[i] = x
		r.skipComma()
	}
	large, err := r.flag()
	if err != nil {
		return err
	}
	r.skipComma()
	sweep, err := r.flag()
	if err != nil {
		return err
	}
	r.skipComma()
	q, err := r.point()
	if err != nil {
		return err
	}
	return r.arcTo(v[0], v[1], v[2], large, sweep, q)
}
