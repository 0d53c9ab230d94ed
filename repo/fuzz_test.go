package repo

import (
	"bytes"
	"errors"
	"os"
	"strings"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/stretchr/testify/require"
)

// The readers of our own small files: whatever they hold, nothing outside of
// what a journal may name is named, and only whole lines count.

func FuzzJournal(f *testing.F) {
	f.Add("files 0 0\nlock - 0 index.lock\nend\n")
	f.Add("lock ab 41 refs/heads/../../config.lock\nend\n")
	f.Fuzz(func(t *testing.T, content string) {
		for _, l := range parseJournal(content).locks {
			require.True(t, strings.HasSuffix(l.path, ".lock"))
			require.NotContains(t, "/"+l.path, "/../")
			require.True(t, strings.HasSuffix(content, "end\n"))
		}
	})
}

func FuzzTableLine(f *testing.F) {
	one := &row{number: 3, parents: []plumbing.Hash{{2}, {3}}, tree: plumbing.Hash{4}, when: timeOf(1775000000, 7200), who: "Jö\t", counted: true,
		note: note{text: "hem\nup", branch: "working", fitting: 2, answers: []string{"2.1"}}, changed: []fileChange{{added, "pieces/a.yaml", plumbing.Hash{5}}, {removed, "pieces/b.yaml", plumbing.Hash{}}}}
	f.Add(strings.TrimSuffix(rowLine([20]byte{1}, one), "\n"))
	f.Add("0101010101010101010101010101010101010101\t3\t00000000")
	f.Fuzz(func(t *testing.T, line string) {
		id, one, ok := new(summer).parseRow(line)
		if !ok {
			return
		}
		again, other, ok := new(summer).parseRow(strings.TrimSuffix(rowLine(id, one), "\n"))
		require.True(t, ok)
		require.Equal(t, id, again)
		require.Equal(t, one, other)
	})
}

func FuzzPackedRefs(f *testing.F) {
	f.Add([]byte("# pack-refs with: peeled fully-peeled sorted\n0101010101010101010101010101010101010101 refs/heads/a\n^0101010101010101010101010101010101010101\n"))
	r := started(f, smock(0))
	f.Fuzz(func(t *testing.T, content []byte) {
		require.NoError(t, os.WriteFile(r.path("packed-refs"), content, 0o666))
		refs, err := r.packedRefs()
		for name, id := range refs {
			require.False(t, id.IsZero() && !bytes.Contains(content, []byte(strings.Repeat("0", 40))), name)
		}
		var damaged *DamagedError
		if err != nil {
			require.ErrorAs(t, err, &damaged)
		}
	})
}

// Whatever a user types, the answer is a version or one of the two errors.
func FuzzResolve(f *testing.F) {
	for _, text := range []string{"1", "last", "working:1", "fitting-1", "abcd", "HEAD^{/x}", "a:b:c", "-0", "fitting-99999999999999999999"} {
		f.Add(text)
	}
	r := withVersions(f, 3)
	f.Fuzz(func(t *testing.T, text string) {
		v, err := r.Resolve(text)
		var none *NoVersionError
		var many *AmbiguousError
		if err == nil {
			require.NotZero(t, v.Number)
		} else if !errors.As(err, &none) {
			require.ErrorAs(t, err, &many)
		}
	})
}
