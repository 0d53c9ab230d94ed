package repo

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"

	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// powerOps are file operations that end at a step, as if the power went, and know
// what was not on the disk by then: what files held that nobody synced, names in
// folders that nobody synced, and a journal emptied.
type powerOps struct {
	*faultyOps
	unsynct map[string]bool
	names   []named
	emptied map[string][]byte
	gone    []goneFile
}

// goneFile is a file removed since its folder was synced.
type goneFile struct {
	path    string
	content []byte
	unsynct bool
	when    time.Time
}

// named is a name given since its folder was synced.
type named struct {
	to  string
	old []byte // what bore the name before, nil where nothing did
}

func newPowerOps(fail int) *powerOps {
	return &powerOps{faultyOps: &faultyOps{fail: fail, dead: true}, unsynct: map[string]bool{}, emptied: map[string][]byte{}}
}

func (o *powerOps) Create(path string, perm os.FileMode) (outFile, error) {
	f, err := o.faultyOps.Create(path, perm)
	if err != nil {
		return nil, err
	}
	return &powerFile{f, o, path}, nil
}

type powerFile struct {
	outFile
	ops  *powerOps
	path string
}

func (f *powerFile) Write(b []byte) (int, error) {
	f.ops.unsynct[f.path] = true
	return f.outFile.Write(b)
}

func (f *powerFile) Sync() error {
	err := f.outFile.Sync()
	if err == nil {
		delete(f.ops.unsynct, f.path)
	}
	return err
}

func (o *powerOps) Overwrite(path string, content []byte) error {
	old, _ := os.ReadFile(path)
	err := o.faultyOps.Overwrite(path, content)
	if err == nil {
		delete(o.emptied, path)
		if len(content) == 0 {
			o.emptied[path] = old
		}
	}
	return err
}

// Remove notes what is gone until its folder is synced.
func (o *powerOps) Remove(path string) error {
	content, readErr := os.ReadFile(path)
	if err := o.faultyOps.Remove(path); err != nil {
		return err
	}
	unsynct := o.unsynct[path]
	delete(o.unsynct, path)
	was := slices.ContainsFunc(o.names, func(n named) bool { return n.to == path })
	o.names = slices.DeleteFunc(o.names, func(n named) bool { return n.to == path })
	if readErr == nil && !was && filepath.Base(filepath.Dir(path)) != tempFolder {
		o.gone = append(o.gone, goneFile{path, content, unsynct, time.Now()})
	}
	return nil
}

func (o *powerOps) Rename(from, to string) error {
	old, readErr := os.ReadFile(to)
	if readErr != nil {
		old = nil
	}
	if err := o.faultyOps.Rename(from, to); err != nil {
		return err
	}
	delete(o.unsynct, to)
	if o.unsynct[from] {
		o.unsynct[to] = true
	}
	delete(o.unsynct, from)
	o.names = append(o.names, named{to, old})
	return nil
}

func (o *powerOps) SyncFolder(path string) error {
	err := o.faultyOps.SyncFolder(path)
	if err == nil {
		o.names = slices.DeleteFunc(o.names, func(n named) bool { return filepath.Dir(n.to) == path })
		o.gone = slices.DeleteFunc(o.gone, func(g goneFile) bool { return filepath.Dir(g.path) == path })
	}
	return err
}

// cut leaves on the disk what a power cut may leave there: of what was not synced,
// some, all or nothing, and files empty, cut short, or of zeros. wrongTimes is a
// file system that keeps the times of files in memory.
func (o *powerOps) cut(t *testing.T, dice *rand.Rand, wrongTimes bool) {
	t.Helper()
	how := dice.IntN(3) // none of the names is there, some are, all are
	for _, n := range slices.Backward(o.names) {
		if how == 2 || how == 1 && dice.IntN(2) == 0 {
			continue
		}
		delete(o.unsynct, n.to)
		if n.old == nil {
			require.NoError(t, os.RemoveAll(n.to))
			continue
		}
		require.NoError(t, os.Remove(n.to))
		require.NoError(t, os.WriteFile(n.to, n.old, 0o666))
	}
	for _, g := range o.gone {
		if _, err := os.Lstat(g.path); err != nil && dice.IntN(2) == 0 && os.MkdirAll(filepath.Dir(g.path), 0o777) == nil {
			require.NoError(t, os.WriteFile(g.path, g.content, 0o666))
			require.NoError(t, os.Chtimes(g.path, g.when, g.when))
			if g.unsynct {
				o.unsynct[g.path] = true
			}
		}
	}
	for path := range o.unsynct {
		content, err := os.ReadFile(path)
		if err != nil {
			continue
		}
		info, err := os.Stat(path)
		require.NoError(t, err)
		switch dice.IntN(4) {
		case 0:
			content = nil
		case 1:
			content = make([]byte, len(content))
		case 2:
			if !wrongTimes { // else it might be an editor's
				content = content[:len(content)/2]
			}
		}
		require.NoError(t, os.Chmod(path, 0o666))
		require.NoError(t, os.WriteFile(path, content, 0o666))
		when := info.ModTime()
		if wrongTimes && filepath.Ext(path) != ".lock" {
			when = when.Add(-time.Minute)
		}
		require.NoError(t, os.Chtimes(path, when, when))
	}
	for path, old := range o.emptied {
		if dice.IntN(2) == 0 {
			require.NoError(t, os.WriteFile(path, old, 0o666))
		}
	}
}

