package repo

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// marked is a pattern of many pieces, which a command has read.
func marked(t *testing.T) *Repo {
	t.Helper()
	files := smock(1)
	for k := range 2 * fewMissing {
		files[fmt.Sprintf("pieces/panel-%d.yaml", k)] = fmt.Appendf(nil, "name: panel %d\n", k)
	}
	r := started(t, files)
	if r.boot == "" {
		t.Skip("nothing is known by its mark here")
	}
	commit(t, r, 1, files)
	for name := range files { // as if they had been written some time ago
		old := time.Now().Add(-time.Hour)
		require.NoError(t, os.Chtimes(filepath.Join(r.Root(), name), old, old))
	}
	time.Sleep(2 * stampStep(fileMark{changed: 1})) // times of change cannot be set
	readMarks(t, r)
	return r
}

func readMarks(t *testing.T, r *Repo) {
	t.Helper()
	unlock, err := r.Lock()
	require.NoError(t, err)
	_, err = r.Folder()
	require.NoError(t, err)
	unlock()
}

// Whatever changes in a file is seen, however alike it looks: what a look at the
// marks says of the folder is what reading it says.
func TestMarksTellEveryChange(t *testing.T) {
	t.Parallel()
	model := marked(t)
	file := func(r *Repo) string { return filepath.Join(r.Root(), "pieces/panel-3.yaml") }
	stamp := func(t *testing.T, r *Repo) time.Time {
		t.Helper()
		info, err := os.Lstat(file(r))
		require.NoError(t, err)
		return info.ModTime()
	}
	for what, do := range map[string]func(t *testing.T, r *Repo){
		"nothing": func(*testing.T, *Repo) {},
		"the same size, the time set back": func(t *testing.T, r *Repo) {
			was := stamp(t, r)
			require.NoError(t, os.WriteFile(file(r), []byte("name: panel 9\n"), 0o666))
			require.NoError(t, os.Chtimes(file(r), was, was))
		},
		"another file of the same size and time in its place": func(t *testing.T, r *Repo) {
			was := stamp(t, r)
			require.NoError(t, os.WriteFile(file(r)+"~", []byte("name: panel 9\n"), 0o666))
			require.NoError(t, os.Chtimes(file(r)+"~", was, was))
			require.NoError(t, os.Rename(file(r)+"~", file(r)))
		},
		"two saves of the same size at once, a command between": func(t *testing.T, r *Repo) {
			require.NoError(t, os.WriteFile(file(r), []byte("name: panel 8\n"), 0o666))
			readMarks(t, r)
			require.NoError(t, os.WriteFile(file(r), []byte("name: panel 9\n"), 0o666))
		},
		"gone":      func(t *testing.T, r *Repo) { require.NoError(t, os.Remove(file(r))) },
		"a new one": func(t *testing.T, r *Repo) { put(t, r, "pieces/belt.yaml", "name: belt\n") },
	} {
		for _, which := range []string{"whole", "torn", "of another start", "hostile", "a folder"} {
			t.Run(what+", marks "+which, func(t *testing.T) {
				r := copyOf(t, model)
				time.Sleep(2 * stampStep(fileMark{changed: 1}))
				readMarks(t, r)
				names, err := r.workingNames()
				require.NoError(t, err)
				require.Equal(t, len(names), len(reopened(t, r).knownMarks().of))
				spoilMarks(t, r, which)
				do(t, r)
				r = reopened(t, r)
				looked, err := r.Folder()
				require.NoError(t, err)
				files, err := r.Working()
				require.NoError(t, err)
				assert.Equal(t, files.FileIDs(), looked.FileIDs())
				some, err := looked.Some(func(string) bool { return true })
				require.NoError(t, err)
				assert.Equal(t, files, some)
			})
		}
	}
}

func spoilMarks(t *testing.T, r *Repo, which string) {
	t.Helper()
	path := r.own(marksFile)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	switch which {
	case "torn":
		text = append(text[:len(text)/2], 0, 0, 0, '\n')
	case "of another start": // what it says would be wrong, and must not count
		text = []byte(strings.Replace(reSigned(string(text), "aaaa"), r.boot, "another", 1))
	case "hostile":
		text = append(text, []byte("\n00000000 ../../x 1\nmarks\n"+strings.Repeat("z", 5000))...)
	case "a folder":
		require.NoError(t, os.Remove(path))
		require.NoError(t, os.Mkdir(path, 0o777))
		return
	}
	require.NoError(t, os.WriteFile(path, text, 0o666))
}

