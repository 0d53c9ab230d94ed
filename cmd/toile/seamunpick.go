package main

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// unpickAlone refuses chains and flags beside --unpick, which would be lost.
func unpickAlone(cmd *cobra.Command, args []string) error {
	if len(args) != 1 {
		return usagef("--unpick takes a seam away by its name alone, as in toile seam %q --unpick", args[0])
	}
	var beside string
	cmd.Flags().Visit(func(f *pflag.Flag) {
		if f.Name != "unpick" && f.Name != "pattern" {
			beside = f.Name
		}
	})
	if beside != "" {
		return usagef("--unpick takes the seam away, so --%s has nothing to change; leave one of them out", beside)
	}
	return nil
}

// unpickSeam takes a seam out of the pattern; the pieces stay as they are.
func (o *opened) unpickSeam(name string) error {
	at := o.seamCalled(name)
	if at < 0 {
		return fmt.Errorf("there is no seam %q to unpick%s", name, seamsThere(o.seamNames()))
	}
	s := o.Seams[at]
	o.Seams = slices.Delete(o.Seams, at, at+1)
	o.say("seam %q: unpicked; it sewed %s to %s", s.Name, s.First, s.Second)
	for _, p := range s.Openings {
		o.say("  the opening %q went with it", p.Name)
	}
	return nil
}

// seamNames are the names of the pattern's seams, in their order.
func (o *opened) seamNames() []string {
	var names []string
	for _, s := range o.Seams {
		names = append(names, s.Name)
	}
	return names
}