// twoBranches is a pattern on the branch working, with a branch side that has all
// files otherwise.
func twoBranches(t *testing.T) (r *Repo, there Files) {
	t.Helper()
	there = with(smock(50), "pieces/cuff.yaml", "name: cuff\n")
	delete(there, "pieces/front.yaml")
	r = withVersions(t, 1)
	last, err := r.Last()
	require.NoError(t, err)
	require.NoError(t, r.NewBranch("side", *last))
	require.NoError(t, r.Use("side"))
	commit(t, r, 2, there)
	require.NoError(t, r.Use("working"))
	return r, there.complete()
}

// A power cut at any step of going to another branch, and of coming back, leaves a
// pattern whose next command finds the folder wholly on one branch.
func TestPowerCutInUse(t *testing.T) {
	needsGit(t)
	t.Parallel()
	model, there := twoBranches(t)
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	dice := rand.New(rand.NewPCG(seed, 1))
	change := func(r *Repo) error {
		if err := command(r, "use side", func() error { return r.Use("side") }); err != nil {
			return err
		}
		return command(r, "use working", func() error { return r.Use("working") })
	}
	count := newPowerOps(0)
	r := copyOf(t, model)
	r.ops = count
	require.NoError(t, change(r))
	every := full(14, 1)
	for fail := 1 + rand.IntN(every); fail <= count.step+1; fail += every {
		for _, wrongTimes := range []bool{false, true} {
			r := copyOf(t, model)
			ops := newPowerOps(fail)
			r.ops = ops
			err := change(r)
			ops.cut(t, dice, wrongTimes)
			r = reopened(t, r)
			r.boot, r.started = "another", time.Now()
			what := fmt.Sprintf("seed %d, cut at %d (%v), times %v", seed, fail, err, wrongTimes)
			if dice.IntN(2) == 0 { // a command that only reads comes first
				_, err := r.Working()
				require.NoError(t, err, what)
			}
			unlock, err := r.Lock()
			require.NoError(t, err, what)
			unlock()
			branch, err := r.Branch()
			require.NoError(t, err, what)
			working, err := r.Working()
			require.NoError(t, err, what)
			want := map[string]Files{"working": smock(1).complete(), "side": there}[branch]
			require.Equal(t, want, working, "%s: on %s", what, branch)
			require.Empty(t, r.Warnings(), what)
			noLocks(t, r)
			require.NoError(t, r.Use(map[string]string{"working": "side", "side": "working"}[branch]), what)
			require.Empty(t, git(t, r.Root(), "status", "--porcelain"), what)
			fsck(t, r.Root())
		}
	}
}

// A power cut at any step of a commit leaves the version before it or the new one,
// all of it, and what was written by hand.
func TestPowerCutInCommit(t *testing.T) {
	needsGit(t)
	t.Parallel()
	model := withVersions(t, 1)
	put(t, model, "pieces/front.yaml", "name:   front\nhem: 555\n") // to be printed anew
	put(t, model, "pieces/cuff.yaml", "name: cuff\n")
	next := with(smock(2), "pieces/cuff.yaml", "name: cuff\n")
	next["pieces/front.yaml"] = []byte("name: front\nhem: 555\n")
	change := func(r *Repo) error {
		return command(r, "commit", func() error {
			if _, err := r.Working(); err != nil {
				return err
			}
			_, err := r.Commit(next, CommitOptions{Text: "change 2", Author: someone, Time: at(2)})
			return err
		})
	}
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	dice := rand.New(rand.NewPCG(seed, 2))
	count := newPowerOps(0)
	r := copyOf(t, model)
	r.ops = count
	require.NoError(t, change(r))
	every := full(10, 1)
	for fail := 1 + rand.IntN(every); fail <= count.step+1; fail += every {
		r := copyOf(t, model)
		ops := newPowerOps(fail)
		r.ops = ops
		err := change(r)
		branch := r.path(headsPrefix + "working")
		// Where the power went before the disk confirmed the branch, that is a warning.
		confirmed := err == nil && !slices.ContainsFunc(ops.names, func(n named) bool { return n.to == branch })
		ops.cut(t, dice, false)
		r = reopened(t, r)
		r.boot, r.started = "another", time.Now()
		what := fmt.Sprintf("seed %d, cut at %d (%v)", seed, fail, err)
		last, lastErr := r.Last()
		require.NoError(t, lastErr, what)
		if confirmed {
			require.Equal(t, 2, last.Number, what)
		}
		want := smock(1).complete()
		if last.Number == 2 {
			want = next.complete()
		}
		files, readErr := r.Read(*last)
		require.NoError(t, readErr, what)
		require.Equal(t, want, files, what)
		working, workErr := r.Working()
		require.NoError(t, workErr, what)
		require.Contains(t, string(working["pieces/front.yaml"]), "555", what)
		require.Equal(t, "name: cuff\n", string(working["pieces/cuff.yaml"]), what)
		fsck(t, r.Root())
		unlock, lockErr := r.Lock()
		require.NoError(t, lockErr, what)
		_, workErr = r.Working()
		require.NoError(t, workErr, what)
		v, nextErr := r.Commit(smock(3), CommitOptions{Text: "change 3", Author: someone, Time: at(3)})
		unlock()
		require.NoError(t, nextErr, what)
		require.Equal(t, last.Number+1, v.Number, what)
		require.Empty(t, r.Warnings(), what)
		require.Empty(t, git(t, r.Root(), "status", "--porcelain"), what)
		noLocks(t, r)
	}
}
