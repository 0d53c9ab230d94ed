package alter

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
)

var _ = register(&Kind{Name: "split", Does: "cuts a piece in two along a line or curve; the new edges are sewn together, but for openings",
	Keys: []Key{
		{Name: "line", What: Line, Needed: true, Means: "a reference line, straight or curved, or PLACE:PLACE, each X,Y on the sheet, a corner, a notch or EDGE@LENGTH"},
		{Name: "into", What: Names, Needed: true, Means: "the names of the two parts; the first keeps the fold, or its part with the grain where both have of it, else the grain, else the greater length"},
		{Name: "allowance", What: Length, Means: "at both new edges; without it what most edges have"},
		openingKey,
	}, Alike: []string{"join"}, Typed: `back --line 12,0:15,90 --into "centre back,side back"`, make: (*making).split})

// line reads PLACE:PLACE, or the name of a reference line, end to end.
func (m *making) line(key string) (a, b geom.Point, err error) { return m.lineFrom(key, m.text(key)) }

// lineFrom reads a straight line from a text that a key holds.
func (m *making) lineFrom(key, text string) (a, b geom.Point, err error) {
	for _, l := range m.piece.Lines {
		if l.Name != text {
			continue
		}
		if a, b = l.Path.Start(), l.Path.End(); bowed(l.Path) > sameWithin {
			return a, b, fmt.Errorf("%s, %s: the reference line %q is curved, by up to %s off the straight; %s goes along a straight line: give two places as PLACE:PLACE",
				m.piece.Name, key, l.Name, m.format(bowed(l.Path)), m.recipe.Kind)
		}
		return a, b, nil
	}
	first, second, ok := strings.Cut(text, ":")
	if k := slices.IndexFunc(m.piece.Marks, func(k pattern.Mark) bool { return k.Name == text }); !ok && k >= 0 {
		return a, b, fmt.Errorf("%s, %s: %q is a %s; name a reference line, or write it as PLACE:PLACE, for instance 120,0:150,900 or \"waist@10cm:hemline@12cm\"", m.piece.Name, key, text, m.piece.Marks[k].Kind)
	}
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
	line, err := m.cutLine("line")
	if err != nil {
		return err
	}
	names, err := m.twoNames()
	if err != nil {
		return err
	}
	allowance, err := m.newAllowance()
	if err != nil {
		return err
	}
	first, second, err := m.crossingsOf(line)
	if err != nil {
		return err
	}
	if err := m.fromFold(line, first, second); err != nil {
		return err
	}
	if err := m.refuseThroughDart(line); err != nil {
		return err
	}
	whole := m.piece.Clone()
	i, j, err := m.cutEdges(first, second)
	if err != nil {
		return err
	}
	c := cut{i: i, j: j, whole: whole, names: names, allowance: allowance}
	c.line, c.turned = betweenCorners(line, first, second, m.piece.Corners[i].At, m.piece.Corners[j].At)
	for k, e := range whole.Edges {
		if liesOn(c.line, whole.EdgePath(k)) {
			return fmt.Errorf("%s: the line runs along %q itself and cuts nothing off; lead it across the piece", whole.Name, e.Name)
		}
	}
	return m.cutPiece(c)
}

// newAllowance reads what both parts have at the new seam, in every set.
func (m *making) newAllowance() (map[string]float64, error) {
	allowance := m.usualAllowance()
	if !m.has("allowance") {
		return allowance, nil
	}
	v, err := m.length("allowance")
	for set := range allowance {
		allowance[set] = v
	}
	return allowance, err
}

