package trace

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

// Layers of ASTM D6673 (from memory: no copy of the standard was at hand).
const (
	dxfBoundary = "1"
	dxfTurn     = "2"
	dxfCurve    = "3"
	dxfNotch    = "4"
	dxfMirror   = "6"
	dxfGrain    = "7"
	dxfInternal = "8"
	dxfStripe   = "9"
	dxfPlaid    = "10"
	dxfCutOut   = "11"
	dxfDrill    = "13"
	dxfSewing   = "14"
	dxfNotes    = "15"
)

// dxfNotches are the layers of notches, by their shapes.
var dxfNotches = map[string]bool{dxfNotch: true, "80": true, "81": true, "82": true, "83": true}

// dxfLines are the layers of lines in a piece, with what they become.
var dxfLines = map[string]string{dxfGrain: "grain", dxfInternal: "", dxfStripe: "stripe", dxfPlaid: "plaid", dxfCutOut: "cut-out"}

// dxfKeys are the texts that say something of the piece as a whole.
var dxfKeys = []string{"piece name", "size", "quantity", "material", "annotation", "category", "units", "style name",
	"creation date", "creation time", "author", "sample size", "grade rule table", "rule", "version"}

// allowanceWords begin the annotation of toile's own files that says whose allowances
// are drawn.
const allowanceWords = "allowances "

// readPieces makes an outline of each block with a piece's name.
func (x *dxfTracing) readPieces() (*Drawing, error) {
	shown := map[string]*dxfEntity{}
	copies := map[string][]*dxfEntity{}
	for i := range x.sheet.entities {
		e := &x.sheet.entities[i]
		switch {
		case e.insert == nil && e.text == "":
			x.note(e.line, "%s outside of all pieces; left out", e.kind)
		case e.insert != nil && shown[dxfKey(e.insert.block)] == nil:
			shown[dxfKey(e.insert.block)] = e
		case e.insert != nil:
			copies[dxfKey(e.insert.block)] = append(copies[dxfKey(e.insert.block)], e)
		}
	}
	names, holders := x.pieceNames(), x.holders()
	var outlines []Outline
	for _, b := range x.order {
		name, ok := names[b]
		if !ok {
			continue
		}
		m := x.toSheet
		own := x.shownAs(dxfKey(b.name), shown, holders)
		own.E, own.F = 0, 0
		m = m.times(own)
		if e := shown[dxfKey(b.name)]; e != nil {
			x.notePieceCopies(b, e, copies[dxfKey(b.name)])
		} else if within, held := holders[dxfKey(b.name)]; held {
			x.note(b.line, "block %s is shown only within block %s; it is taken once, as it is shown there first", quote(b.name), quote(within.block.name))
		}
		o, err := x.piece(b, name, m)
		if err != nil {
			return nil, x.fail(err)
		}
		outlines = append(outlines, o)
	}
	return x.finished(outlines, x.ignored), nil
}

// notePieceCopies tells that a piece is shown several times, or in rows and
// columns, and taken once, as it is shown first.
func (x *dxfTracing) notePieceCopies(b *dxfBlock, first *dxfEntity, more []*dxfEntity) {
	mirrored, other, n := 0, 0, first.insert.rows*first.insert.columns
	for _, e := range more {
		times := e.insert.rows * e.insert.columns
		turned, size := e.insert.matrix(geom.Point{}).asAgainst(first.insert.matrix(geom.Point{}))
		n += times
		if turned {
			mirrored += times
		}
		if math.Abs(size-1) > sameSize {
			other += times
		}
	}
	if n > 1 {
		x.note(b.line, "block %s is shown %d times and taken once, as it is shown first%s", quote(b.name), n, copiesWords(n-1, mirrored, other))
	}
}

// pieceNames names the blocks that are pieces; those of one name in several
// sizes get their size behind it.
func (x *dxfTracing) pieceNames() map[*dxfBlock]string {
	names, count := map[*dxfBlock]string{}, map[string]int{}
	for _, b := range x.order {
		if name, ok := b.says("piece name"); ok {
			names[b] = name
			count[name]++
		}
	}
	for b, name := range names {
		if size, ok := b.says("size"); ok && count[name] > 1 && size != "" {
			names[b] = name + " " + size
		}
	}
	return names
}

