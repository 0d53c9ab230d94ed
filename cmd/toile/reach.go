package main

import (
	"fmt"

	"toile/repo"
)

// reachWords says how to get to a version that the present one does not go back
// to, as the end of a sentence; empty where no branch has it.
func (o *opened) reachWords(v repo.Version) string {
	here, there, err := o.repo.HeldBy(v)
	switch {
	case err != nil:
		return ""
	case len(here) > 0:
		return fmt.Sprintf("; go to its branch first with `toile use %s`", repo.Printable(here[0]))
	case len(there) > 0:
		return fmt.Sprintf("; it is on %[1]s, which `toile merge %[1]s` brings in", repo.Printable(there[0]))
	}
	return ""
}
