package pattern

import (
	"fmt"
	"maps"
	"slices"

	"go.yaml.in/yaml/v4"

	"toile/geom"
	"toile/pattern/units"
)

func roundMM(v float64) float64 { return units.Round(v, 3) }

// DecodePiece reads a piece file and validates it. file names it in errors,
// which are *FileError; the slug is not part of the text.
func DecodePiece(file, slug string, text []byte) (*Piece, error) {
	p, _, err := decodePiece(file, slug, text)
	return p, err
}

// decodePiece is DecodePiece, and says in which lines everything stands.
func decodePiece(file, slug string, text []byte) (*Piece, lines, error) {
	r, root := parseNode(file, text)
	if r.err != nil {
		return nil, nil, r.err
	}
	p := r.piece(root)
	if r.err != nil {
		return nil, nil, r.err
	}
	p.Slug = slug
	if problem := p.problem(); problem != nil {
		return nil, nil, &FileError{File: file, Line: r.where.of(problem.spot()), Reason: problem.Error()}
	}
	return p, r.where, nil
}

func (r *reader) piece(n *yaml.Node) *Piece {
	f := r.mapping(n, "piece")
	p := &Piece{Name: f.name("name")}
	r.where.add(PartPiece, 0, n.Line, f)
	f.what = p.Name
	p.ID, p.Was = r.id(f, "id"), r.id(f, "was")
	p.Cloth = f.text("cloth")
	p.Cut = Cut(f.text("cut"))
	p.Side = f.text("side")
	p.DrawnWithin = f.number("drawn_within_mm")
	if g := f.get("grain"); g != nil {
		p.Grain = r.grain(g, p.Name)
	}
	outline := f.need("outline")
	r.outline(p, r.list(outline, p.Name+": outline"))
	if p.Cut == "" {
		p.Cut = p.usualCut()
	}
	for i, item := range f.list("notches") {
		p.Notches = append(p.Notches, r.notch(item, i, p.Name))
	}
	for i, item := range f.list("marks") {
		p.Marks = append(p.Marks, r.mark(item, i, p.Name))
	}
	for i, item := range f.list("lines") {
		p.Lines = append(p.Lines, r.line(item, i, p.Name))
	}
	f.done()
	return p
}

func (r *reader) line(n *yaml.Node, index int, piece string) ReferenceLine {
	f := r.mapping(n, piece+": line")
	r.where.add(PartLine, index, n.Line, f)
	l := ReferenceLine{Name: f.name("name")}
	f.what = fmt.Sprintf("%s, line %q", piece, l.Name)
	l.Path = r.path(f.need("path"), f.what)
	f.done()
	return l
}

// usualCut is how a piece is cut where nobody says: on the fold if it has one.
func (p *Piece) usualCut() Cut {
	for _, e := range p.Edges {
		if e.Fold {
			return CutOnFold
		}
	}
	return CutOne
}

// id reads 8 hex digits.
func (r *reader) id(f *fields, key string) string {
	n := f.get(key)
	if n == nil {
		return ""
	}
	s := r.scalar(n, f.what+": "+key)
	if r.err == nil && !isID(s) {
		r.fail(n, "%s: %s is %q; it has 8 digits of 0-9 a-f", f.what, key, s)
	}
	return s
}

func isID(s string) bool {
	if len(s) != 8 {
		return false
	}
	for _, c := range s {
		if !(c >= '0' && c <= '9' || c >= 'a' && c <= 'f') {
			return false
		}
	}
	return true
}

func (r *reader) grain(n *yaml.Node, piece string) *Grain {
	f := r.mapping(n, piece+": grain")
	r.where.add(PartGrain, 0, n.Line, f)
	g := &Grain{From: f.point("from"), To: f.point("to"), OneWay: f.flag("one_way"), Bias: f.flag("bias")}
	f.done()
	return g
}

