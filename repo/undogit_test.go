package repo

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Where a git program has put the folder on a version by itself, or on a branch
// that has none, an undo leaves branches, files and git's list of files alone.
func TestUndoWhereGitHasMovedTheFolder(t *testing.T) {
	needsGit(t)
	for _, moved := range [][]string{{"checkout", "-q", "--detach"}, {"checkout", "-q", "--orphan", "other"}, {"switch", "-q", "-c", "other", "HEAD~"}} {
		r := withVersions(t, 1)
		require.NoError(t, changing(r, smock(2)))
		require.NoError(t, committing(r, 2))
		git(t, r.Root(), moved...)
		before, status := standing(t, r), git(t, r.Root(), "status", "--porcelain")
		_, err := undoing(r)
		require.Error(t, err, "%v", moved)
		assert.Equal(t, before, standing(t, r))
		assert.Equal(t, status, git(t, r.Root(), "status", "--porcelain"))
		git(t, r.Root(), "checkout", "-q", "-f", "working")
		_, err = undoing(r)
		require.NoError(t, err)
	}
	r := withVersions(t, 1)
	require.NoError(t, command(r, "branch side", func() error { return errOf(r.Last())(func(v *Version) error { return r.NewBranch("side", *v) }) }))
	git(t, r.Root(), "checkout", "-q", "--orphan", "other")
	status := git(t, r.Root(), "status", "--porcelain")
	_, err := undoing(r)
	require.NoError(t, err, "the branch goes, and nothing else is touched")
	assert.Equal(t, status, git(t, r.Root(), "status", "--porcelain"))
}

// A version that was sent and cannot be reverted, for it merged two branches, is
// not said to be.
func TestSentMergeNamesWhatCanBeDone(t *testing.T) {
	said := (&SentError{Version{Number: 4, Parents: []string{"a", "b"}}}).Error()
	assert.Contains(t, said, "`toile bring-back V`")
	assert.NotContains(t, said, "`toile revert 4`")
	assert.Contains(t, (&SentError{Version{Number: 4, Parents: []string{"a"}}}).Error(), "`toile revert 4`")
}
