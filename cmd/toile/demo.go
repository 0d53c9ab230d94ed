package main

import (
	"fmt"
	"io"
	"path/filepath"

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
goes through three fittings, with a branch; its album, the whole history on one page
to open in a browser; a drawing of every change, a sheet of every piece, one for a
fitting, one of a seam with both sides laid along each other, and an index page
that leads to them. A folder that is not empty is refused.

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
	album := filepath.Join(dir, "album"+albumEnding)
	if err := a.demoPages(made, album); err != nil {
		return err
	}
	last := made.Versions[len(made.Versions)-1]
	fmt.Fprintf(a.stdout, `The orchard smock is made: %d pieces, %d versions, a branch %q, %d drawings.

  the pattern   %s
  the album     %s
  the drawings  %s
  their index   %s

Open the album in a browser first. Then go into the pattern's folder and try
  toile history
  toile diff 2 3
  toile diff 4 5 --piece "side panel"
  toile measure "side panel" "back seam"
  toile check
`, made.Pieces, len(made.Versions), last.Branch, made.Files+1, made.Pattern, album, made.Drawings, made.Index)
	return nil
}

// demoPages adds what commands make of the demo's pattern: its album, and a
// sheet for the last fitting.
func (a *app) demoPages(made *demo.Made, album string) error {
	quiet := newApp(io.Discard, io.Discard)
	quiet.folder, quiet.now = made.Pattern, a.now
	if err := quiet.open(false, func(o *opened) error { return o.album(quiet, albumOptions{output: album}) }); err != nil {
		return err
	}
	return quiet.read(func(o *opened) error {
		return o.fittingSheet("back", fittingSheetOptions{output: filepath.Join(made.Drawings, "fitting-3-back.svg"), paper: "a4"})
	})
}
