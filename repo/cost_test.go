package repo

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// imported is a pattern of so many pieces and versions, each of which changes
// one piece; git's own importer makes it, which does not sync each version.
func imported(t testing.TB, pieces, versions int) *Repo {
	t.Helper()
	needsGit(t)
	file := func(k int) string { return fmt.Sprintf("pieces/piece-%d.yaml", k) }
	text := func(k, n int) string { return fmt.Sprintf("name: piece %d\nhem: %d\n", k, n) }
	files := Files{PatternFile: []byte("format: 1\n")}
	for k := range pieces {
		files[file(k)] = []byte(text(k, 0))
	}
	r, err := Start(filepath.Join(t.TempDir(), "smock"), files)
	require.NoError(t, err)
	var in strings.Builder
	for n := range versions {
		fmt.Fprintf(&in, "commit refs/heads/working\ncommitter Orchard <o@example.org> %d +0200\ndata 6\nchange\n", 1775000000+n)
		changed := Files{file(n % pieces): []byte(text(n%pieces, n))}
		if n == 0 {
			changed = files.complete()
		}
		for name, content := range changed {
			fmt.Fprintf(&in, "M 100644 inline %s\ndata %d\n%s\n", name, len(content), content)
		}
	}
	c := exec.Command("git", "fast-import", "--quiet")
	c.Dir, c.Env, c.Stdin = r.Root(), gitEnv(), strings.NewReader(in.String())
	out, err := c.CombinedOutput()
	require.NoError(t, err, string(out))
	git(t, r.Root(), "reset", "-q", "--hard")
	return r
}

// costs counts the objects that an operation read and the writes that it made,
// in a Repo opened for it.
type costs struct{ reads, writes int }

func costOf(t *testing.T, root string, do func(r *Repo) error) costs {
	t.Helper()
	r, err := Open(root)
	require.NoError(t, err)
	ops := &faultyOps{}
	r.ops = ops
	require.NoError(t, do(r))
	require.NoError(t, r.Close())
	return costs{r.reads, ops.step}
}

// Committing, looking at what changed and the history cost what the change
// costs: the number of versions, and of pieces that stayed as they are, has no
// part in what is read and written.
func TestCostFollowsWhatChanged(t *testing.T) {
	t.Parallel()
	var commits, changes, histories, lines []costs
	for _, size := range [][2]int{{10, 30}, {10, full(60, 200)}, {10, full(90, 2000)}, {100, 60}, {full(200, 1000), 60}} {
		pieces, versions := size[0], size[1]
		r := imported(t, pieces, versions)
		all, err := r.History()
		require.NoError(t, err)
		for _, v := range all {
			_, _, _, err := r.Changed(v)
			require.NoError(t, err)
		}
		r.SaveWhatWasRead()
		commits = append(commits, costOf(t, r.Root(), func(r *Repo) error {
			return command(r, "commit", func() error {
				files, err := r.Working()
				if err != nil {
					return err
				}
				files["pieces/piece-3.yaml"] = []byte("name: piece 3\nhem: 9999\n")
				_, err = r.Commit(files, CommitOptions{Text: "x", Author: someone, Time: at(1)})
				return err
			})
		}))
		changes = append(changes, costOf(t, r.Root(), func(r *Repo) error {
			last, err := r.Last()
			if err != nil {
				return err
			}
			changed, _, _, err := r.Changed(*last)
			assert.Equal(t, []string{"pieces/piece-3.yaml"}, changed)
			_, _, err2 := r.ReadFile(*last, "pieces/piece-3.yaml")
			require.NoError(t, err2)
			return err
		}))
		histories = append(histories, costOf(t, r.Root(), func(r *Repo) error {
			all, err := r.History()
			assert.Len(t, all, versions+1)
			return err
		}))
		lines = append(lines, costOf(t, r.Root(), func(r *Repo) error {
			last, err := r.Last()
			if err != nil {
				return err
			}
			line, err := r.Line(*last)
			if err != nil {
				return err
			}
			steps, err := r.Steps(line, "pieces/piece-3.yaml")
			assert.NotEmpty(t, steps)
			return err
		}))
	}
	t.Logf("a commit reads %d objects and makes %d writes", commits[0].reads, commits[0].writes)
	for name, each := range map[string][]costs{"commit": commits, "change": changes, "history": histories, "history of a piece": lines} {
		for i, c := range each {
			assert.Equal(t, each[0].reads, c.reads, "%s, size %d: objects read", name, i)
			assert.InDelta(t, each[0].writes, c.writes, 6, "%s, size %d: writes; a folder of objects may be there or not", name, i)
		}
	}
	assert.Equal(t, costs{1, 0}, histories[0])
	assert.Equal(t, costs{1, 0}, lines[0])
}
