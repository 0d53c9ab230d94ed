package alter

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/units"
)

// The keys that facing, hem-facing and lining share.
var (
	asKey        = Key{Name: "as", What: Name, Means: "what the new piece is called"}
	clothKey     = Key{Name: "cloth", What: Text, Means: "what it is cut from"}
	allowanceKey = Key{Name: "allowance", What: Length, Means: "at its inner edge; without it what most edges of the outer have"}
	withKey      = Key{Name: "with", What: Pieces, Means: "further outers, separated by commas, laid to the first along the seams between them, as where it was split"}
	differsKey   = Key{Name: "differs", What: Text, Means: "declared differences from the outer, WHAT@EDGE=L, separated by commas: \"back pleat@centre back=2.5cm,shorter hem@hemline=-2cm\"; larger is positive"}
)

// outer is what a layer is drafted from: one piece of the pattern, or several
// laid together, with the declared differences made.
type outer struct {
	names       []string
	plain       *pattern.Piece // as it is
	piece       *pattern.Piece // with the differences made
	at          map[string]pattern.Chain
	differences []pattern.Difference
}

// outer reads the outer piece, what is laid to it, and the differences.
func (m *making) outer() (*outer, error) {
	o := &outer{names: []string{m.piece.Name}, plain: m.piece.Clone(), at: map[string]pattern.Chain{}}
	for _, e := range o.plain.Edges {
		o.at[e.Name] = pattern.Chain{{Piece: m.piece.Name, Edge: e.Name}}
	}
	if m.has("with") {
		if err := m.layOuters(o); err != nil {
			return nil, err
		}
	}
	o.piece = o.plain
	if err := m.readDifferences(o); err != nil {
		return nil, err
	}
	for _, d := range o.differences {
		i, err := o.piece.EdgeIndex(d.Edge)
		if err != nil {
			return nil, err
		}
		if o.piece, err = differing(o.piece, i, d.By); err != nil {
			return nil, fmt.Errorf("%s at %q by %s: %w", d.What, d.Edge, m.pattern.Unit.FormatSigned(d.By), err)
		}
	}
	return o, nil
}

// differing is a piece with edge i moved outward by mm, as EdgeMoved says, and
// its neighbours cut or run on to meet it.
func differing(q *pattern.Piece, i int, by float64) (*pattern.Piece, error) {
	c := q.Clone()
	moved, err := c.EdgeMoved(i, by)
	if err != nil {
		return nil, err
	}
	w := begin(c)
	w.set(i, moved)
	if err := w.meet(i, moved.Start()); err != nil {
		return nil, err
	}
	if err := w.meet(w.after(i), w.paths[i].End()); err != nil {
		return nil, err
	}
	return c, w.finish()
}

// readDifferences reads WHAT@EDGE=L, separated by commas.
func (m *making) readDifferences(o *outer) error {
	if !m.has("differs") {
		return nil
	}
	for _, part := range strings.Split(m.text("differs"), ",") {
		part = strings.TrimSpace(part)
		k := strings.LastIndex(part, "=")
		j := strings.LastIndex(part[:max(k, 0)], "@")
		if k < 0 || j < 1 {
			return fmt.Errorf("differs: %q is no difference; write WHAT@EDGE=LENGTH, for instance \"shorter hem@hemline=-2cm\"", part)
		}
		i, err := o.plain.EdgeIndex(strings.TrimSpace(part[j+1 : k]))
		if err != nil {
			return fmt.Errorf("differs: %w", err)
		}
		by, err := units.ParseLength(part[k+1:], m.pattern.Unit)
		if err != nil {
			return fmt.Errorf("differs: %w", err)
		}
		o.differences = append(o.differences, pattern.Difference{What: strings.TrimSpace(part[:j]), By: by, Edge: o.plain.Edges[i].Name})
	}
	return nil
}

// layOuters joins the further outers to the first, on a copy of the pattern.
// Where each of their edges then lies is read off seams that name one edge
// each, which joining carries along.
func (m *making) layOuters(o *outer) error {
	names, err := m.outerNames()
	if err != nil {
		return err
	}
	scratch := m.pattern.Clone()
	var from []pattern.Stretch
	for _, name := range names {
		q, err := scratch.Piece(name)
		if err != nil {
			return err
		}
		for _, e := range q.Edges {
			st := pattern.Stretch{Piece: name, Edge: e.Name}
			scratch.Seams = append(scratch.Seams, pattern.Seam{Name: fmt.Sprintf("%s %d", probe, len(from)), First: pattern.Chain{st}, Second: pattern.Chain{st}})
			from = append(from, st)
		}
	}
	for _, name := range names[1:] {
		edge, at, err := seamBetween(scratch, m.piece.Name, name)
		if err != nil {
			return err
		}
		sewOnlyTogether(scratch, m.piece.Name, edge, name, at)
		res, err := Make(scratch, Recipe{Kind: "join", Piece: m.piece.Name, Values: map[string]string{"edge": edge, "with": name, "at": at, "cut": string(m.piece.Cut), "cloth": m.piece.Cloth}})
		if err != nil {
			return err
		}
		scratch = res.Pattern
	}
	whole, err := scratch.Piece(m.piece.Name)
	if err != nil {
		return err
	}
	settle(whole)
	o.names, o.plain, o.at = names, whole, originsOf(scratch, from)
	return nil
}

