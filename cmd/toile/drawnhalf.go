package main

import (
	"slices"

	"toile/pattern"
	"toile/pattern/change"
)

// asksRecipes reports whether a diff leaves open what the recipes of its
// alterations may tell: where a line lay, or which side an opened half showed.
func asksRecipes(d *change.Diff) bool {
	found, _ := placelessIn(d)
	return len(found) > 0 || slices.ContainsFunc(d.Pieces, func(p change.PieceDiff) bool { return p.Unfolded() != nil })
}

// tellDrawn tells of halves that were opened out which of the wearer's sides they
// showed, as it was said when they were. One that was renamed besides is known where
// no other was opened out.
func tellDrawn(d *change.Diff, recipes []pattern.Recipe) {
	var opened []*change.PieceDiff
	for i := range d.Pieces {
		if d.Pieces[i].Unfolded() != nil {
			opened = append(opened, &d.Pieces[i])
		}
	}
	said := slices.DeleteFunc(slices.Clone(recipes), func(r pattern.Recipe) bool { return r.Kind != "unfold" })
	for _, p := range opened {
		alone := len(opened) == 1 && len(said) == 1
		for _, r := range said {
			if alone || r.Piece == p.Piece || r.Piece == p.Before {
				p.Drawn = pattern.WearerSide(r.Values["drawn"])
			}
		}
	}
}

// tellDrawnBetween does that for two versions with others between them.
func (o *opened) tellDrawnBetween(c *comparison) error {
	line, err := o.repo.Line(*c.to.kept)
	if err != nil {
		return err
	}
	var all []pattern.Recipe
	for _, v := range line {
		if v.ID == c.from.kept.ID {
			tellDrawn(&c.Diff, all)
			return nil
		}
		made, err := o.recipesOf(v)
		if err != nil {
			return err
		}
		all = append(all, made.List...)
	}
	return nil
}
