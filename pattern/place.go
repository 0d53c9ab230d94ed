package pattern

import (
	"fmt"
	"math"
	"strings"

	"toile/geom"
	"toile/pattern/units"
)

// Ruler says how a typed place was measured.
type Ruler struct {
	Unit units.Unit // of bare numbers

	// Sewn is set when lengths were measured on the sewn mock-up: what darts
	// and pleats take in is not counted, and where an edge was eased in it
	// counts as long as the edge it is sewn to.
	Sewn *Pattern
}

// FindPlace finds a place of the piece by text, as people measure them:
//
//	EDGE/EDGE, or a corner's name   the corner; where it is rounded, the middle of the arc
//	the name of a notch or a mark   a line's, slit's or buttonhole's start, a dart's point
//	EDGE@L                          L along the edge from its start, to the sharp corners
//	EDGE@L@end, EDGE@L@NOTCH        from its end, or from a notch on it towards its end
//	EDGE@L@NEXT, EDGE@L@NOTCH@NEXT  from its end at the edge NEXT, or from a notch towards it
//	X,Y                             a place on the sheet
//	L from LINE, L from LINE        so far square to two lines: edges, reference lines,
//	                                fold lines, placement lines, "fold", "grain"
//	PLACE, L in                     from a place on an edge, square to it; "out", and
//	                                "down" and "up" along the grain from any place
//
// From an edge L counts inward; from a line inside the piece towards the
// middle of the piece, or where it runs through that, to its right on the
// sheet, below a level one; a negative L to the other side. Lengths are as
// typed, bare numbers in the ruler's unit. A name that a corner, a notch and a
// mark share needs corner:, notch: or mark: before it.
func (p *Piece) FindPlace(text string, r Ruler) (Spot, error) {
	s, found, err := p.namedSpot(text)
	if found || err != nil {
		return s, err
	}
	parts := strings.Split(text, ",")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	rest := parts[1:]
	switch {
	case len(parts) > 1 && isFrom(parts[0]) && isFrom(parts[1]):
		s, err = p.fromTwoLines(parts[0], parts[1], r)
		rest = parts[2:]
	case len(parts) > 1 && !isStep(parts[1]) && !strings.Contains(parts[0], "@"):
		s, err = sheetSpot(parts[0], parts[1], r.Unit)
		rest = parts[2:]
	case len(parts) > 1:
		s, err = p.FindPlace(parts[0], r)
	default:
		return p.edgeSpot(text, r)
	}
	for _, step := range rest {
		if err == nil {
			s, err = p.stepFrom(s, step, r)
		}
	}
	return s, err
}

// edgeSpot reads EDGE@PLACE.
func (p *Piece) edgeSpot(text string, r Ruler) (Spot, error) {
	var unknown error
	for k := range len(text) {
		if text[k] != '@' {
			continue
		}
		i, err := p.EdgeIndex(strings.TrimSpace(text[:k]))
		if err != nil { // a name may hold an @
			if unknown == nil {
				unknown = err
			}
			continue
		}
		at, err := p.AlongEdge(i, text[k+1:], false, r)
		if err != nil {
			return Spot{}, err
		}
		path := p.EdgePath(i)
		return Spot{Name: p.Edges[i].Name + "@" + r.Unit.Format(at), At: path.PointAt(at), along: path.TangentAt(at)}, nil
	}
	if unknown != nil {
		return Spot{}, unknown
	}
	return Spot{}, fmt.Errorf("%s has no place %q; write a corner as EDGE/EDGE, the name of a notch or a mark, EDGE@LENGTH, X,Y, or \"8cm from LINE, 12cm from LINE\"; its edges are %s",
		p.Name, text, quoteList(p.EdgeNames()))
}

// AlongEdge reads a place on edge i and returns it in mm from the edge's
// start, to the sharp corners: L@start, L@end, L@NEXT (from its end at that
// edge), L@NOTCH (from that notch towards the edge's end), L@NOTCH@NEXT (from
// it towards that edge), the name of a notch on it, "L from LINE" (where the
// line at that distance meets it), or a bare L from its start, or its end with
// fromEnd; each may be written behind the edge's own name, EDGE@L. A place off the edge
// is an error that says how long the edge is.
func (p *Piece) AlongEdge(i int, text string, fromEnd bool, r Ruler) (float64, error) {
	text = p.WithoutEdge(i, text)
	path := p.EdgePath(i)
	length := path.Length()
	if k := p.notchOn(i, text); k >= 0 {
		return p.notchAlong(k)
	}
	if isFrom(text) {
		return p.whereLineMeets(i, text, r)
	}
	amount, from, back, err := p.anchored(i, text, fromEnd)
	if err != nil {
		return 0, err
	}
	l, err := units.ParseLength(amount, r.Unit)
	if err != nil {
		return 0, err
	}
	typed := l
	if back {
		l = -l
	}
	to := from + l
	if r.Sewn != nil {
		if to, err = r.Sewn.paperAlong(p, i, from, l); err != nil {
			return 0, err
		}
	}
	if math.IsNaN(to) || to < -alongEdge || to > length+alongEdge {
		return 0, fmt.Errorf("%s, %q: %s lies off the edge, which is %s; give a length within it",
			p.Name, p.Edges[i].Name, r.Unit.Format(typed), r.longWords(p, i))
	}
	return math.Min(math.Max(to, 0), length), nil
}