// reSigned puts other beginnings of ids into all marks, with right checksums.
func reSigned(text, begins string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		name, m, ok := new(summer).parseMark(strings.TrimSuffix(line, "\n"))
		if !ok {
			b.WriteString(line)
			continue
		}
		copy(m.id[:], begins)
		b.WriteString(m.line(name))
	}
	return b.String()
}

// A command that knows the files by their marks overwrites nothing that was saved
// since, and keeps what it read.
func TestUnsavedWorkIsSafeBesideMarks(t *testing.T) {
	t.Parallel()
	r := marked(t)
	r = reopened(t, r)
	unlock, err := r.Lock()
	require.NoError(t, err)
	defer unlock()
	folder, err := r.Folder()
	require.NoError(t, err)
	last, err := r.Last()
	require.NoError(t, err)
	same := folder.FileIDs()
	delete(same, "pieces/back.yaml")
	delete(same, AttributesFile) // Commit has it anyway
	put(t, r, "pieces/panel-5.yaml", "name: mine!!\n")
	put(t, r, "pieces/panel-6.yaml", "name: mine!!\n")
	files := Files{"pieces/back.yaml": []byte("name: back\nhem: 77\n")}
	v, err := r.Commit(files, CommitOptions{Text: "hem", Author: someone, Time: at(2), Same: keys(same)})
	require.NoError(t, err)
	assert.Equal(t, last.Number+1, v.Number)
	now, err := r.Working()
	require.NoError(t, err)
	assert.Equal(t, "name: mine!!\n", string(now["pieces/panel-5.yaml"]))
	kept, err := r.Read(v)
	require.NoError(t, err)
	assert.Equal(t, "name: panel 5\n", string(kept["pieces/panel-5.yaml"]))
	dirty, err := r.Dirty(now)
	require.NoError(t, err)
	assert.Equal(t, []string{"pieces/panel-5.yaml", "pieces/panel-6.yaml"}, dirty)
	err = r.WriteWorking(Files{"pieces/panel-5.yaml": []byte("name: other\n")}, nil)
	require.NoError(t, err) // it was read since
	_, err = r.Commit(Files{}, CommitOptions{Text: "x", Author: someone, Time: at(3), Same: keys(same)})
	require.ErrorIs(t, err, ErrMoved)
	put(t, r, "pieces/panel-7.yaml", "name: mine!!\n")
	require.ErrorIs(t, r.WriteWorking(Files{"pieces/panel-7.yaml": []byte("name: other\n")}, nil), ErrMoved)
	require.ErrorIs(t, r.WriteWorking(nil, []string{"pieces/panel-7.yaml"}), ErrMoved)
	fsck(t, r.Root())
	assert.Equal(t, " M pieces/panel-5.yaml\n M pieces/panel-6.yaml\n M pieces/panel-7.yaml", git(t, r.Root(), "status", "--porcelain"))
}

// What is kept of the beginnings of files is what was given, and damage in it is no
// more than a loss.
func TestHeads(t *testing.T) {
	t.Parallel()
	r := started(t, smock(1))
	heads, ids := map[string]string{}, map[string]string{}
	for k := range 3 * fewMissing {
		id := fmt.Sprintf("%040x", k)
		heads[id], ids[fmt.Sprintf("pieces/p-%d.yaml", k)] = fmt.Sprintf("name: p %d\nid: %08x\n", k, k), id
	}
	r.KeepHeads(heads, fewMissing)
	assert.Empty(t, r.Heads(ids))
	r.KeepHeads(heads, len(heads))
	assert.Equal(t, heads, r.Heads(ids))
	text, err := os.ReadFile(r.own(headsFile))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(r.own(headsFile), []byte(strings.Replace(string(text), "name: p 7\t", "name: p 8\t", 1)), 0o666))
	assert.Len(t, r.Heads(ids), len(heads)-1)
	for range 40 { // it does not grow for ever
		r.KeepHeads(heads, len(heads))
	}
	info, err := os.Stat(r.own(headsFile))
	require.NoError(t, err)
	assert.Less(t, info.Size(), int64(2*spareHeads))
	assert.Equal(t, heads, r.Heads(ids))
}
