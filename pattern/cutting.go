package pattern

import (
	"errors"
	"fmt"
	"slices"

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
// cut. A rounded corner bears one allowance all round (AllowanceEdges). An
// allowance wider than a concave radius is an error that names edge, place and
// radius.
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
	bears := p.AllowanceEdges(o, set)
	first := firstOfRun(bears)
	for k := range o.Ring {
		at := (first + k) % len(o.Ring)
		edges[bears[at]].Path = append(edges[bears[at]].Path, o.Ring[at])
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

// AllowanceEdges returns for each curve of the drawn outline the index of the
// edge whose allowance of the set it bears: its own, but for the arc of a
// rounded corner between unequal allowances. That bears the narrower one from
// end to end, so that the wider begins, with a step square to the line, where
// its edge does: a wide hem cannot be turned up round a corner, and a step
// within the arc would be a barb. An arc that touches a fold bears the other
// edge's allowance.
func (p *Piece) AllowanceEdges(o Outline, set string) []int {
	bears := slices.Clone(o.Edge)
	n := len(p.Edges)
	for k, corner := range o.Arc {
		if corner < 0 {
			continue
		}
		before, after := (corner+n-1)%n, corner
		a, b := p.Edges[before].AllowanceFor(set), p.Edges[after].AllowanceFor(set)
		switch {
		case a == b:
		case p.Edges[after].Fold, a < b && !p.Edges[before].Fold:
			bears[k] = before
		default:
			bears[k] = after
		}
	}
	return bears
}

// firstOfRun is the first index at which another value starts, round the end,
// so that no run of equal ones is parted; 0 where all are equal.
func firstOfRun(values []int) int {
	n := len(values)
	for k := range values {
		if values[k] != values[(k+n-1)%n] {
			return k
		}
	}
	return 0
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
	return geom.Trimmed
}

// CutArea returns the area inside the cutting line in mm².
func (p *Piece) CutArea(set string) (float64, error) {
	line, err := p.CuttingLine(set)
	if err != nil {
		return 0, err
	}
	return line.Ring.Area(), nil
}
