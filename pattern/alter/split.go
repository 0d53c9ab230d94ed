package alter

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

var _ = register(&Kind{Name: "split", Does: "cuts a piece in two along a line; the new edges are sewn together",
	Keys: []Key{
		{Name: "line", What: Line, Needed: true, Means: "a reference line, or PLACE:PLACE, each X,Y on the sheet, a corner, a notch or EDGE@LENGTH"},
		{Name: "into", What: Names, Needed: true, Means: "the names of the two parts; the first keeps the fold, else the grain, else the greater length"},
		{Name: "allowance", What: Length, Means: "at both new edges; without it what most edges have"},
	}, Alike: []string{"join"}, Typed: `back --line 12,0:15,90 --into "centre back,side back"`, make: (*making).split})

// line reads PLACE:PLACE, or the name of a reference line, end to end.
func (m *making) line(key string) (a, b geom.Point, err error) { return m.lineFrom(key, m.text(key)) }

// lineFrom reads a line from a text that a key holds.
func (m *making) lineFrom(key, text string) (a, b geom.Point, err error) {
	for _, l := range m.piece.Lines {
		if l.Name == text {
			return l.Path.Start(), l.Path.End(), nil
		}
	}
	first, second, ok := strings.Cut(text, ":")
	if !ok {
		return a, b, fmt.Errorf("%s: %q is no line; name a reference line, or write it as PLACE:PLACE, for instance 120,0:150,900 or \"waist@10cm:hemline@12cm\"", key, text)
	}
	if a, err = m.spot(strings.TrimSpace(first)); err != nil {
		return a, b, err
	}
	if b, err = m.spot(strings.TrimSpace(second)); err != nil {
		return a, b, err
	}
	if a.Dist(b) < 1 {
		return a, b, fmt.Errorf("%s, %s: the line is shorter than 1 mm; give two places apart", m.piece.Name, key)
	}
	return a, b, nil
}

// crossing is where a line crosses the outline.
type crossing struct {
	edge  int
	along float64 // mm from the edge's start
	at    geom.Point
}

// crossings finds the two places in which the line through a and b, run on a
// little at both ends, crosses the outline; in the order of the outline.
func (m *making) crossings(a, b geom.Point) (first, second crossing, err error) {
	const overrun = 0.05 // of its length: a line read off a sheet may end short of the edge
	u := b.Sub(a)
	line := geom.Path{geom.Line(a.Sub(u.Mul(overrun)), b.Add(u.Mul(overrun)))}
	var found []crossing
	for i := range m.piece.Edges {
		path := m.piece.EdgePath(i)
		for _, c := range geom.MeetPaths(path, line) {
			if !slices.ContainsFunc(found, func(o crossing) bool { return o.at.Dist(c.At) < 0.01 }) {
				found = append(found, crossing{i, path.LengthTo(c.P), c.At})
			}
		}
	}
	if len(found) != 2 {
		return first, second, fmt.Errorf("%s: the line from (%.1f, %.1f) to (%.1f, %.1f) crosses the outline %s, and has to cross it twice; %s",
			m.piece.Name, a.X, a.Y, b.X, b.Y, times(len(found)), m.crossingAdvice(found))
	}
	return found[0], found[1], nil
}

// crossingAdvice says what to do about a line that does not cross twice.
func (m *making) crossingAdvice(found []crossing) string {
	if len(found) < 2 {
		return "move it, or give both places on edges as EDGE@LENGTH"
	}
	var words []string
	for _, c := range found {
		words = append(words, fmt.Sprintf("%q at %s", m.piece.Edges[c.edge].Name, m.format(c.along)))
	}
	return fmt.Sprintf("it meets %s; end it between two of these, or lead it where it leaves the piece only once", strings.Join(words, ", "))
}

