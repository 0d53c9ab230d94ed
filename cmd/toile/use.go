package main

import (
	"errors"
	"slices"

	"github.com/spf13/cobra"

	"toile/repo"
)

func newUse(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "use NAME",
		Short: "Go to another branch",
		Long: `Brings the working pattern to the last version of another branch; what is
committed then goes there. What is in no version yet is kept first, as a version of
the branch that you leave, so that it is there when you come back.

` + exitCodes,
		Example: `  toile use short-sleeves
  toile use working`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.open(true, func(o *opened) error { return o.use(args[0]) })
		},
		ValidArgsFunction: inOrder(a.branchNames(), nothing),
	}
}

func (o *opened) use(name string) error {
	here, err := o.repo.Branch()
	if err != nil && !errors.Is(err, repo.ErrNoBranch) {
		return err
	}
	branches, err := o.repo.Branches()
	if err != nil {
		return err
	}
	is := func(b repo.BranchInfo) bool { return b.Name == name && b.Last != nil }
	switch {
	case here == name:
		o.say("the folder is on %s already", name)
		return nil
	case here != "" && slices.ContainsFunc(branches, is): // else Use says what there is
		if err := o.keepUnsaved("Kept before going to the branch " + name); err != nil {
			return err
		}
	}
	if err := o.repo.Use(name); err != nil {
		return err
	}
	v, err := o.lastVersion()
	if err != nil {
		return err
	}
	o.say("the folder is on %s now, at version %d: %s", name, v.Number, oneLine(v))
	return nil
}
