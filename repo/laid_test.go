package repo

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
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

func (o *powerOps) SyncFile(path string) error {
	err := o.faultyOps.SyncFile(path)
	if err == nil {
		delete(o.unsynct, path)
	}
	return err
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
	awaited(t, r)
	return r, there.complete()
}

// awaited is the pattern once all of it has reached the disk.
func awaited(t *testing.T, r *Repo) {
	t.Helper()
	boot := r.boot
	r.boot = "later"
	unlock, err := r.Lock()
	require.NoError(t, err)
	unlock()
	r.boot = boot
	require.Empty(t, r.Warnings())
	notes, size, err := r.readLaid()
	require.NoError(t, err)
	require.Empty(t, notes)
	require.Zero(t, size)
}

// A power cut at any step of going to another branch, and of coming back, leaves a
// pattern whose next command finds the folder wholly on one branch.
func TestPowerCutInUse(t *testing.T) {
	needsGit(t)
	t.Parallel()
	model, there := twoBranches(t)
	if model.boot == "" {
		t.Skip("nothing is laid here")
	}
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
	torn := 0
	for fail := 1 + rand.IntN(every); fail <= count.step+1; fail += every {
		for _, wrongTimes := range []bool{false, true} {
			r := copyOf(t, model)
			ops := newPowerOps(fail)
			r.ops = ops
			err := change(r)
			ops.cut(t, dice, wrongTimes)
			r = reopened(t, r)
			r.boot = "another"
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
			said := r.Warnings()
			torn += len(said)
			for _, w := range said {
				assert.Contains(t, w, "had not reached the disk", what)
			}
			noLocks(t, r)
			require.NoError(t, r.Use(map[string]string{"working": "side", "side": "working"}[branch]), what)
			for name := range onDisk(t, r.Root()) {
				if strings.HasSuffix(name, ".torn") {
					require.NoError(t, os.Remove(filepath.Join(r.Root(), name)))
				}
			}
			require.Empty(t, git(t, r.Root(), "status", "--porcelain"), what)
			fsck(t, r.Root())
		}
	}
	t.Logf("%d torn files", torn)
}

// What somebody did after going to another branch stays when the machine is
// stopped: files saved by hand, whatever they hold, and files removed are told from
// torn ones.
func TestSavedAfterLaying(t *testing.T) {
	t.Parallel()
	r, there := twoBranches(t)
	if r.boot == "" {
		t.Skip("nothing is laid here")
	}
	require.NoError(t, r.Use("side"))
	cuff := filepath.Join(r.Root(), "pieces", "cuff.yaml")
	for _, content := range []string{"name: back\nhem: 777\n", string(there["pieces/back.yaml"][:9]), ""} {
		r := copyLaid(t, r)
		put(t, r, "pieces/back.yaml", content)
		r.boot = "another"
		working, err := r.Working()
		require.NoError(t, err)
		assert.Equal(t, content, string(working["pieces/back.yaml"]))
		assert.Equal(t, there["pieces/cuff.yaml"], working["pieces/cuff.yaml"])
		assert.Empty(t, r.Warnings())
		_, size, err := r.readLaid()
		require.NoError(t, err)
		assert.Zero(t, size, "all of it is known to be on the disk")
	}
	// Removed while the machine runs, it stays removed; after a stop it cannot be
	// told from a lost one.
	require.NoError(t, os.Remove(cuff))
	working, err := r.Working()
	require.NoError(t, err)
	assert.NotContains(t, working, "pieces/cuff.yaml")
	r.boot = "another"
	working, err = r.Working()
	require.NoError(t, err)
	assert.Equal(t, there["pieces/cuff.yaml"], working["pieces/cuff.yaml"])
	assert.Len(t, r.Warnings(), 1)
}

// What looks torn and may be somebody's lies beside the file that is made again.
func TestTornIsKeptBeside(t *testing.T) {
	t.Parallel()
	r, there := twoBranches(t)
	if r.boot == "" {
		t.Skip("nothing is laid here")
	}
	require.NoError(t, r.Use("side"))
	back := filepath.Join(r.Root(), "pieces", "back.yaml")
	content := slices.Concat([]byte("name: back\n"), make([]byte, 40))
	put(t, r, "pieces/back.yaml", string(content))
	old := time.Now().Add(-time.Hour)
	require.NoError(t, os.Chtimes(back, old, old))
	r.boot = "another"
	working, err := r.Working()
	require.NoError(t, err)
	assert.Equal(t, there, working)
	said := r.Warnings()
	require.Len(t, said, 1)
	_, name, _ := strings.Cut(said[0], "what it held is in ")
	kept, err := os.ReadFile(filepath.Join(r.Root(), "pieces", name))
	require.NoError(t, err)
	assert.Equal(t, content, kept)
}

// A note is ended by a later command of the same running of the system, too, and
// where many have come together.
func TestNotesOfLaidFilesEnd(t *testing.T) {
	t.Parallel()
	r, _ := twoBranches(t)
	if r.boot == "" {
		t.Skip("nothing is laid here")
	}
	require.NoError(t, r.Use("side"))
	notes, _, err := r.readLaid()
	require.NoError(t, err)
	require.Len(t, notes, 1)
	unlock, err := r.Lock()
	require.NoError(t, err)
	unlock()
	_, size, err := r.readLaid()
	require.NoError(t, err)
	require.Positive(t, size, "they may still be on their way")
	notes[0].time = notes[0].time.Add(-2 * laidFor)
	text := notes[0].line()
	require.NoError(t, os.WriteFile(r.own(laidFile), []byte(text), 0o666))
	unlock, err = r.Lock()
	require.NoError(t, err)
	unlock()
	_, size, err = r.readLaid()
	require.NoError(t, err)
	assert.Zero(t, size)
	assert.Empty(t, r.Warnings())
	notes[0].time = time.Now()
	for range 2 * maxLaid / len(text) {
		require.NoError(t, r.noteLaid(notes[0].line()))
	}
	unlock, err = r.Lock()
	require.NoError(t, err)
	unlock()
	_, size, err = r.readLaid()
	require.NoError(t, err)
	assert.Zero(t, size, "a note does not grow for ever")
}

// copyLaid is the same pattern in another folder, its note true of the files there.
func copyLaid(t *testing.T, r *Repo) *Repo {
	t.Helper()
	r = copyOf(t, r)
	notes, _, err := r.readLaid()
	require.NoError(t, err)
	require.Len(t, notes, 1)
	parts, err := notes[0].files()
	require.NoError(t, err)
	for i, part := range parts {
		mark, ok := markOf(filepath.Join(r.Root(), filepath.FromSlash(part.Name)))
		require.True(t, ok)
		parts[i].Inode, parts[i].Modified = mark.inode, mark.modified
	}
	list, err := json.Marshal(parts)
	require.NoError(t, err)
	notes[0].list = string(list)
	require.NoError(t, os.WriteFile(r.own(laidFile), []byte(notes[0].line()), 0o666))
	return r
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
		ops.cut(t, dice, false)
		r = reopened(t, r)
		r.boot = "another"
		what := fmt.Sprintf("seed %d, cut at %d (%v)", seed, fail, err)
		last, lastErr := r.Last()
		require.NoError(t, lastErr, what)
		if err == nil {
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