func (r *reader) outline(p *Piece, items []*yaml.Node) {
	for i, item := range items {
		f := r.mapping(item, p.Name+": outline")
		switch {
		case f.value["corner"] != nil && len(p.Corners) == len(p.Edges):
			p.Corners = append(p.Corners, r.corner(f, i/2, p.Name))
		case f.value["edge"] != nil && len(p.Corners) == len(p.Edges)+1:
			p.Edges = append(p.Edges, r.edge(f, i/2, p.Name))
		default:
			r.fail(item, "%s: the outline takes a corner and an edge by turns, starting with a corner", p.Name)
		}
		f.done()
		if r.err != nil {
			return
		}
	}
}

// corner reads `corner: [x, y]`, or `corner: {at: [x, y], round: …}`.
func (r *reader) corner(f *fields, index int, piece string) Corner {
	n := f.get("corner")
	what := fmt.Sprintf("%s: corner %d", piece, index+1)
	if n.Kind == yaml.SequenceNode {
		r.where.add(PartCorner, index, f.node.Line, f)
		return Corner{At: r.point(n, what)}
	}
	g := r.mapping(n, what)
	r.where.add(PartCorner, index, f.node.Line, g)
	c := Corner{At: g.point("at"), Round: g.number("round"), Name: g.optionalName("name"), Meant: g.flag("meant")}
	if c.Style = CornerStyle(g.text("style")); c.Style == CornerExtended {
		c.Style = ""
	}
	g.done()
	return c
}

func (r *reader) edge(item *fields, index int, piece string) Edge {
	f := r.mapping(item.get("edge"), fmt.Sprintf("%s: edge %d", piece, index+1))
	r.where.add(PartEdge, index, item.node.Line, f)
	e := Edge{Name: f.name("name")}
	f.what = fmt.Sprintf("%s, edge %q", piece, e.Name)
	e.ID, e.Was = r.id(f, "id"), r.id(f, "was")
	e.Fold, e.Hem = f.flag("fold"), f.flag("hem")
	if a := f.get("allowance"); a != nil {
		if e.Fold {
			r.fail(a, "%s: a fold has no allowance; leave the one or the other out", f.what)
		}
		e.Allowance = r.allowance(a, f.what+": allowance")
	}
	e.Handles = []*Handles{nil}
	for _, step := range f.list("path") {
		r.step(&e, step, f.what)
	}
	f.done()
	return e
}

// allowance reads millimetres by the name of the set; 0 is as good as none.
func (r *reader) allowance(n *yaml.Node, what string) map[string]float64 {
	r.mapping(n, what)
	var sets map[string]float64
	for i := 0; r.err == nil && i+1 < len(n.Content); i += 2 {
		name := r.name(n.Content[i], what)
		v := r.number(n.Content[i+1], what+": "+name)
		if _, twice := sets[name]; twice {
			r.fail(n.Content[i], "%s: the set %q stands twice", what, name)
		}
		if v != 0 {
			if sets == nil {
				sets = map[string]float64{}
			}
			sets[name] = v
		}
	}
	return sets
}

// step reads one line of an edge's path: `handles` shape the stretch that is
// under way, `through` ends it at an inner node.
func (r *reader) step(e *Edge, n *yaml.Node, what string) {
	f := r.mapping(n, what+": path")
	h := f.get("handles")
	if h != nil {
		if e.Handles[len(e.Handles)-1] != nil {
			r.fail(h, "%s: two pairs of handles follow each other; a node (through: [x, y]) belongs between them", what)
		}
		v := r.numbers(h, what+": handles", 4)
		e.Handles[len(e.Handles)-1] = &Handles{geom.Pt(v[0], v[1]), geom.Pt(v[2], v[3])}
	}
	if node := f.get("through"); node != nil || h == nil {
		e.Nodes = append(e.Nodes, f.point("through"))
		e.Handles = append(e.Handles, nil)
	}
	f.done()
}

