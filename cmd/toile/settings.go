package main

import (
	"fmt"
	"reflect"

	"toile/pattern"
)

// settingsSaid says in sentences what differs between two patterns besides
// pieces and fittings: seams, layers, allowance sets, unit and tolerances.
func settingsSaid(a, b *pattern.Pattern) []string {
	var says []string
	then := map[string]pattern.Seam{}
	for _, s := range a.Seams {
		then[s.Name] = s
	}
	for _, s := range b.Seams {
		old, ok := then[s.Name]
		switch delete(then, s.Name); {
		case !ok:
			says = append(says, fmt.Sprintf("seam %q is new: %s to %s", s.Name, s.First, s.Second))
		case !reflect.DeepEqual(old, s):
			says = append(says, fmt.Sprintf("seam %q is said otherwise: %s to %s", s.Name, s.First, s.Second))
		}
	}
	for _, s := range a.Seams {
		if _, gone := then[s.Name]; gone {
			says = append(says, fmt.Sprintf("seam %q is removed", s.Name))
		}
	}
	if !reflect.DeepEqual(a.Layers, b.Layers) {
		says = append(says, "the layers are said otherwise")
	}
	if !reflect.DeepEqual(a.Sets, b.Sets) {
		says = append(says, fmt.Sprintf("the allowance sets are %s, they were %s", list(b.Sets), list(a.Sets)))
	}
	if a.Unit != b.Unit {
		says = append(says, fmt.Sprintf("the unit is %s, it was %s", b.Unit, a.Unit))
	}
	if a.Tolerances != b.Tolerances {
		says = append(says, "the tolerances are others")
	}
	return says
}
