package repo

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// moved renames a file beside the pattern's.
func moved(t testing.TB, r *Repo, from, to string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(r.Root(), to)), 0o777))
	require.NoError(t, os.Rename(filepath.Join(r.Root(), from), filepath.Join(r.Root(), to)))
}

// Files that one side renames, a few lines changed or none, and the other changes:
// the merged tree is the one that git's own merge makes.
func TestRenamesBesideAreFollowedAsGitDoes(t *testing.T) {
	needsGit(t)
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 3))
	names := []string{"a.md", "x/b.md", "x/y/c.md", "pieces/z/d.md", "fittings/photo.txt"}
	text := func(n, side int) string {
		var b strings.Builder
		for i := range 12 {
			if side > 0 && random.IntN(10) == 0 {
				fmt.Fprintf(&b, "side %d, file %d\n", side, n)
			} else {
				fmt.Fprintf(&b, "%d line %d\n", n, i)
			}
		}
		return b.String()
	}
	clean, followed := 0, 0
	for round := range full(2, 150) {
		r := withVersions(t, 1)
		for n, name := range names {
			put(t, r, name, text(n, 0))
		}
		put(t, r, "x/z.md", "this stays\n")
		gitAdds(t, r, "shared")
		git(t, r.Root(), "branch", "side")
		renames := make([]int, len(names))
		for n := range names {
			renames[n] = random.IntN(3)
		}
		for side, branch := range []string{"working", "side"} {
			git(t, r.Root(), "checkout", "-q", branch)
			for n, name := range names {
				if random.IntN(3) > 0 {
					put(t, r, name, text(n, side+1))
				}
				if renames[n] == side+1 {
					moved(t, r, name, []string{"new/" + filepath.Base(name), name + ".txt", fmt.Sprintf("pieces/q/%d.md", n)}[random.IntN(3)])
				}
			}
			put(t, r, branch+".md", branch)
			gitAdds(t, r, branch)
		}
		git(t, r.Root(), "checkout", "-q", "working")
		r = reopened(t, r)
		tree, gitErr := tryGit(r.Root(), "-c", "merge.directoryRenames=false", "merge-tree", "--write-tree", "working", "side")
		b, open, there := mergeBeside(t, r, "side:3", undecided)
		require.Equal(t, gitErr == nil, len(open) == 0, "round %d: %v\n%s", round, open, tree)
		if gitErr != nil {
			continue
		}
		clean++
		followed += len(b.Renamed)
		files, err := r.Working()
		require.NoError(t, err)
		_, err = r.Commit(files, CommitOptions{Text: "merged", Author: someone, Time: at(9), Merges: []string{there.ID}, Beside: b})
		require.NoError(t, err)
		require.Equal(t, strings.TrimSpace(tree), git(t, r.Root(), "rev-parse", "HEAD^{tree}"), "round %d", round)
		require.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	}
	t.Logf("%d without a conflict, %d renames followed", clean, followed)
}

// What is the question where both change the same lines bears the new name.
func TestRenameBesideInConflict(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	put(t, r, "notes.md", "one\ntwo\nthree\nfour\nfive\n")
	gitAdds(t, r, "notes")
	git(t, r.Root(), "branch", "side")
	moved(t, r, "notes.md", "diary.md")
	put(t, r, "diary.md", "one\ntwo\nthree\nfour\nHERE\n")
	gitAdds(t, r, "here")
	git(t, r.Root(), "checkout", "-q", "side")
	put(t, r, "notes.md", "one\ntwo\nthree\nfour\nTHERE\n")
	gitAdds(t, r, "there")
	git(t, r.Root(), "checkout", "-q", "working")
	r = reopened(t, r)
	_, open, _ := mergeBeside(t, r, "side:3", undecided)
	require.Len(t, open, 1)
	assert.Equal(t, "diary.md", open[0].Path)
	b, _, _ := mergeBeside(t, r, "side:3", func(BesideConflict) (bool, bool) { return true, true })
	assert.Equal(t, []BesideRename{{From: "notes.md", To: "diary.md"}}, b.Renamed)
	assert.Equal(t, []string{"diary.md"}, b.Taken)
}
