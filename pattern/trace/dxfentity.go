package trace

import (
	"maps"
	"math"
	"slices"
	"strings"

	"toile/geom"
)

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// take reads one entity.
func (d *dxfDrawing) take(s *dxfScanner, into *dxfBlock, kind string, f dxfFields) error {
	e := dxfEntity{kind: kind, layer: f.layer(d.codepage), line: f.line}
	shown := f.drawn() && !d.hidden[e.layer]
	var texts []dxfEntity
	var err error
	switch kind {
	case "POLYLINE": // always read on to its end
		err = d.polyline(s, &e, &f)
	case "POINT":
		if err := d.countPoints(f.line, 1); err != nil {
			return err
		}
		f.need(10, 20)
		at := f.point(10)
		if shown && f.err == nil {
			into.points = append(into.points, dxfPoint{e.layer, at})
		}
		return d.named(&f, kind)
	case "INSERT":
		d.insert(&e, &f)
		texts, err = d.attributes(s, &f)
	case "ATTDEF": // says what texts a block may have, and shows none
		return d.count(f.line)
	default:
		if read := dxfReaders[kind]; read != nil {
			read(d, &e, &f)
		} else if d.count(f.line) == nil && shown {
			if known := quote(kind); len(d.left) < 50 || d.left[known] > 0 {
				d.left[known]++
			}
			return nil
		}
	}
	if err == nil {
		err = d.named(&f, kind)
	}
	if err == nil {
		err = d.count(f.line)
	}
	if err != nil || !shown || (e.path == nil && e.text == "" && e.insert == nil) {
		return err
	}
	into.entities = append(append(into.entities, e), texts...)
	return nil
}

// named puts the entity's kind before its error.
func (d *dxfDrawing) named(f *dxfFields, kind string) error {
	if f.err == nil {
		return nil
	}
	line := f.line
	if p, ok := f.err.(*dxfProblem); ok {
		line = p.line
	}
	return problem(line, "%s: %w", kind, f.err)
}

// dxfReaders read the entities that are complete in themselves.
var dxfReaders map[string]func(d *dxfDrawing, e *dxfEntity, f *dxfFields)

func init() {
	dxfReaders = map[string]func(*dxfDrawing, *dxfEntity, *dxfFields){
		"LINE":       (*dxfDrawing).straight,
		"ARC":        (*dxfDrawing).arc,
		"CIRCLE":     (*dxfDrawing).circle,
		"ELLIPSE":    (*dxfDrawing).ellipse,
		"LWPOLYLINE": (*dxfDrawing).lwPolyline,
		"SPLINE":     (*dxfDrawing).spline,
		"TEXT":       (*dxfDrawing).writing,
		"MTEXT":      (*dxfDrawing).writing,
	}
}

func (d *dxfDrawing) straight(e *dxfEntity, f *dxfFields) {
	f.need(10, 20, 11, 21)
	a, b := f.point(10), f.point(11)
	e.path, e.vertices = geom.Path{geom.Line(a, b)}, []geom.Point{a, b}
}

// dxfArc is an arc in cubics, one for every started 30°: within 4e-7 of the
// radius, since the error of a quarter, 2.7253e-4, falls with the sixth power of
// the angle.
func dxfArc(centre geom.Point, radius, start, sweep float64) geom.Path {
	return geom.ArcIn(centre, radius, start, sweep, max(1, int(math.Ceil(abs(sweep)/(math.Pi/6)-1e-9))))
}

func (d *dxfDrawing) arc(e *dxfEntity, f *dxfFields) {
	f.need(10, 20, 40, 50, 51)
	from, to := geom.Degrees(f.number(50, 0)), geom.Degrees(f.number(51, 0))
	sweep := math.Mod(to-from, 2*math.Pi)
	if sweep <= 0 {
		sweep += 2 * math.Pi
	}
	d.round(e, f, from, sweep)
}

func (d *dxfDrawing) circle(e *dxfEntity, f *dxfFields) {
	f.need(10, 20, 40)
	d.round(e, f, 0, 2*math.Pi)
	e.closed = true
}

func (d *dxfDrawing) round(e *dxfEntity, f *dxfFields, from, sweep float64) {
	radius, mirrored := f.number(40, 0), f.mirrored()
	if f.err == nil && !(radius > 0) {
		f.keep(problem(f.line, "its radius is %g", radius))
	}
	if f.err != nil {
		return
	}
	e.path = dxfArc(f.point(10), radius, math.Mod(from, 2*math.Pi), sweep)
	if mirrored {
		e.path = flippedX(e.path)
	}
}

// flippedX mirrors what was drawn on the back of the plane.
func flippedX(p geom.Path) geom.Path {
	out := make(geom.Path, len(p))
	for i, c := range p {
		out[i] = scaling(-1, 1).applyCubic(c)
	}
	return out
}