// longWords says how long edge i is, on the mock-up where that was measured.
func (r Ruler) longWords(p *Piece, i int) string {
	words := r.Unit.Format(p.EdgePath(i).Length()) + " long"
	if r.Sewn == nil {
		return words
	}
	if sewn, err := r.Sewn.sewnLength(p, i); err == nil {
		words = r.Unit.Format(sewn) + " long on the mock-up"
	}
	return words
}

// anchored divides L@ANCHOR: the amount, from where along edge i in mm it counts,
// and whether towards the edge's start.
func (p *Piece) anchored(i int, text string, end bool) (amount string, from float64, back bool, err error) {
	length, n := p.EdgePath(i).Length(), len(p.Edges)
	amount, anchor, ok := strings.Cut(text, "@")
	if anchor = strings.TrimSpace(anchor); !ok {
		anchor = map[bool]string{false: "start", true: "end"}[end]
	}
	if atEnd, ok := p.EndNamed(i, anchor); ok && p.notchOn(i, anchor) < 0 {
		if atEnd {
			from = length
		}
		return amount, from, atEnd, nil
	}
	k := p.notchOn(i, anchor)
	if cut := strings.LastIndex(anchor, "@"); k < 0 && cut >= 0 {
		if atEnd, ok := p.EndNamed(i, strings.TrimSpace(anchor[cut+1:])); ok {
			k, back = p.notchOn(i, strings.TrimSpace(anchor[:cut])), !atEnd
		}
	}
	if k >= 0 {
		from, err = p.notchAlong(k)
		return amount, from, back, err
	}
	return "", 0, false, fmt.Errorf("%s, %q: there is no notch %q on it to measure from; write L@start, L@end or L@NOTCH; it starts at %q and ends at %q",
		p.Name, p.Edges[i].Name, anchor, p.Edges[(i+n-1)%n].Name, p.Edges[(i+1)%n].Name)
}

// EndNamed reads an end of edge i: start or end, in the order of the outline, the
// edge that lies there, or the corner with it; atEnd is true for its end. It is
// not ok where the text names no end of it, or both: a piece of two edges has
// the other one at either end.
func (p *Piece) EndNamed(i int, text string) (atEnd, ok bool) {
	n := len(p.Edges)
	before, after := (i+n-1)%n, (i+1)%n
	switch {
	case text == "start" || text == "end":
		return text == "end", true
	case before == after:
		return false, false
	case text == p.Edges[before].Name:
		return false, true
	case text == p.Edges[after].Name:
		return true, true
	}
	switch {
	case !strings.Contains(text, "/"):
		return false, false
	case p.CornerIndex(text) == i:
		return false, true
	}
	return true, p.CornerIndex(text) == after
}

// EndName is how an end of edge i is named so that it is the same end on a mirror
// image, where edges run the other way: by the edge that lies there, or where
// that is the name of something else too, by the corner. It is start or end
// where no name tells, as on a piece of two edges.
func (p *Piece) EndName(i int, atEnd bool) string {
	n := len(p.Edges)
	next, plain := p.Edges[(i+n-1)%n].Name, "start"
	if atEnd {
		next, plain = p.Edges[(i+1)%n].Name, "end"
	}
	if strings.ContainsAny(next, "@;") || isFrom(next) {
		return plain
	}
	for _, name := range []string{next, p.Edges[i].Name + "/" + next} {
		if at, ok := p.EndNamed(i, name); ok && at == atEnd && p.NotchByName(name) < 0 {
			return name
		}
	}
	return plain
}

// notchOn finds a notch of that name on edge i, −1 when there is none.
func (p *Piece) notchOn(i int, name string) int {
	k := p.NotchByName(name)
	if k < 0 || p.Notches[k].Edge != p.Edges[i].Name {
		return -1
	}
	return k
}

