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
		if scratch, err = m.layOuter(scratch, name); err != nil {
			return err
		}
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

// layOuter joins one further outer to what was laid together, at the seam that an edge
// to be faced runs across, else at the first between them.
func (m *making) layOuter(scratch *pattern.Pattern, name string) (*pattern.Pattern, error) {
	whole, err := scratch.Piece(m.piece.Name)
	if err != nil {
		return nil, err
	}
	other, err := scratch.Piece(name)
	if err != nil {
		return nil, err
	}
	cut, err := cutOver(m.piece, other)
	if err != nil {
		return nil, err
	}
	at, err := m.seamsToLay(scratch, whole, name)
	if err != nil {
		return nil, err
	}
	var refused error
	for _, seam := range at {
		p := scratch.Clone()
		sewOnlyTogether(p, m.piece.Name, seam[0], name, seam[1])
		res, err := Make(p, Recipe{Kind: "join", Piece: m.piece.Name, Values: map[string]string{"edge": seam[0], "with": name, "at": seam[1], "cut": string(cut), "cloth": m.piece.Cloth}})
		if err == nil {
			return res.Pattern, nil
		}
		switch {
		case refused != nil:
		case foldEdge(whole) >= 0 && foldEdge(other) >= 0 && strings.Contains(err.Error(), "both cut on the fold"):
			refused = fmt.Errorf("%s and %s are both cut on the fold, and what lies across %q would have two folds; draft one for each of them, and sew these to each other there with `toile seam`", m.piece.Name, name, seam[0])
		default:
			refused = fmt.Errorf("%s and %s are laid together at %q for this: %w", m.piece.Name, name, seam[0], err)
		}
	}
	return nil, refused
}

// cutOver is how a piece is cut that lies across the seam of two.
func cutOver(a, b *pattern.Piece) (pattern.Cut, error) {
	switch {
	case a.Cut == pattern.CutPair && b.Cut == pattern.CutOnFold:
		return pattern.CutOnFold, nil
	case a.Cut == pattern.CutOnFold && b.Cut == pattern.CutOne:
		a, b = b, a
		fallthrough
	case a.Cut == pattern.CutOne && b.Cut == pattern.CutOnFold:
		return "", fmt.Errorf("%s is drawn whole and %s is cut on the fold, so that they do not lie beside each other; draw %s whole too with `toile alter unfold %q`, or draft one for each of them", a.Name, b.Name, b.Name, b.Name)
	}
	return a.Cut, nil
}

// seamsToLay finds the edges along which what was laid together and a further outer
// are sewn together, one of each: those beside an edge to be faced, or where there are
// none the first.
func (m *making) seamsToLay(p *pattern.Pattern, whole *pattern.Piece, other string) (at [][2]string, err error) {
	all, err := seamsBetween(p, whole.Name, other)
	if err != nil {
		return nil, err
	}
	faced := map[int]bool{}
	for _, name := range m.names("edges") {
		if i, err := whole.EdgeIndex(name); err == nil {
			faced[i] = true
		}
	}
	if m.recipe.Kind == "hem-facing" {
		faced[whole.HemEdge()] = true
	}
	for _, pair := range all {
		i, err := whole.EdgeIndex(pair[0])
		n := len(whole.Edges)
		if err == nil && (faced[(i+1)%n] || faced[(i+n-1)%n]) {
			at = append(at, pair)
		}
	}
	if len(at) == 0 {
		return all[:1], nil
	}
	return at, nil
}

// seamsBetween finds the edges along which two pieces are sewn together, one of each.
func seamsBetween(p *pattern.Pattern, a, b string) (all [][2]string, err error) {
	for i := range p.Seams {
		s := &p.Seams[i]
		if len(s.First) != 1 || len(s.Second) != 1 || strings.HasPrefix(s.Name, probe) {
			continue
		}
		for _, side := range [2][2]pattern.Stretch{{s.First[0], s.Second[0]}, {s.Second[0], s.First[0]}} {
			if side[0].Piece == a && side[1].Piece == b {
				all = append(all, [2]string{side[0].Edge, side[1].Edge})
			}
		}
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("%s and %s are not sewn together along one edge each; say the seam between them first with `toile seam`", a, b)
	}
	return all, nil
}

// seamUnder finds the edges along which two outers are sewn together, one of each: of
// several seams the one across which inner pieces of both lie, where that is known.
func seamUnder(p *pattern.Pattern, a, b string) (edge, at string, err error) {
	known := p.Clone()
	p.InnerOfTwo(func(x, y pattern.Layer, inner string) {
		if x.Outer != a && y.Outer != a || x.Outer != b && y.Outer != b {
			return
		}
		known.Seams = slices.DeleteFunc(known.Seams, func(s pattern.Seam) bool { return p.LiesElsewhere(inner, &s) })
	})
	all, err := seamsBetween(known, a, b)
	if err != nil {
		return "", "", err
	}
	return all[0][0], all[0][1], nil
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
