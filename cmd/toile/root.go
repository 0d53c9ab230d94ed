package main

import (
	"errors"
	"regexp"
	"runtime/debug"
	"strings"
	"sync"

	"github.com/spf13/cobra"

	"toile/pattern/alter"
)

// commands are those right below the root, with their names, so that one can be
// built without the others: together they take as long as a small command does.
var commands = []struct {
	name string
	make func(*app) *cobra.Command
}{
	{"start", newStart}, {"trace", newTrace}, {"pieces", newPieces}, {"draw", newDraw}, {"edge", newEdge}, {"alter", newAlter},
	{"recipe", newRecipe}, {"seam", newSeam}, {"layers", newLayers}, {"measure", newMeasure}, {"check", newCheck},
	{"fitting", newFitting}, {"commit", newCommit}, {"history", newHistory}, {"name", newName}, {"diff", newDiff},
	{"print", newPrint}, {"cutting-list", newCuttingList}, {"export", newExport}, {"branch", newBranch}, {"use", newUse},
	{"bring-back", newBringBack}, {"merge", newMerge}, {"revert", newRevert}, {"undo", newUndo}, {"share", newShare},
	{"album", newAlbum}, {"demo", newDemo},
}

// newRoot builds the whole tree of commands.
func newRoot(a *app) *cobra.Command { return newRootFor(a, "") }

// newRootFor builds the tree with the one command that a word names, or with all
// of them where it names none.
func newRootFor(a *app, word string) *cobra.Command {
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
	addCommands(root, a, word)
	sayPlainly(root)
	root.SetFlagErrorFunc(flagProblem)
	return root
}

func addCommands(root *cobra.Command, a *app, word string) {
	for _, c := range commands {
		if c.name == word {
			root.AddCommand(c.make(a))
			return
		}
	}
	for _, c := range commands {
		root.AddCommand(c.make(a))
	}
}

// sayPlainly has every command below one say how it is typed.
func sayPlainly(parent *cobra.Command) {
	for _, cmd := range parent.Commands() {
		cmd.Args = plainly(cmd.Args)
		sayPlainly(cmd)
	}
}

// minusWord finds the word that began with a minus and is no flag.
var minusWord = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`shorthand flag: .* in (-\S+)$`) })

// flagProblem says what a word that begins with a minus may have been meant as.
func flagProblem(cmd *cobra.Command, err error) error {
	m := minusWord().FindStringSubmatch(err.Error())
	if m == nil {
		return err
	}
	if word := m[1]; word[1] == '.' || word[1] >= '0' && word[1] <= '9' {
		if cmd.HasParent() && cmd.Parent().Name() == "alter" {
			if undoes := alter.Undoes(cmd.Name()); undoes != "" {
				return usagef("%s is less than nothing; to %s, type: toile alter %s … %s", word, undoes, undoes, strings.TrimPrefix(word, "-"))
			}
		}
		return usagef("%s: an amount below nothing goes behind a lone --, as in -- %s, with the flags before it", word, word)
	}
	return usagef("%w; a word that begins with a minus goes behind a lone --", err)
}

// plainly says how a command is typed where the number of words is wrong.
func plainly(check cobra.PositionalArgs) cobra.PositionalArgs {
	if check == nil {
		return nil
	}
	return func(cmd *cobra.Command, args []string) error {
		err := check(cmd, args)
		var usage *usageError
		if err == nil || errors.As(err, &usage) {
			return err
		}
		if needed := neededWords(cmd); len(args) < len(needed) {
			missing := needed[len(args):]
			return usagef("%s %s missing; it is typed: %s", list(missing), map[bool]string{true: "is", false: "are"}[len(missing) == 1], cmd.UseLine())
		}
		return usagef("%s after %q; it is typed: %s", count(len(args), "word does not fit", "words do not fit"), cmd.Name(), cmd.UseLine())
	}
}

// neededWords are the words that have to be typed behind a command, as its
// usage line calls them.
func neededWords(cmd *cobra.Command) []string {
	var needed []string
	for _, word := range strings.Fields(cmd.Use)[1:] {
		if strings.HasPrefix(word, "[") {
			break
		}
		needed = append(needed, word)
	}
	return needed
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
