package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The commands of docs/tracing.md run on the page's own examples: each in a
// new pattern, and those that trace again after a plain trace.
func TestTracingPageCommands(t *testing.T) {
	page, err := os.ReadFile("../../docs/tracing.md")
	require.NoError(t, err)
	files := []string{"smock.svg", "cuff.svg", "yoke.svg", "panel.svg", "front.points"}
	blocks := regexp.MustCompile("(?ms)^```(?:svg|points)\n(.*?)^```$").FindAllStringSubmatch(string(page), -1)
	require.Len(t, blocks, len(files))
	commands := regexp.MustCompile("(?m)^    toile (.*)$").FindAllStringSubmatch(string(page), -1)
	require.Len(t, commands, 5)
	t.Setenv("GIT_CONFIG_NOSYSTEM", "1")
	t.Setenv("HOME", t.TempDir())
	for _, command := range commands {
		dir := t.TempDir()
		for i, block := range blocks {
			require.NoError(t, os.WriteFile(filepath.Join(dir, files[i]), []byte(block[1]), 0o666))
		}
		t.Chdir(dir)
		words := splitCommand(command[1])
		runs := [][]string{{"start"}, words}
		again := strings.Contains(command[1], "--place") || strings.Contains(command[1], "--drawn-within")
		if again {
			runs = [][]string{{"start"}, words[:2], words}
		}
		var out, stderr bytes.Buffer
		for _, run := range runs {
			out.Reset()
			require.Zero(t, newApp(&out, &stderr).execute(run), "toile %s\n%s", strings.Join(run, " "), stderr.String())
		}
		want := "new"
		if again {
			want = "nothing changed"
		}
		assert.Regexp(t, `^(back|side panel): `+want, out.String(), command[1])
	}
}
