package repo

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// orderOps watches the order that POSIX asks for before a new name is durable:
// the file synced after its last write, renamed, and its folder synced. A branch,
// a name or HEAD is what makes a change count, so that all it leads to has to be
// durable before it is renamed into place.
type orderOps struct {
	diskOps
	git     string
	unsynct map[string]bool // files written since they were synced
	named   map[string]bool // folders with new names since they were synced
	wrong   []string
	moves   int
}

func watched(r *Repo) *orderOps {
	o := &orderOps{git: r.git, unsynct: map[string]bool{}, named: map[string]bool{}}
	r.ops = o
	return o
}

func (o *orderOps) Create(path string, perm fs.FileMode) (outFile, error) {
	f, err := o.diskOps.Create(path, perm)
	if err != nil {
		return nil, err
	}
	return &orderFile{outFile: f, ops: o, path: path}, nil
}

// Together does one after the other, so that the order is known.
func (o *orderOps) Together(syncs []func() error) error {
	for _, do := range syncs {
		if err := do(); err != nil {
			return err
		}
	}
	return nil
}

func (o *orderOps) Rename(from, to string) error {
	name, err := filepath.Rel(o.git, to)
	if err != nil {
		return err
	}
	name = filepath.ToSlash(name)
	if o.unsynct[from] {
		o.wrong = append(o.wrong, name+" is renamed before it is synced")
	}
	if counts(name) {
		o.moves++
		for folder := range o.named {
			if inside, err := filepath.Rel(filepath.Join(o.git, "objects"), folder); err == nil && !strings.HasPrefix(inside, "..") {
				o.wrong = append(o.wrong, fmt.Sprintf("%s moves before %s is synced", name, folder))
			}
		}
	}
	if err := o.diskOps.Rename(from, to); err != nil {
		return err
	}
	delete(o.unsynct, from)
	if name != indexFile { // only behind after a power cut, and written again
		o.named[filepath.Dir(to)] = true
	}
	return nil
}

func (o *orderOps) SyncFolder(path string) error {
	delete(o.named, path)
	return o.diskOps.SyncFolder(path)
}

// counts tells what makes a change count, by its path in .git.
func counts(name string) bool {
	return name == headFile || strings.HasPrefix(name, headsPrefix) || strings.HasPrefix(name, tagsPrefix)
}

type orderFile struct {
	outFile
	ops  *orderOps
	path string
}

func (f *orderFile) Write(b []byte) (int, error) {
	f.ops.unsynct[f.path] = true
	return f.outFile.Write(b)
}

func (f *orderFile) Sync() error {
	delete(f.ops.unsynct, f.path)
	return f.outFile.Sync()
}

// Every command leaves what it says durable: files before their names, objects
// before the branch that leads to them, and no folder with a name that a power
// cut could take. Left out are steps of the log that are but a way back.
func TestOrderOfSyncs(t *testing.T) {
	r := withVersions(t, 2)
	last, err := r.Last()
	require.NoError(t, err)
	require.NoError(t, r.NewBranch("longer", *last))
	for name, do := range map[string]func(r *Repo) error{
		"commit": func(r *Repo) error { return committing(r, 3) },
		"alter":  func(r *Repo) error { return changing(r, with(Files{}, "pieces/back.yaml", "name: back\nhem: 9\n")) },
		"use":    func(r *Repo) error { return command(r, "use", func() error { return r.Use("longer") }) },
		"branch": func(r *Repo) error { return command(r, "branch", func() error { return r.NewBranch("wider", *last) }) },
		"name":   func(r *Repo) error { return command(r, "name", func() error { return r.Name("worn", *last) }) },
		"undo":   func(r *Repo) error { _, err := undoing(r); return err },
	} {
		t.Run(name, func(t *testing.T) {
			r := copyOf(t, r)
			if name == "commit" {
				put(t, r, "pieces/back.yaml", "name: back\nhem: 8\n")
			}
			if name == "undo" {
				require.NoError(t, changing(r, with(Files{}, "pieces/back.yaml", "name: back\nhem: 9\n")))
				require.NoError(t, committing(r, 3))
				put(t, r, "pieces/back.yaml", "by hand\n")
			}
			o := watched(r)
			require.NoError(t, do(r))
			assert.Empty(t, o.wrong)
			for folder := range o.named {
				assert.True(t, name != "undo" && folder == r.path(strings.TrimSuffix(undoPrefix, "/")), "%s is not synced", folder)
			}
			if name != "alter" {
				assert.Positive(t, o.moves)
			}
			for path := range o.unsynct {
				_, err := os.Lstat(path)
				assert.ErrorIs(t, err, fs.ErrNotExist, "%s stays, unsynced", path)
			}
		})
	}
}
