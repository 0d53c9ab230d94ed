package pattern

import (
	"fmt"
	"strconv"

	"go.yaml.in/yaml/v4"

	"toile/geom"
	"toile/pattern/units"
)

// decodePattern reads pattern.yaml: all but the pieces and fittings.
func decodePattern(text []byte) (*Pattern, error) {
	r, root := parseNode(PatternFile, text)
	if r.err != nil {
		return nil, r.err
	}
	f := r.mapping(root, "pattern")
	n := f.need("format")
	if v := r.integer(n, "format"); r.err == nil && v != Format {
		r.fail(n, "the file format is %d and this program knows %d; a newer toile wrote it: bring yours up to date", v, Format)
	}
	p := New(f.name("name"), units.Centimetre)
	if u := f.get("unit"); u != nil {
		unit, err := units.ParseUnit(r.scalar(u, "unit"))
		if err != nil {
			r.fail(u, "%v", err)
		}
		p.Unit = unit
	}
	r.sets(p, f)
	if t := f.get("tolerances"); t != nil {
		r.tolerances(p, r.mapping(t, "tolerances"))
	}
	seams := map[string]bool{}
	for _, item := range f.list("seams") {
		s := r.seam(item)
		if seams[s.Name] {
			r.fail(item, "two seams bear the name %q; rename one", s.Name)
		}
		seams[s.Name] = true
		p.Seams = append(p.Seams, s)
	}
	for _, item := range f.list("layers") {
		p.Layers = append(p.Layers, r.layer(item))
	}
	f.done()
	return p, r.err
}

func (r *reader) sets(p *Pattern, f *fields) {
	n := f.get("sets")
	if n == nil {
		return
	}
	p.Sets = nil
	for _, item := range r.list(n, "sets") {
		s, err := CleanName(r.scalar(item, "sets"))
		if r.err == nil && err != nil {
			r.fail(item, "sets: %v", err)
		}
		if p.HasSet(s) {
			r.fail(item, "sets: %q stands twice", s)
		}
		p.Sets = append(p.Sets, s)
	}
	if len(p.Sets) == 0 {
		r.fail(n, "sets: a pattern has at least one allowance set, such as %q", ClothSet)
	}
}

func (r *reader) tolerances(p *Pattern, f *fields) {
	if n := f.get("section_mm"); n != nil {
		p.Tolerances.Section = r.number(n, "tolerances: section_mm")
		if p.Tolerances.Section <= 0 {
			r.fail(n, "tolerances: section_mm is greater than 0")
		}
	}
	if n := f.get("corner_deg"); n != nil {
		d := r.number(n, "tolerances: corner_deg")
		if d <= 0 || d >= 180 {
			r.fail(n, "tolerances: corner_deg lies between 0 and 180")
		}
		p.Tolerances.Corner = geom.Degrees(d)
	}
	f.done()
}

func (r *reader) seam(n *yaml.Node) Seam {
	f := r.mapping(n, "seam")
	s := Seam{Name: f.name("name")}
	f.what = fmt.Sprintf("seam %q", s.Name)
	s.First = r.chain(f.need("first"), f.what)
	s.Second = r.chain(f.need("second"), f.what)
	s.SameWay = f.flag("same_way")
	sections := f.list("sections")
	for i, item := range sections {
		g := r.mapping(item, f.what+": section")
		c := Section{Ease: g.number("ease"), Gathered: g.flag("gathered")}
		if to := g.get("to"); to != nil {
			h := r.mapping(to, g.what)
			c.First = r.notchRef(h.need("first"), g.what)
			c.Second = r.notchRef(h.need("second"), g.what)
			h.done()
		} else if i < len(sections)-1 {
			r.fail(item, "%s: every section but the last ends at a pair of notches (to: {first: [PIECE, NOTCH], second: […]})", f.what)
		}
		g.done()
		s.Sections = append(s.Sections, c)
	}
	for _, item := range f.list("openings") {
		g := r.mapping(item, f.what+": opening")
		o := Opening{Name: g.name("name"), From: g.number("from"), To: g.number("to")}
		g.done()
		s.Openings = append(s.Openings, o)
	}
	s.Finish = f.text("finish")
	f.done()
	return s
}

func (r *reader) notchRef(n *yaml.Node, what string) NotchRef {
	v := r.list(n, what)
	if r.err == nil && len(v) != 2 {
		r.fail(n, "%s: [PIECE, NOTCH] is wanted", what)
	}
	if r.err != nil {
		return NotchRef{}
	}
	return NotchRef{r.scalar(v[0], what), r.scalar(v[1], what)}
}

func (r *reader) chain(n *yaml.Node, what string) Chain {
	var c Chain
	for _, item := range r.list(n, what) {
		f := r.mapping(item, what+": stretch")
		s := Stretch{Piece: f.name("piece"), Edge: f.name("edge"), From: f.number("from"), To: f.number("to"), Turned: f.flag("turned")}
		f.done()
		c = append(c, s)
	}
	if r.err == nil && len(c) == 0 {
		r.fail(n, "%s: a seam takes at least one edge on each side", what)
	}
	return c
}

func (r *reader) layer(n *yaml.Node) Layer {
	f := r.mapping(n, "layers")
	l := Layer{Outer: f.name("outer")}
	inner := f.need("inner")
	for _, item := range r.list(inner, "layers: inner") {
		l.Inner = append(l.Inner, r.scalar(item, "layers: inner"))
	}
	if r.err == nil && len(l.Inner) == 0 {
		r.fail(inner, "layers: at least one inner piece is wanted")
	}
	for _, item := range f.list("differences") {
		g := r.mapping(item, "layers: difference")
		l.Differences = append(l.Differences, Difference{What: g.needText("what"), By: g.number("by")})
		g.done()
	}
	f.done()
	return l
}

