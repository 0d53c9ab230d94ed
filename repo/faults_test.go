package repo

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var errDisk = errors.New("no space left on the disk (a test)")

// faultyOps does real file operations until the step numbered fail. Then that
// one fails, or (dead) that one and all after it, as if the process had been
// killed: not even clearing up is possible.
type faultyOps struct {
	diskOps
	step, fail int
	dead       bool
	torn       bool // the first failing write leaves half of its content
	full       bool // from the failing step on nothing can be made or written
	trace      []string
}

// needsRoom are the steps that a full disk does not allow.
var needsRoom = map[string]bool{"create": true, "overwrite": true, "append": true, "append durably": true, "mkdir": true, "write": true}

func (o *faultyOps) fails(what, path string) bool {
	o.step++
	o.trace = append(o.trace, what+" "+filepath.Base(path))
	return o.fail > 0 && (o.step == o.fail || o.step > o.fail && (o.dead || o.full && needsRoom[what]))
}

func (o *faultyOps) Create(path string, perm fs.FileMode) (outFile, error) {
	if o.fails("create", path) {
		return nil, errDisk
	}
	f, err := o.diskOps.Create(path, perm)
	if err != nil {
		return nil, err
	}
	return &faultyFile{outFile: f, ops: o, path: path}, nil
}

func (o *faultyOps) Overwrite(path string, content []byte) error {
	what := "overwrite"
	if len(content) == 0 {
		what = "empty"
	}
	if o.fails(what, path) {
		if o.torn && o.step == o.fail {
			_ = o.diskOps.Overwrite(path, content[:len(content)/2])
		}
		return errDisk
	}
	return o.diskOps.Overwrite(path, content)
}

func (o *faultyOps) Append(path string, content []byte) error {
	if o.fails("append", path) {
		if o.torn && o.step == o.fail {
			_ = o.diskOps.Append(path, content[:len(content)/2])
		}
		return errDisk
	}
	return o.diskOps.Append(path, content)
}

func (o *faultyOps) Rename(from, to string) error {
	if o.fails("rename", to) {
		return errDisk
	}
	return o.diskOps.Rename(from, to)
}

func (o *faultyOps) Remove(path string) error {
	if o.fails("remove", path) {
		return errDisk
	}
	return o.diskOps.Remove(path)
}

func (o *faultyOps) Mkdir(path string) error {
	if o.fails("mkdir", path) {
		return errDisk
	}
	return o.diskOps.Mkdir(path)
}

func (o *faultyOps) SyncFolder(path string) error {
	if o.fails("sync folder", path) {
		return errDisk
	}
	return o.diskOps.SyncFolder(path)
}

// Together does one after the other, so that the steps have numbers.
func (o *faultyOps) Together(syncs []func() error) error {
	for _, do := range syncs {
		if err := do(); err != nil {
			return err
		}
	}
	return nil
}

func (o *faultyOps) Chmod(path string, perm fs.FileMode) error {
	if o.fails("chmod", path) {
		return errDisk
	}
	return o.diskOps.Chmod(path, perm)
}

type faultyFile struct {
	outFile
	ops  *faultyOps
	path string
}

func (f *faultyFile) Write(b []byte) (int, error) {
	if f.ops.fails("write", f.path) {
		n := 0
		if f.ops.torn && f.ops.step == f.ops.fail {
			n, _ = f.outFile.Write(b[:len(b)/2])
		}
		return n, errDisk
	}
	return f.outFile.Write(b)
}

func (f *faultyFile) Sync() error {
	if f.ops.fails("sync", f.path) {
		return errDisk
	}
	return f.outFile.Sync()
}

// faultCases runs a change with a fault at each of its steps in each way, each
// on a copy of the pattern prepared, and calls after with how it ended. Without
// TOILE_ALL=1 only some of the steps are tried, others each time.
func faultCases(t *testing.T, prepare func(t *testing.T) *Repo, change func(r *Repo) error, after func(t *testing.T, r *Repo, dead bool, err error)) {
	count := &faultyOps{}
	model := prepare(t)
	r := copyOf(t, model)
	r.ops = count
	require.NoError(t, change(r))
	require.Greater(t, count.step, 3)
	every := full(6, 1)
	first := 1 + rand.IntN(every)
	t.Logf("every %d. step from %d of %d", every, first, count.step)
	for fail := first; fail <= count.step; fail += every {
		for _, way := range []string{"torn", "dead", "full"} {
			if kind, _, _ := strings.Cut(count.trace[fail-1], " "); way == "full" && !needsRoom[kind] {
				continue
			}
			t.Run(fmt.Sprintf("%d %s %s", fail, count.trace[fail-1], way), func(t *testing.T) {
				t.Parallel()
				r := copyOf(t, model)
				dead := way == "dead"
				r.ops = &faultyOps{fail: fail, dead: dead, torn: true, full: way == "full"}
				err := change(r)
				after(t, reopened(t, r), dead, err)
			})
		}
	}
}