// dxfPiece is a block being made an outline: what lies in it, by layers.
type dxfPiece struct {
	*dxfTracing
	block  *dxfBlock
	lines  map[string][]placed
	points map[string][]geom.Point
	texts  []placed
	labels []dxfLabel
	kinds  pointIndex
	out    Outline
}

// dxfLabel is a text that says what lies at its place.
type dxfLabel struct {
	pattern.Label
	at   geom.Point
	line int
	used bool
}

func (x *dxfTracing) piece(b *dxfBlock, name string, m matrix) (Outline, error) {
	q := &dxfPiece{dxfTracing: x, block: b, lines: map[string][]placed{}, points: map[string][]geom.Point{}}
	what := "block " + quote(b.name)
	w := &walk{dxfTracing: x, line: q.line, point: func(layer string, at geom.Point) { q.points[layer] = append(q.points[layer], at) }}
	w.within = []string{dxfKey(b.name)}
	if err := w.block(b, m, "", ""); err != nil {
		return q.out, err
	}
	for layer, lines := range q.lines {
		for _, p := range lines {
			if err := x.far(p.line, what, p.path); err != nil {
				return q.out, err
			}
		}
		q.lines[layer] = joinedLines(lines)
	}
	if err := q.farPoints(what); err != nil {
		return q.out, err
	}
	q.kinds = indexed(q.points[dxfTurn], q.points[dxfCurve])
	q.out.Name, q.out.Where = name, where(x.file, b.line, what)
	q.out.Cloth, _ = b.says("material")
	if words, ok := b.says("annotation"); ok {
		q.out.Set, _ = strings.CutPrefix(words, allowanceWords)
		if q.out.Set == words {
			q.out.Set = "" // says something else
		}
	}
	if err := q.outline(what); err != nil {
		return q.out, err
	}
	if err := q.affordable(); err != nil {
		return q.out, err
	}
	q.told()
	q.notches()
	q.inside()
	q.quantity()
	return q.out, q.known()
}

// signCost is how many steps of sorting it takes to look for a sign at one curve
// of the outline or at one other sign, here and when the piece is made.
const signCost = 8

// affordable refuses a piece with more signs in more curves than can be sorted in
// some seconds: some thousand, or some hundred on an outline of a thousand curves.
func (q *dxfPiece) affordable() error {
	signs := len(q.labels) + len(q.texts)
	for layer, lines := range q.lines {
		if layer != dxfBoundary && layer != dxfSewing {
			signs += len(lines)
		}
	}
	for layer, points := range q.points {
		if layer == dxfDrill || dxfNotches[layer] {
			signs += len(points)
		}
	}
	if err := q.budget.sorting(signCost * signs * (len(q.out.Ring) + signs)); err != nil {
		return &dxfProblem{q.block.line, fmt.Errorf("block %s: %d notches, points, lines and texts in %d curves: %w", quote(q.block.name), signs, len(q.out.Ring), err)}
	}
	return nil
}

// known refuses a piece without a name.
func (q *dxfPiece) known() error {
	if strings.TrimSpace(q.out.Name) == "" {
		return problem(q.block.line, "block %s: its piece name is empty", quote(q.block.name))
	}
	return nil
}

func (q *dxfPiece) farPoints(what string) error {
	for _, layer := range sortedKeys(q.points) {
		for _, at := range q.points[layer] {
			if err := q.far(q.block.line, what, geom.Path{geom.Line(at, at)}); err != nil {
				return err
			}
		}
	}
	return nil
}

// line takes a line or text of the block.
func (q *dxfPiece) line(p placed) {
	text := p.dxfEntity.text
	if text == "" {
		if len(p.path) > 0 {
			q.lines[p.layer] = append(q.lines[p.layer], p)
		}
		return
	}
	if abs(p.at.X) > maxCoord || abs(p.at.Y) > maxCoord {
		return
	}
	if l, ok := pattern.ParseLabel(text); ok && p.layer != dxfInternal {
		switch l.Kind {
		case pattern.LabelCut:
			q.out.Cut = l.Name
		case pattern.LabelSide:
			q.out.Side = l.Name
		default:
			q.labels = append(q.labels, dxfLabel{Label: l, at: p.at, line: p.line})
		}
		return
	}
	key, _, keyed := strings.Cut(text, ":")
	if p.layer == dxfBoundary || keyed && slices.Contains(dxfKeys, strings.ToLower(strings.TrimSpace(key))) {
		return
	}
	q.texts = append(q.texts, p)
}

