package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const readmeFile, readmePicture = "../../README.md", "../../docs/images/front.svg"

// The README's worked session is what the commands really print, and its
// picture what they really draw. `go test ./cmd/toile -run Readme -update`
// writes both.
func TestReadmeSession(t *testing.T) {
	readme, err := os.ReadFile(readmeFile)
	require.NoError(t, err)
	before, rest, ok := strings.Cut(string(readme), "```console\n")
	require.True(t, ok, "the README has no ```console block")
	block, after, ok := strings.Cut(rest, "```\n")
	require.True(t, ok)
	picture, err := filepath.Abs(readmePicture)
	require.NoError(t, err)
	file, err := filepath.Abs(readmeFile)
	require.NoError(t, err)
	got, drawn := playSession(t, block)
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(before+"```console\n"+got+"```\n"+after), 0o666))
		require.NoError(t, os.WriteFile(picture, drawn, 0o666))
		return
	}
	require.Equal(t, block, got)
	want, err := os.ReadFile(picture)
	require.NoError(t, err)
	require.Equal(t, string(want), string(drawn))
}

// playSession runs the commands of a block, the lines that start with "$ ",
// in a folder that holds the drawings of testdata/session. It returns the
// block as the commands make it, and the overlay of the front.
func playSession(t *testing.T, block string) (string, []byte) {
	t.Setenv("GIT_CONFIG_NOSYSTEM", "1")
	t.Setenv("HOME", t.TempDir())
	drawings, err := filepath.Glob("../../testdata/session/*.svg")
	require.NoError(t, err)
	require.NotEmpty(t, drawings)
	dir := t.TempDir()
	for _, d := range drawings {
		text, err := os.ReadFile(d)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, filepath.Base(d)), text, 0o666))
	}
	t.Chdir(dir)
	now := time.Date(2026, 5, 6, 18, 0, 0, 0, time.UTC)
	var out bytes.Buffer
	for _, line := range strings.Split(block, "\n") {
		command, ok := strings.CutPrefix(line, "$ ")
		if !ok {
			continue
		}
		out.WriteString(line + "\n")
		words := splitCommand(command)
		switch words[0] {
		case "cd":
			require.NoError(t, os.Chdir(words[1]))
		case "toile":
			var stderr bytes.Buffer
			a := newApp(&out, &stderr)
			a.now = func() time.Time { return now }
			require.Zero(t, a.execute(words[1:]), "%s\n%s", line, stderr.String())
		default:
			t.Fatalf("the README's session runs %q; only toile and cd are known here", words[0])
		}
	}
	drawn, err := os.ReadFile(filepath.Join(dir, "drawings", "front.svg"))
	require.NoError(t, err)
	return strings.ReplaceAll(out.String(), dir, "~/sewing"), drawn
}

// splitCommand splits at spaces outside double quotes.
func splitCommand(line string) []string {
	var words []string
	for i, part := range strings.Split(line, `"`) {
		if i%2 == 1 {
			words = append(words, part)
			continue
		}
		words = append(words, strings.Fields(part)...)
	}
	return words
}
