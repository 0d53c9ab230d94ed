package main

import (
	"fmt"
	"slices"

	"toile/pattern"
	"toile/pattern/change"
	"toile/render/paper"
)

// legible is a piece under a name that can be read on paper: its own, or where the
// letters of the print lack a sign of it its number in `toile pieces` before what is
// left, as several such names would look alike. says explains that on the plan, ""
// where there is nothing to explain.
func (s diffSide) legible(q *pattern.Piece) (shown *pattern.Piece, says string, err error) {
	readable, err := paper.Readable(q.Name)
	i := slices.IndexFunc(s.Pieces, func(p *pattern.Piece) bool { return p.Name == q.Name })
	if readable || err != nil || i < 0 {
		return q, "", err
	}
	shown = q.Clone()
	shown.Name = fmt.Sprintf("piece %d (%s)", i+1, q.Name)
	return shown, fmt.Sprintf("piece %d (%s): the letters of the print lack signs of its name; it is number %d of `toile pieces`, and its file is %s",
		i+1, q.Name, i+1, q.FileName()), nil
}

// legibleRows gives the rows of a cutting list names that can be read.
func (s diffSide) legibleRows(rows []pattern.CutRow) (err error) {
	for i := range rows {
		if rows[i].Piece, _, err = s.legible(rows[i].Piece); err != nil {
			return err
		}
	}
	return nil
}

// legible gives both states of a piece that changed one name that can be read.
func (c *comparison) legible(p *change.PieceDiff) error {
	before, now := p.Old, p.New
	name := p.Piece
	var err error
	if now != nil {
		p.New, _, err = c.to.legible(now)
	}
	if before != nil && err == nil {
		p.Old, _, err = c.from.legible(before)
	}
	if err != nil {
		return err
	}
	switch {
	case p.New != nil && p.New.Name != now.Name:
		p.Piece = p.New.Name
	case p.New == nil && p.Old.Name != before.Name:
		p.Piece = p.Old.Name
	default:
		p.Piece = name
	}
	if p.New != nil && p.Old != nil && now.Name == before.Name {
		p.Old = before.Clone()
		p.Old.Name = p.New.Name // its number may be another
	}
	return nil
}
