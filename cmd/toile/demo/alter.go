package demo

import (
	"toile/geom"
	"toile/pattern"
	"toile/pattern/alter"
)

// altered makes an alteration on a piece of the pattern; keys and values come
// in pairs.
func altered(p *pattern.Pattern, kind, piece string, values ...string) error {
	r := alter.Recipe{Kind: kind, Piece: piece, Values: map[string]string{}}
	for i := 0; i < len(values); i += 2 {
		r.Values[values[i]] = values[i+1]
	}
	result, err := alter.Make(p, r)
	if err != nil {
		return err
	}
	*p = *result.Pattern
	return nil
}

// redraw gives an edge a new inner shape between new ends.
func redraw(p *pattern.Piece, edge string, c geom.Cubic) error {
	i, err := p.EdgeIndex(edge)
	if err != nil {
		return err
	}
	p.Corners[i].At, p.Corners[(i+1)%len(p.Corners)].At = c.P0, c.P3
	p.Edges[i].SetPath(geom.Path{c})
	return nil
}
