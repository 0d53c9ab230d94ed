package main

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A piece of the orchard smock that was split and joined again has the same file, to
// the byte, and so has the pattern: edges, notches and marks in their order, curves with
// the handles they had. Inputs of a mended bug: the outline began at another corner, so
// that the edges had other numbers.
func TestSplitThenJoinedIsTheSameFile(t *testing.T) {
	root := filepath.Join(t.TempDir(), "d")
	w := &worktable{t, filepath.Join(root, "orchard-smock")}
	var out strings.Builder
	require.Zero(t, run([]string{"demo", root}, &out, &out), out.String())
	before := w.files()
	for _, c := range [][2]string{
		{"back", "yoke seam@8cm:hemline@10cm"}, {"back", "armhole@5cm:hemline@8cm"}, {"yoke", "back seam@10cm:neckline@4cm"},
		{"sleeve", "head@12cm:wrist@10cm"}, {"front", "neckline@5cm:hemline@8cm"}, {"side panel", "underarm@5cm:hemline@8cm"},
	} {
		w.do("alter", "split", c[0], "--line", c[1], "--into", c[0]+",other part")
		if _, code := w.try("alter", "join", c[0], "seam to other part", "other part", "seam to "+c[0]); code != exitDone { // the grain lies on the other part
			w.do("alter", "join", "other part", "seam to "+c[0], c[0], "seam to other part", "--name", c[0])
		}
		require.Equal(t, before, w.files(), "%v", c)
	}
}
