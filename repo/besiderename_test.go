package repo

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
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

// What git reports as a conflict of names is asked: a file that both sides renamed,
// or one renamed and the other removed, and an empty one, which is never followed.
func TestNamesBesideThatAreAsked(t *testing.T) {
	needsGit(t)
	const text = "one\ntwo\nthree\nfour\nfive\n"
	for _, c := range []struct {
		name        string
		was         string
		here, there map[string]string // what they have in its place
		says        string
		keep        [2]map[string]string
	}{
		{"renamed on both sides", text, map[string]string{"fabric.txt": text + "here\n"}, map[string]string{"cloth.txt": "there\n" + text},
			"notes.txt: called fabric.txt here and called cloth.txt there",
			[2]map[string]string{{"fabric.txt": "there\n" + text + "here\n"}, {"cloth.txt": "there\n" + text + "here\n"}}},
		{"renamed here, removed there", text, map[string]string{"fabric.txt": text + "here\n"}, nil,
			"notes.txt: called fabric.txt here and removed there", [2]map[string]string{{"fabric.txt": text + "here\n"}, {}}},
		{"removed here, renamed there", text, nil, map[string]string{"cloth.txt": text},
			"notes.txt: removed here and called cloth.txt there", [2]map[string]string{{}, {"cloth.txt": text}}},
		{"empty", "", map[string]string{"fabric.txt": ""}, map[string]string{"notes.txt": "text\n"},
			"notes.txt: removed here and changed there", [2]map[string]string{{"fabric.txt": ""}, {"fabric.txt": "", "notes.txt": "text\n"}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := withVersions(t, 1)
			put(t, r, "notes.txt", c.was)
			gitAdds(t, r, "notes")
			git(t, r.Root(), "branch", "side")
			for branch, files := range map[string]map[string]string{"working": c.here, "side": c.there} {
				git(t, r.Root(), "checkout", "-q", branch)
				require.NoError(t, os.Remove(filepath.Join(r.Root(), "notes.txt")))
				for name, content := range files {
					put(t, r, name, content)
				}
				gitAdds(t, r, branch)
			}
			git(t, r.Root(), "checkout", "-q", "working")
			r = reopened(t, r)
			_, gitErr := tryGit(r.Root(), "merge-tree", "--write-tree", "working", "side")
			require.Error(t, gitErr, "git asks too")
			_, open, _ := mergeBeside(t, r, "side:3", undecided)
			require.Equal(t, []BesideConflict{{Path: "notes.txt", Says: c.says}}, open)
			for side, want := range c.keep {
				b, open, _ := mergeBeside(t, r, "side:3", func(BesideConflict) (bool, bool) { return side == 1, true })
				require.Empty(t, open)
				got := map[string]string{}
				for _, e := range b.others[""] {
					if content, err := r.object(plumbing.BlobObject, e.id); err == nil {
						got[e.name] = string(content)
					}
				}
				assert.Equal(t, want, got)
			}
		})
	}
}

// A great many names of one text full of lines, a bundle of 25 KB: the merge takes no
// longer than any, and with too much to compare it says what was not looked for.
func TestRenamesBesideAreBounded(t *testing.T) {
	needsGit(t)
	for _, c := range []struct {
		name     string
		was      string
		there    func(n int) string
		unsought bool
	}{
		{"one text", "one\ntwo\n", func(int) string { return strings.Repeat("\n", 1<<20) }, false},
		{"one text as long", strings.Repeat("x\n", 1<<19), func(int) string { return strings.Repeat("\n", 1<<20) }, false},
		{"many texts as long", strings.Repeat("x\n", 1<<19), func(n int) string { return strings.Repeat("\n", 1<<20-n) }, true},
	} {
		r := withVersions(t, 1)
		put(t, r, "notes.txt", c.was)
		gitAdds(t, r, "notes")
		git(t, r.Root(), "branch", "side")
		put(t, r, "notes.txt", c.was+"here\n")
		gitAdds(t, r, "here")
		git(t, r.Root(), "checkout", "-q", "side")
		require.NoError(t, os.Remove(filepath.Join(r.Root(), "notes.txt")))
		for n := range 18 {
			put(t, r, fmt.Sprintf("many/%d.txt", n), c.there(n))
		}
		gitAdds(t, r, "there")
		git(t, r.Root(), "checkout", "-q", "working")
		r = reopened(t, r)
		_, open, _ := mergeBeside(t, r, "side:3", undecided)
		require.Len(t, open, 1)
		assert.Equal(t, c.unsought, strings.Contains(open[0].Says, "was not looked for"), "%s: %s", c.name, open[0].Says)
		assert.Contains(t, open[0].Says, "notes.txt: changed here and removed there")
	}
}
