package album

import (
	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// lineData is a line that a change adds to the drawing, on the track's sheet:
// where a piece was slashed to be spread, the cutting line of an edge whose
// allowance changed.
type lineData struct {
	Class string `json:"k"`
	Path  string `json:"d"`
	Edge  string `json:"e,omitempty"` // of a cutting line, as it was called then
	Set   string `json:"w,omitempty"` // and the set where that is not the cloth's
	box   geom.Box
}

const (
	lineSlash  = "slash"
	lineCut    = "cut"
	lineCutWas = "cut-was"
)

// linesOf are the lines of a change.
func linesOf(m move, c change.Change) []lineData {
	laid := m.before.laid
	if m.before.track < 0 {
		laid = m.after.laid
	}
	var out []lineData
	add := func(class string, path []geom.Cubic, edge, set string) {
		if len(path) == 0 {
			return
		}
		moved := geom.Path(path).Moved(laid)
		var w pathWriter
		w.curves(moved)
		out = append(out, lineData{class, w.b.String(), edge, set, moved.Box()})
	}
	p := m.step.Diff
	switch c.Kind {
	case change.Spread:
		for _, l := range c.Lines {
			add(lineSlash, geom.Path{geom.Line(l[0].Point(), l[1].Point())}, "", "")
		}
	case change.AllowanceChanged:
		set := c.How
		if set == "" {
			set = pattern.ClothSet
		}
		old, now := edgesOf(p, c)
		add(lineCutWas, cutAlong(p.Old, old, set), edgeCalled(p.Old, old), c.How)
		add(lineCut, cutAlong(p.New, now, set), edgeCalled(p.New, now), c.How)
	}
	return out
}

// edgeCalled is the name of an edge as the page has it.
func edgeCalled(p *pattern.Piece, edge int) string {
	if p == nil || edge < 0 {
		return ""
	}
	return plain(p.Edges[edge].Name)
}

// cutAlong is the cutting line along an edge, empty where there is none: without
// an allowance it lies on the sewing line.
func cutAlong(p *pattern.Piece, edge int, set string) geom.Path {
	if p == nil || edge < 0 || p.Edges[edge].AllowanceFor(set) == 0 {
		return nil
	}
	line, err := p.CuttingLine(set)
	if err != nil {
		return nil
	}
	// The curves of an edge follow each other; they may run over the ring's end.
	var before, after geom.Path
	for i, c := range line.Ring {
		switch {
		case line.Edge[i] != edge:
		case len(before) > 0 && before.End() != c.P0:
			after = append(after, c)
		default:
			before = append(before, c)
		}
	}
	if len(after) > 0 && after.End() == before.Start() {
		return append(after, before...)
	}
	return before
}
