package main

import (
	"fmt"
	"slices"
	"strings"

	"toile/diff"
	"toile/pattern"
	"toile/pattern/change"
	"toile/repo"
)

// placelessIn lists the changes of a diff that leave open where a line lay along
// which a piece was folded out or spread.
func placelessIn(d *change.Diff) (found []*change.Change, pieces []string) {
	for i := range d.Pieces {
		for k := range d.Pieces[i].Changes {
			if ch := &d.Pieces[i].Changes[k]; ch.Kind == change.Spread && strings.HasSuffix(ch.Says, diff.LineUntold) {
				found, pieces = append(found, ch), append(pieces, d.Pieces[i].Piece)
			}
		}
	}
	return found, pieces
}

// tellTyped tells of each line that the outlines leave open how it was typed:
// where the piece has one alteration along a line among those given, or has none
// and one of another piece was made inside along a line that runs on across it.
// It tells nothing where pieces were changed otherwise beside them.
func tellTyped(d *change.Diff, recipes []pattern.Recipe) {
	tellDrawn(d, recipes)
	if slices.ContainsFunc(recipes, func(r pattern.Recipe) bool { return r.Edited }) {
		return
	}
	found, pieces := placelessIn(d)
	for k, ch := range found {
		own, across := typedLines(recipes, pieces[k])
		typed := ""
		switch {
		case len(own) == 1:
			typed = fmt.Sprintf("%q", own[0].line)
		case len(own) == 0 && len(across) == 1:
			typed = fmt.Sprintf("%q on %s", across[0].line, across[0].piece)
		default:
			continue
		}
		ch.Says = strings.TrimSuffix(ch.Says, diff.LineUntold) + "; the line was typed as " + typed
	}
}

// typedLine is a line as it was typed, and for which piece.
type typedLine struct{ piece, line string }

// typedLines lists the lines typed for a piece, and those across others that run
// on from piece to piece.
func typedLines(recipes []pattern.Recipe, piece string) (own, across []typedLine) {
	for _, r := range recipes {
		inside := r.Values["inside"]
		switch line := r.Values["line"]; {
		case r.Piece == piece && inside != "":
			own = append(own, typedLine{r.Piece, inside})
		case r.Piece == piece && line != "" && r.Kind != "split":
			own = append(own, typedLine{r.Piece, line})
		case inside != "":
			across = append(across, typedLine{r.Piece, inside})
		}
	}
	return own, across
}

// tellTypedLines does that for two sides, the second made of the first in one
// step: by the recipes kept with a version, or made since the last.
func (o *opened) tellTypedLines(c *comparison) error {
	if !asksRecipes(&c.Diff) || c.from.kept == nil {
		return nil
	}
	if c.to.kept != nil {
		if !slices.Contains(c.to.kept.Parents, c.from.kept.ID) {
			return o.tellDrawnBetween(c)
		}
		return o.tellTypedOf(&c.Diff, *c.to.kept)
	}
	last, err := o.repo.Last()
	if err != nil || last == nil || last.ID != c.from.kept.ID {
		return err
	}
	if o.Pattern == nil {
		if err := o.decodeWorking(); err != nil {
			return err
		}
	}
	base, err := o.patternOf(*last)
	if err != nil {
		return err
	}
	made, err := o.recipesSince(base)
	tellTyped(&c.Diff, made.List)
	return err
}

// tellTypedOf does that for the changes of one version.
func (o *opened) tellTypedOf(d *change.Diff, v repo.Version) error {
	if !asksRecipes(d) {
		return nil
	}
	recipes, err := o.recipesOf(v)
	if err == nil {
		tellTyped(d, recipes.List)
	}
	return err
}
