package trace

import (
	"fmt"
	"math"
	"strings"

	"toile/geom"
)

// placed is an entity as it lies on the sheet: in mm, y down.
type placed struct {
	*dxfEntity
	path     geom.Path
	vertices []geom.Point
	at       geom.Point
	block    string // the innermost named block it is in, "" for none
	layer    string // its own, or that of the block's place where it has none
	from     matrix // from its block to the sheet
	showing  int    // which showing of a named block it is in, 0 for none
}

// walk goes through a block and the blocks in it. line calls for every line and
// text, point for every point.
type walk struct {
	*dxfTracing
	line   func(placed)
	point  func(layer string, at geom.Point)
	within []string // the blocks being shown, to notice one within itself

	shown, showing int // showings of named blocks so far, and the one gone through
}

func (w *walk) block(b *dxfBlock, m matrix, named, layer string) error {
	for i := range b.entities {
		e := &b.entities[i]
		if e.insert != nil {
			if err := w.insert(e, m, named, effective(e.layer, layer)); err != nil {
				return err
			}
			continue
		}
		if err := w.spend(e.line, len(e.path)); err != nil {
			return err
		}
		p := placed{dxfEntity: e, at: m.apply(e.at), block: named, layer: effective(e.layer, layer), from: m, showing: w.showing}
		for _, c := range e.path {
			p.path = append(p.path, m.applyCubic(c))
		}
		for _, v := range e.vertices {
			p.vertices = append(p.vertices, m.apply(v))
		}
		w.line(p)
	}
	if err := w.spend(b.line, len(b.points)); err != nil {
		return err
	}
	for _, p := range b.points {
		w.point(effective(p.layer, layer), m.apply(p.at))
	}
	return nil
}

// effective is the layer that counts: what lies in a block on layer 0 is on the
// layer the block is put on.
func effective(own, of string) string {
	if own == "0" && of != "" {
		return of
	}
	return own
}

// spend counts what is shown, copies too.
func (w *walk) spend(line, curves int) error {
	err := w.budget.element()
	if err == nil {
		err = w.budget.curves(curves)
	}
	if err != nil {
		return &dxfProblem{line, err}
	}
	return nil
}

func (w *walk) insert(e *dxfEntity, m matrix, named, layer string) error {
	in := e.insert
	b := w.blocks[dxfKey(in.block)]
	if b == nil {
		w.note(e.line, "block %s is not in the file; left out", quote(in.block))
		return nil
	}
	key := dxfKey(b.name)
	for _, k := range w.within {
		if k == key {
			return problem(e.line, "block %s is shown within itself; the file is broken; export it again", quote(b.name))
		}
	}
	if len(w.within) >= maxInserts {
		return &dxfProblem{e.line, tooLarge("blocks within blocks more than %d deep", maxInserts)}
	}
	w.within = append(w.within, key)
	defer func() { w.within = w.within[:len(w.within)-1] }()
	own := !strings.HasPrefix(b.name, "*")
	if own {
		named = b.name
		defer func(before int) { w.showing = before }(w.showing)
	}
	for row := range in.rows {
		for column := range in.columns {
			if err := w.spend(e.line, 0); err != nil {
				return err
			}
			if own {
				w.shown++
				w.showing = w.shown
			}
			at := in.matrix(geom.Pt(float64(column)*in.apartX, float64(row)*in.apartY)).times(translation(-b.base.X, -b.base.Y))
			if err := w.block(b, m.times(at), named, layer); err != nil {
				return err
			}
		}
	}
	return nil
}

// matrix is the map of a block's place, for the copy that far off in rows and
// columns.
func (in *dxfInsert) matrix(off geom.Point) matrix {
	x := geom.Pt(1, 0).Turn(in.turn)
	m := matrix{x.X, x.Y, -x.Y, x.X, in.at.X, in.at.Y}.times(translation(off.X, off.Y)).times(scaling(in.scaleX, in.scaleY))
	if in.mirrored {
		m = scaling(-1, 1).times(m)
	}
	return m
}

