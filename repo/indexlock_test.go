package repo

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// betweenOps runs a program between two steps of ours: just after a file was
// renamed into place.
type betweenOps struct {
	diskOps
	after string // the end of the file's path
	run   func()
}

func (o *betweenOps) Rename(from, to string) error {
	err := o.diskOps.Rename(from, to)
	if err == nil && strings.HasSuffix(filepath.ToSlash(to), o.after) {
		o.run()
	}
	return err
}

// A git commit begun after our branch has moved, and before git's index has
// followed, would put the old files into a version on top of ours. It is kept
// out by git's own lock.
func TestGitCommitBetweenBranchAndIndex(t *testing.T) {
	needsGit(t)
	for _, c := range []struct {
		after string
		do    func(r *Repo) error
	}{
		{"refs/heads/working", func(r *Repo) error {
			_, err := r.Commit(smock(2), CommitOptions{Text: "hem", Author: someone, Time: at(2)})
			return err
		}},
		{".git/HEAD", func(r *Repo) error { return r.Use("longer") }},
	} {
		r := withVersions(t, 1)
		last, err := r.Last()
		require.NoError(t, err)
		require.NoError(t, r.NewBranch("longer", *last))
		put(t, r, "notes.txt", "of a git program\n")
		ran := 0
		r.ops = &betweenOps{after: c.after, run: func() {
			ran++
			_, err := tryGit(r.Root(), "add", "notes.txt")
			assert.Error(t, err, "git staged a file")
			_, err = tryGit(r.Root(), "commit", "-q", "-m", "by git")
			assert.Error(t, err, "git made a version")
		}}
		require.NoError(t, c.do(r))
		assert.Equal(t, 1, ran)
		assert.Empty(t, r.Warnings())
		noLocks(t, r)
		assert.Equal(t, "?? notes.txt", strings.TrimSpace(git(t, r.Root(), "status", "--porcelain")))
		git(t, r.Root(), "add", "notes.txt")
		git(t, r.Root(), "commit", "-q", "-m", "by git")
		assert.Equal(t, "notes.txt", strings.TrimSpace(git(t, r.Root(), "diff", "--name-only", "HEAD~1", "HEAD")))
	}
}

// The lock of the index that a dead command of ours left is known by what it
// holds, journal or not; a git program's is not touched, however fresh.
func TestDeadIndexLock(t *testing.T) {
	for content, removed := range map[string]bool{
		indexToken:                  true,
		"":                          false,
		"DIRC of git":               false,
		indexToken + "and more":     false,
		strings.ToUpper(indexToken): false,
	} {
		r := withVersions(t, 1)
		lock := r.path("index.lock")
		require.NoError(t, os.WriteFile(lock, []byte(content), 0o666))
		require.NoError(t, os.Chtimes(lock, time.Time{}, time.Now().Add(time.Minute)))
		unlock, err := r.Lock()
		require.NoError(t, err)
		unlock()
		_, err = os.Lstat(lock)
		assert.Equal(t, removed, os.IsNotExist(err), "%q", content)
	}
	// A git program's that is written, right after a command of ours was killed
	// where it had announced its own.
	r := withVersions(t, 1)
	tip := r.position().tip
	require.NoError(t, r.announce(tip, tip, announcedIndex()))
	require.NoError(t, os.WriteFile(r.path("index.lock"), []byte("DIRC, and all that git stages"), 0o666))
	unlock, err := r.Lock()
	require.NoError(t, err)
	unlock()
	assert.FileExists(t, r.path("index.lock"))
}

// What is undecided in another's file stays undecided: its three stages stay in
// git's index, among as many others as make a sort that is not stable show.
func TestConflictsOfOthersStay(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	for i := range 60 {
		put(t, r, fmt.Sprintf("notes/%02d.txt", i), "one\n")
	}
	git(t, r.Root(), "add", "notes")
	git(t, r.Root(), "commit", "-q", "-m", "notes")
	put(t, r, "notes/30.txt", "two\n")
	git(t, r.Root(), "stash")
	put(t, r, "notes/30.txt", "three\n")
	git(t, r.Root(), "commit", "-qam", "three")
	_, err := tryGit(r.Root(), "stash", "pop")
	require.Error(t, err, "no conflict was made")
	before := git(t, r.Root(), "ls-files", "-u")
	require.Len(t, strings.Split(before, "\n"), 3)

	commit(t, reopened(t, r), 2, smock(2))
	assert.Equal(t, before, git(t, r.Root(), "ls-files", "-u"))
	assert.Equal(t, "UU notes/30.txt", strings.TrimSpace(git(t, r.Root(), "status", "--porcelain")))
}

// An index in a form that is not read here is left alone, and stops what the next
// version by git would take back.
func TestSplitIndexIsLeft(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	put(t, r, "notes.txt", "one\n")
	git(t, r.Root(), "add", "notes.txt")
	git(t, r.Root(), "update-index", "--split-index")
	put(t, r, "notes.txt", "two\n")
	git(t, r.Root(), "add", "notes.txt")
	put(t, r, "notes.txt", "three\n")

	r = reopened(t, r)
	before := standing(t, r)
	_, err := r.Commit(smock(2), CommitOptions{Text: "hem", Author: someone, Time: at(2)})
	require.ErrorContains(t, err, "git update-index --no-split-index")
	require.ErrorContains(t, err, "the next `git commit` would take back")
	assert.Equal(t, before, standing(t, r))
	assert.Equal(t, "two", git(t, r.Root(), "show", ":notes.txt"))

	git(t, r.Root(), "update-index", "--no-split-index", "--index-version", "2")
	commit(t, reopened(t, r), 2, smock(2))
	assert.Equal(t, "AM notes.txt", strings.TrimSpace(git(t, r.Root(), "status", "--porcelain")))

	// A damaged one holds nothing to keep, and is written anew.
	require.NoError(t, os.WriteFile(r.path(indexFile), []byte("DIRC and rubbish, longer than a sum"), 0o666))
	commit(t, reopened(t, r), 3, smock(3))
	assert.Equal(t, "?? notes.txt", strings.TrimSpace(git(t, r.Root(), "status", "--porcelain")))
}

// A file of the pattern's that git has left out of the folder does not count as
// removed.
func TestLeftOutFileIsNotRemoved(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	git(t, r.Root(), "update-index", "--skip-worktree", "pieces/back.yaml")
	require.NoError(t, os.Remove(r.path("../pieces/back.yaml")))
	require.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	r = reopened(t, r)
	err := committing(r, 2)
	require.ErrorContains(t, err, "`git update-index --no-skip-worktree pieces/back.yaml` and `git checkout -- pieces/back.yaml`")
	git(t, r.Root(), "update-index", "--no-skip-worktree", "pieces/back.yaml")
	git(t, r.Root(), "checkout", "--", "pieces/back.yaml")
	require.FileExists(t, r.path("../pieces/back.yaml"))
	require.ErrorIs(t, committing(reopened(t, r), 2), ErrNothingChanged)
}
