package main

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A back on the fold is unfolded and its yoke cut off since the last version: that is
// told as both, and its lining, of which nothing lies otherwise than before, has nothing
// to follow. Input of a mended fault: the neckline, which went with the yoke, was told
// as changed on the lower back.
func TestUnfoldedAndSplitSinceTheLastVersion(t *testing.T) {
	w := lay(t, gown(t))
	w.do("alter", "lining", "back", "--as", "back lining")
	w.do("commit", "lined")
	w.do("alter", "unfold", "back")
	said := w.do("alter", "split", "back", "--line", "side seam@200:other side seam@200@end", "--into", "lower back,yoke")
	require.NotContains(t, said, "has to follow")
	require.NotContains(t, w.do("check", "--piece", "back lining"), "which changed; it has not")
	said = w.do("diff")
	require.Contains(t, said, "opened out at the fold")
	require.Contains(t, said, `"back" is split into "lower back" and "yoke"`)
	require.NotContains(t, said, "redrawn")
	require.NotContains(t, said, "no longer there")

	// What one part was given besides is told of it, and followed.
	said = w.do("alter", "let-out", "lower back", "hemline", "10")
	require.Contains(t, said, `back lining finishes to lower back, of which "hemline" changed; it has not`)
	said = w.do("diff")
	require.Contains(t, said, "opened out at the fold")
	require.Contains(t, said, `"hemline" is let down by 10 mm`)
	require.NotContains(t, said, "redrawn")
}
