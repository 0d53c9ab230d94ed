package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/repo"
)

// settledRecipes reads the recipes of a version with the ends of edges named by the
// edges that lie there. Those kept before ends were named so are told from the
// pieces as they were in the version before, or are in this one.
func (o *opened) settledRecipes(v repo.Version) (pattern.Recipes, error) {
	r, err := o.recipesOf(v)
	if err != nil || len(r.List) == 0 {
		return r, err
	}
	var patterns []*pattern.Pattern
	for _, id := range append(slices.Clone(v.Parents), v.ID) {
		at, err := o.repo.Resolve(id)
		if err != nil {
			return r, err
		}
		p, err := o.patternOf(at)
		if err != nil {
			return r, err
		}
		patterns = append(patterns, p)
	}
	for i, one := range r.List {
		for _, p := range patterns {
			if _, err := p.Piece(one.Piece); err == nil {
				r.List[i] = alter.Settled(p, one)
				break
			}
		}
	}
	return r, nil
}

// tellEnds says where places lie that a recipe counts in the order of an outline,
// as those kept before ends were named do: on a mirror image that is the other
// end, and the recipe does not tell.
func (o *opened) tellEnds(p *pattern.Pattern, r alter.Recipe) {
	settled := alter.Settled(p, r)
	for _, key := range slices.Sorted(maps.Keys(settled.Values)) {
		was, now := r.Values[key], settled.Values[key]
		if was == now || r.Kind == "flare" && !strings.Contains(was, "@") { // that counts from the end away from the hem
			continue
		}
		if was == "" {
			was = "what is left out"
		} else {
			was = fmt.Sprintf("%q", was)
		}
		o.advise("%s: %s is counted in the order of the outline, and is taken as %q here; on a mirror image of the piece that it was written for it would be the other end.", alter.Typed(r), was, now)
	}
}
