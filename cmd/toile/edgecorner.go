package main

import (
	"fmt"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/units"
)

// partEdge divides an edge, or makes two one, where that is asked for, and returns
// which it is then.
func (o *opened) partEdge(q *pattern.Piece, i int, opt edgeOptions) (int, error) {
	if opt.with != "" {
		return o.oneEdge(q, i, opt.with)
	}
	if opt.until == "" {
		return i, nil
	}
	at, err := units.ParsePositive(opt.until, o.Unit)
	if err != nil {
		return i, usagef("--until: %w", err)
	}
	moved, err := alter.DivideEdge(o.Pattern, q, i, at)
	for _, m := range moved {
		o.advise("%s", m)
	}
	return i, err
}

// oneEdge makes an edge and the neighbour that is named one, and returns which it
// is then.
func (o *opened) oneEdge(q *pattern.Piece, i int, with string) (int, error) {
	j, err := q.EdgeIndex(with)
	if err != nil {
		return 0, fmt.Errorf("--with: %w", err)
	}
	name := q.Edges[i].Name
	said, err := alter.OneEdge(o.Pattern, q, i, j)
	if err != nil {
		return 0, err
	}
	for _, m := range said {
		o.advise("%s", m)
	}
	return q.EdgeIndex(name)
}

// setMeant marks corners of an edge as meant, or takes that back.
func (o *opened) setMeant(q *pattern.Piece, i int, opt edgeOptions) error {
	for _, c := range []struct {
		flag, at string
		meant    bool
	}{{"meant", opt.meant, true}, {"not-meant", opt.notMeant, false}} {
		if c.at == "" {
			continue
		}
		k, err := cornerAt(q, i, c.at)
		if err != nil {
			return fmt.Errorf("--%s: %w", c.flag, err)
		}
		q.Corners[k].Meant = c.meant
		says := "may bend; that is meant"
		if !c.meant {
			says = "is to run smoothly across a seam"
		}
		o.say("%s, corner %q: %s", q.Name, q.CornerName(k), says)
	}
	return nil
}

// cornerAt is the corner of an edge at its start, its end, or with the neighbour
// that is named.
func cornerAt(q *pattern.Piece, i int, at string) (int, error) {
	n := len(q.Edges)
	start, end := i, (i+1)%n
	switch at {
	case "start":
		return start, nil
	case "end":
		return end, nil
	}
	j, err := q.EdgeIndex(at)
	if err != nil {
		return 0, err
	}
	before, after := (i+n-1)%n, (i+1)%n
	switch {
	case before == after && j == before:
		return 0, fmt.Errorf("%s, %q and %q meet twice; say start or end", q.Name, q.Edges[i].Name, q.Edges[j].Name)
	case j == before:
		return start, nil
	case j == after:
		return end, nil
	}
	return 0, fmt.Errorf("%s: %q and %q do not meet; the edges beside %q are %q and %q", q.Name, q.Edges[i].Name, q.Edges[j].Name,
		q.Edges[i].Name, q.Edges[before].Name, q.Edges[after].Name)
}