func (p *Piece) notchAlong(k int) (float64, error) {
	_, _, at, err := p.NotchPlace(p.Notches[k])
	return at, err
}

const fromWord = " from "

func isFrom(text string) bool { return strings.Contains(text, fromWord) }

// stepWords are the directions of a step from a place.
var stepWords = []string{"in", "out", "down", "up"}

func isStep(text string) bool {
	_, _, ok := cutStep(text)
	return ok
}

func cutStep(text string) (amount, word string, ok bool) {
	for _, w := range stepWords {
		if rest, found := strings.CutSuffix(text, " "+w); found {
			return rest, w, true
		}
	}
	return "", "", false
}

// stepFrom goes from a place square to its edge or along the grain.
func (p *Piece) stepFrom(s Spot, step string, r Ruler) (Spot, error) {
	amount, word, ok := cutStep(step)
	if !ok {
		return s, fmt.Errorf("%s: %q is no step from a place; write \"8cm in\", out, down or up", p.Name, step)
	}
	l, err := units.ParseLength(amount, r.Unit)
	if err != nil {
		return s, err
	}
	dir := p.GrainDirection()
	switch word {
	case "up":
		dir = dir.Mul(-1)
	case "in", "out":
		if s.along == (geom.Point{}) {
			return s, fmt.Errorf("%s: %s lies on no edge, so that %q has no direction; measure from EDGE@LENGTH or a notch, or write down or up", p.Name, s.Name, step)
		}
		if dir = s.along.Right(); word == "out" {
			dir = s.along.Left()
		}
	}
	return Spot{Name: s.Name + ", " + step, At: s.At.Add(dir.Mul(l + p.takenIn(s.At, dir, l, r)))}, nil
}

// ruled is a line to measure from: its path, run on at both ends, and the side
// to which a positive distance counts: +1 to the right of its direction.
type ruled struct {
	path  geom.Path
	right float64
	mm    float64 // the distance that was typed
	name  string
}

// runsOn is how far in mm a straight line is run on at either end to measure
// from it: across any piece.
const runsOn = 3000

// readFrom reads "L from LINE".
func (p *Piece) readFrom(text string, r Ruler) (ruled, error) {
	amount, name, _ := strings.Cut(text, fromWord)
	l, err := units.ParseLength(strings.TrimSpace(amount), r.Unit)
	if err != nil {
		return ruled{}, err
	}
	line, inside, err := p.lineNamed(strings.TrimSpace(name))
	if err != nil {
		return ruled{}, err
	}
	out := ruled{path: onBothEnds(line), right: 1, mm: l, name: strings.TrimSpace(name)}
	if inside {
		out.right = p.sideOf(line)
	}
	return out, nil
}

// lineNamed finds an edge or a line inside the piece.
func (p *Piece) lineNamed(name string) (path geom.Path, inside bool, err error) {
	if i, err := p.EdgeIndex(name); err == nil {
		return p.EdgePath(i), false, nil
	}
	for _, l := range p.Lines {
		if l.Name == name {
			return l.Path, true, nil
		}
	}
	for _, m := range p.Marks {
		if m.Name == name && len(m.Path) > 0 {
			return m.Path, true, nil
		}
	}
	if name == "grain" && p.Grain != nil {
		return geom.Polyline(p.Grain.From, p.Grain.To), true, nil
	}
	for i, e := range p.Edges {
		if name == "fold" && e.Fold {
			return p.EdgePath(i), false, nil
		}
	}
	return nil, false, fmt.Errorf("%s has no edge or line %q to measure from; its edges are %s%s", p.Name, name, quoteList(p.EdgeNames()), p.linesSaid())
}

func (p *Piece) linesSaid() string {
	var names []string
	for _, l := range p.Lines {
		names = append(names, l.Name)
	}
	if len(names) == 0 {
		return "; it has no reference lines"
	}
	return ", its reference lines " + quoteList(names)
}

// onBothEnds runs a line on: straight ends across any piece, others along
// their carrier.
func onBothEnds(p geom.Path) geom.Path {
	const limit = 150
	before, after := geom.CarrierEnds(p, limit)
	if p[0].IsStraight(straightPath) {
		before = geom.Path{geom.Line(p.Start().Sub(p.StartTangent().Mul(runsOn)), p.Start())}
	}
	if p[len(p)-1].IsStraight(straightPath) {
		after = geom.Path{geom.Line(p.End(), p.End().Add(p.EndTangent().Mul(runsOn)))}
	}
	return append(append(append(geom.Path{}, before...), p...), after...)
}

