package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"toile/pattern"
	"toile/pattern/units"
	"toile/repo"
)

type startOptions struct {
	name string
	unit string
}

func newStart(a *app) *cobra.Command {
	var opt startOptions
	cmd := &cobra.Command{
		Use:   "start [DIR]",
		Short: "Start a pattern",
		Long: `Starts a pattern in a folder, which is made if it is missing; the current folder
if none is named. The pattern is called as its folder unless --name says
otherwise. Nothing is kept yet: the first commit makes version 1.

` + exitCodes,
		Example: `  toile start orchard-smock --name "Orchard smock"
  toile start --unit in`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			dir := a.folder
			if len(args) == 1 {
				dir = args[0]
				if a.folder != "" {
					return usagef("a folder is named twice, %s and %s; leave one out", args[0], a.folder)
				}
			}
			return a.start(dir, opt)
		},
		ValidArgsFunction: completeFolder,
	}
	cmd.Flags().StringVar(&opt.name, "name", "", "what the pattern is called")
	cmd.Flags().StringVar(&opt.unit, "unit", string(units.Centimetre), "what bare numbers count in: cm, mm or in")
	completeFlag(cmd, "unit", "cm", "mm", "in")
	return cmd
}

func (a *app) start(dir string, opt startOptions) error {
	unit, err := units.ParseUnit(opt.unit)
	if err != nil {
		return usagef("--unit: %w", err)
	}
	where := dir // as it was typed
	if dir == "" {
		dir, where = ".", "this folder"
	}
	if dir, err = absolute(dir); err != nil {
		return err
	}
	name := opt.name
	if name == "" {
		name = filepath.Base(dir)
	}
	if name, err = pattern.CleanName(name); err != nil {
		return fmt.Errorf("%w; give the pattern another with --name", err)
	}
	files, err := pattern.New(name, unit).Encode()
	if err != nil {
		return err
	}
	r, err := repo.Start(dir, files)
	if err != nil {
		return err
	}
	defer r.Close()
	fmt.Fprintf(a.stdout, "%s: started in %s, unit %s\n", name, where, unit)
	fmt.Fprintln(a.stderr, "Bring pieces in with `toile trace FILE`, then keep them with `toile commit TEXT`.")
	return nil
}
