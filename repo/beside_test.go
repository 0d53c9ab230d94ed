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

	"toile/diff"
)

// gitAdds keeps what lies beside the pattern's files as a version, with git.
func gitAdds(t testing.TB, r *Repo, text string) {
	t.Helper()
	git(t, r.Root(), "add", "-A")
	git(t, r.Root(), "commit", "-q", "-m", text)
}

func undecided(BesideConflict) (bool, bool) { return false, false }

func mergeBeside(t testing.TB, r *Repo, there string, decide func(BesideConflict) (bool, bool)) (*Beside, []BesideConflict, Version) {
	t.Helper()
	here, err := r.Last()
	require.NoError(t, err)
	other, err := r.Resolve(there)
	require.NoError(t, err)
	shared, err := r.Shared(*here, other)
	require.NoError(t, err)
	require.Len(t, shared, 1)
	b, open, err := r.MergeBeside(shared[0], *here, other, BesideMerge{Lines: diff.MergeLines, Decide: decide})
	require.NoError(t, err)
	return b, open, other
}

// forked has files beside the pattern's own in version 2, from which the branch
// "side" starts; version 3 there changes some.
func forked(t testing.TB) *Repo {
	t.Helper()
	r := withVersions(t, 1)
	put(t, r, "notes.md", "one\ntwo\nthree\nfour\n")
	put(t, r, "todo.txt", "buy thread\n")
	put(t, r, "photos/front/a.txt", "a\n")
	put(t, r, "pieces/drawing.txt", "a sketch\n")
	gitAdds(t, r, "notes")
	last, err := r.Last()
	require.NoError(t, err)
	require.NoError(t, r.NewBranch("side", *last))
	git(t, r.Root(), "checkout", "-q", "side")
	put(t, r, "notes.md", "one\ntwo\nthree\nFOUR\n")
	put(t, r, "new.md", "new\n")
	put(t, r, "press.sh", "#!/bin/sh\n")
	put(t, r, "photos/back/b.txt", "b\n")
	require.NoError(t, os.Chmod(filepath.Join(r.Root(), "press.sh"), 0o777))
	require.NoError(t, os.Remove(filepath.Join(r.Root(), "photos/front/a.txt")))
	require.NoError(t, os.Remove(filepath.Join(r.Root(), "pieces/drawing.txt")))
	gitAdds(t, r, "there")
	git(t, r.Root(), "checkout", "-q", "working")
	return reopened(t, r)
}

// What lies beside the pattern's files follows the folder from branch to branch,
// and what git shows stays clean.
func TestUseCarriesWhatLiesBeside(t *testing.T) {
	needsGit(t)
	r := forked(t)
	here := onDisk(t, r.Root(), ".git")
	require.NoError(t, r.Use("side"))
	require.Empty(t, r.Warnings())
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	assert.Equal(t, "new\n", get(t, r, "new.md"))
	assert.NoDirExists(t, filepath.Join(r.Root(), "photos/front"), "a folder that is empty goes")
	info, err := os.Stat(filepath.Join(r.Root(), "press.sh"))
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&0o100)
	require.NoError(t, r.Use("working"))
	assert.Equal(t, here, onDisk(t, r.Root(), ".git"))
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
}

// Nothing that is in no version is written over: an edited file, a new one in
// the way, one that git has been told of.
func TestWhatLiesBesideIsNotOverwritten(t *testing.T) {
	needsGit(t)
	for name, edit := range map[string]func(r *Repo){
		"notes.md": func(r *Repo) { put(t, r, "notes.md", "mine\n") },
		"new.md":   func(r *Repo) { put(t, r, "new.md", "mine too\n") },
		"press.sh": func(r *Repo) { put(t, r, "press.sh/a", "a folder") },
		"photos/front/a.txt": func(r *Repo) {
			put(t, r, "photos/front/a.txt", "staged\n")
			git(t, r.Root(), "add", "-A")
			put(t, r, "photos/front/a.txt", "a\n")
		},
	} {
		r := forked(t)
		edit(r)
		before := onDisk(t, r.Root(), ".git")
		status := git(t, r.Root(), "status", "--porcelain")
		var beside *BesideError
		require.ErrorAs(t, r.Use("side"), &beside, name)
		assert.Equal(t, []string{name}, beside.Names)
		there, err := r.Resolve("side:3")
		require.NoError(t, err)
		require.ErrorAs(t, r.Forward(there), &beside, name)
		assert.Equal(t, before, onDisk(t, r.Root(), ".git"), name)
		assert.Equal(t, status, git(t, r.Root(), "status", "--porcelain"), name)
	}
	r := forked(t)
	put(t, r, "todo.txt", "an edit that is not in the way\n")
	require.NoError(t, os.Remove(filepath.Join(r.Root(), "notes.md")))
	require.NoError(t, r.Use("side"))
	assert.Equal(t, " M todo.txt", git(t, r.Root(), "status", "--porcelain"))
}