func (r *reader) notch(n *yaml.Node, index int, piece string) Notch {
	f := r.mapping(n, piece+": notch")
	r.where.add(PartNotch, index, n.Line, f)
	k := Notch{Name: f.name("name"), Count: 1}
	f.what = fmt.Sprintf("%s, notch %q", piece, k.Name)
	k.Edge = f.name("edge")
	k.At = r.number(f.need("at"), f.what+": at")
	from := f.get("from")
	switch s := r.scalar(from, f.what+": from"); s {
	case "", "start":
	case "end":
		k.FromEnd = true
	default:
		r.fail(from, "%s: from is %q; it is \"start\" or \"end\"", f.what, s)
	}
	if n := f.get("count"); n != nil {
		k.Count = r.integer(n, f.what+": count")
	}
	f.done()
	return k
}

func (r *reader) mark(n *yaml.Node, index int, piece string) Mark {
	f := r.mapping(n, piece+": mark")
	r.where.add(PartMark, index, n.Line, f)
	m := Mark{Kind: MarkKind(f.needText("kind")), Name: f.name("name")}
	f.what = fmt.Sprintf("%s, mark %q", piece, m.Name)
	switch m.Kind {
	case MarkButton, MarkDot:
		m.At, m.Size = f.point("at"), f.number("size")
	case MarkText:
		m.At, m.Text = f.point("at"), f.needText("text")
	case MarkButtonhole, MarkSlit, MarkPlacement, MarkFoldLine:
		m.Path = r.path(f.need("path"), f.what)
	case MarkDart:
		m.At, m.Edge = f.point("point"), f.name("edge")
		m.From, m.To, m.Direction = f.number("from"), f.number("to"), f.text("towards")
	case MarkPleat:
		m.Edge, m.Direction = f.name("edge"), f.needText("towards")
		m.From, m.To = f.number("from"), f.number("to")
	default:
		return m // validateMark says what is wrong; which keys belong to it nobody knows
	}
	f.done()
	return m
}

// straightPath is how near in mm to its chord a curve is kept as a line: far
// below the 0.001 mm that files hold.
const straightPath = 1e-6

// path reads a list of `at` and `handles`: nodes, and handles between them.
func (r *reader) path(n *yaml.Node, what string) geom.Path {
	var path geom.Path
	var at *geom.Point
	var h *Handles
	for _, item := range r.list(n, what+": path") {
		f := r.mapping(item, what+": path")
		if v := f.get("handles"); v != nil {
			if h != nil || at == nil {
				r.fail(v, "%s: handles stand between two places", what)
			}
			w := r.numbers(v, what+": handles", 4)
			h = &Handles{geom.Pt(w[0], w[1]), geom.Pt(w[2], w[3])}
			if f.value["at"] == nil {
				f.done()
				continue
			}
		}
		q := f.point("at")
		f.done()
		switch {
		case at != nil && h != nil:
			c := geom.Cubic{P0: *at, P1: h.First, P2: h.Second, P3: q}
			if c.IsStraight(straightPath) {
				c = geom.Line(*at, q)
			}
			path = append(path, c)
		case at != nil:
			path = append(path, geom.Line(*at, q))
		}
		at, h = &q, nil
	}
	if r.err == nil && (h != nil || len(path) == 0) {
		r.fail(n, "%s: a path takes at least two places (at: [x, y])", what)
	}
	return path
}

// Encode prints the piece in its one canonical form.
func (p *Piece) Encode() ([]byte, error) {
	k := newKeys(false).text("name", p.Name).text("id", p.ID).text("was", p.Was).
		text("cloth", p.Cloth).text("cut", string(p.Cut)).text("side", p.Side).
		number("drawn_within_mm", p.DrawnWithin)
	if g := p.Grain; g != nil {
		k.put("grain", newKeys(true).put("from", pointNode(g.From)).put("to", pointNode(g.To)).
			flag("one_way", g.OneWay).flag("bias", g.Bias).node)
	}
	var outline []*yaml.Node
	for i := range p.Edges {
		outline = append(outline,
			newKeys(false).put("corner", p.Corners[i].encode()).node,
			newKeys(false).put("edge", p.Edges[i].encode()).node)
	}
	return printed(k.list("outline", outline).list("notches", encoded(p.Notches)).
		list("marks", encoded(p.Marks)).list("lines", encoded(p.Lines)).node)
}