// outerNames lists the outer and what is laid to it.
func (m *making) outerNames() ([]string, error) {
	names := []string{m.piece.Name}
	for _, text := range m.names("with") {
		q, err := m.pattern.Piece(text)
		if err != nil {
			return nil, fmt.Errorf("with: %w", err)
		}
		if slices.Contains(names, q.Name) {
			return nil, fmt.Errorf("with: %s is named twice; name each outer once", q.Name)
		}
		names = append(names, q.Name)
	}
	return names, nil
}

// probe begins the names of the seams that tell where edges come to lie.
const probe = "\x00lies"

// originsOf reads, for each edge of the joined piece, the stretches that make
// it, in its direction.
func originsOf(scratch *pattern.Pattern, from []pattern.Stretch) map[string]pattern.Chain {
	type part struct {
		at float64
		st pattern.Stretch
	}
	parts := map[string][]part{}
	for _, s := range scratch.Seams {
		k := -1
		if _, err := fmt.Sscanf(s.Name, probe+" %d", &k); err != nil || len(s.First) != 1 {
			continue
		}
		st := s.First[0]
		parts[st.Edge] = append(parts[st.Edge], part{st.From, from[k]})
	}
	at := map[string]pattern.Chain{}
	for edge, list := range parts {
		slices.SortFunc(list, func(a, b part) int { return int(math.Copysign(1, a.at-b.at)) })
		for _, p := range list {
			at[edge] = append(at[edge], p.st)
		}
	}
	return at
}

// seamBetween finds the edges along which two pieces are sewn together, one of
// each.
func seamBetween(p *pattern.Pattern, a, b string) (edge, at string, err error) {
	for _, s := range p.Seams {
		if len(s.First) != 1 || len(s.Second) != 1 || strings.HasPrefix(s.Name, probe) {
			continue
		}
		for _, side := range [2][2]pattern.Stretch{{s.First[0], s.Second[0]}, {s.Second[0], s.First[0]}} {
			if side[0].Piece == a && side[1].Piece == b {
				return side[0].Edge, side[1].Edge, nil
			}
		}
	}
	return "", "", fmt.Errorf("%s and %s are not sewn together along one edge each; say the seam between them first with `toile seam`", a, b)
}

// settle puts coordinates that a motion moved off the stored digits by
// rounding alone back on them.
func settle(q *pattern.Piece) {
	const rounding = 1e-6
	fix := func(p *geom.Point) {
		if r := rounded(*p); r.Dist(*p) < rounding {
			*p = r
		}
	}
	for i := range q.Corners {
		fix(&q.Corners[i].At)
	}
	for i := range q.Edges {
		for k := range q.Edges[i].Nodes {
			fix(&q.Edges[i].Nodes[k])
		}
		for _, h := range q.Edges[i].Handles {
			if h != nil {
				fix(&h.First)
				fix(&h.Second)
			}
		}
	}
}

// addLayer records that a new piece finishes to the outers, beside the inner
// pieces given: in their layer where there is one.
func (m *making) addLayer(o *outer, name string, beside []string) {
	for _, outer := range o.names {
		var differences []pattern.Difference
		for _, d := range o.differences {
			d.Piece = name
			for _, st := range o.at[d.Edge] {
				if st.Piece == outer {
					d.Edge = st.Edge
					differences = append(differences, d)
					break
				}
			}
		}
		k := slices.IndexFunc(m.pattern.Layers, func(l pattern.Layer) bool {
			return l.Outer == outer && !l.Band && slices.ContainsFunc(l.Inner, func(s string) bool { return slices.Contains(beside, s) })
		})
		if k < 0 {
			m.pattern.Layers = append(m.pattern.Layers, pattern.Layer{Outer: outer, Inner: []string{name}, Differences: differences})
			continue
		}
		l := &m.pattern.Layers[k]
		l.Inner, l.Differences = append(l.Inner, name), append(l.Differences, differences...)
	}
}

// draftName is the name of the piece that is drafted: as given, else the usual
// one; it has to be free.
func (m *making) draftName(usual string) (string, error) {
	name := usual
	if m.has("as") {
		name = m.text("as")
	}
	name, err := pattern.CleanName(name)
	if err != nil {
		return "", fmt.Errorf("as: %w", err)
	}
	if _, err := m.pattern.Piece(name); err == nil {
		return "", fmt.Errorf("there is a piece %q already; give another name with --as, or remove that one first", name)
	}
	return name, nil
}

// freeSeam is a name that no seam of the pattern bears, nor one of more, cut short where
// a number behind it would make it too long.
func (m *making) freeSeam(name string, more ...pattern.Seam) string {
	taken := func(try string) bool {
		called := func(s pattern.Seam) bool { return s.Name == try }
		return slices.ContainsFunc(m.pattern.Seams, called) || slices.ContainsFunc(more, called)
	}
	if r := []rune(name); len(r) > 76 {
		name = strings.TrimSpace(string(r[:76]))
	}
	for k, try := 2, name; ; k++ {
		if !taken(try) {
			return try
		}
		try = fmt.Sprintf("%s %d", name, k)
	}
}
