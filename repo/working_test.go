package repo

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWorkingPassesOverOtherFiles(t *testing.T) {
	r := started(t, smock(0))
	for _, name := range []string{"notes.txt", "pieces/.#front.yaml", "pieces/front.yaml~", "pieces/draft/a.yaml", "fittings/photo.jpg", "other.yaml"} {
		put(t, r, name, "other")
	}
	files, err := r.Working()
	require.NoError(t, err)
	assert.Equal(t, smock(0).complete(), files)
}

func TestWorkingRefuses(t *testing.T) {
	cases := map[string]struct {
		spoil func(r *Repo) error
		says  string
	}{
		"bad name": {func(r *Repo) error {
			return os.WriteFile(filepath.Join(r.Root(), "pieces", "Back 2.yaml"), nil, 0o666)
		}, `"pieces/Back 2.yaml"`},
		"link": {func(r *Repo) error {
			return os.Symlink("back.yaml", filepath.Join(r.Root(), "pieces", "link.yaml"))
		}, "pieces/link.yaml is not a regular file but a link"},
		"linked folder": {func(r *Repo) error {
			pieces := filepath.Join(r.Root(), "pieces")
			if err := os.Rename(pieces, r.Root()+"-pieces"); err != nil {
				return err
			}
			return os.Symlink(r.Root()+"-pieces", pieces)
		}, "pieces is not a folder but a link"},
		"folder": {func(r *Repo) error {
			return os.Mkdir(filepath.Join(r.Root(), "pieces", "x.yaml"), 0o777)
		}, "pieces/x.yaml is not a regular file but a folder"},
		"large": {func(r *Repo) error {
			return os.WriteFile(filepath.Join(r.Root(), "pieces", "x.yaml"), make([]byte, MaxFileSize+1), 0o666)
		}, "pieces/x.yaml: 1048577 bytes"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			r := started(t, smock(0))
			require.NoError(t, c.spoil(r))
			_, err := r.Working()
			assert.ErrorContains(t, err, c.says)
			before := onDisk(t, r.Root(), ".git/toile")
			_, err = r.Commit(smock(1), CommitOptions{Text: "x", Author: someone, Time: at(1)})
			assert.ErrorContains(t, err, strings.Fields(c.says)[0])
			assert.Equal(t, before, onDisk(t, r.Root(), ".git/toile"))
		})
	}
}

func TestWriteWorking(t *testing.T) {
	r := withVersions(t, 1)
	unchanged := filepath.Join(r.Root(), "pieces/front.yaml")
	before, err := os.Stat(unchanged)
	require.NoError(t, err)
	require.NoError(t, r.WriteWorking(with(smock(7), "pieces/cuff.yaml", "name: cuff\n"), []string{"fittings/01-3fa2.yaml", "pieces/none.yaml"}[1:]))
	after, err := os.Stat(unchanged)
	require.NoError(t, err)
	assert.True(t, os.SameFile(before, after), "a file that does not change is not written")
	files, err := r.Working()
	require.NoError(t, err)
	assert.Equal(t, with(smock(7), "pieces/cuff.yaml", "name: cuff\n").complete(), files)
	require.NoError(t, r.WriteWorking(nil, []string{"pieces/cuff.yaml"}))
	files, err = r.Working()
	require.NoError(t, err)
	assert.Equal(t, smock(7).complete(), files)
	last, err := r.Last()
	require.NoError(t, err)
	assert.Equal(t, 1, last.Number)

	whole := onDisk(t, r.Root(), ".git/toile")
	for _, name := range []string{"../x.yaml", "/etc/x.yaml", `pieces\x.yaml`, "pieces/x.txt", ".git/config", "pieces/aux.yaml", "pieces/ö.yaml"} {
		assert.ErrorContains(t, r.WriteWorking(Files{name: []byte("x")}, nil), "file", name)
		assert.Error(t, r.WriteWorking(nil, []string{name}), name)
	}
	assert.Error(t, r.WriteWorking(smock(1), []string{PatternFile}), "written and removed at once")
	assert.Equal(t, whole, onDisk(t, r.Root(), ".git/toile"))
}

// Whoever holds the lock writes several times, and then commits.
func TestWriteThenCommitUnderOneLock(t *testing.T) {
	r := withVersions(t, 1)
	unlock, err := r.Lock()
	require.NoError(t, err)
	defer unlock()
	_, err = r.Working()
	require.NoError(t, err)
	require.NoError(t, r.WriteWorking(with(smock(2), "pieces/cuff.yaml", "name: cuff\n"), nil))
	require.NoError(t, r.WriteWorking(smock(3), []string{"pieces/cuff.yaml", "pieces/front.yaml"}[:1]))
	v := commit(t, r, 3, smock(3))
	assert.Equal(t, 2, v.Number)
	v = commit(t, r, 4, smock(4))
	assert.Equal(t, 3, v.Number)
}
