package trace

import (
	"math"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// tellNew takes for a piece that is not there yet what the drawing says of it
// and its edges.
func (t *tracing) tellNew() {
	if t.o.Told != nil {
		t.o.Corners, t.o.EdgeNames = map[int]bool{}, map[int]string{}
		for i, e := range t.o.Told {
			t.o.Corners[i], t.o.EdgeNames[i] = true, e.Name
		}
	}
	if t.r.Cloth == "" {
		t.r.Cloth = t.o.Cloth
	}
	if asked := t.r.Allowance != nil || len(t.r.Edges) > 0 || t.cutting(); t.o.Set != "" && t.o.Set != t.r.Set && !asked {
		if t.p.HasSet(t.o.Set) {
			t.r.Set = t.o.Set
		} else {
			t.says("the allowances drawn are those of the set %q, which the pattern has not; they are taken for the set %q", t.o.Set, t.r.Set)
		}
	}
	cut := pattern.Cut(t.o.Cut)
	if t.r.Cut == "" && (cut == pattern.CutOne || cut == pattern.CutPair) {
		t.r.Cut = cut
	}
}

// onFold makes the edge that lies on a drawn fold line the fold of a new piece,
// unless it is said otherwise.
func (t *tracing) onFold(runs []run) {
	const onLine = 0.1 // mm
	if t.r.Fold != "" || len(t.o.Fold) == 0 {
		return
	}
	for i := range runs {
		if off, _ := farthestFrom(runs[i].path, t.o.Fold); off <= onLine && straight(runs[i].path) {
			runs[i].fold, runs[i].allowance = true, nil
			return
		}
	}
}

// measured takes the allowance of each edge of a new piece from the cutting line
// that is drawn beside it, where that lies equally far all along.
func (t *tracing) measured(runs []run) {
	if len(t.o.Boundary) == 0 || t.cutting() {
		return
	}
	if math.Abs(t.o.Boundary.Area()) < t.o.Ring.Area() {
		t.says("the cutting line lies inside of the sewing line, and says no allowance; look whether both were mixed up, in a DXF the layers 1 and 14")
		return
	}
	for i := range runs {
		u := &runs[i]
		if u.fold || u.allowance != nil {
			continue
		}
		by, ok := t.widthBeside(u.path)
		if !ok {
			t.says("the allowance of edge %q differs along it; set it with `toile edge %q %d NAME --allowance LENGTH`", u.name, t.name, i+1)
			continue
		}
		u.allowance = &by
	}
}

// widthBeside is how far the cutting line lies from an edge, straight across, in
// mm; ok is false where that differs by more than 0.2 mm between a quarter, the
// middle and three quarters of it.
func (t *tracing) widthBeside(p geom.Path) (by float64, ok bool) {
	const widest, equal = 100.0, 0.2
	length := p.Length()
	least, most := widest, 0.0
	for _, at := range [3]float64{0.25, 0.5, 0.75} {
		from := p.PointAt(at * length)
		across := geom.Path{geom.Line(from, from.Add(p.TangentAt(at*length).Left().Mul(widest)))}
		near := widest
		for _, m := range geom.MeetPaths(geom.Path(t.o.Boundary), across) {
			near = min(near, m.At.Dist(from))
		}
		if _, off := geom.Path(t.o.Boundary).Nearest(from); off < equal/2 {
			near = 0
		}
		least, most = min(least, near), max(most, near)
	}
	by = (least + most) / 2
	if tenth := units.Round(by, 1); abs(tenth-by) <= equal/2 {
		by = tenth
	}
	return by, most-least <= equal && most < widest
}

// isGrainLine reports whether a line is the grain line, by its label or its
// name.
func isGrainLine(l Line) bool {
	if l.Label.Kind != "" {
		return l.Label.Kind == pattern.LabelGrain
	}
	return isGrain(l.Name)
}

// lineMark makes a mark of a line; ok is false for one that is none, as a
// reference line. word is what one without a name is called.
func (t *tracing) lineMark(l Line) (m pattern.Mark, word string, ok bool) {
	m = pattern.Mark{Kind: pattern.MarkPlacement, Path: roundedPath(l.Path)}
	if isFold(l.Name) {
		m.Kind = pattern.MarkFoldLine
	}
	switch l.Label.Kind {
	case "":
	case pattern.LabelReference:
		t.referenceLine(l, m.Path)
		return m, "", false
	case string(pattern.MarkDart), string(pattern.MarkPleat):
		return t.mouthMark(l)
	case string(pattern.MarkButtonhole), string(pattern.MarkSlit), string(pattern.MarkPlacement), string(pattern.MarkFoldLine):
		m.Kind = pattern.MarkKind(l.Label.Kind)
	}
	if word = drawable[m.Kind]; word == "" {
		word = string(m.Kind)
	}
	return m, word, true
}

// mouthMark finds on which edge a dart's or pleat's mouth lies. One drawn over
// two edges, or of another shape than toile draws it, is said and left out.
func (t *tracing) mouthMark(l Line) (m pattern.Mark, word string, ok bool) {
	m.Kind = pattern.MarkKind(l.Label.Kind)
	first, last := 0, len(l.Path)-1 // the nodes at which the mouth starts and ends
	if m.Kind == pattern.MarkPleat {
		first, last = 1, len(l.Path)-2
	}
	if len(l.Path) != map[pattern.MarkKind]int{pattern.MarkDart: 2, pattern.MarkPleat: 3}[m.Kind] {
		t.says("%s %q is drawn in %d lines; it is left out", m.Kind, l.Name, len(l.Path))
		return m, "", false
	}
	a, b := t.seatAt(l.Path[first].P0), t.seatAt(l.Path[last].P3)
	if b.edge == a.edge && b.from < a.from {
		a, b = b, a
	}
	if a.edge != b.edge || a.dist > notchSlack || b.dist > notchSlack {
		t.says("%s %q has no mouth on one edge; it is left out", m.Kind, l.Name)
		return m, "", false
	}
	length := t.piece.EdgePath(a.edge).Length()
	m.Edge, m.From, m.To = t.piece.Edges[a.edge].Name, t.anchor(false, a, length), t.anchor(false, b, length)
	if m.Kind == pattern.MarkDart {
		m.At = rounded3(l.Path[0].P3)
	}
	for _, end := range []string{"start", "end"} {
		if l.Label.Says("towards " + end) {
			m.Direction = end
		}
	}
	if m.Kind == pattern.MarkPleat && m.Direction == "" {
		m.Direction = "start"
	}
	return m, string(m.Kind), true
}

// referenceLine adds or moves a line to measure from; one that lies where it
// was stays as it is stored.
func (t *tracing) referenceLine(l Line, path geom.Path) {
	name, err := pattern.CleanName(l.Name)
	if err != nil || len(path) == 0 {
		t.says("a reference line has no name; it is left out")
		return
	}
	for i := range t.piece.Lines {
		if s := &t.piece.Lines[i]; s.Name == name {
			if !samePaths(s.Path, path) {
				s.Path = path
			}
			return
		}
	}
	t.piece.Lines = append(t.piece.Lines, pattern.ReferenceLine{Name: name, Path: path})
}

// dotMark makes a mark of a point.
func dotMark(d Dot) (m pattern.Mark, word string) {
	m, word = pattern.Mark{Kind: pattern.MarkDot, At: rounded3(d.At)}, drawable[pattern.MarkDot]
	if d.Label.Kind == string(pattern.MarkButton) {
		m.Kind, word = pattern.MarkButton, string(pattern.MarkButton)
	}
	if size, ok := d.Label.Amount("size"); ok {
		m.Size = size
	}
	return m, word
}
