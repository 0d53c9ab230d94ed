package repo

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// dropRef takes a branch or name away that stands at old, as git does: under
// its lock file, first out of the packed list, then its own file, so that it is
// never seen at an older place in between. between is as in moveRef.
func (r *Repo) dropRef(ref string, old plumbing.Hash, between func() (undo func(), err error)) error {
	path := r.path(ref)
	if err := mkdirAll(r.ops, filepath.Dir(path)); err != nil {
		return err
	}
	lock := path + ".lock"
	f, err := r.lockRef(lock)
	if err != nil {
		return err
	}
	defer r.removeLock(lock)
	if err := f.Close(); err != nil {
		return err
	}
	now, _, err := r.readRef(ref)
	if err != nil {
		return err
	}
	if now != old {
		return fmt.Errorf("%s: %w; run the command again", refName(ref), ErrMoved)
	}
	var undo func()
	if between != nil {
		if undo, err = between(); err != nil {
			return err
		}
	}
	if err := r.removeRef(ref); err != nil {
		if undo != nil {
			undo()
		}
		return err
	}
	if err := r.ops.SyncFolder(filepath.Dir(path)); err != nil {
		r.warn(fmt.Sprintf("%s is gone, but the disk did not confirm it (%v); check the disk", refName(ref), err))
	}
	return nil
}

func (r *Repo) removeRef(ref string) error {
	if err := r.dropPacked(func(packed string) bool { return packed == ref }); err != nil {
		return err
	}
	if err := r.ops.Remove(r.path(ref)); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// dropPacked takes references out of git's packed list, where they are in it.
func (r *Repo) dropPacked(gone func(ref string) bool) error {
	refs, err := r.packedRefs()
	if err != nil {
		return err
	}
	found := false
	for ref := range refs {
		found = found || gone(ref)
	}
	if !found {
		return nil
	}
	path := r.path(packedFile)
	lock := path + ".lock"
	f, err := r.lockRef(lock)
	if err != nil {
		return err
	}
	content, err := os.ReadFile(path) // with the lock held, nobody else changes it
	if err != nil {
		err = errors.Join(err, f.Close())
	} else {
		err = finish(f, withoutRefs(content, gone))
	}
	if err == nil {
		err = r.ops.Rename(lock, path)
	}
	if err != nil {
		r.removeLock(lock)
		return err
	}
	return r.ops.SyncFolder(filepath.Dir(path))
}

// withoutRefs leaves lines out of a packed list, and with each the line that
// says what it stands for in the end.
func withoutRefs(content []byte, gone func(ref string) bool) []byte {
	var b bytes.Buffer
	leaving := false
	for line := range strings.Lines(string(content)) {
		if !strings.HasPrefix(line, "^") {
			_, ref, named := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
			leaving = named && line[0] != '#' && gone(ref)
		}
		if !leaving {
			b.WriteString(line)
		}
	}
	return b.Bytes()
}
