package diff_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"toile/diff"
)

func TestMergeLines(t *testing.T) {
	for _, c := range []struct {
		name, shared, here, there, want string
		ok                              bool
	}{
		{"apart", "a\nb\nc\n", "A\nb\nc\n", "a\nb\nC\n", "A\nb\nC\n", true},
		{"one side", "a\nb\n", "a\nb\n", "a\n", "a\n", true},
		{"both alike", "a\nb\nc\n", "a\nX\nc\n", "a\nX\nc\n", "a\nX\nc\n", true},
		{"the same line", "a\nb\nc\n", "a\nX\nc\n", "a\nY\nc\n", "", false},
		{"lines that touch", "a\nb\nc\n", "A\nb\nc\n", "a\nB\nc\n", "", false},
		{"both at the end", "a\n", "a\nx\n", "a\ny\n", "", false},
		{"no line end", "a\nb\nc", "A\nb\nc", "a\nb\nC", "A\nb\nC", true},
		{"from nothing", "", "x\n", "", "x\n", true},
	} {
		got, ok := diff.MergeLines(c.shared, c.here, c.there)
		assert.Equal(t, c.ok, ok, c.name)
		assert.Equal(t, c.want, got, c.name)
	}
}

func TestMergeWords(t *testing.T) {
	got, ok := diff.MergeWords("too wide at the hip, left side", "much too wide at the hip, left side", "too wide at the hip, right side")
	require.True(t, ok)
	assert.Equal(t, "much too wide at the hip, right side", got)
	_, ok = diff.MergeWords("too wide", "too narrow", "too long")
	assert.False(t, ok)
}

// Texts whose lines are all different leave one way to compare them: there
// git's merge-file says the same, also of what is in conflict.
func TestMergeLinesIsWhatGitDoes(t *testing.T) {
	if _, err := exec.LookPath("git"); err != nil {
		if os.Getenv("TOILE_ALL") == "1" {
			t.Fatal("the git program is missing, and TOILE_ALL=1 demands it")
		}
		t.Skip("the git program is missing")
	}
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 1))
	dir, clean := t.TempDir(), 0
	for range 60 {
		texts := [3]string{}
		lines := make([]string, 12)
		for i := range lines {
			lines[i] = fmt.Sprintf("line %d\n", i)
		}
		texts[0] = strings.Join(lines, "")
		for side := 1; side < 3; side++ {
			texts[side] = strings.Join(edited(random, lines, side), "")
		}
		for i, text := range texts {
			require.NoError(t, os.WriteFile(filepath.Join(dir, fmt.Sprint(i)), []byte(text), 0o666))
		}
		c := exec.Command("git", "merge-file", "-p", "1", "0", "2")
		c.Dir = dir
		out, err := c.Output()
		got, ok := diff.MergeLines(texts[0], texts[1], texts[2])
		require.Equal(t, err == nil, ok, "%q", texts)
		if ok {
			clean++
			require.Equal(t, string(out), got, "%q", texts)
		}
	}
	assert.Greater(t, clean, 5)
}

// edited makes one or two changes; what it adds names the side.
func edited(random *rand.Rand, lines []string, side int) []string {
	out := slices.Clone(lines)
	for n := range 1 + random.IntN(2) {
		at := random.IntN(len(out))
		fresh := fmt.Sprintf("side %d, %d\n", side, n)
		switch random.IntN(3) {
		case 0:
			out[at] = fresh
		case 1:
			out = slices.Insert(out, at, fresh)
		default:
			out = slices.Delete(out, at, at+1)
		}
	}
	return out
}
