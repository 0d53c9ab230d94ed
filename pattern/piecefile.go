package pattern

import (
	"fmt"
	"sort"

	"go.yaml.in/yaml/v4"

	"toile/geom"
	"toile/pattern/units"
)

func roundMM(v float64) float64 { return units.Round(v, 3) }

// lines remembers where in the file each part of a piece stands.
type lines map[Part][]int

func (l lines) of(part Part, i int) int {
	if at := l[part]; i < len(at) {
		return at[i]
	}
	return 0
}

// DecodePiece reads a piece file and validates it. file names it in errors;
// the slug is not part of the text.
func DecodePiece(file, slug string, text []byte) (*Piece, error) {
	r, root := parseNode(file, text)
	if r.err != nil {
		return nil, r.err
	}
	where := lines{}
	p := r.piece(root, where)
	if r.err != nil {
		return nil, r.err
	}
	p.Slug = slug
	if err := p.Validate(); err != nil {
		problem := err.(*Problem)
		return nil, &FileError{File: file, Line: where.of(problem.Part, problem.Index), Reason: problem.Error()}
	}
	return p, nil
}

func (r *reader) piece(n *yaml.Node, where lines) *Piece {
	f := r.mapping(n, "piece")
	p := &Piece{Name: f.name("name")}
	where[PartPiece] = []int{n.Line}
	f.what = p.Name
	p.ID, p.Was = r.id(f, "id"), r.id(f, "was")
	p.Cloth = f.text("cloth")
	p.Cut = Cut(f.text("cut"))
	if p.Cut == "" {
		p.Cut = CutOne
	}
	p.Side = f.text("side")
	p.DrawnWithin = f.number("drawn_within_mm")
	if g := f.get("grain"); g != nil {
		where[PartGrain] = []int{g.Line}
		p.Grain = r.grain(g, p.Name)
	}
	outline := f.need("outline")
	r.outline(p, r.list(outline, p.Name+": outline"), where)
	for _, item := range f.list("notches") {
		where[PartNotch] = append(where[PartNotch], item.Line)
		p.Notches = append(p.Notches, r.notch(item, p.Name))
	}
	for _, item := range f.list("marks") {
		where[PartMark] = append(where[PartMark], item.Line)
		p.Marks = append(p.Marks, r.mark(item, p.Name))
	}
	for _, item := range f.list("lines") {
		where[PartLine] = append(where[PartLine], item.Line)
		g := r.mapping(item, p.Name+": line")
		l := ReferenceLine{Name: g.name("name")}
		g.what = fmt.Sprintf("%s: line %q", p.Name, l.Name)
		l.Path = r.path(g.need("path"), g.what)
		g.done()
		p.Lines = append(p.Lines, l)
	}
	f.done()
	return p
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
	g := &Grain{From: f.point("from"), To: f.point("to"), OneWay: f.flag("one_way"), Bias: f.flag("bias")}
	f.done()
	return g
}

