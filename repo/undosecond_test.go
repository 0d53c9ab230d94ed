package repo

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A merge that died before its end was noted is taken back, also where the other
// branch has versions of a git program: it had them before.
func TestUndoOfBrokenOffMerge(t *testing.T) {
	needsGit(t)
	r := forked(t)
	put(t, r, "mine.md", "mine\n")
	gitAdds(t, r, "here")
	r = reopened(t, r)
	before := standing(t, r)
	b, open, there := mergeBeside(t, r, "side:3", undecided)
	require.Empty(t, open)
	ops := &faultyOps{}
	r.ops = ops
	unlock, err := r.Lock()
	require.NoError(t, err)
	r.Begin("merge side", at(9))
	files, err := r.Working()
	require.NoError(t, err)
	_, err = r.Commit(files, CommitOptions{Text: "merged", Author: someone, Time: at(9), Merges: []string{there.ID}, Beside: b})
	require.NoError(t, err)
	ops.fail, ops.dead = ops.step+1, true
	r.End(false)
	unlock()
	r = reopened(t, r)
	_, err = undoing(r)
	require.NoError(t, err)
	assert.Equal(t, before, standing(t, r))
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
}

// Where a git program has removed the branch that the folder came from, nothing
// changes until it is there again.
func TestUndoOntoRemovedBranch(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	last, err := r.Last()
	require.NoError(t, err)
	require.NoError(t, command(r, "branch o", func() error { return r.NewBranch("o", *last) }))
	require.NoError(t, command(r, "use o", func() error { return r.Use("o") }))
	require.NoError(t, changing(r, smock(2)))
	require.NoError(t, committing(r, 2))
	tip := git(t, r.Root(), "rev-parse", "o")
	require.NoError(t, command(r, "use working", func() error { return r.Use("working") }))
	git(t, r.Root(), "branch", "-q", "-D", "o")
	before, status := standing(t, r), git(t, r.Root(), "status", "--porcelain")
	_, err = undoing(r)
	require.ErrorContains(t, err, "`git branch o "+tip[:shownStart]+"`")
	assert.Equal(t, before, standing(t, r))
	assert.Equal(t, status, git(t, r.Root(), "status", "--porcelain"))
	git(t, r.Root(), "branch", "o", tip[:shownStart])
	u, err := undoing(r)
	require.NoError(t, err)
	assert.Equal(t, "o", u.Branch)
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
}

// A branch that stands for another in git goes along with it, and stops no undo,
// also when it is gone.
func TestUndoBesideSymbolicBranch(t *testing.T) {
	needsGit(t)
	for _, gone := range []bool{false, true} {
		r := withVersions(t, 1)
		git(t, r.Root(), "symbolic-ref", "refs/heads/main", "refs/heads/working")
		before := standing(t, r)
		require.NoError(t, changing(r, smock(2)))
		require.NoError(t, committing(r, 2))
		if gone {
			git(t, r.Root(), "symbolic-ref", "-d", "refs/heads/main")
		}
		_, err := undoing(r)
		require.NoError(t, err)
		_, err = undoing(r)
		require.NoError(t, err)
		assert.Equal(t, before, standing(t, r))
		_, err = redoing(r)
		require.NoError(t, err)
		assert.Empty(t, r.Warnings())
	}
}
