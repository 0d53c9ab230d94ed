package repo

import (
	"os"
	"strings"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// told is all that the version table answers, as one value.
func told(t *testing.T, r *Repo) (all []any) {
	t.Helper()
	history, err := r.History()
	require.NoError(t, err)
	last, err := r.Last()
	require.NoError(t, err)
	line, err := r.Line(*last)
	require.NoError(t, err)
	all = append(all, history, line)
	for _, name := range []string{"pieces/back.yaml", "pieces/yoke.yaml", "pieces/front.yaml", PatternFile} {
		steps, err := r.Steps(line, name)
		require.NoError(t, err)
		all = append(all, steps)
		for _, v := range history {
			text, found, err := r.ReadFile(v, name)
			require.NoError(t, err)
			all = append(all, string(text), found)
		}
	}
	for _, v := range history {
		changed, came, went, err := r.Changed(v)
		require.NoError(t, err)
		all = append(all, changed, came, went)
	}
	return all
}

// withMerge is a history of ours and of git's, with files that come and go.
func withMerge(t *testing.T) *Repo {
	r := withVersions(t, 3)
	git(t, r.Root(), "checkout", "-q", "-b", "side", "HEAD~2")
	put(t, r, "pieces/yoke.yaml", "name: yoke\n")
	git(t, r.Root(), "add", "-A")
	git(t, r.Root(), "commit", "-q", "-m", "yoke\n\nand more")
	git(t, r.Root(), "checkout", "-q", "working")
	git(t, r.Root(), "merge", "-q", "--no-ff", "-m", "both", "side")
	files := with(smock(5), "pieces/yoke.yaml", "name: yoke\n")
	commit(t, r, 5, files)
	commit(t, r, 6, smock(6))
	return r
}

// The version table may be torn, false, of another pattern or gone: what is told
// is the same, and it is whole again after the next commit.
func TestVersionTable(t *testing.T) {
	needsGit(t)
	r := withMerge(t)
	path := r.own(tableFile)
	want := told(t, reopened(t, r))
	content, err := os.ReadFile(path)
	require.NoError(t, err)
	last, err := r.Last()
	require.NoError(t, err)
	parent := plumbing.NewHash(last.Parents[0])
	wrong := *r.table.rows[parent]
	wrong.number = 77
	for name, table := range map[string]string{
		"as it was": string(content), "gone": "", "torn": string(content[:len(content)-5]), "foreign": "hello\n\x00\n\t\t\t",
		"begins torn": string(content[9:]), "false number": rowLine(parent, &wrong), "two of one": string(content) + rowLine(parent, &wrong),
		"twice": string(content) + string(content), "other fields": strings.ReplaceAll(string(content), "\t", "\t\t"),
	} {
		t.Run(name, func(t *testing.T) {
			copied := copyOf(t, r)
			require.NoError(t, os.WriteFile(copied.own(tableFile), []byte(table), 0o666))
			assert.Equal(t, want, told(t, reopened(t, copied)))
			other := reopened(t, copied)
			told(t, other)
			commit(t, other, 7, smock(7))
			again := reopened(t, copied)
			again.table.load(again.own(tableFile))
			again.table.readAll()
			require.Contains(t, again.table.rows, plumbing.NewHash(last.ID))
			assert.Equal(t, 6, again.table.rows[plumbing.NewHash(last.ID)].number)
			assert.Len(t, again.table.rows, 8)
		})
	}
}

// History and the steps of a piece are read from the table alone: with every
// version but the last taken away they are the same.
func TestHistoryOpensNoVersion(t *testing.T) {
	needsGit(t)
	r := withMerge(t)
	want, err := r.History()
	require.NoError(t, err)
	line, err := r.Line(want[0])
	require.NoError(t, err)
	steps, err := r.Steps(line, "pieces/back.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, steps)
	for _, v := range want {
		_, _, _, err := r.Changed(v)
		require.NoError(t, err)
	}
	r.saveTable()
	for _, v := range want[1:] {
		require.NoError(t, os.Remove(objectFile(r, v.ID)))
	}
	other := reopened(t, r)
	got, err := other.History()
	require.NoError(t, err)
	assert.Equal(t, want, got)
	again, err := other.Steps(line, "pieces/back.yaml")
	require.NoError(t, err)
	assert.Equal(t, steps, again)
	assert.Len(t, other.commits, 1, "only the last version was opened")
}
