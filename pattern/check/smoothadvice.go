package check

import (
	"fmt"
	"math"
	"slices"

	"toile/geom"
	"toile/pattern"
	"toile/pattern/change"
)

// Bends are the findings about lines that bend where pieces are laid together or at a
// fold, and nothing else of what Run finds.
func Bends(p *pattern.Pattern) (change.Findings, error) {
	c := &checker{p: p, tol: p.Tolerances.Section}
	if err := c.walkAll(); err != nil {
		return change.Findings{}, err
	}
	c.joints = c.junctions()
	c.smooth()
	c.square()
	return change.Findings{Findings: c.found}, nil
}

// smoothAdvice says what to do about a bend at an end of a seam or a fold, of which
// these are the sides: the command that makes the line run on smoothly, where one
// does, else what is to be drawn; and the one that says of the corner that it is meant,
// which one side says for both. What an inner piece has from its outer ones is mended
// there, for else it would no longer finish to their size.
func (c *checker) smoothAdvice(where, drawn string, sides ...ending) string {
	do := drawn
	if outers := c.alikeInOuters(sides); len(outers) > 0 {
		do = fmt.Sprintf("it is so in %s too: have it run on smoothly there first, and carry that over", listed(outers))
	} else if c.options.Smooths != nil {
		for _, e := range sides {
			if command := c.options.Smooths(where, e.piece.Name, e.line(), e.side()); command != "" {
				do = fmt.Sprintf("have it run on smoothly with `%s`", command)
				break
			}
		}
	}
	e := sides[0]
	return fmt.Sprintf("%s, or say with `toile edge %q %q --meant %q` that this corner is meant", do, e.piece.Name, e.line(), e.cornerWord())
}

// alikeInOuters are the outer pieces that have the corners of all these sides as they
// are; none where one has it of its own.
func (c *checker) alikeInOuters(sides []ending) []string {
	var outers []string
	for _, e := range sides {
		outer := c.alikeInOuter(e)
		if outer == "" {
			return nil
		}
		outers = with(outers, outer)
	}
	return outers
}

// alikeWithin is how far in radians a corner may be from that of the outer piece and
// still come from it: a shorter hem on a curved side meets it at another angle.
var alikeWithin = geom.Degrees(0.5)

// alikeInOuter is the piece to which the one at a corner finishes, if that has the same
// edges at a corner and the same angle; "" where none has.
func (c *checker) alikeInOuter(e ending) string {
	if outer, _ := c.outerCorner(e); outer != nil {
		return outer.Name
	}
	return ""
}

// meant reports whether a corner is said to be meant, or rounded, on its piece or on the
// outer that the piece has it from.
func (c *checker) meant(e ending) bool {
	if e.meant() {
		return true
	}
	outer, corner := c.outerCorner(e)
	return outer != nil && outer.Corners[corner].Meant
}

// outerCorner is the corner of the outer that an inner piece has from it; nil where none
// is.
func (c *checker) outerCorner(e ending) (outer *pattern.Piece, corner int) {
	for _, l := range c.p.Layers {
		q, err := c.p.Piece(l.Outer)
		if err != nil || l.Band || !slices.Contains(l.Inner, e.piece.Name) {
			continue
		}
		n := len(q.Edges)
		for corner := range q.Edges {
			before, after := q.Edges[(corner+n-1)%n].Name, q.Edges[corner].Name
			if (before == e.side() && after == e.line() || before == e.line() && after == e.side()) &&
				math.Abs(insideAngle(q, corner)-e.inside()) < alikeWithin {
				return q, corner
			}
		}
	}
	return nil, 0
}

// line is the edge that goes on from the corner, and side the one that is sewn or lies
// on the fold.
func (e ending) line() string { return e.piece.Edges[e.next].Name }
func (e ending) side() string { return e.piece.Edges[e.sewn].Name }

// cornerWord says which corner of the line it is: the side that meets it there, or its
// end where that meets it twice.
func (e ending) cornerWord() string {
	switch {
	case len(e.piece.Edges) > 2:
		return e.side()
	case e.corner == e.next:
		return "start"
	}
	return "end"
}
