package check

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// leastBeside is the length in mm over which two edges have to be sewn to each
// other for their allowances to be compared, and sameAllowance how much those
// may differ.
const (
	leastBeside   = 5
	sameAllowance = 0.05
)

// unequalAllowances finds edges sewn to each other with unequal allowances in
// any set, in seams without a finish that explains it.
func (c *checker) unequalAllowances() {
	for _, w := range c.walks {
		if w.seam.Finish != "" {
			continue
		}
		told := map[[2]string]bool{}
		for _, a := range w.sides[0].Parts {
			for _, b := range w.sides[1].Parts {
				key := [2]string{edgeWords(a.Piece, a.Edge), edgeWords(b.Piece, b.Edge)}
				if w.beside(a, b) < leastBeside || told[key] {
					continue
				}
				told[key] = true
				c.unequal(w, a, b)
			}
		}
	}
}

// beside is over how many mm two stretches of the two sides lie beside each
// other, what one side is longer spread evenly.
func (w walk) beside(a, b pattern.WalkedPart) float64 {
	if w.sides[1].Length < leastBeside {
		return 0
	}
	scale := w.sides[0].Length / w.sides[1].Length
	return math.Min(a.Offset+a.Length(), (b.Offset+b.Length())*scale) - math.Max(a.Offset, b.Offset*scale)
}

func (c *checker) unequal(w walk, a, b pattern.WalkedPart) {
	worst, in := 0.0, ""
	for _, set := range c.p.Sets {
		by := b.Piece.Edges[b.Edge].AllowanceFor(set) - a.Piece.Edges[a.Edge].AllowanceFor(set)
		if math.Abs(by) > math.Abs(worst)+1e-9 {
			worst, in = by, set
		}
	}
	if math.Abs(worst) <= sameAllowance {
		return
	}
	c.add(change.Finding{Kind: change.AllowancesUnequal, MM: worst, Seam: w.seam.Name, Where: fmt.Sprintf("seam %q", w.seam.Name), Pieces: with([]string{a.Piece.Name}, b.Piece.Name),
		Says: fmt.Sprintf("in the set %s, %s has an allowance of %s and %s of %s, and the seam has no finish that explains it", in,
			edgeWords(a.Piece, a.Edge), c.length(a.Piece.Edges[a.Edge].AllowanceFor(in)), edgeWords(b.Piece, b.Edge), c.length(b.Piece.Edges[b.Edge].AllowanceFor(in))),
		Do: "make the allowances equal with `toile edge`, or say how the seam is made up with `toile seam NAME --finish …` (lapped, felled, bound)"})
}

// cuttingLines finds pieces that have no cutting line: above all where an
// allowance is as wide as a hollow of the sewing line, which no cloth can be cut
// and turned to.
func (c *checker) cuttingLines() {
	for _, q := range c.p.Pieces {
		var told []string
		for _, set := range c.p.Sets {
			_, err := q.CuttingLine(set)
			if err == nil || slices.Contains(told, err.Error()) {
				continue
			}
			told = append(told, err.Error())
			c.add(c.noLine(q, set, err))
		}
	}
}

func (c *checker) noLine(q *pattern.Piece, set string, err error) change.Finding {
	f := change.Finding{Kind: change.NoCuttingLine, Where: fmt.Sprintf("%s, set %s", q.Name, set), Pieces: []string{q.Name}, Says: err.Error(),
		Do: "make the allowance narrower, or give the corner another style"}
	var problem *pattern.Problem
	if errors.As(err, &problem) {
		f.Says = problem.Reason
	}
	var wide *geom.AllowanceTooWide
	if errors.As(err, &wide) {
		e := &q.Edges[wide.Edge]
		by := e.AllowanceFor(set)
		f.Kind, f.MM, f.At = change.AllowanceTooWide, by-wide.Radius, at(wide.At)
		f.Where = fmt.Sprintf("%s, set %s", edgeWords(q, wide.Edge), set)
		f.Says = fmt.Sprintf("its allowance of %s is wider than the hollow there, which has a radius of %s: it cannot be cut", c.length(by), c.length(wide.Radius))
		f.Do = fmt.Sprintf("make the allowance narrower than %s, or the hollow wider", c.length(wide.Radius))
	}
	return f
}