func (x *dxfTracing) note(line int, format string, args ...any) {
	if len(x.ignored) <= maxIgnored {
		x.ignored = append(x.ignored, where(x.file, line, "")+": "+fmt.Sprintf(format, args...))
	}
}

// finished gives the drawing with what was left out.
func (x *dxfTracing) finished(outlines []Outline, ignored []string) *Drawing {
	for _, words := range x.leftWords() {
		ignored = append(ignored, x.file+": "+words)
	}
	if more := len(ignored) - maxIgnored; more > 0 {
		ignored = append(ignored[:maxIgnored:maxIgnored], fmt.Sprintf("%s: and %d more", x.file, more))
	}
	return &Drawing{File: x.file, Outlines: outlines, Ignored: ignored}
}

// joinedLines makes one line of lines that meet end to end, of one group each (a
// layer of a block): where exactly two ends lie together. A closed one stays as
// it is.
func joinedLines(lines []placed) []placed {
	x := lineEnds{lines: lines, at: map[endCell][]int{}}
	for i, p := range lines {
		if !p.isClosed() {
			x.add(2 * i)
			x.add(2*i + 1)
		}
	}
	return chained(lines, x.partner)
}

// lineEnds finds ends by their place: 2·line for its start, 2·line+1 for its end.
type lineEnds struct {
	lines []placed
	at    map[endCell][]int
}

type endCell struct {
	group  string
	cx, cy int64
}

func (x lineEnds) place(k int) geom.Point {
	if p := x.lines[k/2].path; k%2 == 1 {
		return p.End()
	}
	return x.lines[k/2].path.Start()
}

func (x lineEnds) cell(k int) endCell {
	const size = 2 * closeGap
	p, q := x.lines[k/2], x.place(k)
	return endCell{p.group(), int64(math.Floor(q.X / size)), int64(math.Floor(q.Y / size))}
}

func (x lineEnds) add(k int) { x.at[x.cell(k)] = append(x.at[x.cell(k)], k) }

// partner gives the one other end that lies at the same place.
func (x lineEnds) partner(k int) (other int, ok bool) {
	const knot = 64 // as many ends are no joint
	c, q, n := x.cell(k), x.place(k), 0
	for dx := int64(-1); dx <= 1; dx++ {
		for dy := int64(-1); dy <= 1; dy++ {
			ends := x.at[endCell{c.group, c.cx + dx, c.cy + dy}]
			if len(ends) > knot {
				return 0, false
			}
			for _, o := range ends {
				if o != k && x.place(o).Dist(q) <= closeGap {
					other, n = o, n+1
				}
			}
		}
	}
	return other, n == 1
}

// chained follows the joints from every line to both sides.
func chained(lines []placed, partner func(int) (int, bool)) []placed {
	var out []placed
	used := make([]bool, len(lines))
	for i := range lines {
		if used[i] {
			continue
		}
		used[i] = true
		p := lines[i]
		if p.isClosed() {
			out = append(out, p)
			continue
		}
		for side := range 2 { // first on from the end, then, turned round, from the start
			for k := 2*i + 1 - side; ; {
				o, ok := partner(k)
				if !ok || used[o/2] {
					break
				}
				if back, ok := partner(o); !ok || back != k {
					break
				}
				used[o/2] = true
				next := lines[o/2].path
				if o%2 == 1 {
					next = next.Reverse()
				}
				p.path, p.vertices = append(p.path[:len(p.path):len(p.path)], next...), nil
				k = o ^ 1
			}
			p.path = p.path.Reverse()
		}
		out = append(out, p)
	}
	return out
}

// isClosed reports whether a line ends where it starts.
func (p placed) isClosed() bool {
	return p.closed || p.path.Start().Dist(p.path.End()) <= closeGap
}