// outline finds the sewing line, or the boundary.
func (q *dxfPiece) outline(what string) error {
	layers := []string{dxfSewing, dxfBoundary}
	if q.o.Drawn == DrawnCutting {
		layers = []string{dxfBoundary}
	}
	for _, layer := range layers {
		ring, line := q.largest(layer)
		if ring == nil {
			continue
		}
		q.out.Ring = ring
		if n := len(q.lines[layer]) - 1; n > 0 {
			q.note(q.block.line, "%s: %d more lines on the layer %s of the outline; left out", what, n, layer)
		}
		switch {
		case layer == dxfSewing:
			q.out.Boundary, _ = q.largest(dxfBoundary)
		case q.o.Drawn == "":
			q.note(line, "%s: no sewing line (layer %s) is drawn, and the boundary is taken for it; add --drawn cutting if it is the line to cut along", what, dxfSewing)
		}
		return nil
	}
	return &Error{File: q.file, Line: q.block.line, What: what,
		Err: fmt.Errorf("%w: no closed line on the layers %s of the piece", ErrNoOutline, strings.Join(layers, " and "))}
}

// largest is the closed line on a layer that encloses most, clockwise as seen,
// and where it stands; nil where there is none.
func (q *dxfPiece) largest(layer string) (best geom.Ring, line int) {
	for _, p := range q.lines[layer] {
		r := subpath{curves: q.smooth(p), closed: p.closed}.ring()
		if r != nil && abs(r.Area()) > max(abs(best.Area()), leastArea) {
			best, line = r, p.line
		}
	}
	if best.Area() < 0 {
		best = best.Reverse()
	}
	return best, line
}

// smooth lays curves through the points of a polyline that lie on one, from turn
// point to turn point. A polyline of whose points none is said to lie on a curve
// stays as it is.
func (q *dxfPiece) smooth(p placed) geom.Path {
	v := withoutRepeats(p.vertices, p.isClosed())
	curved := make([]bool, len(v))
	first, any := -1, false
	for i, at := range v {
		curved[i] = q.kinds.curve(at)
		any = any || curved[i]
		if !curved[i] && first < 0 {
			first = i
		}
	}
	switch {
	case !any || len(v) < 3:
		return p.path
	case first < 0 && p.isClosed():
		return geom.ThroughClosed(v)
	}
	n := len(v)
	last := n - 1
	if p.isClosed() {
		first, last = max(first, 0), n
	} else {
		first = 0
	}
	run := []geom.Point{v[first]}
	var path geom.Path
	for i := 1; i <= last; i++ {
		k := (first + i) % n
		run = append(run, v[k])
		if !curved[k] || i == last {
			path = append(path, q.throughRun(run)...)
			run = []geom.Point{v[k]}
		}
	}
	if !p.isClosed() {
		return path
	}
	return path
}

// throughRun lays the curve through the points between two turn points: an arc
// where they lie on one, as an arc is drawn in cubics of 90° or, more exactly,
// of 30°; else the smooth curve.
func (x *dxfTracing) throughRun(run []geom.Point) geom.Path {
	n := len(run)
	if n < 4 {
		return geom.Through(run)
	}
	if arc := arcThrough(run); arc != nil {
		return arc
	}
	return x.fewer(geom.Through(run), run)
}

const (
	// fewerWithin is how far in mm fewer cubics may lie from the smooth curve
	// through all points: a third of what outlines are told apart by.
	fewerWithin = 0.003

	// mostFitted bounds the points of a run that is fitted, mostFittedInAll those of
	// a file, of which a garment in ten sizes has some ten thousand, and
	// mostInVain those through which few cubics do not go: points that scatter
	// take many times as long.
	mostFitted      = 250
	mostFittedInAll = 30_000
	mostInVain      = 500
)

