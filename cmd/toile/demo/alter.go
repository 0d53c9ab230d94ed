package demo

import (
	"toile/pattern"
	"toile/pattern/alter"
	"toile/repo"
)

// draft is the pattern under way, with the recipes of the alterations since the
// last version, as the commands would keep them.
type draft struct {
	*pattern.Pattern
	made   []pattern.Recipe
	edited bool // pieces were changed by other means since the last alteration
}

// keep takes over what an alteration made.
func (p *draft) keep(result alter.Result) {
	*p.Pattern = *result.Pattern
	result.Recipe.Edited = p.edited
	p.made, p.edited = append(p.made, result.Recipe), false
}

// recipes puts the recipes into the files of a version, if there are any, in
// place of those of the one before.
func (p *draft) recipes(files repo.Files) error {
	p.edited = false
	if len(p.made) == 0 {
		return nil
	}
	text, err := pattern.Recipes{Unit: p.Unit, List: p.made}.Encode()
	files[repo.RecipesFile], p.made = text, nil
	return err
}

// altered makes an alteration on a piece of the pattern; keys and values come
// in pairs.
func altered(p *draft, kind, piece string, values ...string) error {
	r := alter.Recipe{Kind: kind, Piece: piece, Values: map[string]string{}}
	for i := 0; i < len(values); i += 2 {
		r.Values[values[i]] = values[i+1]
	}
	result, err := alter.Make(p.Pattern, r)
	if err != nil {
		return err
	}
	p.keep(result)
	return nil
}

// carried brings the change of an edge to the layers that lay along it before.
func carried(p *draft, before *pattern.Pattern, piece, edge string) error {
	var lacking []alter.Lacking
	for _, f := range alter.Followers(p.Pattern, piece, edge) {
		if f.Why != alter.Layered {
			continue
		}
		if lacks, _ := alter.LayerLacks(p.Pattern, before, piece, edge, f.Piece); lacks {
			lacking = append(lacking, alter.Lacking{Follower: f, Before: before})
		}
	}
	result, err := alter.Carry(p.Pattern, alter.Recipe{Kind: "carry", Piece: piece, Values: map[string]string{"edge": edge}}, lacking)
	if err != nil {
		return err
	}
	p.keep(result)
	return nil
}
