package alter

import (
	"fmt"

	"toile/geom"
	"toile/pattern"
)

var _ = register(&Kind{Name: "interfacing", Does: "drafts the interfacing of a facing: cut like it, within its sewing line unless an allowance is given",
	Keys: []Key{
		{Name: "inset", What: Length, Means: "how far inside the facing's sewing line it ends; without it on that line"},
		{Name: "allowance", What: Length, Means: "all round, for one that is sewn in; without it none, so that it stays out of the seams"},
		asKey, clothKey,
	}, Typed: `"front facing" --inset 2mm --as "front interfacing"`, make: (*making).interfacing})

func (m *making) interfacing() error {
	name, err := m.draftName(m.piece.Name + " interfacing")
	if err != nil {
		return err
	}
	inset, err := m.inset()
	if err != nil {
		return err
	}
	source := m.piece
	if inset > 0 {
		if source, err = m.insetPiece(inset); err != nil {
			return err
		}
	}
	p := m.pieceOf(name, source, wholeRuns(source))
	if p.Cloth = m.text("cloth"); p.Cloth == "" {
		p.Cloth = "interfacing"
	}
	for i := range p.Edges {
		p.Edges[i].Allowance = map[string]float64{}
	}
	if m.has("allowance") {
		if err := m.setAllowance(p, m.usualAllowance(), func(string) bool { return true }); err != nil {
			return err
		}
	}
	if err := p.Validate(); err != nil {
		return fmt.Errorf("that interfacing does not work: %w; the pattern is as it was", err)
	}
	m.pattern.Put(p)
	m.pattern.GiveIDs(p)
	m.layInterfacing(name, inset)
	return nil
}

// layInterfacing records that an interfacing finishes to its facing, inset all
// round but at the fold.
func (m *making) layInterfacing(name string, inset float64) {
	layer := pattern.Layer{Outer: m.piece.Name, Inner: []string{name}}
	for _, e := range m.piece.Edges {
		if inset > 0 && !e.Fold {
			layer.Differences = append(layer.Differences, pattern.Difference{What: "inset", By: -inset, Piece: name, Edge: e.Name})
		}
	}
	m.pattern.Layers = append(m.pattern.Layers, layer)
}

// inset reads how far inside the facing's sewing line it ends.
func (m *making) inset() (float64, error) {
	if !m.has("inset") {
		return 0, nil
	}
	v, err := m.length("inset")
	if err == nil && (v < 0 || v > 0 && m.has("allowance")) {
		err = fmt.Errorf("inset: %s: an interfacing ends inside the facing's sewing line, or has an allowance beyond it; give one of the two", m.format(v))
	}
	return v, err
}

// insetPiece is the piece with every edge but the fold moved inward.
func (m *making) insetPiece(by float64) (*pattern.Piece, error) {
	c := m.piece.Clone()
	w := begin(c)
	for i, e := range c.Edges {
		if e.Fold {
			continue
		}
		line, err := c.EdgeMoved(i, -by)
		if err != nil {
			return nil, m.edgeError(i, fmt.Errorf("no line lies %s inside it: %w; give a smaller inset", m.format(by), err))
		}
		w.set(i, line)
	}
	if err := w.meetAll(); err != nil {
		return nil, err
	}
	for k := range c.Corners {
		if r := c.Corners[k].Round; r > 0 {
			c.Corners[k].Round = insetRound(c, k, r, by)
		}
	}
	return c, w.finish()
}

// insetRound is the radius of a rounded corner inside which the whole outline
// moved by that much: smaller at a corner that points outward.
func insetRound(q *pattern.Piece, k int, r, by float64) float64 {
	n := len(q.Edges)
	if geom.AngleBetween(q.EdgePath((k+n-1)%n).EndTangent(), q.EdgePath(k).StartTangent()) < 0 {
		return r + by
	}
	return max(0, r-by)
}
