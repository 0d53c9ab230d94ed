package repo

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A file beside the pattern's that is a folder on the other branch is said to be
// just that, and the folder stays.
func TestFileThatIsAFolderThere(t *testing.T) {
	needsGit(t)
	r := forked(t)
	git(t, r.Root(), "checkout", "-q", "side")
	put(t, r, "x/y.md", "y\n")
	gitAdds(t, r, "a folder")
	git(t, r.Root(), "checkout", "-q", "working")
	put(t, r, "x", "x\n")
	gitAdds(t, r, "a file")
	r = reopened(t, r)
	for _, to := range []string{"side", "working"} {
		before := onDisk(t, r.Root(), ".git")
		err := r.Use(to)
		if to == "working" {
			require.NoError(t, os.RemoveAll(filepath.Join(r.Root(), "x")))
			git(t, r.Root(), "checkout", "-q", "-f", "side")
			r = reopened(t, r)
			before = onDisk(t, r.Root(), ".git")
			err = r.Use(to)
		}
		require.ErrorContains(t, err, "x is a file in one of the two versions and a folder in the other", to)
		assert.Equal(t, before, onDisk(t, r.Root(), ".git"))
		assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
	}
	git(t, r.Root(), "mv", "x", "z")
	git(t, r.Root(), "commit", "-qm", "another name")
	require.NoError(t, reopened(t, r).Use("working"))
	assert.Equal(t, "x\n", get(t, r, "x"))
	assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
}
