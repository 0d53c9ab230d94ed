package check

import (
	"fmt"

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
// which one side says for both.
func (c *checker) smoothAdvice(where, drawn string, sides ...ending) string {
	do := drawn
	if c.options.Smooths != nil {
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