// ellipse reads centre, the end of the longer axis and the ratio of the shorter
// to it, and draws it as the circle it is stretched from.
func (d *dxfDrawing) ellipse(e *dxfEntity, f *dxfFields) {
	f.need(10, 20, 11, 21, 40)
	axis, ratio := f.point(11), f.number(40, 1)
	from, to := f.number(41, 0), f.number(42, 2*math.Pi)
	turn := 1.0
	if f.mirrored() {
		turn = -1
	}
	if f.err == nil && (axis.Len() == 0 || !(ratio > 0) || ratio > 1+1e-6) {
		f.keep(problem(f.line, "its axes are %g and %g times that", axis.Len(), ratio))
	}
	if f.err != nil {
		return
	}
	sweep := math.Mod(to-from, 2*math.Pi)
	if sweep <= 1e-9 {
		sweep += 2 * math.Pi
	}
	e.closed = sweep > 2*math.Pi-1e-9
	centre := f.point(10)
	m := matrix{axis.X, axis.Y, -axis.Y * ratio * turn, axis.X * ratio * turn, centre.X, centre.Y}
	for _, c := range dxfArc(geom.Point{}, 1, math.Mod(from, 2*math.Pi), sweep) {
		e.path = append(e.path, m.applyCubic(c))
	}
}

// dxfVertex is a point of a polyline, with the bulge of what follows: a quarter
// of the arc's angle by its tangent, anticlockwise positive, 0 for a line.
type dxfVertex struct {
	at    geom.Point
	bulge float64
}

func (d *dxfDrawing) lwPolyline(e *dxfEntity, f *dxfFields) {
	mirrored := f.mirrored()
	e.closed = f.integer(70, 0)&1 != 0
	var vertices []dxfVertex
	for _, g := range f.groups {
		if g.code != 10 && g.code != 20 && g.code != 42 {
			continue
		}
		v, err := g.number()
		f.keep(err)
		switch n := len(vertices) - 1; {
		case g.code == 10:
			vertices = append(vertices, dxfVertex{at: geom.Pt(v, 0)})
		case n < 0:
		case g.code == 20:
			vertices[n].at.Y = v
		default:
			vertices[n].bulge = v
		}
	}
	f.keep(d.countPoints(f.line, len(vertices)))
	e.through(vertices, mirrored, f)
}

// polyline reads the vertices that follow a POLYLINE, up to its end.
func (d *dxfDrawing) polyline(s *dxfScanner, e *dxfEntity, f *dxfFields) error {
	const (
		closed, splineFit  = 1, 4
		space, mesh, faces = 8, 16, 64
		frame              = 16 // of a vertex: a control point, on no line
	)
	flags := f.integer(70, 0)
	var vertices []dxfVertex
	for {
		g, err := s.next()
		if err != nil {
			return err
		}
		if g.code != 0 || (g.value != "VERTEX" && g.value != "SEQEND") {
			return problem(g.line, "POLYLINE from line %d has no end (SEQEND)", f.line)
		}
		groups, err := s.entity()
		if err != nil {
			return err
		}
		if g.value == "SEQEND" {
			break
		}
		v, flagged, err := d.vertex(dxfFields{groups: groups, line: g.line})
		if err != nil {
			return err
		}
		if flagged&frame == 0 || flags&splineFit == 0 {
			vertices = append(vertices, v)
		}
	}
	if flags&(mesh|faces) != 0 {
		d.left["POLYLINE in space"]++
		return nil
	}
	e.closed = flags&closed != 0
	e.through(vertices, flags&space == 0 && f.mirrored(), f)
	return nil
}

// vertex reads a VERTEX with its flags.
func (d *dxfDrawing) vertex(f dxfFields) (v dxfVertex, flags int, err error) {
	f.need(10, 20)
	v, flags = dxfVertex{f.point(10), f.number(42, 0)}, f.integer(70, 0)
	if err = d.named(&f, "VERTEX"); err == nil {
		err = d.countPoints(f.line, 1)
	}
	return v, flags, err
}

// largestBulge is a full circle but for a millionth of it.
const largestBulge = 1e6

// through makes the polyline's path.
func (e *dxfEntity) through(vertices []dxfVertex, mirrored bool, f *dxfFields) {
	if f.err != nil {
		return
	}
	arcs := false
	n := len(vertices)
	for i, v := range vertices {
		next := vertices[(i+1)%n]
		if (i == n-1 && !e.closed) || v.at == next.at {
			continue
		}
		switch b := abs(v.bulge); {
		case b > largestBulge:
			f.keep(problem(f.line, "the bulge of vertex %d is %g", i+1, v.bulge))
			return
		case b < 1e-9:
			e.path = append(e.path, geom.Line(v.at, next.at))
		default:
			arcs = true
			e.path = append(e.path, bulged(v.at, next.at, v.bulge)...)
		}
	}
	if mirrored {
		e.path = flippedX(e.path)
	}
	if arcs || mirrored {
		return
	}
	for _, v := range vertices {
		e.vertices = append(e.vertices, v.at)
	}
}

