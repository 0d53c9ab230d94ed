package repo

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
)

// A start that is killed leaves its unfinished folder and perhaps some of the
// files it was to make. The unfinished folder lists those, by name and content,
// before the first is made, so that the next start can take them away and begin
// again; what somebody has changed since stays. A start that still runs holds
// the lock of the folder it makes.

// startFile is the list, in the folder of our own.
const startFile = "start"

// hold makes the pattern's lock and takes it.
func (b *builder) hold() error {
	path := filepath.Join(b.git, ownFolder, lockFile)
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o666)
	if err != nil {
		return err
	}
	b.made, b.lock = append(b.made, path), f
	if ok, err := tryLock(f); err != nil || !ok {
		return errors.Join(err, ErrBusy)
	}
	return nil
}

// list notes the files that are going to be made.
func (b *builder) list(files Files) error {
	var text strings.Builder
	for _, name := range files.names() {
		fmt.Fprintf(&text, "%s %s\n", plumbing.ComputeHash(plumbing.BlobObject, files[name]), name)
	}
	return b.file(filepath.Join(b.git, ownFolder, startFile), []byte(text.String()))
}

// clearBrokenStart takes away what a start that was killed left in a folder.
func clearBrokenStart(ops fileOps, dir string) error {
	left := filepath.Join(dir, unfinished)
	info, err := os.Lstat(left)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return nil // whatever is wrong with the folder above is said by checkStart
	}
	if info.IsDir() && exists(filepath.Join(left, ownFolder, copyFile)) {
		return fmt.Errorf("%s is what a copy leaves behind that was broken off; make the copy again, or start in another folder", left)
	}
	if !info.IsDir() || !onlyStarted(left) {
		return fmt.Errorf("%s is not what a start leaves behind; move it away and start again", left)
	}
	if err := checkStartDead(left, info); err != nil {
		return err
	}
	if err := clearStarted(ops, dir, left); err != nil {
		return fmt.Errorf("what a start that was broken off left in %s cannot be cleared away: %w", left, err)
	}
	return nil
}

// onlyStarted tells whether a folder holds nothing but what a start makes: no
// stored object, no branch.
func onlyStarted(left string) bool {
	known := []string{"HEAD", "config", "objects", "objects/info", "objects/pack", "refs", "refs/heads", "refs/tags",
		ownFolder, ownFolder + "/" + tempFolder, ownFolder + "/" + lockFile, ownFolder + "/" + startFile}
	err := filepath.WalkDir(left, func(path string, _ fs.DirEntry, err error) error {
		if err != nil || path == left {
			return err
		}
		name, err := filepath.Rel(left, path)
		if err != nil {
			return err
		}
		if name = filepath.ToSlash(name); !slices.Contains(known, name) && !strings.HasPrefix(name, "start-") {
			return fs.ErrInvalid
		}
		return nil
	})
	return err == nil
}

// checkStartDead refuses where the start may still run.
func checkStartDead(left string, info fs.FileInfo) error {
	busy := fmt.Errorf("a pattern is being started in %s at this moment; wait until that is done", filepath.Dir(left))
	f, err := os.OpenFile(filepath.Join(left, ownFolder, lockFile), os.O_RDWR, 0o666)
	if errors.Is(err, fs.ErrNotExist) {
		if time.Since(info.ModTime()) < ownLockWindow {
			return busy // it may be about to make it
		}
		return nil
	}
	if err != nil {
		return err
	}
	ok, err := tryLock(f)
	if err = errors.Join(err, f.Close()); err == nil && !ok {
		err = busy
	}
	return err
}

func clearStarted(ops fileOps, dir, left string) error {
	content, err := os.ReadFile(filepath.Join(left, ownFolder, startFile))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	for line := range strings.Lines(string(content)) {
		id, name, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		if CheckPath(name) != nil {
			continue
		}
		path := filepath.Join(dir, filepath.FromSlash(name))
		text, err := os.ReadFile(path)
		if err != nil || plumbing.ComputeHash(plumbing.BlobObject, text).String() != id {
			continue // not made yet, or somebody's own by now
		}
		if err := ops.Remove(path); err != nil {
			return err
		}
	}
	return removeAll(ops, left)
}

// removeAll takes a folder away, from its leaves up. The list of what was made
// goes when all of that is gone, for the walk comes to folders first.
func removeAll(ops fileOps, folder string) error {
	var paths []string
	err := filepath.WalkDir(folder, func(path string, _ fs.DirEntry, err error) error {
		paths = append(paths, path)
		return err
	})
	if err != nil {
		return err
	}
	for _, path := range slices.Backward(paths) {
		if err := ops.Remove(path); err != nil {
			return err
		}
	}
	return ops.SyncFolder(filepath.Dir(folder))
}
