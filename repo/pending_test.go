package repo

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is kept is read back, replaced whole, and taken away; nothing of it is
// part of the pattern.
func TestPending(t *testing.T) {
	r := started(t, smock(0))
	text, err := r.Pending()
	require.NoError(t, err)
	require.Empty(t, text)
	require.NoError(t, r.SetPending(nil))
	for _, want := range []string{"first", "a longer second", "3"} {
		require.NoError(t, r.SetPending([]byte(want)))
		text, err = r.Pending()
		require.NoError(t, err)
		require.Equal(t, want, string(text))
	}
	files, err := r.Working()
	require.NoError(t, err)
	require.Equal(t, smock(0).complete(), files)
	require.Error(t, r.SetPending(make([]byte, MaxFileSize+1)))
	text, err = r.Pending()
	require.NoError(t, err)
	require.Equal(t, "3", string(text))
	require.NoError(t, r.SetPending(nil))
	_, err = os.Stat(filepath.Join(r.git, ownFolder, pendingFile))
	require.ErrorIs(t, err, os.ErrNotExist)
	left, err := os.ReadDir(r.own(tempFolder))
	require.NoError(t, err)
	require.Empty(t, left)
}

// What is known of wearers is no part of the pattern, of a version or of a
// copy that git makes, and nobody but this account may read it.
func TestPrivateStaysHere(t *testing.T) {
	r := started(t, smock(0))
	require.NoError(t, r.SetPrivate([]byte("a name")))
	text, err := r.Private()
	require.NoError(t, err)
	require.Equal(t, "a name", string(text))
	info, err := os.Stat(r.own(privateFile))
	require.NoError(t, err)
	if runtime.GOOS != "windows" {
		require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	}
	v, err := r.Commit(smock(1), CommitOptions{Text: "x"})
	require.NoError(t, err)
	files, err := r.Read(v)
	require.NoError(t, err)
	for _, content := range files {
		require.NotContains(t, string(content), "a name")
	}
	text, err = r.Private()
	require.NoError(t, err)
	require.Equal(t, "a name", string(text), "it outlives versions")
	require.NoError(t, r.SetPrivate(nil))
	text, err = r.Private()
	require.NoError(t, err)
	require.Empty(t, text)
}
