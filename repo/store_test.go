package repo

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// catFile is every object of a pattern as the git program reads it.
func catFile(t *testing.T, root string) map[plumbing.Hash]storedObject {
	t.Helper()
	c := exec.Command("git", "cat-file", "--batch", "--batch-all-objects")
	c.Dir, c.Env = root, gitEnv()
	out, err := c.Output()
	require.NoError(t, err)
	all := map[plumbing.Hash]storedObject{}
	for len(out) > 0 {
		head, rest, _ := bytes.Cut(out, []byte("\n"))
		words := strings.Fields(string(head))
		require.Len(t, words, 3)
		kind, err := plumbing.ParseObjectType(words[1])
		require.NoError(t, err)
		size, err := strconv.Atoi(words[2])
		require.NoError(t, err)
		all[plumbing.NewHash(words[0])] = storedObject{kind, rest[:size]}
		out = rest[size+1:]
	}
	return all
}

// Every object is read as the git program reads it, however git has stored it:
// loose, whole or as a difference in one pack or several, of a base given by its
// place or by its id.
func TestStoreReadsAsGitDoes(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 12)
	long := strings.Repeat("a line that all versions have\n", 300)
	for n := range 8 { // files that pack as differences of each other
		put(t, r, "notes.txt", fmt.Sprintf("%sversion %d\n%s", long, n, long))
		git(t, r.Root(), "add", "-A")
		git(t, r.Root(), "commit", "-q", "-m", "notes")
	}
	git(t, r.Root(), "tag", "-a", "-m", "a name with words", "named")
	compare := func(how string) {
		want := catFile(t, r.Root())
		require.Greater(t, len(want), 40)
		store := &objectStore{folder: r.path("objects")}
		for id, o := range want {
			got, err := store.read(id)
			require.NoError(t, err, "%s: %v", how, id)
			assert.Equal(t, o.kind, got.kind, "%s: %v", how, id)
			assert.Equal(t, string(o.content), string(got.content), "%s: %v", how, id)
			size, err := store.size(id)
			require.NoError(t, err)
			assert.EqualValues(t, len(o.content), size)
		}
		_, err := store.read(plumbing.NewHash(strings.Repeat("ab", 20)))
		assert.ErrorIs(t, err, errMissing)
		require.NoError(t, store.close())
	}
	compare("loose")
	git(t, r.Root(), "-c", "repack.useDeltaBaseOffset=false", "repack", "-q", "-a", "-d", "-f", "--depth=50", "--window=50")
	compare("bases by id")
	git(t, r.Root(), "repack", "-q", "-a", "-d", "-f", "--depth=50", "--window=50")
	compare("bases by place")
	for n := range 3 {
		put(t, r, "notes.txt", fmt.Sprintf("%slater %d\n%s", long, n, long))
		git(t, r.Root(), "add", "-A")
		git(t, r.Root(), "commit", "-q", "-m", "notes")
		if n < 2 {
			git(t, r.Root(), "repack", "-q", "-d")
		}
	}
	packs, err := os.ReadDir(r.path(packFolder))
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(packs), 6, "three packs and their indexes")
	compare("three packs and loose ones")
}

// What says that it is larger than any file of a pattern is not unpacked.
func TestStoreRefusesWhatIsTooLarge(t *testing.T) {
	needsGit(t)
	r := withVersions(t, 1)
	put(t, r, "picture", strings.Repeat("x", maxObject+1))
	git(t, r.Root(), "add", "-A")
	id := plumbing.NewHash(git(t, r.Root(), "rev-parse", ":picture"))
	check := func(how string) {
		store := &objectStore{folder: r.path("objects")}
		_, err := store.read(id)
		assert.ErrorContains(t, err, "too many", how)
		size, err := store.size(id)
		require.NoError(t, err)
		assert.EqualValues(t, maxObject+1, size)
		require.NoError(t, store.close())
	}
	check("loose")
	git(t, r.Root(), "commit", "-q", "-m", "a picture")
	git(t, r.Root(), "gc", "-q")
	check("packed")
}
