package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write what is generated instead of comparing it")

const referenceFile = "../../docs/commands.md"

// docs/commands.md is what the commands say of themselves. After a change:
// go test ./cmd/toile -run Reference -update
func TestReference(t *testing.T) {
	got := reference(newRoot(newApp(io.Discard, io.Discard)))
	if *update {
		require.NoError(t, os.WriteFile(referenceFile, []byte(got), 0o644))
	}
	want, err := os.ReadFile(referenceFile)
	require.NoError(t, err)
	assert.Equal(t, string(want), got, "docs/commands.md is not what the commands say; run go test ./cmd/toile -run Reference -update")
}

// withCommands are the commands that have commands of their own.
var withCommands = []string{"alter", "share", "fitting"}

// Every command says what it does, in short and at length, its exit codes, and
// shows how it is typed; every flag says what it is for.
func TestEveryCommandExplainsItself(t *testing.T) {
	root := newRoot(newApp(io.Discard, io.Discard))
	all := append(root.Commands(), root)
	for _, c := range root.Commands() {
		if slices.Contains(withCommands, c.Name()) {
			all = append(all, c.Commands()...)
		}
	}
	for _, c := range all {
		assert.NotEmpty(t, c.Short, c.Name())
		assert.NotContains(t, c.Short, "\n", c.Name())
		assert.Contains(t, c.Long, exitCodes, c.Name())
		assert.Contains(t, c.Example, "  toile ", c.Name())
		c.LocalFlags().VisitAll(func(f *pflag.Flag) { assert.NotEmpty(t, f.Usage, "%s --%s", c.Name(), f.Name) })
	}
}

// The words of other programs for versions have no place in what this one
// says of itself.
func TestHelpSpeaksOfVersionsOnly(t *testing.T) {
	text := strings.ToLower(reference(newRoot(newApp(io.Discard, io.Discard))))
	for _, word := range []string{"stage", "staging", "checkout", "check out", "repository", "repo", "hash", "sha", "merge base", "remote", "push", "pull request", "rebase", "stash", "blob"} {
		for _, found := range strings.FieldsFunc(text, func(r rune) bool { return r < 'a' || r > 'z' }) {
			assert.NotEqual(t, word, found)
		}
	}
}

// reference prints the whole tree of commands as one page.
func reference(root *cobra.Command) string {
	root.InitDefaultCompletionCmd("x")
	var b strings.Builder
	b.WriteString("# Commands\n\nGenerated from the program: what is below is what `toile COMMAND --help` says.\n\n")
	section(&b, "## toile", root)
	for _, c := range root.Commands() {
		if !c.Hidden && c.Name() != "help" {
			fmt.Fprintf(&b, "\n")
			section(&b, "## toile "+c.Name(), c)
			if slices.Contains(withCommands, c.Name()) {
				for _, k := range c.Commands() {
					b.WriteString("\n")
					section(&b, "### toile "+c.Name()+" "+k.Name(), k)
				}
			}
		}
	}
	return b.String()
}

func section(b *strings.Builder, title string, c *cobra.Command) {
	long := c.Long
	if c.Name() == "completion" {
		long = "Prints a script that makes a shell complete commands, pieces, edges and\nversions; `toile completion bash --help` says how to use it. Shells: bash, fish,\npowershell, zsh."
	}
	fmt.Fprintf(b, "%s\n\n%s.\n\n```\n%s\n```\n\n```text\n%s\n```\n", title, c.Short, c.UseLine(), long)
	if c.Example != "" {
		fmt.Fprintf(b, "\nExamples:\n\n```\n%s\n```\n", c.Example)
	}
	if flags := c.LocalFlags(); flags.HasAvailableFlags() {
		fmt.Fprintf(b, "\nFlags:\n\n```\n%s```\n", flags.FlagUsages())
	}
}

// Each command is called what the list of them says, and by itself it is the same
// as among all.
func TestCommandsByThemselves(t *testing.T) {
	all := newRoot(newApp(io.Discard, io.Discard))
	require.Len(t, all.Commands(), len(commands))
	for _, c := range commands {
		root := newRootFor(newApp(io.Discard, io.Discard), c.name)
		require.Len(t, root.Commands(), 1)
		alone := root.Commands()[0]
		require.Equal(t, c.name, alone.Name())
		among, _, err := all.Find([]string{c.name})
		require.NoError(t, err)
		require.Equal(t, among.UsageString(), alone.UsageString())
	}
}
