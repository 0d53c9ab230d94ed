package repo

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// brokenOff is a repository whose last command, a commit of version 2, died after
// the version was kept and before its end was noted.
func brokenOff(t *testing.T) *Repo {
	r := withVersions(t, 1)
	ops := &faultyOps{}
	r.ops = ops
	put(t, r, "pieces/back.yaml", "name: back\nhem: 77\n")
	unlock, err := r.Lock()
	require.NoError(t, err)
	defer unlock()
	r.Begin("commit 2", at(1))
	files, err := r.Working()
	require.NoError(t, err)
	_, err = r.Commit(files, CommitOptions{Text: "change 2", Author: someone, Time: at(2)})
	require.NoError(t, err)
	ops.fail, ops.dead = ops.step+1, true
	r.End(false)
	return reopened(t, r)
}

// What somebody does by hand after a command that was broken off is taken back
// with it, and then named, so that redo can bring it again.
func TestEditAfterBrokenOffStepIsNamed(t *testing.T) {
	r := brokenOff(t)
	put(t, r, "pieces/back.yaml", "by hand\n")
	u, err := undoing(r)
	require.NoError(t, err)
	assert.Equal(t, []string{"pieces/back.yaml"}, u.Edited)
	_, err = redoing(r)
	require.NoError(t, err)
	assert.Equal(t, "by hand\n", get(t, r, "pieces/back.yaml"))

	r = brokenOff(t)
	u, err = undoing(r)
	require.NoError(t, err)
	assert.Empty(t, u.Edited)
	require.NotNil(t, u.To)
	assert.Equal(t, 1, u.To.Number)
}

// A version that a git program made on top is not dropped with the step.
func TestGitVersionAfterBrokenOffStepStays(t *testing.T) {
	needsGit(t)
	r := brokenOff(t)
	put(t, r, "notes.txt", "by git\n")
	git(t, r.Root(), "add", "notes.txt")
	git(t, r.Root(), "commit", "-q", "-m", "by git")
	before := onDisk(t, r.Root(), ".git/toile")
	_, err := undoing(r)
	assert.ErrorContains(t, err, "another program has made version 3")
	assert.ErrorContains(t, err, "`toile revert 3`")
	assert.Equal(t, before["pieces/back.yaml"], onDisk(t, r.Root(), ".git/toile")["pieces/back.yaml"])
	last, err := r.Last()
	require.NoError(t, err)
	assert.Equal(t, 3, last.Number)
}