// A merge takes what the other side did to such files, as git would, and undo
// leads back.
func TestMergeTakesWhatLiesBeside(t *testing.T) {
	needsGit(t)
	r := forked(t)
	put(t, r, "notes.md", "ONE\ntwo\nthree\nfour\n")
	put(t, r, "mine.md", "mine\n")
	gitAdds(t, r, "here")
	r = reopened(t, r)
	before := onDisk(t, r.Root(), ".git")
	want := git(t, r.Root(), "merge-tree", "--write-tree", "working", "side")
	b, open, there := mergeBeside(t, r, "side:3", undecided)
	require.Empty(t, open)
	assert.Equal(t, []string{"new.md", "photos/back/b.txt", "photos/front/a.txt", "press.sh", "pieces/drawing.txt"}, b.Taken)
	assert.Equal(t, []string{"notes.md"}, b.Joined)
	merging := func() error {
		files, err := r.Working()
		require.NoError(t, err)
		_, err = r.Commit(files, CommitOptions{Text: "merged", Author: someone, Time: at(9), Merges: []string{there.ID}, Beside: b})
		return err
	}
	require.NoError(t, command(r, "merge side", merging))
	assert.Equal(t, want, git(t, r.Root(), "rev-parse", "HEAD^{tree}"))
	assert.Equal(t, "ONE\ntwo\nthree\nFOUR\n", get(t, r, "notes.md"))
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	fsck(t, r.Root())
	after := onDisk(t, r.Root(), ".git")
	_, err := undoing(r)
	require.NoError(t, err)
	assert.Equal(t, before, onDisk(t, r.Root(), ".git"))
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	_, err = redoing(r)
	require.NoError(t, err)
	assert.Equal(t, after, onDisk(t, r.Root(), ".git"))
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	put(t, r, "notes.md", "an edit since\n")
	_, err = undoing(r)
	require.NoError(t, err)
	assert.Equal(t, "an edit since\n", get(t, r, "notes.md"))
	assert.Contains(t, strings.Join(r.Warnings(), "\n"), "notes.md stays")
	assert.Equal(t, " M notes.md", git(t, r.Root(), "status", "--porcelain"))
}

func TestConflictsBeside(t *testing.T) {
	needsGit(t)
	r := forked(t)
	put(t, r, "notes.md", "one\ntwo\nthree\n4\n")
	put(t, r, "photos/front/a.txt", "changed\n")
	require.NoError(t, os.Remove(filepath.Join(r.Root(), "todo.txt")))
	gitAdds(t, r, "here")
	r = reopened(t, r)
	b, open, _ := mergeBeside(t, r, "side:3", undecided)
	require.Nil(t, b)
	assert.Equal(t, []BesideConflict{
		{"notes.md", "notes.md: both changed it, and not in the same way"},
		{"photos/front/a.txt", "photos/front/a.txt: changed here and removed there"},
	}, open)
	b, open, there := mergeBeside(t, r, "side:3", func(c BesideConflict) (bool, bool) { return c.Path == "notes.md", true })
	require.Empty(t, open)
	files, err := r.Working()
	require.NoError(t, err)
	_, err = r.Commit(files, CommitOptions{Text: "merged", Author: someone, Time: at(9), Merges: []string{there.ID}, Beside: b})
	require.NoError(t, err)
	assert.Equal(t, "one\ntwo\nthree\nFOUR\n", get(t, r, "notes.md"))
	assert.Equal(t, "changed\n", get(t, r, "photos/front/a.txt"))
	assert.NoFileExists(t, filepath.Join(r.Root(), "todo.txt"))
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
}

// Random changes of files in folders: the merged tree is the one that git's own
// merge makes, and there is a conflict where git has one.
func TestMergeBesideIsWhatGitDoes(t *testing.T) {
	needsGit(t)
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 2))
	names := []string{"a.md", "b.md", "x/a.md", "x/b.md", "x/y/c.md", "pieces/z/d.md", "fittings/photo.txt"}
	text := func(n, side int) string {
		var b strings.Builder
		for i := range 9 {
			if side > 0 && random.IntN(6) == 0 {
				fmt.Fprintf(&b, "side %d\n", side)
			} else {
				fmt.Fprintf(&b, "%d line %d\n", n, i)
			}
		}
		return b.String()
	}
	clean := 0
	for round := range full(6, 150) {
		r := withVersions(t, 1)
		for n, name := range names {
			if random.IntN(4) > 0 {
				put(t, r, name, text(n, 0))
			}
		}
		put(t, r, "x/z.md", "this stays\n")
		gitAdds(t, r, "shared")
		git(t, r.Root(), "branch", "side")
		for side, branch := range []string{"working", "side"} {
			git(t, r.Root(), "checkout", "-q", branch)
			for n, name := range names {
				switch random.IntN(6) {
				case 0:
					put(t, r, name, text(n, side+1))
				case 1:
					_ = os.Remove(filepath.Join(r.Root(), name))
				}
			}
			put(t, r, branch+".md", branch)
			gitAdds(t, r, branch)
		}
		git(t, r.Root(), "checkout", "-q", "working")
		r = reopened(t, r)
		tree, gitErr := tryGit(r.Root(), "-c", "merge.renames=false", "merge-tree", "--write-tree", "working", "side")
		b, open, there := mergeBeside(t, r, "side:3", undecided)
		require.Equal(t, gitErr == nil, len(open) == 0, "round %d: %v\n%s", round, open, tree)
		if gitErr != nil {
			continue
		}
		clean++
		files, err := r.Working()
		require.NoError(t, err)
		_, err = r.Commit(files, CommitOptions{Text: "merged", Author: someone, Time: at(9), Merges: []string{there.ID}, Beside: b})
		require.NoError(t, err)
		require.Equal(t, strings.TrimSpace(tree), git(t, r.Root(), "rev-parse", "HEAD^{tree}"), "round %d", round)
		require.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	}
	assert.Positive(t, clean)
}