func (r *reader) outline(p *Piece, items []*yaml.Node, where lines) {
	for i, item := range items {
		f := r.mapping(item, p.Name+": outline")
		switch {
		case f.value["corner"] != nil && len(p.Corners) == len(p.Edges):
			where[PartCorner] = append(where[PartCorner], item.Line)
			p.Corners = append(p.Corners, r.corner(f, i/2+1, p.Name))
		case f.value["edge"] != nil && len(p.Corners) == len(p.Edges)+1:
			where[PartEdge] = append(where[PartEdge], item.Line)
			p.Edges = append(p.Edges, r.edge(f.get("edge"), p))
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
func (r *reader) corner(f *fields, number int, piece string) Corner {
	n := f.get("corner")
	what := fmt.Sprintf("%s: corner %d", piece, number)
	if n.Kind == yaml.SequenceNode {
		return Corner{At: r.point(n, what)}
	}
	g := r.mapping(n, what)
	c := Corner{At: g.point("at"), Round: g.number("round"), Name: g.optionalName("name"), Meant: g.flag("meant")}
	style := g.get("style")
	c.Style = CornerStyle(r.scalar(style, what+": style"))
	switch c.Style {
	case "", CornerSquareBefore, CornerSquareAfter, CornerFoldedBack:
	case CornerExtended:
		c.Style = ""
	default:
		r.fail(style, "%s: style is %q; it is %q, %q, %q or %q", what, c.Style, CornerExtended, CornerSquareBefore, CornerSquareAfter, CornerFoldedBack)
	}
	g.done()
	return c
}

func (r *reader) edge(n *yaml.Node, p *Piece) Edge {
	f := r.mapping(n, p.Name+": edge")
	e := Edge{Name: f.name("name")}
	f.what = fmt.Sprintf("%s, edge %q", p.Name, e.Name)
	e.ID, e.Was = r.id(f, "id"), r.id(f, "was")
	e.Fold, e.Hem = f.flag("fold"), f.flag("hem")
	if a := f.get("allowance"); a != nil {
		if e.Fold {
			r.fail(a, "%s: a fold has no allowance", f.what)
		}
		g := r.mapping(a, f.what+": allowance")
		e.Allowance = map[string]float64{}
		for set := range g.value {
			if v := g.number(set); v != 0 {
				e.Allowance[set] = v
			}
		}
	}
	path := f.get("path")
	e.Handles = []*Handles{nil}
	for _, step := range r.list(path, f.what+": path") {
		r.step(&e, step, f.what)
	}
	f.done()
	return e
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

func (r *reader) notch(n *yaml.Node, piece string) Notch {
	f := r.mapping(n, piece+": notch")
	k := Notch{Name: f.name("name")}
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
	k.Count = f.integer("count")
	if k.Count == 0 {
		k.Count = 1
	}
	f.done()
	return k
}

func (r *reader) mark(n *yaml.Node, piece string) Mark {
	f := r.mapping(n, piece+": mark")
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
		m.From, m.To = f.number("from"), f.number("to")
	case MarkPleat:
		m.Edge, m.Direction = f.name("edge"), f.text("towards")
		m.From, m.To = f.number("from"), f.number("to")
		if d := f.value["towards"]; m.Direction != "start" && m.Direction != "end" {
			r.fail(d, "%s: towards is %q; it is \"start\" or \"end\"", f.what, m.Direction)
		}
	default:
		r.fail(n, "%s: there is no kind of mark %q; the kinds are button, buttonhole, dot, slit, placement line, fold line, dart, pleat, text", f.what, m.Kind)
	}
	f.done()
	return m
}

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
			path = append(path, geom.Cubic{P0: *at, P1: h.First, P2: h.Second, P3: q})
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
	k.list("outline", outline)
	var notches, marks, refs []*yaml.Node
	for _, n := range p.Notches {
		notches = append(notches, n.encode())
	}
	for _, m := range p.Marks {
		marks = append(marks, m.encode())
	}
	for _, l := range p.Lines {
		refs = append(refs, newKeys(false).text("name", l.Name).put("path", pathNode(l.Path)).node)
	}
	k.list("notches", notches).list("marks", marks).list("lines", refs)
	return print(k.node)
}

func (c Corner) encode() *yaml.Node {
	if c.Round == 0 && c.Name == "" && !c.Meant && c.Style == "" {
		return pointNode(c.At)
	}
	return newKeys(true).put("at", pointNode(c.At)).number("round", c.Round).text("name", c.Name).
		flag("meant", c.Meant).text("style", string(c.Style)).node
}

func (e Edge) encode() *yaml.Node {
	k := newKeys(false).text("name", e.Name).text("id", e.ID).text("was", e.Was).flag("fold", e.Fold).flag("hem", e.Hem)
	var sets []string
	for s, v := range e.Allowance {
		if v != 0 {
			sets = append(sets, s)
		}
	}
	sort.Strings(sets)
	if len(sets) > 0 && !e.Fold {
		a := newKeys(true)
		for _, s := range sets {
			a.put(s, numberNode(e.Allowance[s]))
		}
		k.put("allowance", a.node)
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
		k.put("point", pointNode(m.At)).text("edge", m.Edge).number("from", m.From).number("to", m.To)
	case MarkPleat:
		k.text("edge", m.Edge).number("from", m.From).number("to", m.To).text("towards", m.Direction)
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
		if !c.IsStraight(1e-6) {
			list.Content = append(list.Content, newKeys(false).put("handles", pointNode(c.P1, c.P2)).node)
		}
		list.Content = append(list.Content, newKeys(false).put("at", pointNode(c.P3)).node)
	}
	return list
}