// bulged is the arc from a to b whose quarter angle has that tangent.
func bulged(a, b geom.Point, bulge float64) geom.Path {
	chord := b.Sub(a)
	centre := a.Lerp(b, 0.5).Add(geom.Pt(-chord.Y, chord.X).Mul((1 - bulge*bulge) / (4 * bulge)))
	radius := chord.Len() * (1 + bulge*bulge) / (4 * abs(bulge))
	p := dxfArc(centre, radius, a.Sub(centre).Angle(), 4*math.Atan(bulge))
	p[0].P0, p[len(p)-1].P3 = a, b
	return p
}

// insert reads where a block is shown.
func (d *dxfDrawing) insert(e *dxfEntity, f *dxfFields) {
	f.need(2)
	in := &dxfInsert{block: dxfText(f.text(2), d.codepage), at: f.point(10), scaleX: f.number(41, 1), scaleY: f.number(42, 1),
		turn: math.Mod(geom.Degrees(f.number(50, 0)), 2*math.Pi), mirrored: f.mirrored(),
		columns: f.integer(70, 1), rows: f.integer(71, 1), apartX: f.number(44, 0), apartY: f.number(45, 0)}
	in.columns, in.rows = max(in.columns, 1), max(in.rows, 1)
	if f.err == nil && (in.scaleX == 0 || in.scaleY == 0) {
		f.keep(problem(f.line, "block %s is scaled by 0", quote(in.block)))
	}
	if f.err == nil && (in.columns > maxElements || in.rows > maxElements) {
		f.keep(&dxfProblem{f.line, tooLarge("block %s in %d columns and %d rows", quote(in.block), in.columns, in.rows)})
	}
	e.insert = in
}

// attributes are the texts that follow an INSERT and belong to that showing of the
// block, as its name; they lie where the block is put down.
func (d *dxfDrawing) attributes(s *dxfScanner, f *dxfFields) ([]dxfEntity, error) {
	const unseen = 1 // flag of an attribute that is not shown
	if f.integer(66, 0) == 0 {
		return nil, nil
	}
	var out []dxfEntity
	for {
		g, err := s.next()
		if err != nil {
			return nil, err
		}
		if g.code != 0 || (g.value != "ATTRIB" && g.value != "SEQEND") {
			s.back(g)
			return out, nil // programs forget the end where there are none
		}
		groups, err := s.entity()
		if err != nil || g.value == "SEQEND" {
			return out, err
		}
		fields := dxfFields{groups: groups, line: g.line}
		e := dxfEntity{kind: "TEXT", layer: fields.layer(d.codepage), line: g.line}
		if fields.integer(70, 0)&unseen != 0 || !fields.drawn() || d.hidden[e.layer] {
			continue
		}
		d.writing(&e, &fields)
		if err := d.named(&fields, "ATTRIB"); err != nil {
			return nil, err
		}
		if err := d.count(g.line); err != nil {
			return nil, err
		}
		if e.text != "" {
			out = append(out, e)
		}
	}
}

// writing reads a text; one that is not set from its left has its place in a
// second point.
func (d *dxfDrawing) writing(e *dxfEntity, f *dxfFields) {
	f.need(10, 20)
	e.at = f.point(10)
	if e.kind == "TEXT" && (f.integer(72, 0) != 0 || f.integer(73, 0) != 0) {
		if _, ok := f.find(11); ok {
			e.at = f.point(11)
		}
	}
	if e.kind == "TEXT" && f.mirrored() {
		e.at.X = -e.at.X
	}
	var text strings.Builder
	for _, code := range []int{3, 1} { // long texts come in parts, the last one under 1
		for _, g := range f.groups {
			if g.code == code {
				text.WriteString(g.value)
			}
		}
	}
	e.text = dxfText(text.String(), d.codepage)
	if e.kind == "MTEXT" {
		e.text = withoutFormat(e.text)
	}
	if r := []rune(e.text); len(r) > maxText {
		e.text = string(r[:maxText])
	}
}

// withoutFormat takes the formatting out of an MTEXT: \P is a new line, \Xvalue;
// a setting, and braces hold together.
func withoutFormat(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == '{' || s[i] == '}':
		case s[i] != '\\' || i+1 == len(s):
			b.WriteByte(s[i])
		case strings.ContainsRune(`\{}`, rune(s[i+1])):
			i++
			b.WriteByte(s[i])
		case s[i+1] == 'P' || s[i+1] == '~':
			i++
			b.WriteByte(' ')
		case strings.ContainsRune("ACFHQTWacfhqtwp", rune(s[i+1])) && strings.Contains(s[i:], ";"):
			i += strings.IndexByte(s[i:], ';')
		default:
			i++
		}
	}
	return strings.TrimSpace(b.String())
}
