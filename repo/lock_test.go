package repo

import (
	"fmt"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLockKeepsOthersOut(t *testing.T) {
	r := withVersions(t, 1)
	other := reopened(t, r)
	unlock, err := r.Lock()
	require.NoError(t, err)
	again, err := r.Lock() // counted, for whoever holds it
	require.NoError(t, err)
	before := onDisk(t, r.Root())
	_, err = other.Commit(smock(2), CommitOptions{Text: "x", Author: someone, Time: at(2)})
	assert.ErrorIs(t, err, ErrBusy)
	assert.ErrorContains(t, err, "run this one again")
	assert.Equal(t, before, onDisk(t, r.Root()))
	again()
	again()
	_, err = other.Lock()
	assert.ErrorIs(t, err, ErrBusy, "unlocking twice counts once")
	unlock()
	commit(t, other, 2, smock(2))
}

// emptied is a branch file as a disk leaves it after the power went.
func TestEmptyBranchIsNoNewHistory(t *testing.T) {
	for name, content := range map[string]string{"empty": "", "blank": "\n", "torn": "0123abcd", "zeros": strings.Repeat("\x00", 41), "symbolic": "ref: refs/heads/side\n"} {
		t.Run(name, func(t *testing.T) {
			r := withVersions(t, 2)
			require.NoError(t, os.WriteFile(r.path("refs/heads/working"), []byte(content), 0o666))
			before := onDisk(t, r.Root(), ".git/toile")
			other := reopened(t, r)
			_, err := other.Last()
			var damaged *DamagedError
			require.ErrorAs(t, err, &damaged)
			assert.ErrorContains(t, err, `the branch "working"`)
			_, err = other.History()
			assert.Error(t, err)
			_, err = other.Commit(smock(3), CommitOptions{Text: "x", Author: someone, Time: at(3)})
			assert.ErrorAs(t, err, &damaged)
			assert.Equal(t, before, onDisk(t, r.Root(), ".git/toile"))
		})
	}
	t.Run("gone", func(t *testing.T) {
		r := withVersions(t, 2)
		require.NoError(t, os.Remove(r.path("refs/heads/working")))
		_, err := reopened(t, r).Last()
		assert.ErrorContains(t, err, "has lost its versions")
	})
	t.Run("head", func(t *testing.T) {
		for _, content := range []string{"", "ref: refs/heads/../../x", "ref: refs/tags/x", "hello"} {
			r := withVersions(t, 2)
			require.NoError(t, os.WriteFile(r.path("HEAD"), []byte(content), 0o666))
			_, err := reopened(t, r).Last()
			assert.ErrorContains(t, err, "which branch")
		}
	})
	t.Run("packed", func(t *testing.T) {
		r := withVersions(t, 2)
		require.NoError(t, os.WriteFile(r.path("packed-refs"), []byte("# pack-refs with: peeled\nxyz refs/heads/a\n"), 0o666))
		_, err := reopened(t, r).Branches()
		assert.ErrorContains(t, err, "packed-refs")
	})
}

func TestLockFileOfAnotherProgram(t *testing.T) {
	for _, age := range []time.Duration{0, 11 * time.Minute} {
		r := withVersions(t, 1)
		lock := r.path("refs/heads/working.lock")
		require.NoError(t, os.WriteFile(lock, nil, 0o666))
		made := time.Now().Add(-age)
		require.NoError(t, os.Chtimes(lock, made, made))
		put(t, r, "pieces/back.yaml", "{name: back, hem: 598}\n") // would become canonical
		before := onDisk(t, r.Root(), ".git/objects", ".git/toile")
		_, err := r.Commit(smock(2), CommitOptions{Text: "x", Author: someone, Time: at(2)})
		var held *LockFileError
		require.ErrorAs(t, err, &held)
		assert.Equal(t, lock, held.Path)
		assert.Equal(t, age > 0, held.Stale)
		assert.ErrorContains(t, err, lock)
		assert.ErrorContains(t, err, "nothing was changed")
		assert.Equal(t, before, onDisk(t, r.Root(), ".git/objects", ".git/toile"))
		require.NoError(t, os.Remove(lock))
		commit(t, r, 2, smock(2))
	}
}

func TestIndexLockOfAnotherProgramIsAWarning(t *testing.T) {
	r := withVersions(t, 1)
	require.NoError(t, os.WriteFile(r.path("index.lock"), []byte("held"), 0o666))
	v, err := r.Commit(smock(2), CommitOptions{Text: "x", Author: someone, Time: at(2)})
	require.NoError(t, err)
	assert.Equal(t, 2, v.Number)
	warnings := r.Warnings()
	require.Len(t, warnings, 1)
	assert.Contains(t, warnings[0], "index.lock")
	require.NoError(t, os.Remove(r.path("index.lock")))
	commit(t, r, 3, smock(3))
}

// A lock of the announced name that another program made is not ours to remove.
func TestJournalSparesOthersLocks(t *testing.T) {
	r := withVersions(t, 1)
	lock := r.path("refs/heads/working.lock")
	mine := strings.Repeat("ab", 20) + "\n"
	journal := func() {
		last := r.position().tip
		require.NoError(t, r.announce(last, last, announced{path: "refs/heads/working.lock", content: []byte(mine)}))
	}
	for name, c := range map[string]struct {
		content string
		age     time.Duration // of the lock, after the journal
		removed bool
	}{
		"ours, whole":         {mine, time.Hour, true},
		"ours, torn":          {mine[:7], 0, true},
		"another's":           {strings.Repeat("cd", 20) + "\n", 0, false},
		"empty, made later":   {"", time.Minute, false},
		"empty, made earlier": {"", -time.Minute, false},
	} {
		journal()
		require.NoError(t, os.WriteFile(lock, []byte(c.content), 0o666))
		info, err := os.Stat(r.own(journalFile))
		require.NoError(t, err)
		made := info.ModTime().Add(c.age)
		require.NoError(t, os.Chtimes(lock, made, made))
		unlock, err := r.Lock()
		require.NoError(t, err)
		unlock()
		_, err = os.Stat(lock)
		assert.Equal(t, c.removed, os.IsNotExist(err), name)
		_ = os.Remove(lock)
	}
	for _, path := range []string{"../pattern.yaml.lock", "config", "refs/heads/../../HEAD.lock", "objects/ab.lock", "refs/heads/a.lock.lock"} {
		assert.False(t, lockable(path), path)
	}
}

// addOne reads, adds a piece and commits, as a command does.
func addOne(r *Repo, piece string) error {
	unlock, err := r.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	files, err := r.Working()
	if err != nil {
		return err
	}
	files["pieces/"+piece+".yaml"] = []byte("name: " + piece + "\n")
	_, err = r.Commit(files, CommitOptions{Text: piece, Author: someone})
	return err
}

// Beside a git program that commits too, nothing of either is lost.
func TestBesideGit(t *testing.T) {
	needsGit(t)
	const each = 8
	r := withVersions(t, 1)
	var both sync.WaitGroup
	made := 0
	both.Go(func() {
		for i := 0; made < each && i < 200; i++ {
			if _, err := tryGit(r.Root(), "commit", "-q", "--allow-empty", "-m", fmt.Sprintf("git %d", made)); err == nil {
				made++
			}
			time.Sleep(5 * time.Millisecond)
		}
	})
	kept := 0
	both.Go(func() {
		mine, err := Open(r.Root())
		if !assert.NoError(t, err) {
			return
		}
		defer mine.Close()
		for i := 0; kept < each && i < 200; i++ {
			err := addOne(mine, fmt.Sprintf("p%d", kept))
			if err == nil {
				kept++
				continue
			}
			var held *LockFileError
			if !assert.ErrorIs(t, err, ErrMoved) && !assert.ErrorAs(t, err, &held) {
				return
			}
		}
	})
	both.Wait()
	assert.Equal(t, each, made)
	assert.Equal(t, each, kept)
	history, err := r.History()
	require.NoError(t, err)
	assert.Len(t, history, 1+made+kept)
	files, err := r.Read(history[0])
	require.NoError(t, err)
	for i := range kept {
		assert.Contains(t, files, fmt.Sprintf("pieces/p%d.yaml", i))
	}
	fsck(t, r.Root())
}

// The comparison under the branch's own lock, which is what keeps a git program
// and us from undoing each other's work.
func TestBranchMovesOnlyFromWhereItStood(t *testing.T) {
	r := withVersions(t, 3)
	history, err := r.History()
	require.NoError(t, err)
	ids := map[int]string{}
	for _, v := range history {
		ids[v.Number] = v.ID
	}
	old, err := parseID([]byte(ids[2]))
	require.NoError(t, err)
	target, err := parseID([]byte(ids[1]))
	require.NoError(t, err)
	ran := false
	err = r.moveRef("refs/heads/working", old, target, func() (func(), error) { ran = true; return nil, nil })
	assert.ErrorIs(t, err, ErrMoved)
	assert.False(t, ran)
	last, err := r.Last()
	require.NoError(t, err)
	assert.Equal(t, 3, last.Number)
	assert.NoFileExists(t, r.path("refs/heads/working.lock"))
}