// With a fault at each step of going to another branch, or of a merge, the files
// beside the pattern's are wholly of one version, and git shows nothing.
func TestFaultsWithWhatLiesBeside(t *testing.T) {
	needsGit(t)
	t.Parallel()
	model := forked(t)
	put(t, model, "notes.md", "ONE\ntwo\nthree\nfour\n")
	gitAdds(t, model, "here")
	model = reopened(t, model)
	b, _, there := mergeBeside(t, model, "side:3", undecided)
	merging := func(r *Repo) error {
		return command(r, "merge", func() error {
			files, err := r.Working()
			if err != nil {
				return err
			}
			_, err = r.Commit(files, CommitOptions{Text: "merged", Author: someone, Time: at(9), Merges: []string{there.ID}, Beside: b})
			return err
		})
	}
	using := func(r *Repo) error { return command(r, "use", func() error { return r.Use("side") }) }
	undo := func(r *Repo) error { _, err := undoing(r); return err }
	merged := copyOf(t, model)
	require.NoError(t, merging(merged))
	for _, c := range []struct {
		name   string
		model  *Repo
		change func(r *Repo) error
	}{{"use", model, using}, {"merge", model, merging}, {"undo", merged, undo}} {
		t.Run(c.name, func(t *testing.T) {
			faultCases(t, func(*testing.T) *Repo { return c.model }, c.change, func(t *testing.T, r *Repo, dead bool, err error) {
				r.lockPatience = 10 * time.Second // the machine may be busy with the other cases
				unlock, lockErr := r.Lock()
				require.NoError(t, lockErr)
				unlock()
				fsck(t, r.Root())
				if c.name == "undo" && err != nil {
					_ = undo(r) // the next one ends it
				}
				if err != nil || dead { // else a failed index is a warning
					require.Empty(t, git(t, r.Root(), "status", "--porcelain"))
				}
				require.Empty(t, git(t, r.Root(), "diff", "HEAD"))
			})
		})
	}
}

// Links, and files too large to be read, stay as they lie, which is said with what
// brings them; they keep nobody from going to another branch or from merging.
func TestLinksAndLargeFilesBeside(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	last, err := r.Last()
	require.NoError(t, err)
	require.NoError(t, r.NewBranch("side", *last))
	large := strings.Repeat("a large picture\n", maxObject/16+1)
	put(t, r, "photo.bin", large)
	require.NoError(t, os.Symlink("photo.bin", filepath.Join(r.Root(), "lnk")))
	gitAdds(t, r, "large")
	r = reopened(t, r)
	require.NoError(t, r.Use("side"))
	said := strings.Join(r.Warnings(), "\n")
	assert.Contains(t, said, "photo.bin is too large to be replaced; it was left as it lies: this version has none, and it may be taken away")
	assert.Contains(t, said, "lnk is a link or another repository in one of the versions; it was left as it lies: this version has none")
	require.NoError(t, r.Use("working"))
	assert.Empty(t, r.Warnings(), "they lie there just so")
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	require.NoError(t, r.Use("side"))
	r.Warnings()
	require.NoError(t, os.Remove(filepath.Join(r.Root(), "photo.bin")))
	require.NoError(t, r.Use("working"))
	assert.Contains(t, strings.Join(r.Warnings(), "\n"), "photo.bin is too large to be written here; it was left as it lies: `git checkout HEAD -- photo.bin` brings it")
	git(t, r.Root(), "checkout", "HEAD", "--", "photo.bin")
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))

	// Changed on both sides it is a question like any other.
	git(t, r.Root(), "checkout", "-q", "-B", "side", "working")
	put(t, r, "photo.bin", large+"there")
	gitAdds(t, r, "there")
	git(t, r.Root(), "checkout", "-q", "working")
	put(t, r, "photo.bin", large+"here")
	gitAdds(t, r, "here")
	r = reopened(t, r)
	_, open, _ := mergeBeside(t, r, "side:3", undecided)
	assert.Equal(t, []BesideConflict{{"photo.bin", "photo.bin: both changed it, and not in the same way"}}, open)
}
