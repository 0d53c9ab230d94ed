package repo

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A lock file that nobody has written into yet is ours where it came right after
// our journal got its time, however long the command had taken by then, or where no
// program has lived since; else it is another program's.
func TestEmptyLockOfACommandThatDied(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		after   time.Duration // the journal, -1 where the command made the lock itself
		content string
		restart bool // the system was started since
		removed bool
	}{
		"made by the command, long after the journal": {-1, "", false, true},
		"made at once":                           {time.Second, "", false, true},
		"made five seconds later":                {5 * time.Second, "", false, false},
		"zeros, five seconds later":              {5 * time.Second, strings.Repeat("\x00", len(indexToken)), false, false},
		"zeros, before the system started":       {5 * time.Second, strings.Repeat("\x00", len(indexToken)), true, true},
		"empty, before the system started":       {5 * time.Second, "", true, true},
		"half a token before the system started": {5 * time.Second, indexToken[:5], true, true},
		"git's, before the system started":       {5 * time.Second, "DIRC", true, false},
	} {
		t.Run(name, func(t *testing.T) {
			r := withVersions(t, 1)
			unlock, err := r.Lock()
			require.NoError(t, err)
			tip := r.position().tip
			require.NoError(t, r.announce(tip, tip, announcedIndex()))
			then := time.Now().Add(-12 * time.Second)
			require.NoError(t, os.Chtimes(r.own(journalFile), then, then))
			lock := r.path("index.lock")
			if c.after < 0 {
				f, err := r.lockRef(lock)
				require.NoError(t, err)
				require.NoError(t, f.Close())
			} else {
				require.NoError(t, os.WriteFile(lock, []byte(c.content), 0o666))
				require.NoError(t, os.Chtimes(lock, then.Add(c.after), then.Add(c.after)))
			}
			unlock()
			r = reopened(t, r)
			r.started = time.Time{}
			if c.restart {
				r.started = time.Now().Add(-time.Second)
			}
			unlock, err = r.Lock()
			require.NoError(t, err)
			unlock()
			_, err = os.Lstat(lock)
			assert.Equal(t, c.removed, os.IsNotExist(err))
		})
	}
}

// A command that died between two branches, one of which cannot be read any more, is
// no version that was never stored: nothing is taken for somebody's work.
func TestDamagedVersionAmidUse(t *testing.T) {
	t.Parallel()
	model, _ := twoBranches(t)
	count := &faultyOps{}
	r := copyOf(t, model)
	r.ops = count
	use := func(r *Repo) error { return command(r, "use", func() error { return r.Use("side") }) }
	require.NoError(t, use(r))
	step := 0
	for i, what := range count.trace {
		if what == "rename back.yaml" {
			step = i + 2
		}
	}
	require.Positive(t, step)
	r = copyOf(t, model)
	r.ops = &faultyOps{fail: step, dead: true}
	require.Error(t, use(r))
	id, found, err := r.readRef(headsPrefix + "side")
	require.NoError(t, err)
	require.True(t, found)
	require.NoError(t, os.Chmod(r.objectPath(id), 0o666))
	whole, err := os.ReadFile(r.objectPath(id))
	require.NoError(t, err)
	for _, gone := range []bool{false, true} {
		require.NoError(t, os.WriteFile(r.objectPath(id), nil, 0o666))
		if gone {
			require.NoError(t, os.Remove(r.objectPath(id)))
		}
		require.NoError(t, os.WriteFile(r.own(tableFile), nil, 0o666))
		_, err = reopened(t, r).Lock()
		var damaged *DamagedError
		require.ErrorAs(t, err, &damaged)
	}
	require.NoError(t, os.WriteFile(r.objectPath(id), whole, 0o666))
	r = reopened(t, r)
	unlock, err := r.Lock()
	require.NoError(t, err)
	defer unlock()
	working, err := r.Working()
	require.NoError(t, err)
	assert.Equal(t, smock(1).complete(), working)
}
