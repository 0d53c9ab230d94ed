package main

import (
	"github.com/spf13/cobra"

	"toile/repo"
)

func newName(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "name NAME [V]",
		Short: "Give a version a name",
		Long: `Gives a version a name, the last version if none is said. The name then works
wherever a version is typed. Names are small letters, digits and hyphens, begin
with a letter, and stay; only an undo of the naming takes one back.

` + exitCodes,
		Example: `  toile name first-muslin
  toile name as-worn 4`,
		Args: cobra.RangeArgs(1, 2),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.open(true, func(o *opened) error { return o.nameVersion(args) })
		},
		ValidArgsFunction: inOrder(nothing, a.versions(), nothing),
	}
}

func (o *opened) nameVersion(args []string) error {
	v, err := o.lastVersion()
	if len(args) == 2 {
		v, err = o.repo.Resolve(args[1])
	}
	if err != nil {
		if _, swapped := o.repo.Resolve(args[0]); len(args) == 2 && swapped == nil && repo.ValidName(args[1]) == nil {
			return usagef("%w; the name comes first: `toile name %s %s`", err, args[1], args[0])
		}
		return err
	}
	if err := o.repo.Name(args[0], v); err != nil {
		return err
	}
	o.say("version %d is called %s: %s", v.Number, args[0], oneLine(v))
	return nil
}
