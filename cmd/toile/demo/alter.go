package demo

import (
	"toile/pattern"
	"toile/pattern/alter"
)

// altered makes an alteration on a piece of the pattern; keys and values come
// in pairs.
func altered(p *pattern.Pattern, kind, piece string, values ...string) error {
	r := alter.Recipe{Kind: kind, Piece: piece, Values: map[string]string{}}
	for i := 0; i < len(values); i += 2 {
		r.Values[values[i]] = values[i+1]
	}
	result, err := alter.Make(p, r)
	if err != nil {
		return err
	}
	*p = *result.Pattern
	return nil
}

// carried brings the change of an edge to the layers that lay along it before.
func carried(p, before *pattern.Pattern, piece, edge string) error {
	var lacking []alter.Lacking
	for _, f := range alter.Followers(p, piece, edge) {
		if f.Why != alter.Layered {
			continue
		}
		if lacks, _ := alter.LayerLacks(p, before, piece, edge, f.Piece); lacks {
			lacking = append(lacking, alter.Lacking{Follower: f, Before: before})
		}
	}
	result, err := alter.Carry(p, alter.Recipe{Kind: "carry", Piece: piece, Values: map[string]string{"edge": edge}}, lacking)
	if err != nil {
		return err
	}
	*p = *result.Pattern
	return nil
}
