package main

import (
	"math"
	"slices"

	"toile/pattern"
	"toile/pattern/alter"
	"toile/pattern/change"
	"toile/pattern/check"
)

// mostSmoothed is how many bends the check tries to do away with, to name the command
// that does.
const mostSmoothed = 12

// smooths tells of the working pattern which command makes an edge run on smoothly
// across a seam or a fold: the one that leaves no seam section worse, where there is
// one. Of many bends it tries the first few only.
func (o *opened) smooths() func(where, piece, edge, side string) string {
	tried := 0
	return func(where, piece, edge, side string) string {
		if tried++; tried > mostSmoothed {
			return ""
		}
		command := ""
		for _, hold := range []string{"", "side"} {
			r := alter.Recipe{Kind: "true", Piece: piece, Values: map[string]string{"edge": edge, "across": side}}
			if hold != "" {
				r.Values["hold"] = hold
			}
			result, err := o.make(o.Pattern, r)
			if err != nil || !straightened(result.Pattern, where) {
				continue
			}
			if fits := sectionsHold(o.Pattern, result.Pattern); fits || command == "" {
				command = "toile alter " + alter.Typed(r)
				if fits {
					break
				}
			}
		}
		return command
	}
}

// straightened reports whether no bend is found any more at a place.
func straightened(p *pattern.Pattern, where string) bool {
	found, err := check.Bends(p)
	return err == nil && !slices.ContainsFunc(found.Findings, func(f change.Finding) bool { return f.Where == where })
}

// sectionsHold reports whether no section of a seam is farther out than before, but
// for what is within the tolerance.
func sectionsHold(before, after *pattern.Pattern) bool {
	for i := range after.Seams {
		s := &after.Seams[i]
		k := slices.IndexFunc(before.Seams, func(b pattern.Seam) bool { return b.Name == s.Name })
		if k < 0 {
			continue
		}
		was, err := before.WalkSeam(&before.Seams[k])
		now, err2 := after.WalkSeam(s)
		if err != nil || err2 != nil || len(was) != len(now) {
			return false
		}
		for j := range now {
			left, old := math.Abs(now[j].Difference()-now[j].Ease), math.Abs(was[j].Difference()-was[j].Ease)
			if !now[j].Gathered && left > math.Max(old+worseBy, after.Tolerances.Section) {
				return false
			}
		}
	}
	return true
}
