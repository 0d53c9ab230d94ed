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
