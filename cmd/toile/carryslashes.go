package main

import (
	"toile/pattern"
	"toile/pattern/alter"
)

// slashes are the lines along which a piece was opened or folded out in a step, as
// the alterations kept with that version tell, or those made since the last.
func (l *lookingBack) slashes(at int, q *pattern.Piece) ([]alter.Slash, error) {
	before, err := l.state(at + 1)
	if err != nil {
		return nil, err
	}
	if at < 0 {
		steps, err := l.madeNow()
		if err != nil {
			return nil, err
		}
		var made []alter.Recipe
		for _, s := range steps {
			made = append(made, s.recipe)
		}
		return alter.SlashesOf(before, l.now, made, q), nil
	}
	after, err := l.state(at)
	if err != nil {
		return nil, err
	}
	made, err := l.recipesOf(l.line[at])
	if err != nil {
		return nil, nil // without them it is told from the outlines
	}
	return alter.SlashesOf(before, after, made.List, q), nil
}