// copyOf is the same pattern in another folder.
func copyOf(t *testing.T, r *Repo) *Repo {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "copy")
	require.NoError(t, os.CopyFS(dir, os.DirFS(r.Root())))
	copied := *r
	copied.root = dir
	return reopened(t, &copied)
}

// noLocks checks that no lock or temporary file lies about.
func noLocks(t *testing.T, r *Repo) {
	t.Helper()
	for name := range onDisk(t, r.Root()) {
		if filepath.Ext(name) == ".lock" {
			t.Errorf("the lock file %s was left", name)
		}
	}
	left, err := os.ReadDir(r.own(tempFolder))
	require.NoError(t, err)
	assert.Empty(t, left)
}

func TestFaultsInCommit(t *testing.T) {
	needsGit(t)
	t.Parallel()
	next := with(smock(2), "pieces/cuff.yaml", "name: cuff\n")
	delete(next, "pieces/front.yaml")
	change := func(r *Repo) error {
		_, err := r.Commit(next, CommitOptions{Text: "change 2", Author: someone, Time: at(2)})
		return err
	}
	faultCases(t, func(t *testing.T) *Repo { return withVersions(t, 1) }, change, func(t *testing.T, r *Repo, dead bool, err error) {
		last, lastErr := r.Last()
		require.NoError(t, lastErr)
		want := smock(1)
		if last.Number == 2 {
			want = next
		}
		if err != nil {
			assert.ErrorIs(t, err, errDisk)
			assert.Equal(t, 1, last.Number, "after an error nothing has changed")
		} else {
			assert.Equal(t, 2, last.Number)
		}
		files, readErr := r.Read(*last)
		require.NoError(t, readErr)
		assert.Equal(t, want.complete(), files)
		fsck(t, r.Root())
		if !dead {
			working, err := r.Working()
			require.NoError(t, err)
			assert.Equal(t, want.complete(), working)
			noLocks(t, r)
		}
		// The next command succeeds at once, whatever was left behind.
		v, nextErr := r.Commit(smock(3), CommitOptions{Text: "change 3", Author: someone, Time: at(3)})
		if nextErr != nil && dead { // the folder may be half of each: read, then commit
			unlock, err := r.Lock()
			require.NoError(t, err)
			_, err = r.Working()
			require.NoError(t, err)
			v, nextErr = r.Commit(smock(3), CommitOptions{Text: "change 3", Author: someone, Time: at(3)})
			unlock()
		}
		require.NoError(t, nextErr)
		assert.Empty(t, r.Warnings())
		assert.Equal(t, last.Number+1, v.Number)
		assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
		noLocks(t, r)
	})
}

func TestFaultsInFirstCommit(t *testing.T) {
	needsGit(t)
	t.Parallel()
	small := Files{PatternFile: []byte("format: 1\n")}
	change := func(r *Repo) error {
		_, err := r.Commit(small, CommitOptions{Text: "change 1", Author: someone, Time: at(1)})
		return err
	}
	faultCases(t, func(t *testing.T) *Repo { return started(t, small) }, change, func(t *testing.T, r *Repo, dead bool, err error) {
		last, lastErr := r.Last()
		require.NoError(t, lastErr)
		assert.Equal(t, err == nil, last != nil)
		fsck(t, r.Root())
		v := commit(t, r, 2, smock(2)) // more files than there were
		assert.Equal(t, last == nil, v.Number == 1)
		assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
		fsck(t, r.Root())
	})
}

func TestFaultsInUse(t *testing.T) {
	needsGit(t)
	t.Parallel()
	there := with(smock(50), "pieces/cuff.yaml", "name: cuff\n")
	delete(there, "pieces/front.yaml")
	prepare := func(t *testing.T) *Repo {
		r := withVersions(t, 1)
		last, err := r.Last()
		require.NoError(t, err)
		require.NoError(t, r.NewBranch("side", *last))
		require.NoError(t, r.Use("side"))
		commit(t, r, 2, there)
		require.NoError(t, r.Use("working"))
		return r
	}
	faultCases(t, prepare, func(r *Repo) error { return r.Use("side") }, func(t *testing.T, r *Repo, dead bool, err error) {
		unlock, lockErr := r.Lock() // ends what a dead command had begun
		require.NoError(t, lockErr)
		unlock()
		branch, branchErr := r.Branch()
		require.NoError(t, branchErr)
		want := map[string]Files{"working": smock(1), "side": there}[branch]
		if err != nil {
			assert.Equal(t, "working", branch)
		}
		working, workErr := r.Working()
		require.NoError(t, workErr)
		assert.Equal(t, want.complete(), working, "the folder is wholly on one branch")
		noLocks(t, r)
		if err != nil || dead { // else a failed index is a warning
			assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
		}
		require.NoError(t, r.Use("side"))
		require.NoError(t, r.Use("working"))
		assert.Empty(t, git(t, r.Root(), "status", "--porcelain"))
		fsck(t, r.Root())
	})
}

