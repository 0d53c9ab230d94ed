package pattern

import (
	"fmt"

	"go.yaml.in/yaml/v4"

	"toile/geom"
	"toile/pattern/units"
)

// decodePattern reads pattern.yaml, all but the pieces and fittings, and says
// in which lines everything stands.
func decodePattern(text []byte) (*Pattern, lines, error) {
	r, root := parseNode(PatternFile, text)
	if r.err != nil {
		return nil, nil, r.err
	}
	f := r.mapping(root, "pattern")
	r.where.add(PartPiece, 0, root.Line, f)
	r.format(f.need("format"))
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
	for i, item := range f.list("seams") {
		p.Seams = append(p.Seams, r.seam(item, i))
	}
	for i, item := range f.list("layers") {
		p.Layers = append(p.Layers, r.layer(item, i))
	}
	f.done()
	return p, r.where, r.err
}

// format refuses files that this program does not know. It is the first thing
// read: what else is strange in a newer file is not its fault.
func (r *reader) format(n *yaml.Node) {
	v := r.integer(n, "format")
	switch {
	case r.err != nil:
	case v > Format:
		r.fail(n, "the file format is %d and this program knows %d; a newer toile wrote it: bring yours up to date", v, Format)
	case v < Format:
		r.fail(n, "there is no file format %d; this program knows %d", v, Format)
	}
}

func (r *reader) sets(p *Pattern, f *fields) {
	n := f.get("sets")
	if n == nil {
		return
	}
	p.Sets = nil
	for _, item := range r.list(n, "sets") {
		s := r.name(item, "sets")
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

// The parts of pattern.yaml, for the lines of errors.
const (
	partSeam  Part = "seam"
	partLayer Part = "layer"
)

func (r *reader) seam(n *yaml.Node, index int) Seam {
	f := r.mapping(n, fmt.Sprintf("seam %d", index+1))
	r.where.add(partSeam, index, n.Line, f)
	s := Seam{Name: f.name("name")}
	f.what = fmt.Sprintf("seam %q", s.Name)
	remember := func(key string, i int, item *yaml.Node) {
		r.where[spot{partSeam, index, entry(key, i)}] = item.Line
	}
	for i, item := range f.needList("first") {
		remember("first", i, item)
		s.First = append(s.First, r.stretch(item, f.what))
	}
	for i, item := range f.needList("second") {
		remember("second", i, item)
		s.Second = append(s.Second, r.stretch(item, f.what))
	}
	s.SameWay = f.flag("same_way")
	for i, item := range f.list("sections") {
		remember("sections", i, item)
		s.Sections = append(s.Sections, r.section(item, f.what))
	}
	for i, item := range f.list("openings") {
		remember("openings", i, item)
		g := r.mapping(item, f.what+": opening")
		s.Openings = append(s.Openings, Opening{Name: g.name("name"), From: g.number("from"), To: g.number("to"), Least: g.number("least")})
		g.done()
	}
	s.Finish = f.text("finish")
	f.done()
	return s
}

// entry is the key of one entry of a list, for the lines of errors.
func entry(key string, i int) string { return fmt.Sprintf("%s %d", key, i) }

func (r *reader) stretch(n *yaml.Node, what string) Stretch {
	f := r.mapping(n, what+": stretch")
	s := Stretch{Piece: f.name("piece"), Edge: f.name("edge"), From: f.number("from"), To: f.number("to"), Turned: f.flag("turned")}
	f.done()
	return s
}

func (r *reader) section(n *yaml.Node, what string) Section {
	f := r.mapping(n, what+": section")
	var c Section
	if to := f.get("to"); to != nil {
		g := r.mapping(to, f.what)
		c.First = r.notchRef(g.need("first"), g.what)
		c.Second = r.notchRef(g.need("second"), g.what)
		g.done()
	}
	c.Ease, c.Gathered = f.number("ease"), f.flag("gathered")
	f.done()
	return c
}

func (r *reader) notchRef(n *yaml.Node, what string) NotchRef {
	v := r.list(n, what)
	if r.err == nil && len(v) != 2 {
		r.fail(n, "%s: [PIECE, NOTCH] is wanted", what)
	}
	if r.err != nil {
		return NotchRef{}
	}
	return NotchRef{r.name(v[0], what), r.name(v[1], what)}
}

func (r *reader) layer(n *yaml.Node, index int) Layer {
	f := r.mapping(n, "layers")
	r.where.add(partLayer, index, n.Line, f)
	l := Layer{Outer: f.name("outer")}
	for i, item := range f.needList("inner") {
		r.where[spot{partLayer, index, entry("inner", i)}] = item.Line
		l.Inner = append(l.Inner, r.name(item, "layers: inner"))
	}
	l.Band = f.flag("band")
	for i, item := range f.list("differences") {
		r.where[spot{partLayer, index, entry("differences", i)}] = item.Line
		g := r.mapping(item, "layers: difference")
		l.Differences = append(l.Differences, Difference{What: g.needText("what"), By: g.number("by"), Piece: g.optionalName("piece"), Edge: g.optionalName("edge")})
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
	return printed(k.list("seams", encoded(p.Seams)).list("layers", encoded(p.Layers)).node)
}

func (s Seam) encode() *yaml.Node {
	return newKeys(false).text("name", s.Name).list("first", encoded(s.First)).list("second", encoded(s.Second)).flag("same_way", s.SameWay).
		list("sections", encoded(s.Sections)).list("openings", encoded(s.Openings)).text("finish", s.Finish).node
}

func (s Stretch) encode() *yaml.Node {
	return newKeys(true).text("piece", s.Piece).text("edge", s.Edge).number("from", s.From).number("to", s.To).flag("turned", s.Turned).node
}

func (c Section) encode() *yaml.Node {
	k := newKeys(true)
	if c.First.Piece != "" {
		k.put("to", newKeys(true).put("first", c.First.encode()).put("second", c.Second.encode()).node)
	}
	return k.put("ease", numberNode(c.Ease)).flag("gathered", c.Gathered).node
}

func (n NotchRef) encode() *yaml.Node { return flowList(textNode(n.Piece), textNode(n.Notch)) }

func (o Opening) encode() *yaml.Node {
	return newKeys(true).text("name", o.Name).put("from", numberNode(o.From)).put("to", numberNode(o.To)).number("least", o.Least).node
}

func (l Layer) encode() *yaml.Node {
	inner := flowList()
	for _, s := range l.Inner {
		inner.Content = append(inner.Content, textNode(s))
	}
	return newKeys(false).text("outer", l.Outer).put("inner", inner).flag("band", l.Band).list("differences", encoded(l.Differences)).node
}

func (d Difference) encode() *yaml.Node {
	return newKeys(true).put("what", textNode(d.What)).put("by", numberNode(d.By)).text("piece", d.Piece).text("edge", d.Edge).node
}