// fewer lays as few cubics as will do in the place of one from each point to the
// next, as the curve was before it was divided into points.
func (x *dxfTracing) fewer(through geom.Path, run []geom.Point) geom.Path {
	if x.fitted += len(run); len(run) > mostFitted || x.fitted > mostFittedInAll || x.inVain > mostInVain {
		return through
	}
	var dense []geom.Point
	for _, c := range through {
		dense = append(dense, c.P0, c.At(0.5))
	}
	dense = append(dense, through.End())
	first, last := through.StartTangent(), through.EndTangent()
	fitted := geom.Fit(dense, &first, &last, fewerWithin)
	if len(fitted) > len(through)/3 {
		x.inVain += len(run)
	}
	if len(fitted) == 0 || len(fitted) >= len(through) {
		return through
	}
	if far, _ := farthestFrom(through, fitted); far > 2*fewerWithin {
		return through
	}
	fitted[0].P0, fitted[len(fitted)-1].P3 = through.Start(), through.End()
	return fitted
}

// arcThrough is the arc that all points lie on, nil where they do not.
func arcThrough(run []geom.Point) geom.Path {
	const onArc, leastSweep = 0.002, 0.2 // mm, radians
	n := len(run)
	// An arc's middle lies on the circle as its ends do, however it is drawn.
	centre, radius, ok := circumcircle(run[0], run[n/2], run[n-1])
	if !ok || radius > largestRadius {
		return nil
	}
	sweep := 0.0
	for i := range n - 1 {
		sweep += geom.AngleBetween(run[i].Sub(centre), run[i+1].Sub(centre))
	}
	for _, step := range [2]float64{math.Pi / 2, math.Pi / 6} {
		pieces := max(1, int(math.Ceil(abs(sweep)/step-1e-6)))
		arc := geom.ArcIn(centre, radius, run[0].Sub(centre).Angle(), sweep, pieces)
		arc[0].P0, arc[len(arc)-1].P3 = run[0], run[n-1]
		far := 0.0
		for _, q := range run {
			_, d := arc.Nearest(q)
			far = math.Max(far, d)
		}
		if far <= onArc && abs(sweep) > leastSweep {
			return arc
		}
	}
	return nil
}

// withoutRepeats drops points that are the one before again.
func withoutRepeats(v []geom.Point, closed bool) []geom.Point {
	v = slices.CompactFunc(slices.Clone(v), func(a, b geom.Point) bool { return a.Dist(b) <= pointSize })
	if n := len(v); closed && n > 1 && v[0].Dist(v[n-1]) <= pointSize {
		v = v[:n-1]
	}
	return v
}

// samePlace in mm: what is written for one place lies so near together in files
// of four decimals of an inch, or of two of a millimetre.
const samePlace = 0.02

// pointIndex says whether a vertex is a turn point or lies on a curve.
type pointIndex map[[2]int64][]indexedPoint

type indexedPoint struct {
	at   geom.Point
	turn bool
}

func indexCell(q geom.Point) [2]int64 {
	const size = 2 * samePlace
	return [2]int64{int64(math.Floor(q.X / size)), int64(math.Floor(q.Y / size))}
}

func indexed(turn, curve []geom.Point) pointIndex {
	x := pointIndex{}
	for _, q := range turn {
		x[indexCell(q)] = append(x[indexCell(q)], indexedPoint{q, true})
	}
	for _, q := range curve {
		x[indexCell(q)] = append(x[indexCell(q)], indexedPoint{q, false})
	}
	return x
}

// curve reports whether a curve point lies at the place, and nearer than any
// turn point.
func (x pointIndex) curve(q geom.Point) bool {
	best := indexedPoint{turn: true}
	least := samePlace
	c := indexCell(q)
	for dx := int64(-1); dx <= 1; dx++ {
		for dy := int64(-1); dy <= 1; dy++ {
			list := x[[2]int64{c[0] + dx, c[1] + dy}]
			for _, p := range list[:min(len(list), 64)] {
				if d := p.at.Dist(q); d < least || (d == least && p.turn) {
					best, least = p, d
				}
			}
		}
	}
	return !best.turn
}
