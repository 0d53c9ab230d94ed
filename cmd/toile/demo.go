package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"toile/cmd/toile/demo"
)

// demoFolder is where the demo goes when no folder is named.
const demoFolder = "toile-demo"

func newDemo(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "demo [DIR]",
		Short: "Build a sample pattern with its history and drawings",
		Long: `Builds a sample in ./` + demoFolder + `, or in DIR: an orchard smock of nine pieces that
goes through three fittings, with a branch; a drawing of every change, a sheet
of every piece, one of a seam with both sides laid along each other, and an index
page to open in a browser. A folder that is not empty is refused.

` + exitCodes,
		Example: `  toile demo
  toile demo /tmp/smock`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			dir := demoFolder
			if len(args) == 1 {
				dir = args[0]
			}
			return a.demo(dir)
		},
		ValidArgsFunction: completeFolder,
	}
}

func (a *app) demo(dir string) error {
	made, err := demo.Write(dir)
	if err != nil {
		return err
	}
	last := made.Versions[len(made.Versions)-1]
	fmt.Fprintf(a.stdout, `The orchard smock is made: %d pieces, %d versions, a branch %q, %d drawings.

  the pattern   %s
  the drawings  %s
  the index     %s

Open the index in a browser first. Then go into the pattern's folder and try
  toile history
  toile diff 2 3
  toile diff 4 5 --piece "side panel"
  toile measure "side panel" "back seam"
  toile check
`, made.Pieces, len(made.Versions), last.Branch, made.Files, made.Pattern, made.Drawings, made.Index)
	return nil
}