func times(n int) string {
	switch n {
	case 0:
		return "nowhere"
	case 1:
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// leastPart is the length in mm under which a divided edge's part is too short
// to sew.
const leastPart = 1

func (m *making) split() error {
	a, b, err := m.line("line")
	if err != nil {
		return err
	}
	names, err := m.twoNames()
	if err != nil {
		return err
	}
	allowance := m.usualAllowance()
	if m.has("allowance") {
		v, err := m.length("allowance")
		if err != nil {
			return err
		}
		for set := range allowance {
			allowance[set] = v
		}
	}
	first, second, err := m.crossings(a, b)
	if err != nil {
		return err
	}
	if m.piece.Edges[first.edge].Fold || m.piece.Edges[second.edge].Fold {
		return fmt.Errorf("%s: the line crosses the fold; unfold the piece first, or split it beside the fold", m.piece.Name)
	}
	i, j, err := m.cutEdges(first, second)
	if err != nil {
		return err
	}
	return m.cutPiece(i, j, names, allowance)
}

// cutEdges divides the outline at both places and returns the corners there,
// the first before the second. A place within leastPart of a corner is that
// corner.
func (m *making) cutEdges(first, second crossing) (i, j int, err error) {
	corners := make([]int, 2)
	for k, c := range []crossing{second, first} { // the later one first, so that the earlier keeps its index
		length := m.piece.EdgePath(c.edge).Length()
		n := len(m.piece.Edges)
		switch {
		case c.along < leastPart:
			corners[1-k] = c.edge
			continue
		case c.along > length-leastPart:
			corners[1-k] = (c.edge + 1) % n
			continue
		}
		for _, notch := range m.piece.Notches {
			if notch.Edge != m.piece.Edges[c.edge].Name {
				continue
			}
			if _, _, at, err := m.piece.NotchPlace(notch); err == nil && math.Abs(at-c.along) < 0.5 {
				return 0, 0, fmt.Errorf("%s, %q: the line runs through the notch %q; move the line or the notch by a few millimetres",
					m.piece.Name, m.piece.Edges[c.edge].Name, notch.Name)
			}
		}
		says, err := DivideEdge(m.pattern, m.piece, c.edge, c.along)
		if err != nil {
			return 0, 0, err
		}
		m.says = append(m.says, says...)
		m.divided = append(m.divided, [2]string{m.piece.Edges[c.edge+1].Name, m.piece.Edges[c.edge].Name})
		corners[1-k] = c.edge + 1
		if k == 1 && corners[1] > c.edge {
			corners[1]++
		}
	}
	if corners[0] == corners[1] {
		return 0, 0, fmt.Errorf("%s: the line cuts nothing off", m.piece.Name)
	}
	return min(corners[0], corners[1]), max(corners[0], corners[1]), nil
}

// twoNames reads the names of both parts.
func (m *making) twoNames() ([2]string, error) {
	first, second, ok := strings.Cut(m.text("into"), ",")
	if !ok {
		return [2]string{}, fmt.Errorf("into: %q names one part; give two names with a comma between", m.text("into"))
	}
	var names [2]string
	for k, text := range []string{first, second} {
		name, err := pattern.CleanName(text)
		if err != nil {
			return names, fmt.Errorf("into: %w", err)
		}
		if q, err := m.pattern.Piece(name); err == nil && q != m.piece {
			return names, fmt.Errorf("into: there is a piece %q already; choose another name", name)
		}
		names[k] = name
	}
	if names[0] == names[1] {
		return names, fmt.Errorf("into: both parts are called %q; give two names", names[0])
	}
	return names, nil
}

// usualAllowance is, for each set, the allowance that most of the piece's
// edges have, folds left out.
func (m *making) usualAllowance() map[string]float64 {
	usual := map[string]float64{}
	for _, set := range m.pattern.Sets {
		count := map[float64]int{}
		usual[set] = 0
		for _, e := range m.piece.Edges {
			if v := e.AllowanceFor(set); !e.Fold {
				count[v]++
				if count[v] > count[usual[set]] || (count[v] == count[usual[set]] && v > usual[set]) {
					usual[set] = v
				}
			}
		}
	}
	return usual
}

// cutPiece makes two pieces of the outline, cut between the corners i and j.
// The one that keeps the fold, else the grain, else the greater length stays
// in the pattern under its id; the other is new.
func (m *making) cutPiece(i, j int, names [2]string, allowance map[string]float64) error {
	q := m.piece
	parts := [2]*pattern.Piece{m.part(i, j), m.part(j, i)}
	stays := 0
	if m.keeps(parts[1]) > m.keeps(parts[0]) {
		stays = 1
	}
	main, other := parts[stays], parts[1-stays]
	seam := names[0] + " to " + names[1]
	for k, p := range []*pattern.Piece{main, other} {
		p.Name = names[k]
		e := &p.Edges[len(p.Edges)-1]
		e.Name = freeName(p, "seam to "+names[1-k])
		for set, v := range allowance {
			e.Allowance[set] = v
		}
	}
	other.ID, other.Was, other.Slug = "", q.ID, m.pattern.NewSlug(names[1])
	if q.Cut == pattern.CutOnFold && !slices.ContainsFunc(other.Edges, func(e pattern.Edge) bool { return e.Fold }) {
		other.Cut = pattern.CutPair
	}
	m.matchingNotch(main, other)
	m.handOn(q, main, other)
	for k := range m.pattern.Pieces {
		if m.pattern.Pieces[k] == q {
			m.pattern.Pieces[k] = main
		}
	}
	m.pattern.Put(other)
	m.nameHalves(main, other)
	m.pattern.GiveIDs(main)
	m.pattern.GiveIDs(other)
	m.pattern.Seams = append(m.pattern.Seams, pattern.Seam{Name: seam,
		First:  pattern.Chain{{Piece: main.Name, Edge: main.Edges[len(main.Edges)-1].Name}},
		Second: pattern.Chain{{Piece: other.Name, Edge: other.Edges[len(other.Edges)-1].Name}}})
	for _, p := range []*pattern.Piece{main, other} {
		if err := begin(p).finish(); err != nil {
			return err
		}
	}
	return nil
}

// nameHalves calls the second half of an edge that was cut by its old name
// where that is free: both parts of a hem are hems.
func (m *making) nameHalves(parts ...*pattern.Piece) {
	for _, d := range m.divided {
		for _, p := range parts {
			if i, err := p.EdgeIndex(d[0]); err == nil && !slices.Contains(p.EdgeNames(), d[1]) {
				m.pattern.RenameEdge(p, i, d[1])
			}
		}
	}
}

// part is the piece between the corners from and to, clockwise, closed by a
// straight edge.
func (m *making) part(from, to int) *pattern.Piece {
	q := m.piece
	p := q.Clone()
	p.Corners, p.Edges, p.Notches, p.Marks, p.Lines = nil, nil, nil, nil, nil
	n := len(q.Edges)
	for k := from; k != to; k = (k + 1) % n {
		p.Corners, p.Edges = append(p.Corners, q.Corners[k]), append(p.Edges, q.Clone().Edges[k])
	}
	p.Corners = append(p.Corners, q.Corners[to])
	for _, k := range []int{0, len(p.Corners) - 1} {
		p.Corners[k].Round, p.Corners[k].Name, p.Corners[k].Style = 0, "", ""
	}
	p.Edges = append(p.Edges, pattern.Edge{Allowance: map[string]float64{}, Handles: []*pattern.Handles{nil}})
	names := map[string]bool{}
	for _, e := range p.Edges {
		names[e.Name] = true
	}
	for _, n := range q.Notches {
		if names[n.Edge] {
			p.Notches = append(p.Notches, n)
		}
	}
	ring, _ := p.SharpRing()
	for _, k := range q.Clone().Marks {
		if (k.Edge != "" && names[k.Edge]) || (k.Edge == "" && ring.Holds(markPlace(k))) {
			p.Marks = append(p.Marks, k)
		}
	}
	for _, l := range q.Clone().Lines {
		if ring.Holds(l.Path.PointAt(l.Path.Length() / 2)) {
			p.Lines = append(p.Lines, l)
		}
	}
	return p
}

// markPlace is where a mark lies.
func markPlace(k pattern.Mark) geom.Point {
	if len(k.Path) > 0 {
		return k.Path.PointAt(k.Path.Length() / 2)
	}
	return k.At
}

// keeps weighs which part stays: the fold counts most, then the grain, then
// the length of the outline.
func (m *making) keeps(p *pattern.Piece) float64 {
	ring, _ := p.SharpRing()
	weight := ring.Length()
	if g := m.piece.Grain; g != nil && ring.Holds(g.From.Lerp(g.To, 0.5)) {
		weight += 1e6
	}
	if slices.ContainsFunc(p.Edges, func(e pattern.Edge) bool { return e.Fold }) {
		weight += 1e9
	}
	return weight
}

func freeName(p *pattern.Piece, name string) string {
	taken := p.EdgeNames()
	for k, try := 2, name; ; k++ {
		if !slices.Contains(taken, try) {
			return try
		}
		try = fmt.Sprintf("%s %d", name, k)
	}
}

// matchingNotch marks the middle of the new seam on both parts.
func (m *making) matchingNotch(a, b *pattern.Piece) {
	for _, p := range []*pattern.Piece{a, b} {
		i := len(p.Edges) - 1
		name := "match"
		for k := 2; p.NotchByName(name) >= 0; k++ {
			name = fmt.Sprintf("match %d", k)
		}
		half := math.Round(p.EdgePath(i).Length()*500) / 1000
		p.Notches = append(p.Notches, pattern.Notch{Name: name, Edge: p.Edges[i].Name, At: half, Count: 1})
	}
}

// handOn gives the seams and layers of the piece that was split to its parts.
func (m *making) handOn(whole, main, other *pattern.Piece) {
	was := whole.Name
	of := map[string]string{}
	for _, p := range []*pattern.Piece{other, main} {
		for _, e := range p.Edges {
			of[e.Name] = p.Name
		}
	}
	notchOf := map[string]string{}
	for _, p := range []*pattern.Piece{other, main} {
		for _, n := range p.Notches {
			notchOf[n.Name] = p.Name
		}
	}
	m.eachStretch(func(st *pattern.Stretch) {
		if st.Piece == was {
			st.Piece = of[st.Edge]
		}
	})
	for s := range m.pattern.Seams {
		seam := &m.pattern.Seams[s]
		for k := range seam.Sections {
			for _, ref := range []*pattern.NotchRef{&seam.Sections[k].First, &seam.Sections[k].Second} {
				if ref.Piece == was && notchOf[ref.Notch] != "" {
					ref.Piece = notchOf[ref.Notch]
				}
			}
		}
	}
	m.handLayers(whole, main, other)
}
