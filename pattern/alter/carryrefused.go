package alter

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"toile/pattern"
)

// Carry makes a recipe of kind carry, given what the followers lack. A refusal
// names the alteration that brings a sewn-to edge to the length of its seam,
// where one does.
func Carry(p *pattern.Pattern, r Recipe, lacking []Lacking) (Result, error) {
	result, err := makeWith(p, r, append([]Lacking{}, lacking...))
	if err == nil {
		return result, nil
	}
	if within := (withinEdge{}); errors.As(err, &within) {
		return result, othersCan(p, r, lacking, err) // nothing at an end of the seam is what changed within it
	}
	for _, l := range lacking {
		if l.Why != Sewn {
			continue
		}
		if instead, ok := ToFit(p, &p.Seams[l.seam], nil, l.side); ok {
			err = fmt.Errorf("%w; `toile alter %s` brings it to the length", err, Typed(instead))
			break
		}
	}
	return result, othersCan(p, r, lacking, err)
}

// othersCan says in the refusal of what one follower cannot be given which of the
// others can have it.
func othersCan(p *pattern.Pattern, r Recipe, lacking []Lacking, err error) error {
	var can []string
	tried := map[string]bool{}
	for _, l := range lacking {
		if tried[l.Piece] || len(lacking) < 2 {
			continue
		}
		tried[l.Piece] = true
		alone := r
		alone.Values = maps.Clone(r.Values)
		alone.Values["to"] = l.Piece
		its := slices.DeleteFunc(slices.Clone(lacking), func(o Lacking) bool { return o.Piece != l.Piece })
		if _, errAlone := makeWith(p, alone, its); errAlone == nil {
			can = append(can, fmt.Sprintf("`toile alter %s`", Typed(alone)))
		}
	}
	if len(can) == 0 {
		return err
	}
	return fmt.Errorf("%w; what else follows can have it: %s", err, strings.Join(can, ", "))
}
