package pattern

import (
	"errors"
	"fmt"

	"toile/geom"
)

// CutTolerance is how far in mm a computed cutting line may lie from the true
// one.
const CutTolerance = 0.01

// CuttingLine is the outline to cut along, for one allowance set.
type CuttingLine struct {
	Ring geom.Ring
	Edge []int // for each curve the index of the edge whose allowance it bounds
}

// CuttingLine computes the cutting line for an allowance set. Over the mouth of
// a dart it rises to the cap that the dart has when it is folded before it is
// cut. An allowance wider than a concave radius is an error that names edge,
// place and radius.
func (p *Piece) CuttingLine(set string) (CuttingLine, error) {
	o, err := p.Outline()
	if err != nil {
		return CuttingLine{}, err
	}
	n := len(p.Edges)
	edges := make([]geom.OffsetEdge, n)
	for i := range p.Edges {
		edges[i].By = p.Edges[i].AllowanceFor(set)
	}
	for k, c := range o.Ring {
		edges[o.Edge[k]].Path = append(edges[o.Edge[k]].Path, c)
	}
	corners := make([]geom.OffsetCorner, n)
	for i := range corners {
		corners[i].Style = p.Corners[i].Style.offset()
	}
	ring, source, err := geom.OffsetRing(edges, corners, CutTolerance)
	if err != nil {
		return CuttingLine{}, p.offsetProblem(set, err)
	}
	return p.withCaps(CuttingLine{Ring: ring, Edge: source}, set)
}

func (p *Piece) offsetProblem(set string, err error) error {
	var wide *geom.AllowanceTooWide
	if errors.As(err, &wide) {
		e := p.Edges[wide.Edge]
		return &Problem{Piece: p.Name, Part: PartEdge, Index: wide.Edge, cause: wide, Reason: fmt.Sprintf(
			"edge %q: an allowance of %s mm (set %s) is wider than the hollow of radius %s mm near %s; make it narrower there",
			e.Name, number(e.AllowanceFor(set)), set, number(wide.Radius), place(wide.At))}
	}
	return &Problem{Piece: p.Name, Part: PartPiece, cause: err,
		Reason: fmt.Sprintf("no cutting line for the set %s: %v", set, err)}
}

// AllowanceFor returns the edge's allowance in mm for a set: 0 on a fold or
// where none is stated.
func (e *Edge) AllowanceFor(set string) float64 {
	if e.Fold {
		return 0
	}
	return e.Allowance[set]
}

func (s CornerStyle) offset() geom.CornerStyle {
	switch s {
	case CornerSquareBefore:
		return geom.SquaredFirst
	case CornerSquareAfter:
		return geom.SquaredSecond
	case CornerFoldedBack:
		return geom.FoldedBack
	}
	return geom.Extended
}

// CutArea returns the area inside the cutting line in mm².
func (p *Piece) CutArea(set string) (float64, error) {
	line, err := p.CuttingLine(set)
	if err != nil {
		return 0, err
	}
	return line.Ring.Area(), nil
}
