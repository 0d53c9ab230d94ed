package repo

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A branch over or under another one's name would stop git's own clearing up.
func TestBranchesOverAndUnder(t *testing.T) {
	needsGit(t)
	for _, packed := range []bool{false, true} {
		r := withVersions(t, 1)
		last, err := r.Last()
		require.NoError(t, err)
		git(t, r.Root(), "branch", "feature/x")
		git(t, r.Root(), "tag", "worn/once")
		if packed {
			git(t, r.Root(), "pack-refs", "--all")
		}
		before := onDisk(t, r.Root(), ".git/toile")
		r = reopened(t, r)
		assert.ErrorContains(t, r.NewBranch("feature", *last), `the branch "feature" cannot be beside the branch "feature/x"`)
		assert.ErrorContains(t, r.Name("worn", *last), `the name "worn" cannot be beside the name "worn/once"`)
		assert.Equal(t, before, onDisk(t, r.Root(), ".git/toile"))
		git(t, r.Root(), "gc", "-q")
	}
}

// A branch that stands for another one is followed, as git does, and not moved.
func TestSymbolicBranch(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	git(t, r.Root(), "symbolic-ref", "refs/heads/main", "refs/heads/working")
	git(t, r.Root(), "symbolic-ref", "refs/heads/round", "refs/heads/circle")
	git(t, r.Root(), "symbolic-ref", "refs/heads/circle", "refs/heads/round")
	require.NoError(t, os.WriteFile(r.path("refs/heads/torn"), []byte("0123"), 0o666))
	r = reopened(t, r)
	branches, err := r.Branches()
	require.NoError(t, err)
	var names []string
	for _, b := range branches {
		names = append(names, b.Name)
	}
	assert.ElementsMatch(t, []string{"working", "main"}, names)
	assert.Len(t, r.Warnings(), 3, "circle, round and torn are left out, and said once each")
	_, err = r.Commit(smock(3), CommitOptions{Text: "x", Author: someone, Time: at(3)})
	require.NoError(t, err)

	require.NoError(t, r.Use("main"))
	_, err = r.Commit(smock(4), CommitOptions{Text: "x", Author: someone, Time: at(4)})
	assert.ErrorContains(t, err, `the branch "main" stands for another one`)
	require.NoError(t, r.Use("working"))
	_, err = r.Commit(smock(4), CommitOptions{Text: "x", Author: someone, Time: at(4)})
	require.NoError(t, err)
}
