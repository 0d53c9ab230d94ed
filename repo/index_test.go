package repo

import (
	"io/fs"
	"os"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A lock file that a git program left on its index keeps no version from being
// kept. The warning says what is done and what is left, and a later commit does
// the rest, also one with nothing to keep.
func TestIndexLeftLocked(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	lock := r.path(indexFile + ".lock")
	require.NoError(t, os.WriteFile(lock, nil, 0o666))
	old := time.Now().Add(-time.Hour)
	require.NoError(t, os.Chtimes(lock, old, old))

	v, err := r.Commit(smock(2), CommitOptions{Text: "hem", Author: someone, Time: at(2)})
	require.NoError(t, err)
	assert.Equal(t, 2, v.Number)
	warnings := r.Warnings()
	require.Len(t, warnings, 1)
	assert.Contains(t, warnings[0], "the version is kept; only git's own list of files")
	assert.Contains(t, warnings[0], lock)
	assert.NotContains(t, warnings[0], "nothing was changed")
	assert.NotContains(t, warnings[0], "again")

	// Still locked: the refusal stays, and so does the advice.
	_, err = r.Commit(smock(2), CommitOptions{Text: "hem", Author: someone, Time: at(3)})
	require.ErrorIs(t, err, ErrNothingChanged)
	warnings = r.Warnings()
	require.Len(t, warnings, 1)
	assert.Contains(t, warnings[0], lock)
	assert.NotEmpty(t, git(t, r.Root(), "status", "--porcelain"))

	require.NoError(t, os.Remove(lock))
	_, err = reopened(t, r).Commit(smock(2), CommitOptions{Text: "hem", Author: someone, Time: at(3)})
	require.ErrorIs(t, err, ErrNothingChanged)
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	noLocks(t, r)

	// An index that is as it should be is not written again.
	before := onDisk(t, r.Root())
	_, err = r.Commit(smock(2), CommitOptions{Text: "hem", Author: someone, Time: at(3)})
	require.ErrorIs(t, err, ErrNothingChanged)
	assert.Empty(t, r.Warnings())
	assert.Equal(t, before, onDisk(t, r.Root()))
}

// A name stands for a branch or for a version, never for both.
func TestNamesAndBranchesShareNoName(t *testing.T) {
	r := withVersions(t, 1)
	last, err := r.Last()
	require.NoError(t, err)
	require.NoError(t, r.NewBranch("longer", *last))
	require.NoError(t, r.Name("worn", *last))
	assert.ErrorContains(t, r.Name("longer", *last), `the name "longer" is that of a branch`)
	assert.ErrorContains(t, r.NewBranch("worn", *last), `the name "worn" is that of a version`)
	names, err := r.Names()
	require.NoError(t, err)
	assert.Len(t, names, 1)
}

// What cannot be written is named as a folder, not as a file inside .git.
func TestFolderThatCannotBeWritten(t *testing.T) {
	for _, number := range []error{syscall.EACCES, syscall.EROFS} {
		err := cannotWrite("/smock", &fs.PathError{Op: "open", Path: "/smock/.git/toile/lock", Err: number})
		assert.EqualError(t, err, "the folder /smock cannot be written ("+number.Error()+"); nothing was changed; allow writing there, or work in a copy of it")
		assert.ErrorIs(t, err, number)
	}
	full := cannotWrite("/smock", &fs.PathError{Op: "open", Path: "/smock/.git/toile/tmp/x", Err: syscall.ENOSPC})
	assert.EqualError(t, full, "the disk that holds /smock is full ("+syscall.ENOSPC.Error()+"); make room there and run the command again")
	assert.ErrorIs(t, full, syscall.ENOSPC)
	other := &fs.PathError{Op: "open", Path: "x", Err: syscall.EIO}
	assert.Equal(t, error(other), cannotWrite("/smock", other))
	if os.Getuid() == 0 {
		t.Skip("this account may write everywhere, so no folder can be closed to it")
	}
	r := withVersions(t, 1)
	require.NoError(t, os.Chmod(r.own(""), 0o555))
	t.Cleanup(func() { _ = os.Chmod(r.own(""), 0o777) })
	require.NoError(t, os.Remove(r.own(lockFile)))
	_, err := r.Lock()
	assert.ErrorContains(t, err, "the folder "+r.Root()+" cannot be written")
}
