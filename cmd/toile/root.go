package main

import (
	"strings"

	"runtime/debug"

	"github.com/spf13/cobra"
)

// newRoot builds the whole tree of commands.
func newRoot(a *app) *cobra.Command {
	root := &cobra.Command{
		Use:   "toile",
		Short: "Keeps a sewing pattern, its fittings and its alterations under version control",
		Long: `toile keeps a sewing pattern under version control: trace your pieces in, name
their edges, commit, alter them on paper, trace them again, and see in figures
and as a drawing what changed.

A pattern is a folder of plain text files. Commands work on the pattern of the
current folder, or of one of the folders above it; --pattern names another.
Lengths are typed as 7cm, 70mm, 2.75in, 5/8in or "1 3/8in"; a bare number
counts in the pattern's unit.

` + exitCodes,
		Example: `  toile start orchard-smock
  cd orchard-smock
  toile trace ../back.svg ../front.svg --allowance 1cm
  toile edge front 2 "side seam" --allowance 1.5cm
  toile seam "side seam" "front/side seam" "back/side seam"
  toile commit "as drafted"
  toile diff`,
		DisableFlagsInUseLine: true,

		SilenceErrors: true,
		SilenceUsage:  true,
		PersistentPreRun: func(*cobra.Command, []string) {
			a.begun = true
		},
	}
	root.Version = buildVersion(debug.ReadBuildInfo())
	root.SetVersionTemplate("toile {{.Version}}\n")
	root.Flags().Bool("version", false, "print which build of toile this is")
	root.PersistentFlags().StringVar(&a.folder, "pattern", "", "the pattern's `DIR`, if it is not the current folder or one above it")
	cobra.CheckErr(root.MarkPersistentFlagDirname("pattern"))
	root.AddCommand(
		newStart(a), newTrace(a), newPieces(a), newDraw(a), newEdge(a), newAlter(a), newRecipe(a), newSeam(a), newLayers(a),
		newMeasure(a), newCheck(a), newCommit(a), newHistory(a), newName(a), newDiff(a), newPrint(a), newCuttingList(a), newDemo(a),
	)
	for _, cmd := range root.Commands() {
		cmd.Args = plainly(cmd.Args)
	}
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error {
		if strings.Contains(err.Error(), "shorthand") {
			return usagef("%w; a word that begins with a minus goes behind a lone --", err)
		}
		return err
	})
	return root
}

// plainly says how a command is typed where the number of words is wrong.
func plainly(check cobra.PositionalArgs) cobra.PositionalArgs {
	if check == nil {
		return nil
	}
	return func(cmd *cobra.Command, args []string) error {
		if check(cmd, args) == nil {
			return nil
		}
		if len(args) == 0 {
			return usagef("something is missing; it is typed: %s", cmd.UseLine())
		}
		return usagef("%s after %q; it is typed: %s", count(len(args), "word does not fit", "words do not fit"), cmd.Name(), cmd.UseLine())
	}
}

// unreleased is what the build information says where there is no version.
const unreleased = "(devel)"

// buildVersion is the version that the program was built from, as the build
// itself recorded it.
func buildVersion(info *debug.BuildInfo, ok bool) string {
	if !ok || info.Main.Version == "" || info.Main.Version == unreleased {
		return "built from its source, without a version number"
	}
	return info.Main.Version
}
