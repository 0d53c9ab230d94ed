package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"toile/cmd/toile/demo"
	"toile/pattern"
	"toile/repo"
)

// Every command that docs/fittings.md shows is typed as the commands want it.
func TestFittingsPageIsTypedRight(t *testing.T) {
	page, err := os.ReadFile("../../docs/fittings.md")
	require.NoError(t, err)
	seen := 0
	for _, line := range strings.Split(string(page), "\n") {
		command, ok := strings.CutPrefix(line, "    toile ")
		if !ok {
			continue
		}
		cmd, rest, err := newRoot(newApp(io.Discard, io.Discard)).Find(splitCommand(command))
		require.NoError(t, err, line)
		require.NoError(t, cmd.ParseFlags(rest), line)
		require.NoError(t, cmd.ValidateArgs(cmd.Flags().Args()), line)
		seen++
	}
	require.Greater(t, seen, 8)
}

// What the demo's fittings hold is what a user gets who types the same places:
// found by the commands on the version that was sewn.
func TestDemoFittingsAreWhatCommandsMake(t *testing.T) {
	made, err := demo.Write(filepath.Join(t.TempDir(), "demo"))
	require.NoError(t, err)
	r, err := repo.Open(made.Pattern)
	require.NoError(t, err)
	defer r.Close()
	last, err := r.Last()
	require.NoError(t, err)
	files, err := r.Read(*last)
	require.NoError(t, err)
	want, err := pattern.Decode(files)
	require.NoError(t, err)
	checked := 0
	for _, f := range want.Fittings {
		for _, n := range f.Notes {
			key := f.Key(n)
			var out, errors bytes.Buffer
			args := []string{"fitting", "amend", key, "--at", n.Place, "--on-toile", "--pattern", made.Pattern}
			require.Zero(t, run(args, &out, &errors), "%s: %s", key, errors.String())
			checked++
		}
	}
	require.Equal(t, 9, checked)
	files, err = r.Working()
	require.NoError(t, err)
	got, err := pattern.Decode(files)
	require.NoError(t, err)
	require.Equal(t, want.Fittings, got.Fittings)
}