func (p *Pattern) encodePattern() ([]byte, error) {
	sets := flowList()
	for _, s := range p.Sets {
		sets.Content = append(sets.Content, textNode(s))
	}
	k := newKeys(false).put("format", intNode(Format)).text("name", p.Name).text("unit", string(p.Unit)).put("sets", sets).
		put("tolerances", newKeys(true).put("section_mm", numberNode(p.Tolerances.Section)).
			put("corner_deg", numberNode(geom.InDegrees(p.Tolerances.Corner))).node)
	var seams, layers []*yaml.Node
	for _, s := range p.Seams {
		seams = append(seams, s.encode())
	}
	for _, l := range p.Layers {
		layers = append(layers, l.encode())
	}
	return print(k.list("seams", seams).list("layers", layers).node)
}

func (s Seam) encode() *yaml.Node {
	k := newKeys(false).text("name", s.Name).put("first", s.First.encode()).put("second", s.Second.encode()).flag("same_way", s.SameWay)
	var sections, openings []*yaml.Node
	for _, c := range s.Sections {
		g := newKeys(true)
		if c.First.Piece != "" {
			g.put("to", newKeys(true).put("first", flowList(textNode(c.First.Piece), textNode(c.First.Notch))).
				put("second", flowList(textNode(c.Second.Piece), textNode(c.Second.Notch))).node)
		}
		sections = append(sections, g.put("ease", numberNode(c.Ease)).flag("gathered", c.Gathered).node)
	}
	for _, o := range s.Openings {
		openings = append(openings, newKeys(true).text("name", o.Name).put("from", numberNode(o.From)).put("to", numberNode(o.To)).node)
	}
	return k.list("sections", sections).list("openings", openings).text("finish", s.Finish).node
}

func (c Chain) encode() *yaml.Node {
	list := blockList()
	for _, s := range c {
		list.Content = append(list.Content, newKeys(true).text("piece", s.Piece).text("edge", s.Edge).
			number("from", s.From).number("to", s.To).flag("turned", s.Turned).node)
	}
	return list
}

func (l Layer) encode() *yaml.Node {
	inner := flowList()
	for _, s := range l.Inner {
		inner.Content = append(inner.Content, textNode(s))
	}
	var differences []*yaml.Node
	for _, d := range l.Differences {
		differences = append(differences, newKeys(true).put("what", textNode(d.What)).put("by", numberNode(d.By)).node)
	}
	return newKeys(false).text("outer", l.Outer).put("inner", inner).list("differences", differences).node
}

// decodeFitting reads a fitting's file.
func decodeFitting(file string, text []byte) (*Fitting, error) {
	r, root := parseNode(file, text)
	if r.err != nil {
		return nil, r.err
	}
	f := r.mapping(root, "fitting")
	t := &Fitting{Number: f.integer("fitting")}
	if r.err == nil && t.Number < 1 {
		r.fail(root, "a fitting's number is from 1")
	}
	f.what = "fitting " + strconv.Itoa(t.Number)
	t.ID, t.Date = r.id(f, "id"), f.text("date")
	t.Cloth, t.Worn, t.Closures = f.text("cloth"), f.text("worn"), f.text("closures")
	t.Version = f.integer("version")
	for i, item := range f.list("notes") {
		n := r.note(item, f.what)
		if r.err == nil && n.Number != i+1 {
			r.fail(item, "%s: the notes are numbered 1, 2, 3…; here stands %d", f.what, n.Number)
		}
		t.Notes = append(t.Notes, n)
	}
	f.done()
	return t, r.err
}

func (r *reader) note(item *yaml.Node, what string) Note {
	f := r.mapping(item, what+": note")
	n := Note{Number: f.integer("note"), Piece: f.optionalName("piece"), Edge: f.optionalName("edge")}
	f.what = fmt.Sprintf("%s, note %d", what, n.Number)
	if f.value["at"] != nil {
		at := f.point("at")
		n.At = &at
	} else {
		f.get("at")
	}
	n.Seen, n.Pinned = f.needText("seen"), f.number("pinned_mm")
	side := f.get("side")
	n.Side = WearerSide(r.scalar(side, f.what+": side"))
	switch n.Side {
	case "", WearerLeft, WearerRight, WearerBoth:
	default:
		r.fail(side, "%s: side is %q; it is the wearer's \"left\", \"right\" or \"both\"", f.what, n.Side)
	}
	n.ToDo, n.Answered = f.text("to_do"), f.integer("answered")
	f.done()
	return n
}

func (f *Fitting) encode() ([]byte, error) {
	k := newKeys(false).put("fitting", intNode(f.Number)).text("id", f.ID).text("date", f.Date).
		text("cloth", f.Cloth).text("worn", f.Worn).text("closures", f.Closures).integer("version", f.Version)
	var notes []*yaml.Node
	for _, n := range f.Notes {
		m := newKeys(false).put("note", intNode(n.Number)).text("piece", n.Piece).text("edge", n.Edge)
		if n.At != nil {
			m.put("at", pointNode(*n.At))
		}
		notes = append(notes, m.put("seen", textNode(n.Seen)).number("pinned_mm", n.Pinned).text("side", string(n.Side)).
			text("to_do", n.ToDo).integer("answered", n.Answered).node)
	}
	return print(k.list("notes", notes).node)
}