func TestFaultsInWriteWorking(t *testing.T) {
	t.Parallel()
	files := with(smock(9), "pieces/cuff.yaml", "name: cuff\n")
	change := func(r *Repo) error { return r.WriteWorking(files, nil) }
	faultCases(t, func(t *testing.T) *Repo { return withVersions(t, 1) }, change, func(t *testing.T, r *Repo, dead bool, err error) {
		working, readErr := r.Working()
		require.NoError(t, readErr)
		want := smock(1).complete()
		switch {
		case err == nil:
			want = files.complete()
		case dead: // killed in between: each file is whole, old or new
			for name, content := range working {
				assert.Contains(t, []string{string(want[name]), string(files[name])}, string(content), name)
			}
			return
		}
		assert.Equal(t, want, working)
		noLocks(t, r)
	})
}

func TestFaultsInNames(t *testing.T) {
	needsGit(t)
	t.Parallel()
	change := func(r *Repo) error {
		last, err := r.Last()
		if err != nil {
			return err
		}
		return r.Name("sent", *last)
	}
	faultCases(t, func(t *testing.T) *Repo { return withVersions(t, 1) }, change, func(t *testing.T, r *Repo, dead bool, err error) {
		names, listErr := r.Names()
		require.NoError(t, listErr)
		assert.Equal(t, err == nil, len(names) == 1)
		fsck(t, r.Root())
		last, lastErr := r.Last()
		require.NoError(t, lastErr)
		require.NoError(t, r.Name("again", *last))
		noLocks(t, r)
	})
}

// A start that fails leaves what was there before, and a start that is killed
// leaves no pattern that could be taken for whole.
func TestFaultsInStart(t *testing.T) {
	t.Parallel()
	count := &faultyOps{}
	r, err := start(count, filepath.Join(t.TempDir(), "a", "b"), smock(0))
	require.NoError(t, err)
	require.NoError(t, r.Close())
	for fail := 1; fail <= count.step; fail++ {
		for _, dead := range []bool{false, true} {
			top := t.TempDir()
			dir := filepath.Join(top, "a", "b")
			r, err := start(&faultyOps{fail: fail, dead: dead, torn: true}, dir, smock(0))
			if count.trace[fail-1] == "remove "+startFile && !dead { // the pattern is whole
				require.NoError(t, err)
				require.NoError(t, r.Close())
				continue
			}
			require.Error(t, err, count.trace[fail-1])
			require.Nil(t, r)
			if !dead {
				require.Len(t, onDisk(t, top), 1, "%d %s: nothing is left but the folder above", fail, count.trace[fail-1])
			} else if isPattern(dir) {
				r, err := Open(dir)
				require.NoError(t, err)
				commit(t, r, 1, smock(0))
			}
		}
	}
}

// A commit that dies amid the working files is taken back where the folder held
// the last version, as before a merge. Where it held what somebody had written,
// that stays: it is in no version.
func TestKilledAmidTheWorkingFiles(t *testing.T) {
	needsGit(t)
	t.Parallel()
	next := with(smock(2), "pieces/cuff.yaml", "name: cuff\n")
	next["pieces/front.yaml"] = []byte("name: front\nhem: 555\n")
	kill := func(model *Repo, files Files, after func(r *Repo, fail int)) {
		change := func(r *Repo) error {
			return command(r, "commit", func() error {
				if _, err := r.Working(); err != nil {
					return err
				}
				_, err := r.Commit(files, CommitOptions{Text: "change 2", Author: someone, Time: at(2)})
				return err
			})
		}
		count := &faultyOps{}
		r := copyOf(t, model)
		r.ops = count
		require.NoError(t, change(r))
		for fail := 1; fail <= count.step; fail++ {
			r := copyOf(t, model)
			r.ops = &faultyOps{fail: fail, dead: true}
			_ = change(r)
			r = reopened(t, r)
			r.lockPatience = 10 * time.Second
			unlock, err := r.Lock()
			require.NoError(t, err)
			unlock()
			after(r, fail)
		}
	}
	clean := withVersions(t, 1)
	kill(clean, next, func(r *Repo, fail int) {
		last, err := r.Last()
		require.NoError(t, err)
		want, err := r.Read(*last)
		require.NoError(t, err)
		working, err := r.Working()
		require.NoError(t, err)
		require.Equal(t, want, working, "killed at %d", fail)
	})
	edited := withVersions(t, 1)
	put(t, edited, "pieces/front.yaml", "name:   front\nhem: 555\n") // to be printed anew
	put(t, edited, "pieces/cuff.yaml", "name: cuff\n")
	kill(edited, next, func(r *Repo, fail int) {
		working, err := r.Working()
		require.NoError(t, err)
		require.Contains(t, string(working["pieces/front.yaml"]), "555", "killed at %d", fail)
		require.Equal(t, "name: cuff\n", string(working["pieces/cuff.yaml"]), "killed at %d", fail)
	})
}