// cut is where and how a piece is cut in two.
type cut struct {
	i, j      int            // between these corners
	whole     *pattern.Piece // as it was
	line      geom.Path      // from corner i to corner j
	turned    bool           // it runs the other way than it was given
	names     [2]string
	allowance map[string]float64
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
		if _, err := divideEdge(m.pattern, m.piece, c.edge, c.along); err != nil { // what it says is said when the parts have their names
			return 0, 0, err
		}
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

// sayStayed says which notches of a piece that was cut in two are counted otherwise on
// its parts, because the end that they are counted from went to the other one.
func (m *making) sayStayed(whole, main, other *pattern.Piece) {
	for _, q := range []*pattern.Piece{main, other} {
		for _, n := range q.Notches {
			k := whole.NotchByName(n.Name)
			if k < 0 || whole.Notches[k].At == n.At {
				continue
			}
			m.say("%s, notch %q: it stays in place and is %s from the %s of %q now; it was %s.", q.Name, n.Name, m.format(n.At), endOfNotch(n), n.Edge, m.format(whole.Notches[k].At))
		}
	}
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
func (m *making) usualAllowance() map[string]float64 { return m.usualOf(m.piece) }

// usualInCloth is the same for all pieces that are cut from a cloth: what two
// pieces beside each other are to have alike.
func (m *making) usualInCloth(cloth string) map[string]float64 {
	var of []*pattern.Piece
	for _, q := range m.pattern.Pieces {
		if q.Cloth == cloth {
			of = append(of, q)
		}
	}
	return m.usualOf(of...)
}

func (m *making) usualOf(pieces ...*pattern.Piece) map[string]float64 {
	usual := map[string]float64{}
	for _, set := range m.pattern.Sets {
		count := map[float64]int{}
		usual[set] = 0
		for _, q := range pieces {
			for _, e := range q.Edges {
				if v := e.AllowanceFor(set); !e.Fold {
					count[v]++
					if count[v] > count[usual[set]] || (count[v] == count[usual[set]] && v > usual[set]) {
						usual[set] = v
					}
				}
			}
		}
	}
	return usual
}

// cutPiece makes two pieces of the outline.
// The one that keeps the fold, else the grain, else the greater length stays
// in the pattern under its id; the other is new.
func (m *making) cutPiece(c cut) error {
	q, names := m.piece, c.names
	parts := [2]*pattern.Piece{m.part(c.i, c.j, c.line.Reverse()), m.part(c.j, c.i, c.line)}
	stays := 0
	if m.keeps(parts[1]) > m.keeps(parts[0]) {
		stays = 1
	}
	main, other := parts[stays], parts[1-stays]
	m.sayCutLines(main, other)
	seam := m.freeSeam(names[0] + " to " + names[1])
	m.nameParts(c, q, main, other)
	openings, err := m.newOpenings(main, other, c.turned == (stays == 1))
	if err != nil {
		return err
	}
	m.matchingNotch(openings, main, other)
	m.handOn(q, main, other)
	for k := range m.pattern.Pieces {
		if m.pattern.Pieces[k] == q {
			m.pattern.Pieces[k] = main
		}
	}
	m.pattern.Put(other)
	m.nameHalves(main, other)
	m.sayStayed(c.whole, main, other)
	keepEdgeIDs(main, other)
	m.pattern.GiveIDs(main)
	m.pattern.GiveIDs(other)
	m.pattern.Seams = append(m.pattern.Seams, pattern.Seam{Name: seam, Openings: openings,
		First:  pattern.Chain{{Piece: main.Name, Edge: main.Edges[len(main.Edges)-1].Name}},
		Second: pattern.Chain{{Piece: other.Name, Edge: other.Edges[len(other.Edges)-1].Name}}})
	m.sayParts(main, other)
	for _, p := range []*pattern.Piece{main, other} {
		if err := begin(p).finish(); err != nil {
			return err
		}
		startAt(p, q.Corners[0].At)
	}
	return nil
}

// nameParts names both parts and the new edges, the last of each, and says what
// the other part, which is new, is cut like.
func (m *making) nameParts(c cut, q, main, other *pattern.Piece) {
	names := c.names
	for k, p := range []*pattern.Piece{main, other} {
		p.Name = names[k]
		e := &p.Edges[len(p.Edges)-1]
		e.Name = freeName(p, "seam to "+names[1-k])
		for set, v := range c.allowance {
			e.Allowance[set] = v
		}
	}
	other.ID, other.Was, other.Slug = "", q.ID, m.pattern.NewSlug(names[1])
	if q.Cut == pattern.CutOnFold && !slices.ContainsFunc(other.Edges, func(e pattern.Edge) bool { return e.Fold }) {
		other.Cut = pattern.CutPair
	}
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

// part is the piece between the corners from and to, clockwise, closed by an
// edge along a line. The reference line that it was cut along is that edge now.
func (m *making) part(from, to int, closing geom.Path) *pattern.Piece {
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
	closed := pattern.Edge{Allowance: map[string]float64{}}
	closed.SetPath(closing)
	p.Edges = append(p.Edges, closed)
	m.contents(p, closing)
	return p
}

// contents gives a part of the piece the notches, marks and lines that lie on it.
func (m *making) contents(p *pattern.Piece, closing geom.Path) {
	q := m.piece
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
		if k.Edge == "" && len(k.Path) > 0 {
			var inside bool
			if k.Path, inside = withinPart(k.Path, ring, closing); inside {
				p.Marks = append(p.Marks, k)
			}
		} else if (k.Edge != "" && names[k.Edge]) || (k.Edge == "" && ring.Holds(markPlace(k))) {
			p.Marks = append(p.Marks, k)
		}
	}
	for _, l := range q.Clone().Lines {
		var inside bool
		if l.Path, inside = withinPart(l.Path, ring, closing); inside && l.Name != m.text("line") {
			p.Lines = append(p.Lines, l)
		}
	}
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

// handOn gives the seams and layers of the piece that was split to its parts.
func (m *making) handOn(whole, main, other *pattern.Piece) {
	was := whole.Name
	of := map[string]string{}
	for _, p := range []*pattern.Piece{other, main} {
		for _, e := range p.Edges[:len(p.Edges)-1] { // the last is new, and may be called as an old one of the other part
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
