package main

import (
	"slices"

	"toile/pattern"
	"toile/pattern/change"
	"toile/pattern/check"
)

// sayUncuttable tells at once where an alteration leaves a piece without a
// cutting line that had one.
func (o *opened) sayUncuttable(before, after *pattern.Pattern, altered []string) {
	had := check.Uncuttable(before, altered)
	first := true
	for _, f := range check.Uncuttable(after, altered) {
		if slices.ContainsFunc(had, func(g change.Finding) bool { return f.Where == g.Where }) {
			continue
		}
		if first {
			o.say("\nwhat cannot be cut now")
			first = false
		}
		o.say("  %s: %s", f.Where, f.Says)
		o.say("    to do: %s; or `toile undo` takes this back", f.Do)
	}
}