// encoded builds the nodes of a list.
func encoded[T interface{ encode() *yaml.Node }](items []T) []*yaml.Node {
	var nodes []*yaml.Node
	for _, item := range items {
		nodes = append(nodes, item.encode())
	}
	return nodes
}

func (l ReferenceLine) encode() *yaml.Node {
	return newKeys(false).text("name", l.Name).put("path", pathNode(l.Path)).node
}

func (c Corner) encode() *yaml.Node {
	if c.Style == CornerExtended {
		c.Style = ""
	}
	if number(c.Round) == "0" && c.Name == "" && !c.Meant && c.Style == "" {
		return pointNode(c.At)
	}
	return newKeys(true).put("at", pointNode(c.At)).number("round", c.Round).text("name", c.Name).
		flag("meant", c.Meant).text("style", string(c.Style)).node
}

func (e Edge) encode() *yaml.Node {
	k := newKeys(false).text("name", e.Name).text("id", e.ID).text("was", e.Was).flag("fold", e.Fold).flag("hem", e.Hem)
	if !e.Fold {
		k.put("allowance", allowanceNode(e.Allowance))
	}
	var steps []*yaml.Node
	for i, h := range e.Handles {
		if h != nil {
			steps = append(steps, newKeys(false).put("handles", pointNode(h.First, h.Second)).node)
		}
		if i < len(e.Nodes) {
			steps = append(steps, newKeys(false).put("through", pointNode(e.Nodes[i])).node)
		}
	}
	return k.list("path", steps).node
}

// allowanceNode lists the sets by name, those of 0 mm left out; nil when none
// is left.
func allowanceNode(allowance map[string]float64) *yaml.Node {
	a := newKeys(true)
	for _, set := range slices.Sorted(maps.Keys(allowance)) {
		if v := allowance[set]; number(v) != "0" {
			a.node.Content = append(a.node.Content, textNode(set), numberNode(v))
		}
	}
	if len(a.node.Content) == 0 {
		return nil
	}
	return a.node
}

func (n Notch) encode() *yaml.Node {
	k := newKeys(true).text("name", n.Name).text("edge", n.Edge).put("at", numberNode(n.At))
	if n.FromEnd {
		k.text("from", "end")
	}
	if n.Count > 1 {
		k.integer("count", n.Count)
	}
	return k.node
}

func (m Mark) encode() *yaml.Node {
	k := newKeys(false).text("kind", string(m.Kind)).text("name", m.Name)
	switch m.Kind {
	case MarkButton, MarkDot:
		k.put("at", pointNode(m.At)).number("size", m.Size)
	case MarkText:
		k.put("at", pointNode(m.At)).put("text", textNode(m.Text))
	case MarkDart:
		k.put("point", pointNode(m.At)).text("edge", m.Edge).put("from", numberNode(m.From)).put("to", numberNode(m.To)).text("towards", m.Direction)
	case MarkPleat:
		k.text("edge", m.Edge).put("from", numberNode(m.From)).put("to", numberNode(m.To)).text("towards", m.Direction)
	default:
		k.put("path", pathNode(m.Path))
	}
	return k.node
}

func pathNode(path geom.Path) *yaml.Node {
	list := blockList()
	for i, c := range path {
		if i == 0 {
			list.Content = append(list.Content, newKeys(false).put("at", pointNode(c.P0)).node)
		}
		if !c.IsStraight(straightPath) {
			list.Content = append(list.Content, newKeys(false).put("handles", pointNode(c.P1, c.P2)).node)
		}
		list.Content = append(list.Content, newKeys(false).put("at", pointNode(c.P3)).node)
	}
	return list
}