// sideOf says on which side of a line inside it the middle of the piece lies:
// +1 to the right of its direction. A line through the middle counts to its
// right on the sheet, a level one below.
func (p *Piece) sideOf(line geom.Path) float64 {
	ring, _ := p.SharpRing()
	middle := centroid(geom.Path(ring).Flatten(0.1))
	place, distance := line.Nearest(middle)
	dir := line[place.Curve].Tangent(place.T)
	towards := middle.Sub(line.At(place))
	if distance < 1 {
		towards = geom.Pt(1, 1e-3)
		if math.Abs(dir.X) > math.Abs(dir.Y) {
			towards = geom.Pt(1e-3, 1)
		}
	}
	if dir.Right().Dot(towards) < 0 {
		return -1
	}
	return 1
}

// centroid is the middle of a polygon's area.
func centroid(points []geom.Point) geom.Point {
	var sum geom.Point
	area := 0.0
	for i, a := range points {
		b := points[(i+1)%len(points)]
		c := a.Cross(b)
		area += c
		sum = sum.Add(a.Add(b).Mul(c))
	}
	if area == 0 {
		return points[0]
	}
	return sum.Mul(1 / (3 * area))
}

// at is the line at a distance on the side that counts.
func (l ruled) at(mm float64) (geom.Path, error) {
	if mm == 0 {
		return l.path, nil
	}
	const within = 0.001
	return l.path.Offset(-l.right*mm, within)
}

// fromTwoLines finds the place at given distances from two lines.
func (p *Piece) fromTwoLines(first, second string, r Ruler) (Spot, error) {
	a, err := p.readFrom(first, r)
	if err != nil {
		return Spot{}, err
	}
	b, err := p.readFrom(second, r)
	if err != nil {
		return Spot{}, err
	}
	s := Spot{Name: first + ", " + second}
	lines, mm := [2]ruled{a, b}, [2]float64{a.mm, b.mm}
	const rounds = 20 // a dart's width at the place changes with it; it settles in a few
	for range rounds {
		if s.At, err = p.meetingOf(lines, mm); err != nil {
			return s, err
		}
		moved := false
		for k, l := range lines {
			place, _ := l.path.Nearest(s.At)
			foot := l.path.At(place)
			to := l.mm + p.takenIn(foot, s.At.Sub(foot).Unit(), s.At.Dist(foot), r)
			moved = moved || math.Abs(to-mm[k]) > 1e-6
			mm[k] = to
		}
		if !moved {
			return s, nil
		}
	}
	return s, nil
}

func (p *Piece) meetingOf(lines [2]ruled, mm [2]float64) (geom.Point, error) {
	a, err := lines[0].at(mm[0])
	if err != nil {
		return geom.Point{}, fmt.Errorf("%s: no line lies so far from %q: %w", p.Name, lines[0].name, err)
	}
	b, err := lines[1].at(mm[1])
	if err != nil {
		return geom.Point{}, fmt.Errorf("%s: no line lies so far from %q: %w", p.Name, lines[1].name, err)
	}
	ring, _ := p.SharpRing()
	var inside, all []geom.Point
	for _, m := range geom.MeetPaths(a, b) {
		all = append(all, m.At)
		if _, d := geom.Path(ring).Nearest(m.At); ring.Holds(m.At) || d < onOutline {
			inside = append(inside, m.At)
		}
	}
	if len(inside) == 0 {
		inside = all
	}
	switch len(inside) {
	case 0:
		return geom.Point{}, fmt.Errorf("%s: no place lies so far from both %q and %q; give lines that cross, or X,Y", p.Name, lines[0].name, lines[1].name)
	case 1:
		return inside[0], nil
	}
	return geom.Point{}, fmt.Errorf("%s: %d places lie so far from both %q and %q; give X,Y, or measure one from another line", p.Name, len(inside), lines[0].name, lines[1].name)
}

// whereLineMeets finds where edge i is met by the line at a distance from
// another one.
func (p *Piece) whereLineMeets(i int, text string, r Ruler) (float64, error) {
	l, err := p.readFrom(text, r)
	if err != nil {
		return 0, err
	}
	at, err := l.at(l.mm)
	if err != nil {
		return 0, fmt.Errorf("%s: no line lies so far from %q: %w", p.Name, l.name, err)
	}
	path := p.EdgePath(i)
	met := geom.MeetPaths(path, at)
	if len(met) != 1 {
		return 0, fmt.Errorf("%s: the line %s meets %q at %d places, and has to meet it at one; give a length along the edge", p.Name, text, p.Edges[i].Name, len(met))
	}
	return path.LengthTo(met[0].P), nil
}
