package repo

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/stretchr/testify/require"
)

// The readers of what others deliver.

func FuzzBundleHead(f *testing.F) {
	s := &sample{}
	s.with()
	f.Add(s.bytes())
	f.Add([]byte(bundleV3 + "\n@object-format=sha1\n-" + strings.Repeat("1", 40) + " x\n\n"))
	f.Fuzz(func(t *testing.T, content []byte) {
		in := bufio.NewReader(bytes.NewReader(content))
		head, err := readBundleHead(in)
		var no *RefusedError
		if err != nil {
			require.ErrorAs(t, err, &no)
			require.NotContains(t, err.Error(), "\x1b")
			return
		}
		for name, id := range head.refs {
			require.NotEmpty(t, name)
			require.False(t, id.IsZero())
		}
	})
}

// A pack is refused or every object in it is what its id says.
func FuzzPack(f *testing.F) {
	s := &sample{}
	s.with()
	s.head = "x"
	whole := s.bytes()
	f.Add(whole[bytes.Index(whole, []byte("PACK")):])
	f.Add(swelling()[:4000])
	f.Fuzz(func(t *testing.T, content []byte) {
		if len(content) > 1<<16 {
			return
		}
		p, err := readPack(bytes.NewReader(content), int64(len(content)), nil)
		if err != nil {
			return
		}
		require.LessOrEqual(t, p.unpacked, p.mayUnpack)
		for i, e := range p.entries {
			got, err := p.content(i)
			if err != nil {
				continue
			}
			require.Equal(t, e.id, plumbing.ComputeHash(e.kind, got))
			require.Equal(t, int(e.size), len(got))
		}
	})
}

// A list of files is refused, or git's order holds and every name is one that
// stays in its folder on any system.
func FuzzVetTree(f *testing.F) {
	f.Add([]byte(rawTree((&sample{}).honest()...)), true)
	f.Add([]byte(rawTree(treeEntry{"160000", "..", plumbing.Hash{1}})), false)
	f.Fuzz(func(t *testing.T, content []byte, top bool) {
		entries, err := vetTree(content, top)
		if err != nil {
			return
		}
		require.Equal(t, rawTree(entries...), string(content))
		for _, e := range entries {
			require.True(t, filepath.IsLocal(e.name))
			require.Equal(t, e.name, filepath.Base(e.name))
			require.Equal(t, Printable(e.name), e.name)
			require.False(t, strings.EqualFold(e.name, ".git"))
			require.False(t, e.isFolder() && !top)
		}
	})
}

// Whatever difference is applied, the result has the size it says; and ours give
// the text back.
func FuzzDelta(f *testing.F) {
	f.Add([]byte("hem: 600\nside: 1\n"), []byte("hem: 540\nside: 1\n"))
	f.Fuzz(func(t *testing.T, a, b []byte) {
		if delta, ok := makeDelta(a, b); ok {
			got, err := applyDelta(a, delta)
			require.NoError(t, err)
			require.True(t, bytes.Equal(b, got))
		}
		got, err := applyDelta(a, b)
		if err == nil {
			_, to, _, err := deltaSizes(b)
			require.NoError(t, err)
			require.Len(t, got, int(to))
		} else {
			require.True(t, errors.Is(err, errDelta) || errors.Is(err, io.EOF))
		}
	})
}
