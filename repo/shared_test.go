package repo

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sharedOf finds what two branches share, and what git merge-base --all says.
func sharedOf(t *testing.T, r *Repo, a, b Version) (ours, gits []string) {
	t.Helper()
	found, err := r.Shared(a, b)
	require.NoError(t, err)
	for _, v := range found {
		ours = append(ours, v.ID)
	}
	gits = strings.Fields(git(t, r.Root(), "merge-base", "--all", a.ID, b.ID))
	slices.Sort(ours)
	slices.Sort(gits)
	return ours, gits
}

// What two versions share is what git says, also where branches were merged
// crosswise and two versions are shared last.
func TestSharedIsWhatGitSays(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	root, err := r.Last()
	require.NoError(t, err)
	require.NoError(t, r.NewBranch("longer", *root))
	here := commit(t, r, 11, smock(11))
	require.NoError(t, r.Use("longer"))
	there := commit(t, r, 12, smock(12))
	ours, gits := sharedOf(t, r, here, there)
	require.Equal(t, gits, ours)
	require.Equal(t, []string{root.ID}, ours)

	ours, _ = sharedOf(t, r, *root, there)
	require.Equal(t, []string{root.ID}, ours, "one goes back to the other")

	crossThere, err := r.Commit(smock(13), CommitOptions{Text: "cross", Author: someone, Time: at(13), Merges: []string{here.ID}})
	require.NoError(t, err)
	require.NoError(t, r.Use(FirstBranch))
	crossHere, err := r.Commit(smock(14), CommitOptions{Text: "cross", Author: someone, Time: at(14), Merges: []string{there.ID}})
	require.NoError(t, err)
	ours, gits = sharedOf(t, r, crossHere, crossThere)
	require.Equal(t, gits, ours)
	require.Len(t, ours, 2)
	found, err := r.Shared(crossHere, crossThere)
	require.NoError(t, err)
	assert.GreaterOrEqual(t, found[0].Number, found[1].Number)
}

func TestForward(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 2)
	root, err := r.Last()
	require.NoError(t, err)
	require.NoError(t, r.NewBranch("longer", *root))
	require.NoError(t, r.Use("longer"))
	files := smock(12)
	files["pieces/pocket.yaml"] = []byte("name: pocket\n")
	delete(files, "pieces/side-panel.yaml")
	there := commit(t, r, 12, files)
	require.NoError(t, r.Use(FirstBranch))

	put(t, r, "pieces/back.yaml", "name: back\nhem: 1\n")
	var unsaved *UnsavedError
	require.ErrorAs(t, r.Forward(there), &unsaved)
	put(t, r, "pieces/back.yaml", string(smock(2)["pieces/back.yaml"]))

	require.NoError(t, r.Forward(there))
	last, err := r.Last()
	require.NoError(t, err)
	require.Equal(t, there.ID, last.ID)
	working, err := r.Working()
	require.NoError(t, err)
	require.Equal(t, files.complete(), working)
	require.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	require.Error(t, r.Forward(*root), "it does not go back to the branch's last version")
	require.Error(t, r.Forward(there), "it is there")
	fsck(t, r.Root())
}
